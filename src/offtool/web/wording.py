"""Names of the program's fields as people say them."""

from __future__ import annotations

UNITS = {"mm": "mm", "c": "°C", "mpa": "MPa", "nm": "N·m", "g": "g", "n": "N", "s": "s", "h": "h", "pct": "%"}
"""The endings of names that are units."""


def title_and_unit(name: str) -> tuple[str, str]:
    """part_after_mm: "part after", "mm"; required_index: "required index", ""."""
    stem, _, ending = name.rpartition("_")
    if stem and ending in UNITS:
        return stem.replace("_", " "), UNITS[ending]
    return name.replace("_", " "), ""
