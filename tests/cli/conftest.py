"""The commands as they are typed, on an invented programme: a flipper with three sizes in two cavities."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import pytest
from click.testing import CliRunner

from offtool.cli import main

SIZES = (("1", "peg", 4.0, 3.98, 4.03), ("2", "length", 40.0, 39.9, 40.1), ("3", "wall", 1.4, 1.3, 1.5))
MEANS = {
    ("1", "1"): 3.966,
    ("1", "2"): 3.972,
    ("2", "1"): 40.01,
    ("2", "2"): 40.02,
    ("3", "1"): 1.4,
    ("3", "2"): 1.41,
}
PARTS = 10


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command wrote and how it left."""

    exit_code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output as JSON."""
        return json.loads(self.out)


Run = Callable[..., Answer]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Type a command; errors that are no refusals are raised."""
    monkeypatch.setenv("COLUMNS", "100")

    def typed(*words: str | Path, stdin: str | None = None) -> Answer:
        result = CliRunner().invoke(main, list(map(str, words)), input=stdin, prog_name="offtool")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    return typed


@pytest.fixture
def record(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The test database stands for the record, which is open already; its file is only looked for."""
    file = tmp_path / "record.sqlite3"
    file.touch()
    monkeypatch.setenv("OFFTOOL_RECORD", str(file))
    monkeypatch.setattr("offtool.setup.open_record", lambda path=None: None)
    return file


def report(seed: int = 1, shift: float = 0.0, *, odd: str = "") -> str:
    """A first-article report as text; `shift` moves the peg, `odd` stands in the last cell."""
    random = Random(seed)
    places = [(cavity, part) for cavity in ("1", "2") for part in range(1, PARTS + 1)]
    lines = [
        "No.,Characteristic,Unit,Nominal,Lower limit,Upper limit," + ",".join(f"C{c}-{p}" for c, p in places)
    ]
    for number, name, nominal, lower, upper in SIZES:
        spread = (upper - lower) / 15
        values = [
            f"{random.gauss(MEANS[number, cavity] + shift * (number == '1'), spread):.4f}"
            for cavity, _ in places
        ]
        lines.append(f"{number},{name},mm,{nominal},{lower},{upper}," + ",".join(values))
    if odd:
        lines[-1] = lines[-1].rpartition(",")[0] + f",{odd}"
    return "\n".join(lines) + "\n"


@pytest.fixture
def flipper(run: Run, record: Path, tmp_path: Path) -> str:
    """The programme, started from a report, its peg's steel named; gives its short name."""
    from offtool.handbook.terms import Half, Stated
    from offtool.steps.name_steel import Shape, SteelNamed, name_steel

    file = tmp_path / "T1.csv"
    file.write_text(report(), encoding="utf-8")
    kept = run("start", "Flipper", file, "--keep", "--json")
    assert kept.exit_code == 0, kept.err
    name_steel(
        "flipper", "M1", part="P1", number="1", feature="F1", shape=Shape.RECESS, half=Half.CAVITY,
        stated=Stated.DIAMETER, drawn_mm=3.99,
        measured={
            "1": SteelNamed(measured_mm=3.986, allowance_mm=0.1),
            "2": SteelNamed(measured_mm=3.992, allowance_mm=0.1),
        },
    )  # fmt: skip
    return "flipper"
