"""The numbers of a press and of a tool that a plan asks for: how each is called, and where it is to be read.

One list for the forms, the commands and what is said of a number that is missing. The names are those of the
record.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offtool.handbook.terms import HOUR_OF_DAY, NOT_NEGATIVE, POSITIVE, Ends


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetNumber:
    """One number: what it is called, its unit, between which ends it lies, and where it is to be read."""

    says: str
    unit: str
    read_at: str
    ends: Ends

    @property
    def label(self) -> str:
        """The name with its unit."""
        return f"{self.says}, {self.unit}" if self.unit else self.says


def _above_0(says: str, unit: str, read_at: str) -> SheetNumber:
    return SheetNumber(says=says, unit=unit, read_at=read_at, ends=POSITIVE)


def _from_0(says: str, unit: str, read_at: str) -> SheetNumber:
    return SheetNumber(says=says, unit=unit, read_at=read_at, ends=NOT_NEGATIVE)


def _hour(says: str, read_at: str) -> SheetNumber:
    return SheetNumber(says=says, unit="h", read_at=read_at, ends=HOUR_OF_DAY)


PRESS_SHEET: Mapping[str, SheetNumber] = {
    "clamp_kn": _above_0("Clamping force", "kN", "the press's sheet, clamping unit; 1 t is 9.81 kN"),
    "barrel_g": _above_0(
        "Largest shot, polystyrene", "g", "the press's sheet, injection unit: shot weight PS"
    ),
    "screw_mm": _above_0("Screw diameter", "mm", "the press's sheet, injection unit"),
    "tie_bars_wide_mm": _above_0(
        "Between the tie bars, across", "mm", "the press's sheet, or a tape measure"
    ),
    "tie_bars_high_mm": _above_0(
        "Between the tie bars, upright", "mm", "the press's sheet, or a tape measure"
    ),
    "mould_least_mm": _from_0("Least mould height", "mm", "the press's sheet, clamping unit"),
    "mould_most_mm": _above_0(
        "Greatest mould height", "mm", "the press's sheet; blank where only the daylight limits it"
    ),
    "opening_mm": _above_0("Opening stroke", "mm", "the press's sheet, clamping unit"),
    "daylight_mm": _above_0("Daylight, platens furthest apart", "mm", "the press's sheet, clamping unit"),
    "ejector_mm": _above_0("Ejector stroke", "mm", "the press's sheet, ejector"),
    "dry_cycle_s": _above_0("Dry cycle", "s", "the press's sheet, or a stop-watch on an empty cycle"),
    "per_hour": _from_0(
        "Cost of an hour", "", "the shop's calculation: machine-hour rate, with its operator"
    ),
    "works_from_h": _hour("Runs from", "the shift plan; 6.5 is half past six; blank: round the clock"),
    "works_to_h": _hour("Runs until", "the shift plan; blank: round the clock"),
}
"""What a plan asks of a press, by the name in the record; its days of work stand beside them."""

TOOL_SHEET: Mapping[str, SheetNumber] = {
    "wide_mm": _above_0(
        "Width as it hangs", "mm", "the mould drawing, or a tape measure on the closed mould"
    ),
    "high_mm": _above_0("Height as it hangs", "mm", "the mould drawing; with what stands out, such as hoses"),
    "thick_mm": _above_0(
        "Mould height, platen to platen", "mm", "the mould drawing: closed, along the stroke"
    ),
    "opening_mm": _above_0(
        "Opening it needs", "mm", "twice the depth of the part and some, so that it falls out"
    ),
    "ejector_mm": _from_0("Ejector stroke it needs", "mm", "the mould drawing; 0 where nothing is ejected"),
    "runner_g": _from_0("Cold runner of a shot", "g", "a balance; 0 where there is none"),
    "runner_cm2": _from_0(
        "Area of the runner", "cm²", "the drawing: as seen along the opening, beside the parts"
    ),
    "hot_runner_cm3": _from_0(
        "Melt in the hot runner", "cm³", "the hot runner's sheet; 0 where there is none"
    ),
    "cavity_pressure_mpa": _above_0(
        "Mean cavity pressure", "MPa", "a filling study or a sensor; blank: that of the resin"
    ),
    "setup_h": _from_0("Hanging it in and setting", "h", "what it took last time; blank: what is usual"),
}
"""What a plan asks of a tool, by the name in the record; its way of feeding stands beside them."""

MOULD_SPACE = (
    *("tie_bars_wide_mm", "tie_bars_high_mm", "mould_least_mm", "mould_most_mm"),
    *("opening_mm", "daylight_mm", "ejector_mm"),
)
"""Of a press, whether a tool goes in and opens."""
CLAMP_AND_BARREL = ("clamp_kn", "barrel_g", "screw_mm", "dry_cycle_s")
TIME_AND_MONEY = ("works_from_h", "works_to_h", "per_hour")
TOOL_SPACE = ("wide_mm", "high_mm", "thick_mm", "opening_mm", "ejector_mm")
TOOL_MELT = ("runner_g", "runner_cm2", "hot_runner_cm3", "cavity_pressure_mpa", "setup_h")
