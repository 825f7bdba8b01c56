"""What stands in the record for the otter's release, and what has gone stale since. All invented.

For the United States and the European Union, from 36 months on. The figure is not ready: a tape test is older
than the steel, an arm came off in the tension test, the belly's lacquer has no papers, and most is not there.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from examples.otter_story.line import LINE
from examples.otter_story.programme import SLUG

from offtool.handbook.release_list import Change
from offtool.handbook.terms import EvidenceSays, LimitKind, Market, ReleaseWord, Role
from offtool.handbook.toy_law import ToyTestKind
from offtool.records.models import Programme
from offtool.records.operations import (
    FileOfTest,
    NewChange,
    NewConcession,
    NewEvidence,
    NewLimitSample,
    NewToyTest,
    NewToyTestPiece,
    define_limit_sample,
    define_market,
    define_release_line,
    define_step_days,
    give_concession,
    keep_evidence,
    keep_toy_test,
    sign,
    tell_change,
)
from offtool.records.queries import find_line, find_programme

QUALITY, PRODUCT = "quality engineer", "product engineer"
FOR = {
    "markets": "US EU",
    "from_months": 36.0,
    "to_months": 96.0,
    "mass_kg": 0.058,
    "release_due": date(2026, 5, 15),
}
GIVEN_AT = datetime(2026, 3, 20, 17, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper or a test that was given; `text` is what its file says, blank where there is none."""

    code: str
    says: EvidenceSays
    tested_on: date
    lab: str
    number: str = ""
    text: str = ""
    states: tuple[tuple[str, str], ...] = ()
    note: str = ""


