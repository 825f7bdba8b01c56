"""Shots of a change of colour, measured one after the other, read from CSV and XLSX."""

from offtool.exchange.colour_shots.read import read_colour_shots
from offtool.exchange.colour_shots.table import ColourShotRead, ColourShotsTable

__all__ = ["ColourShotRead", "ColourShotsTable", "read_colour_shots"]
