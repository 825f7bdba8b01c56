"""`make samples`: how often the program names the right origin of a piece, and whether 80 % means 80 %."""

from __future__ import annotations

import argparse
import multiprocessing
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import partial

import numpy as np
from numpy.typing import NDArray

from tests.virtual_archive.lots import calibration_error, score_lots
from tests.virtual_archive.play import (
    COMPLETE,
    REGIMES,
    THIRD_LOST,
    WRONG,
    Judged,
    play,
)
from tests.virtual_archive.scores import (
    distinguishable,
    every_error,
    log_scores,
    right,
    rule_probabilities,
    swaps,
    top_error,
)
from tests.virtual_archive.worlds import COPY, STAGE_LIST

Array = NDArray[np.float64]
CLASSES = (*(one.value for one in STAGE_LIST), "copy")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=40)
    parser.add_argument("--pieces", type=int, default=50, help="pieces a world")
    parser.add_argument("--regime", choices=REGIMES, action="append")
    parser.add_argument("--lots", type=int, default=40, help="lots to put in order")
    chosen = parser.parse_args()
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("spawn")) as pool:
        for regime in chosen.regime or REGIMES:
            _print_regime(pool, regime, chosen.worlds, chosen.pieces)
    if chosen.lots:
        _print_lots(chosen.lots)


def judge(pool: Executor, regime: str, worlds: int, pieces: int) -> list[Judged]:
    """All pieces of so many worlds."""
    played: Iterable[list[Judged]] = pool.map(partial(play, regime, pieces), range(worlds), chunksize=2)
    return [one for world in played for one in world]


def answers(judged: Sequence[Judged]) -> dict[str, list[Array]]:
    """The probabilities that each gave."""
    return {
        "bound": [one.bound for one in judged],
        "bound, stated shares": [one.bound_stated for one in judged],
        "offtool": [one.ours for one in judged],
        "odd colour": rule_probabilities([one.odd_colour for one in judged], judged),
        "nearest size": rule_probabilities([one.nearest_size for one in judged], judged),
    }


def _print_regime(pool: Executor, regime: str, worlds: int, pieces: int) -> None:
    judged = judge(pool, regime, worlds, pieces)
    given, sure = answers(judged), distinguishable(judged)
    print(f"\n{regime}: {worlds} worlds, {len(judged)} pieces; {sure.mean():.0%} distinguishable: the bound")
    print("gives the truth 80 % or more. Calibration error of the top answer, and of all answers.")
    print(f"{'':22}{'right':>8}{'distinguishable':>17}{'log score':>11}{'top':>8}{'all':>8}")
    for name, said in given.items():
        hits = right(said, judged)
        print(
            f"{name:22}{hits.mean():8.1%}{hits[sure].mean():17.1%}{log_scores(said, judged).mean():11.3f}"
            f"{top_error(said, judged):8.3f}{every_error(said, judged):8.4f}"
        )
    _print_classes(given, judged)
    if regime in (COMPLETE, THIRD_LOST):
        _print_swaps(judged)
    for name in WRONG:
        _print_wrong(name, given["offtool"], judged)


def _print_classes(given: Mapping[str, Sequence[Array]], judged: Sequence[Judged]) -> None:
    stages = np.array([one.stage for one in judged])
    print(
        f"\nlog score by what the piece is\n{'':26}{'pieces':>7}" + "".join(f"{name:>22}" for name in given)
    )
    scores = {name: log_scores(said, judged) for name, said in given.items()}
    for place in range(COPY + 1):
        own = stages == place
        if own.any():
            row = "".join(f"{score[own].mean():22.2f}" for score in scores.values())
            print(f"{CLASSES[place]:26}{own.sum():7d}{row}")


def _print_swaps(judged: Sequence[Judged]) -> None:
    found = swaps(judged)
    print(
        f"\nparts from elsewhere: {found.found} of {found.swapped} found, {found.wrongly} of"
        f" {found.parts - found.swapped} others called so (bound {found.bound_found}, {found.bound_wrongly})"
    )


def _print_wrong(name: str, usual: Sequence[Array], judged: Sequence[Judged]) -> None:
    said = [one.wrong[name] for one in judged]
    hits = right(said, judged).mean() - right(usual, judged).mean()
    score = log_scores(said, judged).mean() - log_scores(usual, judged).mean()
    print(f"{name:34} right {100 * hits:+.1f} points, log score {score:+.3f}, ", end="")
    print(f"calibration error {top_error(said, judged):.3f}", flush=True)


def _print_lots(count: int, seed: int = 2024) -> None:
    """Lots of one tool's pieces put in order, beside sorting them by how many changes they show."""
    scores = score_lots(count, seed)
    tau, plain = (np.array([getattr(one, name) for one in scores]) for name in ("tau", "by_count"))
    print(
        f"\norder of {count} lots: Kendall's tau-b {tau.mean():.3f}, by the number of changes"
        f" {plain.mean():.3f}; calibration error of pairs {calibration_error(scores):.3f}"
    )


if __name__ == "__main__":
    main()
