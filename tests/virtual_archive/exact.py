"""The exact posterior by the world's own laws and true parameters: nobody can do better in the mean.

Own code: nothing of the program's identification is used. Where a sheet is lost, what was on it is summed
out by the law by which the world made it: details over every history that agrees with the sheets left, sizes
over the cuts that can have been made between them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from offtool.handbook.sample_signs import SIGNS
from tests.virtual_archive.colours import PALETTE_DENSITY
from tests.virtual_archive.exact_sizes import SizesExactly
from tests.virtual_archive.lost import NOTHING_LOST, Lost
from tests.virtual_archive.observed import (
    COPY_HAS_DETAIL,
    TAG_RIGHT,
    PartSeen,
    Piece,
    stage_place,
)
from tests.virtual_archive.worlds import COPY, STAGE_LIST, TURNS, Detail, World

Array = NDArray[np.float64]
OF_THE_RECORD = ("flash", "gate", "resin", "seam", "paint", "packing", "writing")
"""Signs that are used beside a record; the others are then read from the record itself."""


@dataclass
class Exact:
    """The bound for one world and what is left of its record."""

    world: World
    lost: Lost = NOTHING_LOST

    def parts_of(self, piece: Piece) -> list[Array]:
        """What details, sizes and colour of each part say of each origin."""
        return [self._part_by_origin(one) for one in piece.parts]

    def of_origins(self, piece: Piece, parts: list[Array], priors: Array) -> Array:
        """The probability of each origin, copies last."""
        stages = [stage_place(self.world, o) for o in range(priors.size)]
        logs = np.log(priors) + self._tags(piece)
        logs = logs + np.log(_of_all_parts(self.world, piece, parts, priors, np.array(stages), OF_THE_RECORD))
        return _normalised(logs + _whole(self.world, piece, OF_THE_RECORD)[stages])

    def swapped(self, piece: Piece, parts: list[Array], priors: Array) -> Array:
        """For each part, the probability that it is from elsewhere than the piece, given all."""
        stages = np.array([stage_place(self.world, o) for o in range(priors.size)])
        common = np.log(priors) + self._tags(piece) + _whole(self.world, piece, OF_THE_RECORD)[stages]
        by_set = {
            away: float(np.logaddexp.reduce(common + np.log(np.maximum(chance, 1e-300))))
            for away, chance in _by_swapped(self.world, piece, parts, priors, stages, OF_THE_RECORD)
        }
        whole = np.logaddexp.reduce(list(by_set.values()))
        return np.array(
            [
                sum(np.exp(value - whole) for away, value in by_set.items() if away[j])
                for j in range(len(piece.parts))
            ]
        )

    def _tags(self, piece: Piece) -> Array:
        count = len(self.world.origins)
        if piece.tag is None:
            return np.zeros(count + 1)
        wrong = (1 - TAG_RIGHT) / (count - 1)
        found = np.array([*(TAG_RIGHT if o == piece.tag else wrong for o in range(count)), 1 / count])
        return np.log(found)

    def _part_by_origin(self, part: PartSeen) -> Array:
        """What details, sizes and colour of a part say of each origin, its runs summed; copies last."""
        of_run = self._details(part) + self._sizes[part.tool].logs(part) + self._colours(part)
        like = np.exp(of_run - of_run.max())
        mixed = [sum(share * like[run] for run, share in one.runs) for one in self.world.origins]
        return np.array([*mixed, like[-1]])

    @cached_property
    def _sizes(self) -> list[SizesExactly]:
        return [SizesExactly(self.world, j, self.lost) for j in range(len(self.world.tools))]

    @cached_property
    def _chances(self) -> list[Array]:
        """For each tool: how probable each detail is in each state, given the sheets left."""
        found = []
        for j, tool in enumerate(self.world.tools):
            left = [k for k in range(tool.states) if (j, k) not in self.lost.details]
            found.append(np.array([chance_of_detail(one, left) for one in tool.details]))
        return found

    def _details(self, part: PartSeen) -> Array:
        habits = self.world.habits
        states = [run.state[part.tool] for run in self.world.runs]
        logs = np.zeros(len(states) + 1)
        for k, (is_there, is_sure) in part.details.items():
            share = np.append(self._chances[part.tool][k][states], COPY_HAS_DETAIL)
            missed = habits.missed if is_sure else habits.unsure_wrong
            imagined = habits.imagined if is_sure else habits.unsure_wrong
            seen = share * (1 - missed) + (1 - share) * imagined
            logs += np.log(seen if is_there else 1 - seen)
        return logs

    def _colours(self, part: PartSeen) -> Array:
        runs = self.world.runs
        if part.colour is None:
            return np.zeros(len(runs) + 1)
        odd = self.world.habits.misread
        said = [
            (run.if_lost if (r, part.tool) in self.lost.colours else run.colour)[part.tool].density(
                part.colour, part.colour_de
            )
            for r, run in enumerate(runs)
        ]
        return np.log(
            [
                *((1 - odd) * one + odd * PALETTE_DENSITY for one in said),
                PALETTE_DENSITY,
            ]
        )


def exact_stages(world: World, piece: Piece, priors: Array) -> Array:
    """Without records: the probability of each stage, copies last, by all signs."""
    stages = np.arange(COPY + 1)
    parts = [np.ones(COPY + 1) for _ in piece.parts]
    logs = np.log(priors) + _whole(world, piece, tuple(SIGNS))
    return _normalised(logs + np.log(_of_all_parts(world, piece, parts, priors, stages, tuple(SIGNS))))


def chance_of_detail(detail: Detail, left: list[int]) -> Array:
    """How probable a detail is in each state, over all histories that agree with the sheets left."""
    states = detail.there.size
    if detail.stays:
        histories = [(np.arange(states) >= came, 1.0) for came in range(1, states)]
    else:
        histories = [(np.array(one), _chance_of_turns(one)) for one in product((False, True), repeat=states)]
    agree = [(one, weight) for one, weight in histories if (one[left] == detail.there[left]).all()]
    total = sum(weight for _, weight in agree)
    return np.asarray(sum(weight * one for one, weight in agree) / total, dtype=float)


def _chance_of_turns(history: tuple[bool, ...]) -> float:
    turned = sum(a != b for a, b in pairwise(history))
    return TURNS**turned * (1 - TURNS) ** (len(history) - 1 - turned)


def _of_all_parts(
    world: World,
    piece: Piece,
    parts: list[Array],
    priors: Array,
    stages: Array,
    signs: tuple[str, ...],
) -> Array:
    return np.sum(
        [chance for _, chance in _by_swapped(world, piece, parts, priors, stages, signs)],
        axis=0,
    )


def _by_swapped(
    world: World,
    piece: Piece,
    parts: list[Array],
    priors: Array,
    stages: Array,
    signs: tuple[str, ...],
) -> list[tuple[tuple[bool, ...], Array]]:
    """For every set of parts from elsewhere: the probability of all that parts show, by origin."""
    alone = [np.exp(_together(world, [one], stages, signs)) for one in piece.parts]
    strange = [float(priors @ (part * sign)) for part, sign in zip(parts, alone, strict=True)]
    e = world.habits.elsewhere
    found = []
    for away in product((False, True), repeat=len(parts)):
        chance = np.exp(
            _together(
                world,
                [p for p, gone in zip(piece.parts, away, strict=True) if not gone],
                stages,
                signs,
            )
        )
        for j, gone in enumerate(away):
            chance = chance * (e * strange[j] if gone else (1 - e) * parts[j])
        found.append((away, chance))
    return found


def _together(world: World, parts: list[PartSeen], stages: Array, signs: tuple[str, ...]) -> Array:
    """Log-probability by origin of the signs of parts that belong together: they are alike."""
    logs = np.zeros(stages.size)
    for code in signs:
        seen = [part.signs[code] for part in parts if code in part.signs]
        if not seen:
            continue
        table = world.tables[code]
        read = [_reading(world, table.shape[1], outcome, sure) for outcome, sure in seen]
        alike = world.habits.alike
        common = np.prod([alike * one + (1 - alike) * (table @ one)[:, None] for one in read], axis=0)
        logs += np.log((table * common).sum(axis=1))[stages]
    return logs


def _reading(world: World, outcomes: int, outcome: int, sure: bool) -> Array:
    """How probable what was read is, for each true outcome."""
    wrong = world.habits.misread if sure else world.habits.unsure_any
    return (1 - wrong) * (np.arange(outcomes) == outcome) + wrong / outcomes


def _whole(world: World, piece: Piece, signs: tuple[str, ...]) -> Array:
    """Log-probability by stage of what was seen on the piece as a whole."""
    logs = np.zeros(len(STAGE_LIST) + 1)
    for code, (outcome, sure) in piece.signs.items():
        if code in signs:
            table = world.tables[code]
            logs += np.log(table @ _reading(world, table.shape[1], outcome, sure))
    return logs


def _normalised(logs: Array) -> Array:
    return np.asarray(np.exp(logs - np.logaddexp.reduce(logs)))
