"""How the file of a joint test was understood, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import how_it_was_read, left_out_cells, refused_cells, to_do
from offtool.cli.show_study import names_of
from offtool.steps.joint_test_preview import JointTestKept, JointTestPreview, ReadingsSeen

SIGNIFICANT = 4
"""Digits of a torque in N·m at a glance; the record keeps what was written."""


def joint_test_lines(found: JointTestPreview, *, refused: bool = False) -> list[str]:
    """All lines of a test that is not kept yet, or that was refused."""
    things = to_do(found, refused=refused)
    return [
        *sentence(f"{_understood(found)} Nothing is kept yet."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_seen(found.seen),
        *how_it_was_read(found, _about(found)),
        *cautions(found.cautions),
    ]


def kept_joint_test_lines(kept: JointTestKept, found: JointTestPreview) -> list[str]:
    """All lines of a test that is now in the record."""
    said = (
        f"Kept: {counted(kept.readings, 'reading')} of {kept.file} as test {kept.test} of joint "
        f"{kept.joint}, programme {kept.programme}{left_out_cells(kept.left_out)}."
    )
    return [
        *sentence(said),
        *heading("What to do"),
        *steps([(f"offtool joint {kept.programme} {kept.joint} says what it means.", "")]),
        *_seen(found.seen),
        *how_it_was_read(found, _about(found)),
        *cautions(found.cautions),
    ]


def _understood(found: JointTestPreview) -> str:
    read = f"{counted(found.readings, 'reading')} of {counted(len(found.pieces), 'piece')}"
    return f"{found.file.name}: {read} of joint {found.joint} understood{refused_cells(found)}."


def _seen(seen: Sequence[ReadingsSeen]) -> list[str]:
    if not seen:
        return []
    head = ["", "unit", "readings", "pieces", "mean", "lowest", "highest"]
    rows = [
        [
            f"{one.what}, {one.condition}",
            one.unit,
            f"{one.readings:,}",
            f"{one.pieces:,}",
            *(f"{value:.{SIGNIFICANT}g}" for value in (one.mean, one.lowest, one.highest)),
        ]
        for one in seen
    ]
    return [
        *heading("What was measured"),
        *table_or_bullets([head, *rows], [_at_a_glance(one) for one in seen], sides="<<>>>>>"),
    ]


def _at_a_glance(one: ReadingsSeen) -> str:
    lowest, mean, highest = (f"{value:.{SIGNIFICANT}g}" for value in (one.lowest, one.mean, one.highest))
    read = f"{counted(one.readings, 'reading')} of {counted(one.pieces, 'piece')}"
    return f"{one.what}, {one.condition}: {lowest} to {highest} {one.unit}, mean {mean}; {read}"


def _about(found: JointTestPreview) -> list[list[str]]:
    return [
        ["Inner part", _side(found.inner_part, found.inner_trial)],
        ["Outer part", _side(found.outer_part, found.outer_trial)],
        ["Pieces", names_of(found.pieces)],
        ["Pairs", _pairs(found.pairs)],
    ]


def _side(part: str, trial: str) -> str:
    return f"{part}, {trial or 'trial not known'}" if part else ""


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    """The cavities of both parts, as they were put together."""
    said = [f"{inner or '?'} in {outer or '?'}" for inner, outer in pairs]
    return f"cavity {names_of(said)}" if any(map(any, pairs)) else "the file names no cavities"