PAPERS = (
    Paper(
        code="decoration",
        says=EvidenceSays.HOLDS,
        tested_on=date(2026, 3, 5),
        lab="paint room",
        number="TT-12",
        text="Tape test TT-12, 2026-03-05, invented: 10 torsos and 10 heads of the second trials, sprayed by "
        "hand. Cut, taped, pulled: nothing came off. 50 rubs with a dry cloth: nothing came off.\n",
        states=(("M1", "b"), ("M2", "b")),
        note="before the last steel, and with the first masks",
    ),
    Paper(
        code="packaging",
        says=EvidenceSays.HOLDS,
        tested_on=date(2026, 3, 19),
        lab="packing room",
        number="D-07",
        text="Drop of a packed carton D-07, 2026-03-19, invented: one carton of twelve, ten falls from "
        "0.76 m on a corner, three edges and six faces. No figure loose, no box open.\n",
    ),
    Paper(
        code="material",
        says=EvidenceSays.FAILS,
        tested_on=date(2026, 3, 11),
        lab="purchasing",
        note="the lacquer of the belly has no papers; resins, masterbatch and ink have theirs",
    ),
    Paper(
        code="control-plan",
        says=EvidenceSays.HOLDS,
        tested_on=date(2026, 3, 16),
        lab="quality",
        number="CP-1",
        note="as of the day before the new mask",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A test of the law on own pieces: the load or the falls, and the pieces at which something came off."""

    name: str
    market: Market
    test: ToyTestKind
    pieces: int
    load: float | None = None
    unit: str = ""
    drops: int | None = None
    height_m: float | None = None
    came_off: tuple[tuple[int, float, float], ...] = ()
    """Piece, the load it came off at, and its largest size in mm."""


TRIED = (
    Tried(name="arms turned", market=Market.US, test="torque", pieces=12, load=0.46, unit="N·m"),
    Tried(
        name="arms pulled",
        market=Market.US,
        test="tension",
        pieces=12,
        load=67.0,
        unit="N",
        came_off=((7, 58.0, 31.0),),
    ),
    Tried(name="dropped", market=Market.US, test="drop", pieces=6, drops=4, height_m=0.92),
)
TRIED_ON = date(2026, 3, 19)
ARM = "HO-04"

TOLD = (
    (Change.MASK, date(2026, 3, 17), "new mask for the belly, cut deeper at the edge", "HO-02", 17),
    (
        Change.COLOUR,
        date(2026, 3, 19),
        "another lot of the brown masterbatch",
        "HO-03",
        19,
    ),
)
"""What was changed, from which day, in which words, on which part; told on this day of March."""
LIMITS = (
    ("0409", LimitKind.SIGNED, 10, "whole figure", "shape and colours as on this one, not its brush marks"),
    ("0402", LimitKind.LIMIT, 3, "gate of the arm", "a stub of 0.3 mm at most"),
    ("0401", LimitKind.REFUSED, 1, "weld face", "no step that a nail catches on"),
)
"""Kept samples by number, what they stand for, at which station, for which area, and what is accepted."""
STEP_DAYS = {"cut": (8.0, 12.0), "trial": (1.0, 2.0), "decoration": (4.0, 6.0)}
"""Working days in the invented shop."""


def gather_for_release() -> None:
    """Write down for whom the otter is, and keep what was shown, told, given and signed."""
    programme = find_programme(SLUG)
    define_market(programme, FOR, made_by=PRODUCT)
    own = {
        "title": "Scarf",
        "asks": "the scarf does not run when wet, and its knot holds a pull of 20 N",
        "fed_by": "decoration checks",
        "stale_by": "paint; line",
        "source": "the customer, invented",
    }
    define_release_line(programme, "scarf", own, made_by=PRODUCT)
    for number, paper in enumerate(PAPERS):
        _give(programme, paper, GIVEN_AT + timedelta(minutes=number))
    for number, tried in enumerate(TRIED):
        _try(programme, tried, GIVEN_AT + timedelta(minutes=20 + number))
    for what, on, words, part, told in TOLD:
        new = NewChange(what=what, on=on, words=words, part=programme.parts.get(code=part))
        tell_change(programme, new, told_at=datetime(2026, 3, told, 15, tzinfo=UTC), told_by="paint room")
    _people(programme)
    for step, (low, high) in STEP_DAYS.items():
        define_step_days(programme, step, low, high, made_by=PRODUCT)


def _give(programme: Programme, paper: Paper, given_at: datetime) -> None:
    states = [programme.tools.get(code=tool).states.get(label=label) for tool, label in paper.states]
    new = NewEvidence(
        code=paper.code,
        says=paper.says,
        tested_on=paper.tested_on,
        lab=paper.lab,
        number=paper.number,
        file_name=f"{paper.number}.txt" if paper.text else "",
        content=paper.text.encode(),
        states=tuple(states),
        note=paper.note,
    )
    keep_evidence(programme, new, given_at=given_at, given_by=QUALITY)


def _try(programme: Programme, tried: Tried, read_at: datetime) -> None:
    rows = _pieces(programme, tried)
    load = f"piece,part,{tried.test} [{tried.unit}],held,came off [mm]"
    heading = "piece,part,drops,height [mm],held" if tried.drops else load
    lines = [heading, *(_line(one) for one in rows)]
    file = FileOfTest(
        name=tried.name,
        done_on=TRIED_ON,
        note="invented; pieces of the pilot's first set-up",
        file_name=f"{tried.name.replace(' ', '_')}.csv",
        content="".join(f"{line}\n" for line in lines).encode(),
    )
    new = NewToyTest(file=file, market=tried.market, test=tried.test)
    keep_toy_test(programme, new, rows, read_at=read_at, read_by=QUALITY)


def _pieces(programme: Programme, tried: Tried) -> Sequence[NewToyTestPiece]:
    off = {piece: (load, size) for piece, load, size in tried.came_off}
    arm = None if tried.drops else programme.parts.get(code=ARM)
    return [
        NewToyTestPiece(
            piece=str(number),
            part=arm,
            value=off[number][0] if number in off else tried.load,
            unit=tried.unit,
            drops=tried.drops,
            height_m=tried.height_m,
            held=number not in off,
            came_off_mm=off[number][1] if number in off else None,
            row=number + 1,
        )
        for number in range(1, tried.pieces + 1)
    ]


def _line(one: NewToyTestPiece) -> str:
    """The piece as it stands in its file."""
    held = "yes" if one.held else "no"
    if one.height_m is not None:
        cells: tuple[object, ...] = (one.piece, "", one.drops, f"{1000 * one.height_m:g}", held)
    else:
        size = "" if one.came_off_mm is None else f"{one.came_off_mm:g}"
        cells = (one.piece, ARM, f"{one.value:g}", held, size)
    return ",".join(map(str, cells))


def _people(programme: Programme) -> None:
    """Limit samples, a concession, and a signature that was given before the arm came off."""
    line = find_line(programme, LINE)
    for number, kind, station, area, accepts in LIMITS:
        limit = NewLimitSample(
            sample=programme.samples.get(number=number),
            kind=kind,
            station=line.stations.get(number=station),
            area=area,
            accepts=accepts,
            signed_by=PRODUCT,
            signed_on=date(2026, 3, 18),
        )
        define_limit_sample(programme, limit, made_by=PRODUCT)
    concession = NewConcession(
        code="sizes",
        item="HO-06 5, cavity 2",
        amount="0.05 mm under its lower limit",
        pieces=5000,
        reason="the tail's fin is not seen against another; the steel is corrected with the next cut",
        risk="none for the joint",
        approved_by=PRODUCT,
        given_on=date(2026, 3, 18),
    )
    give_concession(programme, concession, made_by=PRODUCT)
    sign(
        programme,
        role=Role.TOOLING,
        person="toolroom lead",
        states=ReleaseWord.NOT,
        fingerprint=hashlib.sha256(b"the review of 2026-03-18, invented").hexdigest(),
        signed_at=datetime(2026, 3, 18, 17, tzinfo=UTC),
        note="for the steel in state c",
    )
