"""When a shop works and when engineers are there, where nobody has said; common practice, no source."""

from __future__ import annotations

from offtool.handbook.defects import PRACTICE

ENGINEER_FROM_H, ENGINEER_TO_H = 8.0, 17.0
ENGINEER_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri")
PRESS_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat")
ENGINEERS_UNSAID = f"nobody has said when engineers are there: Monday to Friday 8 to 17 is taken ({PRACTICE})"
DAYS_PLANNED = 14
MOST_DAYS = 60
