"""The colours of every drawing and sheet; the pages name the same ones in their style sheet."""

from __future__ import annotations

PAPER = "#fcfbf8"
WHITE = "#ffffff"
INK = "#22211f"
QUIET = "#66615a"
LINE = "#d8d2c6"
MARK = "#0b5d66"
NO = "#9c2f1f"
DOUBT = "#7d5f0e"
OUTSIDE = "#ece6da"

FONTS = "Source Sans 3, Noto Sans SC, Offtool Signs, sans-serif"
"""For text inside drawings: the families of the pages and of the sheets."""
