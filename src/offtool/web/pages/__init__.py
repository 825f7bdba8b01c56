"""What each page shows: one frozen object a page, filled from the result of a step."""
