"""`make loops`: how many loops each way of deciding needs, over many seeded tools."""

from __future__ import annotations

import argparse
import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import numpy as np

from tests.virtual_moulder.deciders import DECIDERS
from tests.virtual_moulder.play import Played, play
from tests.virtual_moulder.worlds import WORLDS


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tools", type=int, default=200)
    parser.add_argument("--world", choices=[*WORLDS], action="append")
    parser.add_argument("--decider", choices=[*DECIDERS], action="append")
    chosen = parser.parse_args()
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("spawn")) as pool:
        for world in chosen.world or WORLDS:
            print(f"\n{world} world, {chosen.tools} tools")
            print(
                f"{'':14}{'loops':>14}{'unreleased':>12}{'cost $':>9}{'days':>7}{'over-cut tools':>16}"
                "   80 % intervals hold"
            )
            for decider in chosen.decider or DECIDERS:
                played = list(pool.map(partial(play, world, decider), range(chosen.tools), chunksize=4))
                print(_row(decider, played), flush=True)


def _row(decider: str, played: list[Played]) -> str:
    loops = np.array([one.loops for one in played], dtype=float)
    error = loops.std(ddof=1) / np.sqrt(len(loops))
    predicted, held = sum(one.predicted for one in played), sum(one.held for one in played)
    return (
        f"{decider:14}{loops.mean():8.2f} ±{1.96 * error:4.2f}"
        f"{sum(not one.released for one in played):12d}"
        f"{np.mean([one.cost for one in played]):9.0f}{np.mean([one.days for one in played]):7.1f}"
        f"{sum(one.overcut for one in played):16d}"
        + (f"   {held / predicted:.1%} of {predicted}" if predicted else "")
    )


if __name__ == "__main__":
    main()
