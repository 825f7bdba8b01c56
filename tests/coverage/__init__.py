"""How often the intervals that are printed hold what they claim: `python -m tests.coverage [NAME ...]`."""
