"""Invented pieces of the harbour otter, worked out by the program, for tests of what is shown.

piece()                     torso and arm against two trials, a build and production, looked at
piece(number="...")         any field of SampleFound given anew
not_looked_at()             the same piece before anybody looked
label()                     the label of a tagged torso; any field of SampleLabel given anew
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

from offtool.core.samples.identify import (
    Identified,
    Make,
    Occasion,
    PartCase,
    PieceCase,
    detail_finding,
    identify,
    sign_finding,
)
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from offtool.steps.findings import Action, Fact
from offtool.steps.sample_found import (
    BoundSeen,
    InWords,
    ObservationSeen,
    OriginSeen,
    PartSeen,
    PhotographSeen,
    SampleFound,
)
from offtool.steps.sample_labels import LabelPart, SampleLabel

TITLE = "Harbour otter (invented)"
RUNS = (("T1", Stage.EARLY, "a", 1), ("T2", Stage.LATE, "b", 2), ("PS", Stage.PRODUCTION, "c", 3))
CODES = ("T1", "T2", "EP", "PS")
BOUNDS = (
    BoundSeen(part="torso", about="date mark", found="missing", allows=(True, True, True, False)),
    BoundSeen(part="arm", about="vent", found="there", allows=(False, True, False, True)),
)
"""The second one is broken: made so by T2 and by PS, not by what lies between."""


def makes(tool: str) -> tuple[Make, ...]:
    """What one part can be: a run, a state of steel."""
    return tuple(
        Make(run=run, stage=stage, tool=tool, state=state, ordinal=ordinal)
        for run, stage, state, ordinal in RUNS
    )


@cache
def identified(*, looked: bool = True) -> Identified:
    """Torso and arm: the date mark is missing, nothing is painted."""
    torso, arm = makes("M1"), makes("M3")
    mark = detail_finding("date mark", False, (False, False, True), torso)
    stages = (Stage.EARLY, Stage.LATE, Stage.ENGINEERING, Stage.PRODUCTION)
    occasions = tuple(
        Occasion(code=code, stage=stage, kept=STAGES[stage].kept, made={"torso": made, "arm": made})
        for code, stage, made in zip(CODES, stages, ({0: 1.0}, {1: 1.0}, {1: 1.0}, {2: 1.0}), strict=True)
    )
    paint = sign_finding(SIGNS["paint"], "none", stages)
    case = PieceCase(
        parts=(
            PartCase(label="torso", makes=torso, findings=(mark,) if looked else ()),
            PartCase(label="arm", makes=arm),
        ),
        occasions=occasions,
        findings=(paint,) if looked else (),
    )
    return identify(case)


def piece(**anew: Any) -> SampleFound:
    """The piece as it was looked at."""
    found = identified()
    steel = {"T1": "a", "T2": "b", "EP": "b", "PS": "c"}
    stages = dict(zip(CODES, (Stage.EARLY, Stage.LATE, Stage.ENGINEERING, Stage.PRODUCTION), strict=True))
    whole = SampleFound(
        programme="harbour-otter",
        programme_title=TITLE,
        invented=True,
        number="0417",
        name="otter torso and arm",
        place="drawer C4",
        holder="archive",
        purpose="limit sample",
        disposition="",
        note="from the bag of the night shift",
        found_on=date(2026, 5, 2),
        registered_by="the bench",
        headline="It cannot be told yet: T1 or T2.",
        actions=(Action(do="Look at the seam.", because="It tells T1 from EP.", leads_to="look"),),
        in_words=InWords(engineer="T1, early trial", archive="first shot", sense="in the broad sense only"),
        rests_on=(Fact(about="Looked at", says="1 detail, 1 sign"),),
        strip=tuple(
            OriginSeen(
                code=code,
                stage=stages[code],
                engineer=STAGES[stages[code]].engineer,
                archive=STAGES[stages[code]].archive,
                probability=found.probability(code),
                steel=(f"M1 {steel[code]}", f"M3 {steel[code]}"),
            )
            for code in CODES
        ),
        bounds=BOUNDS,
        identified=found,
        parts=(part("torso", "T1 of M1, cavity 1, shot 14"), part("arm", "")),
        observations=(observation("date mark", "missing"), observation("paint", "none", set_aside="misread")),
        colours=(),
        photographs=(),
        interrupted=None,
        method="offtool 0.1",
        cautions=found.cautions,
    )
    return replace(whole, **anew)


def not_looked_at() -> SampleFound:
    """Before anybody looked: nothing seen, no bounds."""
    found = identified(looked=False)
    strip = tuple(replace(one, probability=found.probability(one.code)) for one in piece().strip)
    return piece(
        headline="Nothing was looked at yet.", identified=found, strip=strip, bounds=(), observations=(),
        cautions=found.cautions,
    )  # fmt: skip


def part(label: str, tag: str) -> PartSeen:
    """A part with its tag."""
    return PartSeen(label=label, part="HO-02", part_name="torso front", tag=tag, colour="", note="")


def observation(about: str, found: str, *, set_aside: str = "") -> ObservationSeen:
    """Something that was seen on the torso."""
    return ObservationSeen(
        kind="detail", key=3, part="torso", about=about, found=found, is_sure=False,
        seen_at=datetime(2026, 5, 3, 14, tzinfo=UTC), seen_by="the bench", note="with a lens",
        set_aside=set_aside,
    )  # fmt: skip


def photograph() -> PhotographSeen:
    """A photograph that the record has."""
    return PhotographSeen(key=1, name="piece.png", part="", note="", width=40, height=30)


def label_part(name: str = "torso", **anew: Any) -> LabelPart:
    """A part as its tag says it."""
    whole = LabelPart(
        label=name, part_name="torso front", tool="M1", state="a", trial="T1", cavity="1", shot=14,
        day=date(2026, 2, 3),
    )  # fmt: skip
    return replace(whole, **anew)


def label(**anew: Any) -> SampleLabel:
    """The label of a tagged torso."""
    whole = SampleLabel(
        programme="harbour-otter", programme_title=TITLE, number="0417", name="torso front", build="",
        built_on=None, found_on=date(2026, 5, 2), place="drawer C4", parts=(label_part(),),
    )  # fmt: skip
    return replace(whole, **anew)
