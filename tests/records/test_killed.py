"""A file is in whole or not at all, also when the program is killed in the middle."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

TOP = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-m", "tests.records.killed_while_storing"]


def environment(own_record: dict[str, str]) -> dict[str, str]:
    return {**own_record, "PYTHONPATH": str(TOP / "src")}


def counted(own_record: dict[str, str]) -> Any:
    done = subprocess.run(
        [*PROGRAM, "count"], cwd=TOP, env=environment(own_record), capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


@pytest.mark.skipif(sys.platform == "win32", reason="a real kill by signal")
def test_killed_while_storing_leaves_nothing_of_the_file(own_record: dict[str, str]) -> None:
    handed_over = 0
    with subprocess.Popen(
        PROGRAM, cwd=TOP, env=environment(own_record), stdout=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        for line in program.stdout:
            said = json.loads(line)
            handed_over = said["handed over"] if isinstance(said, dict) else 0
            if handed_over >= 100_000:
                program.send_signal(signal.SIGKILL)
                break
        rest = [json.loads(line) for line in program.stdout]
    assert program.returncode == -signal.SIGKILL
    assert handed_over >= 100_000
    assert "stored" not in rest
    assert counted(own_record) == {"Trial": 2, "SourceFile": 0, "Shot": 0, "Reading": 0}


def test_left_alone_the_same_program_stores_all(own_record: dict[str, str]) -> None:
    subprocess.run(PROGRAM, cwd=TOP, env=environment(own_record), stdout=subprocess.DEVNULL, check=True)
    assert counted(own_record) == {"Trial": 2, "SourceFile": 1, "Shot": 2_000, "Reading": 200_000}
