"""Wording of numbers and days in templates; all of it from reports.words."""
