"""Measure everything and print the table, a line as soon as it is measured."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from benchmarks.figures import heading
from benchmarks.measures import MEASURES


def main() -> None:
    """Run every measure in a folder that is gone afterwards."""
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the start; other work shows here too")
    print(heading())
    with tempfile.TemporaryDirectory() as folder:
        for measure in MEASURES:
            for figure in measure(Path(folder)):
                print(figure.line(), flush=True)


if __name__ == "__main__":
    main()
