"""Print the table; words given as arguments keep the cases whose name holds them."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

from tests.coverage.cases import CASES


def main(words: list[str]) -> int:
    """Run every case; the exit code says whether all claims stand."""
    for path in sorted(Path(__file__).parent.glob("[a-z]*.py")):
        import_module(f"tests.coverage.{path.stem}")
    chosen = [case for case in CASES.values() if " ".join(words) in case.name]
    print(f"{'':<64} {'claimed':>14} {'covered':>10} {'':>5} {'tries':>8}")
    missed = 0
    for case in chosen:
        found = case.run()
        missed += not found.holds
        print(found.line(), flush=True)
    print(f"{len(chosen)} intervals, {missed} do not hold what they claim")
    return int(missed > 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
