"""The file of a joint test or a weld study, and where its pieces come from: trial and cavity of each side."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from offtool.core.values import Caution, nearest
from offtool.exchange.headed_tables import FileTable
from offtool.exchange.readings import RefusedCell
from offtool.exchange.readings.ledger import quote
from offtool.exchange.readings.places import read_cavity
from offtool.records.models import Cavity, Gauge, Part, Programme, Trial
from offtool.records.operations import FileOfTest
from offtool.records.queries import find_gauge, find_tool, find_trial
from offtool.steps.read_readings import CannotKeep
from offtool.steps.sentences import count


def trial_of_side(
    programme: Programme, name: str, part: Part | None, side: str, *, done_on: date | None
) -> Trial | None:
    """The trial that the pieces of one side are from: as named, such as M3 T3, else the newest of the part.

    Without a name, trials later than the day of the test are passed over. Raises NotInRecord for names that
    are not there, CannotKeep for a tool that does not make the part.
    """
    if not name.strip():
        return None if part is None else _newest(part, done_on)
    tool_code, _, trial_name = name.strip().rpartition(" ")
    if not tool_code:
        raise CannotKeep(
            f"{name!r} names no tool and trial", where=f"{side} trial", remedy="name both, such as M3 T3"
        )
    found = find_trial(find_tool(programme, tool_code.strip()), trial_name)
    if part is not None and not found.tool.cavities.filter(part=part).exists():
        makers = sorted(set(Cavity.objects.filter(part=part).values_list("tool__code", flat=True)))
        raise CannotKeep(
            f"tool {found.tool.code} does not make {part.code}",
            where=f"{side} trial",
            remedy=f"it is made by {', '.join(makers)}" if makers else "no tool makes it yet",
        )
    return found


def _newest(part: Part, done_on: date | None) -> Trial | None:
    """The last trial of the tools that make a part: by day, undated ones before, then by the steel."""
    trials = Trial.objects.filter(tool__cavities__part=part).distinct().select_related("tool", "state")
    could_be = [one for one in trials if not (done_on and one.shot_on and one.shot_on > done_on)]
    return max(could_be, key=lambda one: (one.shot_on or date.min, one.state.ordinal, one.pk), default=None)


@dataclass(slots=True)
class CavitiesOfSide:
    """The cavities that the pieces of one side can be from, found by their label in the file."""

    part: Part | None
    trial: Trial | None
    side: str
    column: int | None
    """The column of their labels in the file, from 1."""
    refused: list[RefusedCell] = field(default_factory=list)
    passed_over: bool = field(init=False, default=False)
    """Whether the file names cavities of a side of which no part is known."""
    _known: dict[str, Cavity] = field(init=False)

    def __post_init__(self) -> None:
        cavities = Cavity.objects.filter(part=self.part) if self.part is not None else Cavity.objects.none()
        if self.trial is not None:
            cavities = cavities.filter(tool=self.trial.tool_id)
        self._known = {one.label.casefold(): one for one in cavities.order_by("tool", "label")}

    @classmethod
    def of(
        cls,
        programme: Programme,
        part: Part | None,
        side: str,
        *,
        trial: str,
        column: int | None,
        done_on: date | None,
    ) -> CavitiesOfSide:
        """Those of one side, its trial found. Raises what `trial_of_side` raises."""
        return cls(part, trial_of_side(programme, trial, part, side, done_on=done_on), f"{side} part", column)

    def find(self, label: str, row: int) -> Cavity | None:
        """The cavity of that label; None for no label, and for an unknown one, which is then refused.

        Where no measured size says which part the side is, its cavities stay unknown, and a note says so.
        """
        if self.part is None:
            self.passed_over = self.passed_over or bool(label)
        if not label or self.part is None:
            return None
        for spelling in (label, read_cavity(label)[0]):
            found = self._known.get(spelling.casefold())
            if found is not None:
                return found
        made_by = f" in tool {self.trial.tool.code}" if self.trial is not None else ""
        why = f"is no cavity of {self.part.code}{made_by}"
        remedy = nearest(label, [one.label for one in self._known.values()])
        self.refused.append(RefusedCell(row, self.column or 0, quote(label), why, remedy))
        return None

    @property
    def note(self) -> str:
        """What is said of cavities that were passed over; empty where none were."""
        if not self.passed_over:
            return ""
        return (
            f"Column {self.column}, the cavities of the {self.side}, is not kept: no measured size says "
            "which part that is."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutFile:
    """What the file of a test does not say itself."""

    gauge: str = ""
    """What it was measured with."""
    done_on: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilePreview:
    """How a file is read. `problems` must be mended before it can be kept; refused cells may be left out."""

    sha256: str
    size: int
    gauge: str
    file: FileTable
    """How the file is written, its repairs and notes."""
    refused: tuple[RefusedCell, ...]
    problems: tuple[str, ...]
    cautions: tuple[Caution, ...]


class PiecesRead:
    """A file that was read, and the two sides that its pieces are from."""

    def __init__(
        self, content: bytes, file: FileTable, gauge: Gauge | None, about: AboutFile, *sides: CavitiesOfSide
    ) -> None:
        self._content, self._file, self._about, self._sides = content, file, about, sides
        self.gauge = gauge

    def cavities(self, labels: Sequence[str], row: int) -> list[Cavity | None] | None:
        """The cavities of a row, one for each side; None where one of them is refused."""
        found = [side.find(label, row) for side, label in zip(self._sides, labels, strict=True)]
        unknown = any(
            label and cavity is None and side.part is not None
            for side, label, cavity in zip(self._sides, labels, found, strict=True)
        )
        return None if unknown else found

    @property
    def refused(self) -> tuple[RefusedCell, ...]:
        """The refused cells of the file and those whose cavity is not in the record, in the file's order."""
        of_sides = (cell for side in self._sides for cell in side.refused)
        found = dict.fromkeys([*self._file.refused, *of_sides])
        return tuple(sorted(found, key=lambda cell: (cell.row, cell.column)))

    def facts(self, problems: Iterable[str], cautions: Iterable[Caution]) -> dict[str, Any]:
        """What a preview of the file says whatever is read from it."""
        return {
            "sha256": hashlib.sha256(self._content).hexdigest(),
            "size": len(self._content),
            "gauge": self.gauge.code if self.gauge else "",
            "file": replace(self._file, notes=(*self._file.notes, *self._passed_over())),
            "refused": self.refused,
            "problems": tuple(problems),
            "cautions": (*self._file.cautions, *self._without_trial(), *cautions),
        }

    def _passed_over(self) -> Iterator[str]:
        return (side.note for side in self._sides if side.note)

    def _without_trial(self) -> Iterator[Caution]:
        for side in self._sides:
            if side.part is not None and side.trial is None:
                yield Caution(f"no trial of {side.part.code} is in the record: it stands without its steel")

    def as_kept(self, name: str) -> FileOfTest:
        """The file as the record keeps it: the note says too what of it was not taken as it stands."""
        return FileOfTest(
            name=name.strip(),
            done_on=self._about.done_on,
            note=". ".join(filter(None, [self._about.note.strip(), *self._odd()])),
            file_name=self._file.name,
            content=self._content,
        )

    def _odd(self) -> Iterator[str]:
        if self._file.repairs:
            yield f"{count(len(self._file.repairs), 'cell')} repaired"
        if self.refused:
            yield f"{count(len(self.refused), 'cell')} left out: " + "; ".join(map(str, self.refused[:3]))
        yield from (said.removesuffix(".") for said in self._passed_over())
        yield from map(str, self._file.cautions)


def gauge_named(programme: Programme, code: str) -> Gauge | None:
    """The gauge with this number; None for no number. Raises NotInRecord."""
    return find_gauge(programme, code) if code.strip() else None


def trial_in_words(trial: Trial | None) -> str:
    """Tool and trial, as they are named: M3 T3."""
    return "" if trial is None else f"{trial.tool.code} {trial.name}"


def code_of(one: Part | None) -> str:
    """The code of a part; empty for none."""
    return "" if one is None else one.code
