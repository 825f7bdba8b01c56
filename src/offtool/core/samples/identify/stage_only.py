"""At which stage a piece was made, from what is seen of it alone, where no record is left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from offtool.core.formulas import formula
from offtool.core.samples.identify.answers import Identified, NextLook
from offtool.core.samples.identify.hypotheses import Occasion, PieceCase
from offtool.core.samples.identify.next_look import look_for_sign
from offtool.core.samples.identify.piece import identify
from offtool.core.samples.identify.signs import sign_finding
from offtool.core.values import Caution, Range
from offtool.handbook.defects import PRACTICE
from offtool.handbook.sample_signs import COLOUR, DATE_MARK, SEAM, SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage

NOT_LOOKED = "not looked"
SURE = 0.8
"""A stage is called above it; below it, two or more are named. Our own."""

Colour = Literal["not looked", "production colour", "another colour", "mixed or streaked"]
DateMark = Literal["not looked", "there", "missing"]
Texture = Literal["not looked", "as production", "bare steel or spark texture"]
Details = Literal["not looked", "all there", "some unfinished"]
Flash = Literal["not looked", "clean", "flash or short"]
Gate = Literal["not looked", "runner still on", "trimmed by hand", "as production"]
Resin = Literal["not looked", "as production", "another"]
Seam = Literal["not looked", "loose parts", "open, ridge whole", "glued, taped or screwed", "welded"]
Paint = Literal["not looked", "none", "by hand", "masks or print"]
Packing = Literal["not looked", "none or plain bag", "blank or trial packing", "as production"]
Writing = Literal["not looked", "nothing", "trial or shot number", "build or approval", "pilot mark"]

SHARES = Caution(
    "the shares of what is seen at each stage are practice: learn them from your own tagged pieces", PRACTICE
)
LIKE_FIRST_SHOT = Caution("a colour-change shot of production looks like a first shot: look at the details")
OPEN_SEAM = Caution("an open seam may also be a piece that the line forgot to weld")
MARK_CARRIED = Caution("a missing date mark says something only where production carries one on this part")


@dataclass(frozen=True, slots=True, kw_only=True)
class StageShare:
    """One stage, in both tongues, and its probability; no stage: none of these."""

    stage: Stage | None
    engineer: str
    archive: str
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOfPiece:
    """How probable each stage is, the most probable first, and what to look at next."""

    words: str
    stages: tuple[StageShare, ...]
    look_next: tuple[NextLook, ...]
    seen: tuple[tuple[str, str], ...]
    identified: Identified
    cautions: tuple[Caution, ...] = ()


def _sign(code: str) -> Range:
    return Range(meaning=f"{SIGNS[code].asks[:-1].lower()}; {SIGNS[code].where}")


@formula(
    limits={
        "colour": _sign("colour"),
        "date_mark": _sign("date mark"),
        "texture": _sign("texture"),
        "details": _sign("details"),
        "flash": _sign("flash"),
        "gate": _sign("gate"),
        "resin": _sign("resin"),
        "seam": _sign("seam"),
        "paint": _sign("paint"),
        "packing": _sign("packing"),
        "writing": _sign("writing"),
    },
    example={"colour": "another colour", "date_mark": "missing", "seam": "open, ridge whole"},
    source=f"Bayes' rule; shares of what is seen: {PRACTICE}",
)
def stage_of_piece(
    *,
    colour: Colour = "not looked",
    date_mark: DateMark = "not looked",
    texture: Texture = "not looked",
    details: Details = "not looked",
    flash: Flash = "not looked",
    gate: Gate = "not looked",
    resin: Resin = "not looked",
    seam: Seam = "not looked",
    paint: Paint = "not looked",
    packing: Packing = "not looked",
    writing: Writing = "not looked",
) -> StageOfPiece:
    """At which stage an unmarked piece was made, from what is seen of it, without any record of the tool.

    P(stage | seen) ~ P(stage) prod P(seen | stage); each sign counts twenty to one at most.

    Returns: StageOfPiece, with what to look at next.

    Holds when: the shares of the handbook are near those of the product; signs are taken as independent given
    the stage, which the cap allows for.

    Example: another colour, no date mark and an open seam with its ridge whole speak for a trial.
    """
    given: dict[str, str] = {
        "colour": colour,
        "date mark": date_mark,
        "texture": texture,
        "details": details,
        "flash": flash,
        "gate": gate,
        "resin": resin,
        "seam": seam,
        "paint": paint,
        "packing": packing,
        "writing": writing,
    }
    seen = {code: outcome for code, outcome in given.items() if outcome != NOT_LOOKED}
    stages = tuple(Stage)
    occasions = tuple(Occasion(code=one, stage=one, kept=STAGES[one].kept, made={}) for one in stages)
    case = PieceCase(
        parts=(),
        occasions=occasions,
        findings=tuple(sign_finding(SIGNS[code], outcome, stages) for code, outcome in seen.items()),
    )
    looks = [look_for_sign("", SIGNS[code], stages) for code in given if code not in seen]
    found = identify(case, looks)
    shares = tuple(_share(stage, probability) for stage, probability in found.stages)
    return StageOfPiece(
        words=_words(shares, found.look_next),
        stages=shares,
        look_next=found.look_next,
        seen=tuple(seen.items()),
        identified=found,
        cautions=(*_cautions(seen), *found.cautions, SHARES),
    )


def _share(stage: Stage | None, probability: float) -> StageShare:
    words = STAGES[stage] if stage is not None else None
    return StageShare(
        stage=stage,
        engineer=words.engineer if words else "none of these",
        archive=words.archive if words else "none of these",
        probability=probability,
    )


def _words(shares: tuple[StageShare, ...], look_next: tuple[NextLook, ...]) -> str:
    top = shares[0]
    best = f"; look next: {look_next[0].where}" if look_next else ""
    if top.probability >= SURE:
        return f"{top.stage or 'none of these'}, {100 * top.probability:.0f} %"
    total = np.cumsum([one.probability for one in shares])
    enough = int(np.searchsorted(total, SURE)) + 1
    said = [f"{one.stage or 'none of these'} {100 * one.probability:.0f} %" for one in shares[:enough]]
    return f"cannot tell one stage: {', '.join(said)}{best}"


def _cautions(seen: dict[str, str]) -> Iterator[Caution]:
    if seen.get(COLOUR) in ("another colour", "mixed or streaked"):
        yield LIKE_FIRST_SHOT
    if seen.get(SEAM) in ("loose parts", "open, ridge whole"):
        yield OPEN_SEAM
    if seen.get(DATE_MARK) == "missing":
        yield MARK_CARRIED
