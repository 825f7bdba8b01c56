"""Where the files that come with the program lie, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def examples_folder() -> Path:
    """The folder of invented programmes: inside the package in a wheel, at the top of a checkout."""
    in_wheel = _PACKAGE / "examples"
    return in_wheel if in_wheel.is_dir() else _PACKAGE.parents[1] / "examples"


def fonts_folder() -> Path:
    """The fonts of the PDF: Source Sans 3, Noto Sans SC and Offtool Signs, each under its open licence."""
    return _PACKAGE / "reports" / "fonts"
