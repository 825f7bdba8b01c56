"""Read the shots of a change of colour: first shown as understood, then kept, in whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from offtool.core.colour import ciede2000
from offtool.core.colour.spaces import Lab
from offtool.core.planning.colour_change import (
    MeasuredShot,
    ObservedChange,
    fit_washout,
)
from offtool.core.planning.colour_change.spectra import smoothest_spectrum
from offtool.core.values import Caution, ImpossibleInput, OfftoolError
from offtool.exchange.colour_shots import ColourShotsTable, read_colour_shots
from offtool.handbook.measured_colour import USUAL_OBSERVER, Illuminant
from offtool.records.models import Press, Programme, Tool
from offtool.records.operations import (
    FileOfTest,
    NewColourChange,
    NewColourShot,
    set_colour_change_aside,
)
from offtool.records.operations import keep_colour_change as store
from offtool.records.queries import (
    colour_changes_of,
    find_colour_change,
    find_press,
    find_programme,
    find_tool,
)
from offtool.steps.assembled_pieces import FilePreview
from offtool.steps.colour_known import lab_planned, washout_known
from offtool.steps.overview import is_invented
from offtool.steps.read_readings import refuse_problems

NOT_SAID = "say both colours, each from a settled piece, and what one shot weighs"
FAR_FROM_ENDS = 3.0
"""A first or last shot that lies so far off its colour is asked about; our own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeAbout:
    """What a file of shots does not say itself. Both colours are under `illuminant` and `observer`."""

    old_lab: Lab
    new_lab: Lab
    shot_g: float
    old_name: str = ""
    new_name: str = ""
    tool: str = ""
    resin: str = ""
    purge_kg: float = 0.0
    illuminant: str = Illuminant.D65.value
    observer: int = USUAL_OBSERVER
    done_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePreview(FilePreview):
    """How a file of shots is read; nothing is kept. `fit_words` is what it would say of the press."""

    press: str
    old_name: str
    new_name: str
    shots: int
    first: int
    last: int
    first_difference: float | None
    """ΔE00 of the first shot from the new colour; None while that is not said."""
    last_difference: float | None
    fit_words: str

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.shots > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeKept:
    """A change of colour that is now in the record."""

    programme: str
    press: str
    change: str
    file: str
    shots: int
    repairs: int
    left_out: int
    change_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePlace:
    """Where a change of colour is kept, and what it can be from."""

    programme: str
    programme_title: str
    invented: bool
    press: str
    tools: tuple[str, ...]
    next_name: str


def place_of_change(programme: str, press: str) -> ChangePlace:
    """Raises NotInRecord."""
    found = find_programme(programme)
    on = find_press(found, press)
    taken = {one.name for one in colour_changes_of(on)}
    number = next(n for n in range(1, len(taken) + 2) if f"change {n}" not in taken)
    return ChangePlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        press=on.code,
        tools=tuple(found.tools.order_by("code").values_list("code", flat=True)),
        next_name=f"change {number}",
    )


def preview_colour_change(
    content: bytes,
    name: str,
    *,
    programme: str,
    press: str,
    about: ChangeAbout | None,
    sheet: str | None = None,
) -> ChangePreview:
    """How a file of shots would be read; nothing is kept. Without `about` only the file itself is read.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme, press or tool,
    ImpossibleInput for a colour that no surface has.
    """
    found = find_programme(programme)
    on = find_press(found, press)
    table = read_colour_shots(content, name, sheet=sheet)
    if about is None:
        return _preview(content, on.code, table, problems=(NOT_SAID,))
    return _Understood(content, name, found, on, table, about).preview()


def keep_colour_change(
    content: bytes,
    name: str,
    *,
    programme: str,
    press: str,
    change: str,
    about: ChangeAbout,
    read_at: datetime,
    read_by: str,
    sheet: str | None = None,
    leave_out: bool = False,
) -> ChangeKept:
    """Keep the shots of a change under its own name.

    Raises what `preview_colour_change` raises; CannotKeep for refused cells unless `leave_out`; AlreadyKept
    for bytes that count already. Nothing is kept then.
    """
    found = find_programme(programme)
    on = find_press(found, press)
    table = read_colour_shots(content, name, sheet=sheet)
    understood = _Understood(content, name, found, on, table, about)
    seen = understood.preview()
    refuse_problems(seen.file.name, seen.problems, seen.refused, leave_out=leave_out)
    kept = store(on, understood.as_new(change), understood.shots, read_at=read_at, read_by=read_by)
    return ChangeKept(
        programme=found.slug,
        press=on.code,
        change=kept.name,
        file=kept.file_name,
        shots=seen.shots,
        repairs=len(seen.file.repairs),
        left_out=len(seen.refused),
        change_id=kept.pk,
    )


