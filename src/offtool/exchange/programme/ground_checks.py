"""What must hold of presses, jobs, builds, details and stages, and of what a trial interrupted."""

from __future__ import annotations

from collections.abc import Mapping, Set
from datetime import date
from typing import Protocol

from offtool.core.values import nearest
from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.ground_rows import PressRow
from offtool.exchange.programme.refused import Place, refuse_unknown
from offtool.exchange.programme.rows import TrialRow
from offtool.handbook.measured_colour import OBSERVERS
from offtool.handbook.sample_signs import SIGNS

Names = tuple[str, ...]


class Coloured(Protocol):
    """A row that may have a colour."""

    @property
    def lightness(self) -> float | None: ...
    @property
    def a(self) -> float | None: ...
    @property
    def b(self) -> float | None: ...

    def place(self, column: str = "") -> Place: ...


class Signed(Protocol):
    """A row that names a sign and an outcome of it."""

    @property
    def sign(self) -> str: ...
    @property
    def outcome(self) -> str: ...

    def place(self, column: str = "") -> Place: ...


def check_ground(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    _presses(told, names)
    for trial in told.trials:
        _trial(trial, names)
    _builds(told, names)
    _details(told, names)
    for share in told.sign_shares:
        refuse_unknown_sign(share)


def _presses(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """What a press holds and the jobs that ran on it name it; a job's days are in order."""
    for press in told.presses:
        _refuse_impossible_press(press)
    for holds in told.press_holds:
        refuse_unknown(holds.place("press"), (holds.press,), names["presses"])
        refuse_unknown(holds.place("tool"), (holds.tool,), names["tools"])
    for job in told.jobs:
        refuse_unknown(job.place("press"), (job.press,), names["presses"])
        refuse_half_colour(job)
        refuse_unknown_observer(job.place("observer"), job.observer)
        refuse_disorder(job.place("ends"), "begins", job.begins, job.ends)


def _refuse_impossible_press(press: PressRow) -> None:
    """Its hours are both given, in order; its greatest mould is not below its least."""
    starts, stops = press.works_from_h, press.works_to_h
    if (starts is None) != (stops is None):
        place = press.place("works_from_h" if starts is None else "works_to_h")
        raise place.refuse("must not be empty beside the other", "give both hours, or none: round the clock")
    if starts is not None and stops is not None and stops <= starts:
        what = f"{stops:g} is not after works_from_h {starts:g}"
        raise press.place("works_to_h").refuse(what, "look at the two hours")
    least, most = press.mould_least_mm, press.mould_most_mm
    if least is not None and most is not None and most < least:
        what = f"{most:g} is below mould_least_mm {least:g}"
        raise press.place("mould_most_mm").refuse(what, "look at the two heights")


def _trial(trial: TrialRow, names: Mapping[str, Set[Names]]) -> None:
    """A trial names the job that it interrupted, if any, with its press; its colour and days can be."""
    if bool(trial.interrupted_press) != bool(trial.interrupted_job):
        what = f"job {trial.interrupted_job!r} with press {trial.interrupted_press!r}"
        raise trial.place("interrupted_job").refuse(what, "give both or neither: jobs are counted by press")
    if trial.interrupted_job:
        press, job = trial.interrupted_press, trial.interrupted_job
        refuse_unknown(trial.place("interrupted_press"), (press,), names["presses"])
        refuse_unknown(trial.place("interrupted_job"), (press, job), names["jobs"])
    refuse_half_colour(trial)
    if trial.colour_spread_de is not None and trial.lightness is None:
        what = f"{trial.colour_spread_de!r} without a colour"
        raise trial.place("colour_spread_de").refuse(what, "give lightness, a and b too")
    refuse_disorder(trial.place("ended_on"), "shot_on", trial.shot_on, trial.ended_on)


def _builds(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    for one in told.build_parts:
        refuse_unknown(one.place("build"), (one.build,), names["builds"])
        refuse_unknown(one.place("tool"), (one.tool,), names["tools"])
        refuse_unknown(one.place("trial"), (one.tool, one.trial), names["trials"])


def _details(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A detail is on a part; what is said of it, of a state of a tool that makes the part."""
    made = {(cavity.tool, cavity.part) for cavity in told.cavities}
    for detail in told.details:
        refuse_unknown(detail.place("part"), (detail.part,), names["parts"])
    for one in told.detail_states:
        refuse_unknown(one.place("part"), (one.part,), names["parts"])
        refuse_unknown(one.place("detail"), (one.part, one.detail), names["details"])
        refuse_unknown(one.place("tool"), (one.tool,), names["tools"])
        refuse_unknown(one.place("state"), (one.tool, one.state), names["states"])
        refuse_not_made(one.place("tool"), one.tool, one.part, made)


def refuse_not_made(place: Place, tool: str, part: str, made: Set[Names]) -> None:
    """Raise FolderRefused unless the tool makes the part."""
    if (tool, part) not in made:
        makes = ", ".join(sorted(each for one, each in made if one == tool)) or "no part"
        raise place.refuse(f"tool {tool} makes no part {part}", f"it makes {makes}")


def refuse_half_colour(row: Coloured) -> None:
    """Raise FolderRefused for a colour of which something is missing."""
    missing = [name for name in ("lightness", "a", "b") if getattr(row, name) is None]
    if 0 < len(missing) < 3:
        what = "must not be empty beside the rest of the colour"
        raise row.place(missing[0]).refuse(what, "give lightness, a and b, or none of them")


def refuse_unknown_observer(place: Place, observer: int) -> None:
    """Raise FolderRefused for an eye that is none of the two standard ones."""
    if observer not in OBSERVERS:
        raise place.refuse(f"{observer} is no standard observer", "write 2 or 10, in degrees")


def refuse_unknown_sign(row: Signed) -> None:
    """Raise FolderRefused for a sign or an outcome that the handbook does not have."""
    if row.sign not in SIGNS:
        raise row.place("sign").refuse(f"there is no sign {row.sign!r}", nearest(row.sign, SIGNS))
    outcomes = SIGNS[row.sign].outcomes
    if row.outcome not in outcomes:
        what = f"{row.sign} does not show {row.outcome!r}"
        raise row.place("outcome").refuse(what, nearest(row.outcome, outcomes))


def refuse_disorder(place: Place, first: str, begins: date | None, ends: date | None) -> None:
    """Raise FolderRefused for a last day before the first."""
    if begins is not None and ends is not None and ends < begins:
        raise place.refuse(f"{ends} is before {first} {begins}", "look at the two days")
