"""Which parts, and which pieces that came off in tests, fit into the small-parts cylinder."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

import numpy as np

from offtool.core.pilot.safety import GaugeHeld, SmallPart, judge_small_part, small_part_by_size
from offtool.core.pilot.safety.side_view import Outline, seen_from_the_side
from offtool.core.planning.geometry import MM_PER
from offtool.core.values import OfftoolError, Verdict
from offtool.exchange.meshes import read_mesh
from offtool.handbook.toy_law import SMALL_PARTS
from offtool.records.models import Part, PartMesh, Programme, ToyTestPiece
from offtool.records.queries import newest_meshes
from offtool.steps.sentences import count, listed

MOST_KEPT = 200
"""Shapes whose answer is kept in this process: a programme has some dozens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartInGauge:
    """One part by the shape of it that counts. `fits` is None where it is not shown."""

    part: str
    name: str
    fits: bool | None
    out_mm: float | None
    words: str
    held: GaugeHeld | None
    """How the gauge is held over it, in the axes of the mesh."""
    outline: Outline
    """It in the gauge as seen from the side, hollows filled; empty where no pose is told."""
    mesh_file: str
    mesh_sha: str
    read_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CameOff:
    """A piece that came off in a test, by its largest size."""

    run: str
    piece: str
    part: str
    largest_mm: float
    verdict: Verdict
    words: str
    done_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPartsStanding:
    """All parts and all that came off. `asked`: a market asks that none fits, for these ages.

    Where nobody has said the ages, `asked` is False and `ages_said` too: it is not known whether it is asked.

    `verdict` does not hold where one fits and that is asked; holds where none does; else it is not shown.
    """

    asked: bool
    ages_said: bool
    verdict: Verdict
    words: str
    parts: tuple[PartInGauge, ...]
    without_mesh: tuple[str, ...]
    came_off: tuple[CameOff, ...]
    section: str

    @property
    def fitting(self) -> tuple[PartInGauge, ...]:
        """The parts that fit as they are: where it is asked, what must never come off or be sold loose."""
        return tuple(one for one in self.parts if one.fits)


def small_parts_of(
    programme: Programme, pieces: Sequence[ToyTestPiece], *, from_months: float | None
) -> SmallPartsStanding:
    """Every part by its newest shape, and every piece that came off in the tests that count."""
    parts = list(programme.parts.order_by("code"))
    meshes = newest_meshes(parts)
    seen = tuple(_part(one, meshes[one.pk]) for one in parts if one.pk in meshes)
    without = tuple(one.code for one in parts if one.pk not in meshes)
    off = tuple(_came_off(pieces))
    asked = from_months is not None and from_months < SMALL_PARTS.below_months
    return SmallPartsStanding(
        asked=asked,
        ages_said=from_months is not None,
        verdict=_verdict(seen, without, off, asked=asked),
        words=_words(seen, without, off),
        parts=seen,
        without_mesh=without,
        came_off=off,
        section=SMALL_PARTS.section,
    )


def _part(part: Part, mesh: PartMesh) -> PartInGauge:
    try:
        found = _in_gauge(mesh.pk, mesh.sha256, mesh.unit)
    except OfftoolError as error:
        return _in_words(part, mesh, None, (), f"not shown: {error}")
    return _in_words(part, mesh, *found, found[0].words)


def _in_words(
    part: Part, mesh: PartMesh, found: SmallPart | None, outline: Outline, words: str
) -> PartInGauge:
    return PartInGauge(
        part=part.code,
        name=part.name,
        fits=found.fits if found is not None else None,
        out_mm=found.out_mm if found is not None else None,
        words=words,
        held=found.held if found is not None else None,
        outline=outline,
        mesh_file=mesh.file_name,
        mesh_sha=mesh.sha256,
        read_at=mesh.read_at,
    )


@lru_cache(maxsize=MOST_KEPT)
def _in_gauge(mesh: int, sha256: str, unit: str) -> tuple[SmallPart, Outline]:
    """The answer for one kept shape, and how it is seen; a kept shape is never changed."""
    kept = PartMesh.objects.get(pk=mesh)
    read = read_mesh(bytes(kept.content), kept.file_name)
    vertices = np.asarray(read.vertices, dtype=float) * MM_PER[unit]
    found = judge_small_part(vertices)
    return found, () if found.held is None else seen_from_the_side(vertices, found.held)


def _came_off(pieces: Iterable[ToyTestPiece]) -> Iterator[CameOff]:
    for one in pieces:
        if one.came_off_mm is not None:
            found = small_part_by_size(one.came_off_mm)
            yield CameOff(
                run=one.run.name,
                piece=one.piece,
                part=one.part.code if one.part else "",
                largest_mm=one.came_off_mm,
                verdict=found.verdict,
                words=found.words,
                done_on=one.run.done_on,
            )


def _verdict(
    parts: Sequence[PartInGauge], without: Sequence[str], off: Sequence[CameOff], *, asked: bool
) -> Verdict:
    fits = any(one.fits for one in parts) or any(one.verdict is Verdict.FAILS for one in off)
    if fits:
        return Verdict.FAILS if asked else Verdict.NOT_SHOWN
    open_ = without or any(one.fits is None for one in parts)
    return (
        Verdict.NOT_SHOWN if open_ or any(one.verdict is Verdict.NOT_SHOWN for one in off) else Verdict.HOLDS
    )


def _words(parts: Sequence[PartInGauge], without: Sequence[str], off: Sequence[CameOff]) -> str:
    fitting = [one.part for one in parts if one.fits]
    said = []
    if parts:
        fit = listed(fitting) if fitting else "none"
        said.append(f"of {count(len(parts), 'part')} with a shape, {fit} {_fit(len(fitting))}")
    if without:
        said.append(f"{count(len(without), 'part')} without a shape: {listed(without)}")
    small = sum(one.verdict is Verdict.FAILS for one in off)
    if off:
        said.append(f"{count(len(off), 'piece')} came off in tests, {small or 'none'} surely small")
    return "; ".join(said) or "no part has a shape, and nothing came off in a test"


def _fit(number: int) -> str:
    return "fit as they are" if number > 1 else "fits as it is"
