"""The pairs of cavities of a joint on the terminal: how many of each are good, and where they fall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from offtool.cli.limit_bar import MARK, PARTS, bar
from offtool.cli.shared_lines import heading, sentence
from offtool.cli.terminal import width
from offtool.cli.typeset import GAP, columns_of, flow, paragraph, table
from offtool.core.joints.assembled import AssembledJoint, AssembledPair, AssembledShares, Grade
from offtool.core.values import Verdict
from offtool.reports.joint_words import GRADES, PairMatrix, grades_in_words, pair_in_words, pair_matrix
from offtool.reports.limit_scale import LimitScale
from offtool.reports.words import ends, number
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.joint_verdict import GOOD_ASKED, verdict_of_shares

BAR, NARROW_BAR, NARROW = 31, 19, 80
MOST_PAIRS = 8
"""Pairs of cavities whose joints are drawn, the worst of them; the table above has all."""
KEY = (
    "Mean: ● shown to be good, ○ not shown, × not good enough",
    "─ where 95 % of joints fall",
    "│ limits",
    "· outside",
)
INDENT = 2


def pairs_lines(assembled: AssembledJoint) -> list[str]:
    """The share of good joints of each pair, and in a word what the others mostly are."""
    if len(assembled.pairs) < 2 or not _is_asked(assembled):
        return []
    lines = heading("Good joints by cavity, and what most of the others are")
    matrix = pair_matrix(assembled)
    if matrix is None:
        rows = [[pair_in_words(assembled.parts, one.cavities), cell(one.shares)] for one in assembled.pairs]
        return [*lines, *table(rows, width=width(), indent=INDENT)]
    return [*lines, *_matrix(matrix)]


def cell(shares: AssembledShares) -> str:
    """28 % loose; 99.1 % alone where that is enough."""
    good = per_cent_of(shares.good.share)
    if shares.good.share >= GOOD_ASKED:
        return good
    others = [one for one in GRADES if one is not Grade.GOOD]
    return f"{good}, {max(others, key=lambda one: shares.of(one).share)}"


def _matrix(matrix: PairMatrix) -> list[str]:
    """In as many blocks of columns as the terminal needs."""
    cells = [[cell(pair.shares) for pair in pairs] for _, pairs in matrix.rows]
    heads = [
        f"{matrix.columns_are} cavity {one}" if one else f"{matrix.columns_are}, any"
        for one in matrix.columns
    ]
    names = [
        f"{matrix.rows_are} cavity {one}" if one else f"{matrix.rows_are}, any" for one, _ in matrix.rows
    ]
    sizes = [max(map(columns_of, column)) for column in zip(heads, *cells, strict=True)]
    lines: list[str] = []
    for block in _blocks(sizes, width() - INDENT - max(map(columns_of, names))):
        rows = [["", *(heads[i] for i in block)]]
        rows += [[name, *(row[i] for i in block)] for name, row in zip(names, cells, strict=True)]
        lines += table(rows, width=width(), sides="<" + "<" * len(block), indent=INDENT)
    return lines


def _blocks(sizes: Sequence[int], room: int) -> Iterator[list[int]]:
    """The columns that fit side by side, block by block; one at least in each."""
    block: list[int] = []
    used = 0
    for i, size in enumerate(sizes):
        if block and used + GAP + size > room:
            yield block
            block, used = [], 0
        block.append(i)
        used += GAP + size
    yield block


def mix_lines(assembled: AssembledJoint, decimals: int) -> list[str]:
    """Where all joints fall between the limits, and those of the worst pairs."""
    pairs = assembled.pairs if len(assembled.pairs) > 1 else ()
    shown = sorted(pairs, key=lambda one: one.shares.good.share)[:MOST_PAIRS]
    named = [("all", assembled.mix), *((_short(one), one.shares) for one in shown)]
    scale = _scale(assembled, [shares for _, shares in named])
    rows = [[name, _bar(assembled, one, scale), *_numbers(one, decimals)] for name, one in named]
    unit = f", {assembled.unit}" if assembled.unit != "1" else ""
    key = [*KEY, *(f"{_short(one)}: {pair_in_words(assembled.parts, one.cavities)}" for one in shown[:1])]
    left = len(pairs) - len(shown)
    return [
        *heading(f"Where the {assembled.measure} falls{unit}"),
        *flow(key, width=width(), indent=" " * INDENT),
        *table([["", "", "mean", "95 % of joints"], *rows], width=width(), sides="<<><", indent=INDENT),
        *(paragraph(f"and {left:,} better pairs", width=width(), indent="  ") if left else []),
        *(sentence(f"Of all joints: {grades_in_words(assembled.mix)}.") if _is_asked(assembled) else []),
    ]


def _is_asked(assembled: AssembledJoint) -> bool:
    """Whether there is a limit at all; without one nothing is loose or tight."""
    return assembled.lower is not None or assembled.upper is not None


def _bar(assembled: AssembledJoint, one: AssembledShares, scale: LimitScale) -> str:
    return bar(
        scale,
        (assembled.lower, assembled.upper),
        [(one.middle_low, one.middle_high, PARTS)],
        mark=(one.mean, MARK[verdict_of_shares(one) if _is_asked(assembled) else Verdict.NOT_SHOWN]),
    )


def _numbers(one: AssembledShares, decimals: int) -> list[str]:
    return [number(one.mean, decimals), ends(one.middle_low, one.middle_high, decimals)]


def _scale(assembled: AssembledJoint, shown: Sequence[AssembledShares]) -> LimitScale:
    points = [end for one in shown for end in (one.middle_low, one.mean, one.middle_high)]
    columns = BAR if width() >= NARROW else NARROW_BAR
    scale = LimitScale.of(assembled.lower, assembled.upper, points, width=columns)
    return replace(scale, left=0.0, right=columns - 1.0)


def _short(pair: AssembledPair) -> str:
    return " with ".join(one or "any" for one in pair.cavities)
