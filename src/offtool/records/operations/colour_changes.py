"""Changes of colour that were watched on a press: kept once, and set aside with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from offtool.core.values import NotEnoughData
from offtool.handbook.measured_colour import USUAL_OBSERVER, Illuminant
from offtool.records.models import ColourChange, ColourShot, Press, Tool
from offtool.records.operations.tested import FileOfTest, Kept
from offtool.records.plain import plain_name

Lab = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewColourShot:
    """The colour of one shot, counted from 1 at the change, and the row it was read from."""

    number: int
    lab: Lab
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewColourChange:
    """A change of colour as it was watched, with its file as it came. Its day is the file's `done_on`."""

    file: FileOfTest
    from_lab: Lab
    to_lab: Lab
    shot_g: float
    from_name: str = ""
    to_name: str = ""
    illuminant: Illuminant = Illuminant.D65
    observer: int = USUAL_OBSERVER
    tool: Tool | None = None
    resin: str = ""
    purge_kg: float = 0.0
    """New material that went through into the open before shot 1."""

    @property
    def columns(self) -> dict[str, Any]:
        """What of it the record keeps beside the file."""
        ends = {"from": self.from_lab, "to": self.to_lab}
        axes = ("lightness", "a", "b")
        colours = {
            f"{end}_{axis}": value for end, lab in ends.items() for axis, value in zip(axes, lab, strict=True)
        }
        return {
            **colours,
            "from_name": plain_name(self.from_name, "the name of the old colour"),
            "to_name": plain_name(self.to_name, "the name of the new colour"),
            "illuminant": self.illuminant.value,
            "observer": self.observer,
            "tool": self.tool,
            "resin": plain_name(self.resin, "the resin"),
            "shot_g": self.shot_g,
            "purge_kg": self.purge_kg,
        }


def kept_changes_of(press: Press) -> Kept[ColourChange]:
    """The colour changes of a press, to be kept once and set aside."""
    return Kept(ColourChange, "colour change", press, "press")


def keep_colour_change(
    press: Press,
    change: NewColourChange,
    shots: Sequence[NewColourShot],
    *,
    read_at: datetime,
    read_by: str,
) -> ColourChange:
    """Keep a colour change and all its shots, in one transaction. Returns it as kept.

    Raises NotEnoughData without shots; AlreadyKept for bytes that count as a change of this press;
    OfftoolError for a name that is taken, a tool of another programme, or a colour that cannot be.
    """
    if not shots:
        remedy = "read a file with a row for each shot"
        raise NotEnoughData("no shots in it", where=change.file.file_name, remedy=remedy)
    return kept_changes_of(press).store(
        change.file,
        lambda kept: [_shot(kept, one) for one in shots],
        read_at=read_at,
        read_by=read_by,
        **change.columns,
    )


def set_colour_change_aside(change: ColourChange, reason: str, *, made_by: str) -> None:
    """Let a colour change count no longer; it stays in the record with the reason.

    Raises OfftoolError without a reason, and for one that is set aside already.
    """
    kept_changes_of(change.press).set_aside(change.name, reason, made_by=made_by)


def _shot(change: ColourChange, one: NewColourShot) -> ColourShot:
    lightness, a, b = one.lab
    return ColourShot(change=change, number=one.number, lightness=lightness, a=a, b=b, row=one.row)
