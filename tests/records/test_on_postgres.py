"""The record's tests once more, on PostgreSQL. tests/conftest.py says why in a process of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.postgres import find_programs, running_server

TOP = Path(__file__).parents[2]
ON_BOTH = [
    "tests/records",
    "tests/steps/test_programme_folder.py",
    "tests/steps/test_inspected_folder.py",
    "tests/steps/test_joined_folder.py",
    "tests/steps/test_sampled_folder.py",
    "tests/steps/test_planned_folder.py",
]


@pytest.mark.skipif("DATABASE_URL" in os.environ, reason="this process runs on PostgreSQL already")
@pytest.mark.skipif(os.environ.get("OFFTOOL_NO_POSTGRES") == "1", reason="OFFTOOL_NO_POSTGRES=1")
def test_the_record_keeps_its_rules_on_postgresql() -> None:
    find_programs()  # says what to install
    inherited = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    with running_server() as url:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *ON_BOTH],
            cwd=TOP,
            env={**inherited, "DATABASE_URL": url},
            capture_output=True,
            text=True,
        )
    assert done.returncode == 0, done.stdout[-20_000:] + done.stderr[-5_000:]
