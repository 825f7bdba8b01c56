"""Whatever numbers are given: an answer or a refusal in words; never a crash, a warning, a hang."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from threading import Timer

import pytest

from offtool.core.formulas import all_formulas

TOP = Path(__file__).resolve().parents[2]
LONGEST_S = 15.0
"""For a hundred calls of one formula, which take about a second."""

# The tables of plan_corrections are checked cell by cell where they are read.
NAMES = [name for name in all_formulas() if name != "plan_corrections"]


def faults(numbers: str) -> dict[str, str]:
    """What goes wrong with each formula; one that does not come back is stopped, the rest goes on."""
    found: dict[str, str] = {}
    left = list(NAMES)
    environment = {**os.environ, "PYTHONPATH": f"{TOP / 'src'}{os.pathsep}{TOP}", "OPENBLAS_NUM_THREADS": "1"}
    while left:
        command = [sys.executable, "-m", "tests.core.fuzz", numbers, *left]
        with subprocess.Popen(
            command, cwd=TOP, env=environment, stdout=subprocess.PIPE, text=True
        ) as program:
            assert program.stdout is not None
            while left:
                stop = Timer(LONGEST_S, program.kill)
                stop.start()
                line = program.stdout.readline()
                stop.cancel()
                name = left.pop(0)
                found[name] = json.loads(line)[1] if line else f"no answer within {LONGEST_S:g} s"
                if not line:
                    break
            program.kill()
    return {name: what for name, what in found.items() if what}


@pytest.mark.parametrize("numbers", ["everyday", "absurd"])
def test_any_numbers_are_answered_or_refused(numbers: str) -> None:
    """Everyday sizes in any mixture; and slipped exponents: 1e308 for a size, 1e-300 for a step."""
    assert faults(numbers) == {}
