"""Pieces that may be open: what speaks for it and against it, and the answer for one piece in the hand."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.core.welding.open_seam import OpenSeam, SeamEvidence, SeamState
from offtool.reports import words
from offtool.reports.seam_words import newtons
from offtool.steps.ask_if_open import OpenAsked, SeamHeights
from offtool.steps.seam_found import PieceNotWelded
from offtool.steps.sentences import sentence
from offtool.web.pages.seam_words import open_in_words, speaks_in_words, with_capital

STATE_MARK = {SeamState.OPEN: "no", SeamState.WELDED: "yes", SeamState.UNSURE: "doubt"}
LOOKS_NEXT_SHOWN = 3
LEAST_BITS = 0.05
"""What tells less is not worth a look; our own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow:
    """One thing that was looked at, and how it speaks."""

    name: str
    found: str
    speaks: str
    log_odds: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextRow:
    """What is worth looking at next."""

    where: str
    tells: str
    destroys: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenShown:
    """One piece: open, welded or neither, with its evidence."""

    title: str
    mark: str
    word: str
    says: str
    evidence: tuple[EvidenceRow, ...]
    log_odds: str
    prior: str
    look_next: tuple[NextRow, ...]
    cautions: tuple[Caution, ...]


def piece_shown(one: PieceNotWelded) -> OpenShown:
    """A piece of a study."""
    return _shown(one.found, f"Piece {one.piece} of study {one.study}, {one.setting}", with_next=False)


def answer_shown(asked: OpenAsked) -> OpenShown:
    """The answer for the piece that is asked about."""
    return _shown(asked.found, "The piece in your hand", with_next=True)


def _shown(found: OpenSeam, title: str, *, with_next: bool) -> OpenShown:
    worth = [one for one in found.look_next if one.bits >= LEAST_BITS]
    looks = worth[:LOOKS_NEXT_SHOWN] if with_next else []
    return OpenShown(
        title=title,
        mark=STATE_MARK[found.state],
        word=str(found.state),
        says=f"{open_in_words(found)}.",
        evidence=tuple(_evidence(one) for one in found.evidence if one.observed),
        log_odds=words.signed(found.log_odds, 1),
        prior=words.chance(found.prior_open),
        look_next=tuple(
            NextRow(
                where=sentence(one.where),
                tells=f"tells {one.bits:.2f} of 1 bit",
                destroys=one.destroys,
            )
            for one in looks
        ),
        cautions=tuple(map(with_capital, found.cautions)) if with_next else (),
    )


def _evidence(one: SeamEvidence) -> EvidenceRow:
    return EvidenceRow(
        name=one.name,
        found=one.found,
        speaks=speaks_in_words(one),
        log_odds=words.signed(one.log_odds, 1),
    )


def heights_in_words(heights: SeamHeights) -> str:
    """What a height is held against; what is missing before it can tell anything."""
    if heights.welded_mm is None or heights.welded_sd_mm is None:
        welded = f"Of welded pieces {heights.welded_pieces} heights are known, three are needed"
    else:
        welded = (
            f"Welded pieces measure {words.number(heights.welded_mm, 2)} mm "
            f"(standard deviation {words.number(heights.welded_sd_mm, 2)}, {heights.welded_pieces} pieces)"
        )
    pull = f" Welded ones hold {newtons(heights.welded_pull_n)} on average." if heights.welded_pull_n else ""
    if heights.open_mm is None:
        return (
            f"{welded}; the height of the parts laid together is not given: a height tells nothing yet.{pull}"
        )
    return f"{welded}; the two parts laid together {words.number(heights.open_mm, 2)} mm.{pull}"
