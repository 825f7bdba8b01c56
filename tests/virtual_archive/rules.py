"""Two simple rules that people use: each names one origin, or one stage."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from offtool.core.colour import ciede2000
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from tests.virtual_archive.observed import Piece
from tests.virtual_archive.record import Record
from tests.virtual_archive.worlds import STAGE_LIST, World

ODD_DE = 5.0
FIRST_SHOTS = (Stage.FIRST, Stage.EARLY)


def odd_colour(world: World, piece: Piece) -> int:
    """An odd colour means a first shot: the trial, T0 or early, that most pieces are of; else production."""
    stages = FIRST_SHOTS if _is_odd(world, piece) else (Stage.PRODUCTION,)
    return _most_frequent(world, stages)


def _is_odd(world: World, piece: Piece) -> bool:
    for part in piece.parts:
        if part.colour is None:
            continue
        own = np.array([one[part.tool].centres[0] for one in world.production])
        if float(ciede2000(part.colour, own).min()) > ODD_DE:
            return True
    return False


def nearest_size(world: World, record: Record, piece: Piece) -> int:
    """The origin whose recorded sizes lie nearest: squared deviations, each over its spread, added up."""
    far = [
        sum(
            min(_far(record, piece, j, k) for k in made[record.tools[part.tool].makes[0].tool])
            for j, part in enumerate(piece.parts)
        )
        for made in (one.made for one in record.occasions)
    ]
    if not any(part.sizes for part in piece.parts) or not np.isfinite(far).any():
        return _most_frequent(world, (Stage.PRODUCTION,))
    return int(np.argmin(far))


def _far(record: Record, piece: Piece, part: int, make: int) -> float:
    seen = piece.parts[part]
    tool = record.tools[seen.tool]
    total = np.zeros(tool.sizes[0].means.shape[1])
    for i, (value, _) in seen.sizes.items():
        one = tool.sizes[i]
        total += ((value - one.means[make]) / np.nanmedian(one.sds)) ** 2
    return float(np.inf if np.isnan(total).any() else total.min())


def _most_frequent(world: World, stages: Sequence[Stage]) -> int:
    shares = [one.share if one.stage in stages else 0.0 for one in world.origins]
    return int(np.argmax(shares))


def odd_colour_stage(piece: Piece) -> int:
    """Without records: any part seen in another colour is a first shot, in the broad sense."""
    as_production = SIGNS["colour"].outcomes.index("production colour")
    odd = any(part.signs.get("colour", (as_production, True))[0] != as_production for part in piece.parts)
    stages = FIRST_SHOTS if odd else (Stage.PRODUCTION,)
    return STAGE_LIST.index(max(stages, key=lambda stage: STAGES[stage].kept))


def usual_stage() -> int:
    """Without recorded sizes the other rule can only name what turns up most."""
    return STAGE_LIST.index(max(STAGE_LIST, key=lambda stage: STAGES[stage].kept))
