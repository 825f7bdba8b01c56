"""Samples of known origin: what the program says of them is held against where they came from."""
