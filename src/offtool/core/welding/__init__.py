"""Seams: how they are drawn, what the welder gives them, how strong they are."""
