"""The mathematics: published values, independent answers, and laws."""
