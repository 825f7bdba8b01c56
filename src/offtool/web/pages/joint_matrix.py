"""Which cavities go together: a table of pairs, or a list of combinations where there are other than two
parts."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from offtool.core.joints.assembled import AssembledJoint, AssembledPair, AssembledShares, Grade
from offtool.core.values import Verdict
from offtool.reports.joint_shares_bar import draw_grade_bar, draw_grade_key
from offtool.reports.joint_words import GRADES, pair_in_words, share_in_words
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.joint_verdict import GOOD_ASKED
from offtool.web.pages.trial import MARK

COMBINATIONS_SHOWN = 20
BAR_WIDTH = 104.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PairCell:
    """One pair of cavities, or one combination of more: how many joints of it are good."""

    cavities: tuple[str, ...]
    good: str
    interval: str
    says: str
    """All four shares, in words."""
    bar: SafeString
    mark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeSign:
    """The field of one grade, and its word."""

    sign: SafeString
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MatrixRow:
    """One cavity of the first part with every cavity of the second."""

    cavity: str
    cells: tuple[PairCell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """Every cavity of one part with every cavity of another; the part with more cavities goes down."""

    down: str
    across: str
    columns: tuple[str, ...]
    rows: tuple[MatrixRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Combinations:
    """The combinations of cavities, worst first."""

    parts: tuple[str, ...]
    """The parts whose cavities are named, in their order."""
    rows: tuple[PairCell, ...]
    more: int
    """So many are not shown."""


def matrix_of(assembled: AssembledJoint) -> Matrix | None:
    """The table of pairs; None where the joint is not of two parts."""
    if len(assembled.parts) != 2:
        return None
    place = [list(dict.fromkeys(one.cavities[i] for one in assembled.pairs)) for i in (0, 1)]
    down = 0 if len(place[0]) >= len(place[1]) else 1
    shares = {one.cavities: one for one in assembled.pairs}

    def cell(row: str, column: str) -> PairCell:
        pair = (row, column) if down == 0 else (column, row)
        return _cell(shares[pair], assembled)

    return Matrix(
        down=assembled.parts[down],
        across=assembled.parts[1 - down],
        columns=tuple(place[1 - down]),
        rows=tuple(
            MatrixRow(cavity=row, cells=tuple(cell(row, column) for column in place[1 - down]))
            for row in place[down]
        ),
    )


def combinations_of(assembled: AssembledJoint) -> Combinations:
    """The combinations of any number of parts, worst first."""
    worst_first = sorted(assembled.pairs, key=lambda one: one.shares.good.share)
    return Combinations(
        parts=assembled.parts,
        rows=tuple(_cell(one, assembled) for one in worst_first[:COMBINATIONS_SHOWN]),
        more=max(len(worst_first) - COMBINATIONS_SHOWN, 0),
    )


def mark_of(shares: AssembledShares) -> str:
    """The sign of good joints beside what is asked: yes, no, doubt."""
    good = shares.good.interval
    if good.low >= GOOD_ASKED:
        return MARK[Verdict.HOLDS]
    return MARK[Verdict.FAILS if good.high < GOOD_ASKED else Verdict.NOT_SHOWN]


def shares_in_words(shares: AssembledShares) -> str:
    """good 28 % (19 to 36 %), loose 71 % (64 to 81 %); what does not occur is left out."""
    others = [one for one in GRADES if one is not Grade.GOOD and shares.of(one).share > 0]
    return ", ".join(f"{one} {share_in_words(shares.of(one))}" for one in (Grade.GOOD, *others))


def grade_key() -> tuple[GradeSign, ...]:
    """The fields of the bars, with their words."""
    return tuple(GradeSign(sign=mark_safe(draw_grade_key(one)), word=str(one)) for one in GRADES)  # noqa: S308 ours


def _cell(pair: AssembledPair, assembled: AssembledJoint) -> PairCell:
    named = pair_in_words(assembled.parts, pair.cavities) or "as given"
    good = pair.shares.good
    return PairCell(
        cavities=pair.cavities,
        good=per_cent_of(good.share),
        interval=share_in_words(good).partition(" (")[2].removesuffix(")"),
        says=f"{named}: {shares_in_words(pair.shares)}",
        bar=mark_safe(draw_grade_bar(pair.shares, width=BAR_WIDTH)),  # noqa: S308 our own drawing
        mark=mark_of(pair.shares),
    )
