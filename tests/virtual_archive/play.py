"""One world played: every piece judged by the program, by the bound and by two rules."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify import Identified, PieceCase, identify
from offtool.core.samples.identify.posterior import sum_out
from tests.virtual_archive.exact import Exact, exact_stages
from tests.virtual_archive.lost import NOTHING_LOST, Lost, lose_a_third
from tests.virtual_archive.observed import LOOKED_THROUGH, NOT_LOOKED, Piece, pieces, stage_place
from tests.virtual_archive.record import lay_beside, without_records, write_record
from tests.virtual_archive.rules import (
    nearest_size,
    odd_colour,
    odd_colour_stage,
    usual_stage,
)
from tests.virtual_archive.worlds import STAGE_LIST, World, make_world

Array = NDArray[np.float64]
COMPLETE, THIRD_LOST = "complete record", "a third lost"
NO_RECORDS, LOOKED = "no records", "no records, looked through"
REGIMES = (COMPLETE, THIRD_LOST, NO_RECORDS, LOOKED)
FOUND = 0.5
"""A part is called swapped where it is more probably from elsewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One piece: the truth, and the probabilities that each gave; copies last."""

    truth: int
    stage: int
    prior: Array
    bound: Array
    bound_stated: Array
    """The bound that does not know what usually turns up: the handbook's shares, as the program."""
    ours: Array
    wrong: dict[str, Array]
    """The program's, where what it believes is made wrong by a third."""
    odd_colour: int
    nearest_size: int
    swapped: tuple[bool, ...]
    swapped_bound: tuple[float, ...]
    swapped_ours: tuple[float, ...]


def play(regime: str, count: int, seed: int) -> list[Judged]:
    """Every piece of a world judged."""
    world = make_world(seed)
    if regime in (NO_RECORDS, LOOKED):
        not_looked = NOT_LOOKED if regime == NO_RECORDS else LOOKED_THROUGH
        return [_judge_without(world, piece) for piece in pieces(world, count, not_looked)]
    lost = lose_a_third(world) if regime == THIRD_LOST else NOTHING_LOST
    return _judge_all(world, lost, list(pieces(world, count)))


def _judge_all(world: World, lost: Lost, found: Sequence[Piece]) -> list[Judged]:
    record, exact = write_record(world, lost), Exact(world, lost)
    prior, judged = world.shares, []
    for piece in found:
        case, parts = lay_beside(record, piece), exact.parts_of(piece)
        answer = identify(case)
        judged.append(
            Judged(
                truth=piece.truth,
                stage=stage_place(world, piece.truth),
                prior=prior,
                bound=exact.of_origins(piece, parts, prior),
                bound_stated=exact.of_origins(piece, parts, _stated(case)),
                ours=_probabilities(answer, case),
                wrong=_believed_wrongly(case),
                odd_colour=odd_colour(world, piece),
                nearest_size=nearest_size(world, record, piece),
                swapped=piece.swapped,
                swapped_bound=tuple(float(one) for one in exact.swapped(piece, parts, prior)),
                swapped_ours=tuple(1 - part.belongs for part in answer.parts),
            )
        )
    return judged


def _judge_without(world: World, piece: Piece) -> Judged:
    case = without_records(piece)
    answer = identify(case)
    stage = stage_place(world, piece.truth)
    return Judged(
        truth=stage,
        stage=stage,
        prior=world.stage_shares,
        bound=exact_stages(world, piece, world.stage_shares),
        bound_stated=exact_stages(world, piece, _stated(case)),
        ours=_probabilities(answer, case),
        wrong=_believed_wrongly(case),
        odd_colour=odd_colour_stage(piece),
        nearest_size=usual_stage(),
        swapped=(),
        swapped_bound=(),
        swapped_ours=(),
    )


def _stated(case: PieceCase) -> Array:
    """What usually turns up, as the program takes it."""
    kept = np.array([one.kept for one in case.occasions])
    return np.append(kept / kept.sum() * (1 - case.none_of_these), case.none_of_these)


def _probabilities(answer: Identified, case: PieceCase) -> Array:
    by_code = {one.code: one.probability for one in answer.answers}
    return np.array(
        [
            *(by_code[one.code] for one in case.occasions),
            sum(one.probability for one in answer.answers if one.is_none),
        ]
    )


def times(factor: float, case: PieceCase) -> PieceCase:
    """Every finding counts so many times what it should."""
    return replace(
        case,
        findings=tuple(replace(one, log_likelihood=one.log_likelihood * factor) for one in case.findings),
        parts=tuple(
            replace(
                part,
                findings=tuple(
                    replace(one, log_likelihood=one.log_likelihood * factor) for one in part.findings
                ),
            )
            for part in case.parts
        ),
    )


def other_shares(case: PieceCase) -> PieceCase:
    """What turns up is believed a third too often or too seldom, stage by stage in turn."""
    wrong = {stage: 4 / 3 if k % 2 else 2 / 3 for k, stage in enumerate(STAGE_LIST)}
    return replace(
        case,
        occasions=tuple(replace(one, kept=one.kept * wrong[one.stage]) for one in case.occasions),
    )


Bend = Callable[[PieceCase], PieceCase]
WRONG: Mapping[str, Bend] = {
    "every finding counts 4/3": partial(times, 4 / 3),
    "every finding counts 2/3": partial(times, 2 / 3),
    "shares of the stages a third off": other_shares,
}


def _believed_wrongly(case: PieceCase) -> dict[str, Array]:
    bent = {name: bend(case) for name, bend in WRONG.items()}
    return {name: sum_out(one).posterior for name, one in bent.items()}