def set_change_aside(programme: str, press: str, change: str, *, reason: str, made_by: str) -> None:
    """Let a measured change count no longer; it stays visible with the reason.

    Raises NotInRecord for names that are not there; OfftoolError without a reason or the second time.
    """
    on = find_press(find_programme(programme), press)
    set_colour_change_aside(find_colour_change(on, change), reason, made_by=made_by)


def _preview(
    content: bytes, press: str, table: ColourShotsTable, *, problems: tuple[str, ...] = (), **known: Any
) -> ChangePreview:
    """What stands in the file, and what is known beside it."""
    numbers = [one.number for one in table.shots]
    beside: dict[str, Any] = {
        "old_name": "",
        "new_name": "",
        "first_difference": None,
        "last_difference": None,
        "fit_words": "",
        "cautions": table.file.cautions,
    }
    return ChangePreview(
        press=press,
        gauge="",
        sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        file=table.file,
        refused=table.file.refused,
        shots=len(numbers),
        first=min(numbers),
        last=max(numbers),
        problems=problems,
        **{**beside, **known},
    )


class _Understood:
    """A file with what is said of it beside."""

    def __init__(
        self,
        content: bytes,
        name: str,
        programme: Programme,
        press: Press,
        table: ColourShotsTable,
        about: ChangeAbout,
    ) -> None:
        if not about.shot_g > 0:
            raise ImpossibleInput("shot_g", about.shot_g, "g", "must be above 0", "weigh one shot")
        self._content, self._name, self._about, self._press, self._table = content, name, about, press, table
        self._tool: Tool | None = find_tool(programme, about.tool) if about.tool else None
        self._old, self._new = self._colour("old", about.old_lab), self._colour("new", about.new_lab)
        self.shots = [
            NewColourShot(number=one.number, lab=(one.lightness, one.a, one.b), row=one.row)
            for one in table.shots
        ]

    def _planned(self, lab: Lab) -> Lab:
        return lab_planned(lab, self._about.illuminant, self._about.observer)

    def _colour(self, which: str, lab: Lab) -> Lab:
        """The colour in the light of plans; refused where no surface has it."""
        found = self._planned(lab)
        try:
            smoothest_spectrum(found)
        except ImpossibleInput as error:
            raise ImpossibleInput(f"{which}_lightness", error.value, "", error.limit, error.remedy) from error
        return found

    def preview(self) -> ChangePreview:
        """What was understood."""
        ordered = sorted(self.shots, key=lambda one: one.number)
        first, last = self._off(ordered[0]), self._off(ordered[-1])
        return _preview(
            self._content,
            self._press.code,
            self._table,
            old_name=self._about.old_name,
            new_name=self._about.new_name,
            first_difference=first,
            last_difference=last,
            fit_words=self._fit_words(),
            cautions=(*self._table.file.cautions, *self._cautions(first, last)),
        )

    def _off(self, shot: NewColourShot) -> float:
        return float(ciede2000(self._planned(shot.lab), self._new))

    def _fit_words(self) -> str:
        """What these shots would say of the press, beside what is known of it."""
        change = ObservedChange(
            name=self._name,
            old_name=self._about.old_name,
            new_name=self._about.new_name,
            old=self._old,
            new=self._new,
            shot_g=self._about.shot_g,
            purged_g=self._about.purge_kg * 1000,
            shots=tuple(MeasuredShot(number=one.number, lab=self._planned(one.lab)) for one in self.shots),
        )
        try:
            return fit_washout([change], prior=washout_known(self._press, self._tool).belief).words
        except OfftoolError as error:
            return str(error)

    def _cautions(self, first: float, last: float) -> Iterator[Caution]:
        if last > FAR_FROM_ENDS:
            yield Caution(
                f"the last shot is still ΔE {last:.1f} off the new colour: it was not measured to the end, "
                "or the new colour is another"
            )
        if first > float(ciede2000(self._old, self._new)) + FAR_FROM_ENDS:
            yield Caution("the first shot lies beyond the old colour: is the old colour the one that ran?")

    def as_new(self, name: str) -> NewColourChange:
        """The change as the record keeps it."""
        about = self._about
        return NewColourChange(
            file=FileOfTest(
                name=name,
                done_on=about.done_on,
                note=about.note,
                file_name=self._name,
                content=self._content,
            ),
            from_lab=about.old_lab,
            to_lab=about.new_lab,
            shot_g=about.shot_g,
            from_name=about.old_name,
            to_name=about.new_name,
            illuminant=Illuminant(about.illuminant),
            observer=about.observer,
            tool=self._tool,
            resin=about.resin,
            purge_kg=about.purge_kg,
        )
