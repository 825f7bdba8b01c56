"""Print the table; words given as arguments keep the cases whose name holds them.

Every case draws from a seed of its own name, so they run side by side and print the same in any order.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from concurrent.futures import ProcessPoolExecutor

from tests.coverage.cases import CASES
from tests.coverage.running import load_cases, run_case


def main(words: list[str]) -> int:
    """Run every case; the exit code says whether all claims stand."""
    load_cases()
    chosen = [name for name in CASES if " ".join(words) in name]
    print(f"{'':<68} {'claimed':>14} {'covered':>10} {'':>5} {'tries':>8}")
    missed = 0
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(os.cpu_count(), mp_context=spawn) as side_by_side:
        for found in side_by_side.map(run_case, chosen):
            missed += not found.holds
            print(found.line(), flush=True)
    print(f"{len(chosen)} intervals, {missed} do not hold what they claim")
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
