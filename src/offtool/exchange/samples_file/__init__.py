"""A register of samples as a table, a row a part of a sample: read from CSV and XLSX, written as CSV."""

from offtool.exchange.samples_file.read import read_samples
from offtool.exchange.samples_file.table import SampleRowRead, SamplesTable
from offtool.exchange.samples_file.write import HEADINGS, cells_of_row, samples_csv

__all__ = ["HEADINGS", "SampleRowRead", "SamplesTable", "cells_of_row", "read_samples", "samples_csv"]
