"""Make the gauge studies of the demo anew: `python -m examples.make_gauge_studies`.

Invented, as all of the harbour otter: one person of each shift measures ten hip pegs with the micrometer, two
gauge blocks and a row of them are read, and three people pull welded seams apart. Seeded: the same bytes come
out on every computer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).parent / "readings_files"
PEOPLE = ("Early", "Late", "Night")
PARTS = 10
STEP_MM = 0.001
SEED = 20260120


@dataclass(frozen=True, slots=True, kw_only=True)
class Invented:
    """One study: its file, the gauge it is of, and what the file does not say."""

    file: str
    gauge: str
    name: str
    kind: str
    size: str = ""
    tolerance: float | None = None
    reference: float | None = None
    reference_uncertainty: float = 0.0
    done_on: date


CROSSED = Invented(
    file="MIC-07_crossed.csv", gauge="MIC-07", name="S1", kind="crossed", size="HO-05 2",
    done_on=date(2026, 1, 20),
)  # fmt: skip
REFERENCE = Invented(
    file="MIC-07_block_5_mm.csv", gauge="MIC-07", name="R1", kind="reference part", size="HO-05 2",
    reference=5.0, reference_uncertainty=0.0002, done_on=date(2026, 1, 20),
)  # fmt: skip
LINEARITY = Invented(
    file="MIC-07_blocks.csv", gauge="MIC-07", name="L1", kind="linearity", tolerance=0.05,
    reference_uncertainty=0.0002, done_on=date(2026, 1, 21),
)  # fmt: skip
WELD_PULL = Invented(
    file="PUL-09_weld_pull.csv", gauge="PUL-09", name="W1", kind="nested", tolerance=60.0,
    done_on=date(2026, 2, 3),
)  # fmt: skip
STUDIES = (CROSSED, REFERENCE, LINEARITY, WELD_PULL)


def study_files() -> dict[str, str]:
    """Every file by its name."""
    random = np.random.default_rng(SEED)
    return {
        CROSSED.file: _crossed(random),
        REFERENCE.file: _reference(random),
        LINEARITY.file: _linearity(random),
        WELD_PULL.file: _weld_pull(random),
    }


def _read_off(value: float) -> str:
    return f"{round(value / STEP_MM) * STEP_MM:.3f}"


def _crossed(random: np.random.Generator) -> str:
    """A row a part, a pair of columns a person, with a title and decimal commas, as gauge rooms write."""
    pegs = np.linspace(3.978, 4.031, PARTS)[random.permutation(PARTS)]
    people = dict(zip(PEOPLE, (0.0004, -0.0006, 0.0003), strict=True))
    rows = ["Micrometer MIC-07, hip peg diameter, sizes in mm", ""]
    rows += [
        "Part;" + ";".join(f"{who};" for who in PEOPLE)[:-1] + ";",
        ";" + ";".join(["1;2"] * len(PEOPLE)),
    ]
    for number, peg in enumerate(pegs, 1):
        cells = [
            _read_off(peg + off + random.normal(0, 0.0011)).replace(".", ",")
            for off in people.values()
            for _ in range(2)
        ]
        rows.append(f"{number};" + ";".join(cells))
    rows[6] = rows[6].replace(";", "*;", 2).replace("*;", ";", 1)  # a star, left behind the first reading
    return _text(rows)


def _reference(random: np.random.Generator) -> str:
    """One gauge block, again and again."""
    values = 5.0 + 0.0007 + random.normal(0, 0.0009, 25)
    return _text(["Reading no,Value [mm]", *(f"{i},{_read_off(one)}" for i, one in enumerate(values, 1))])


def _linearity(random: np.random.Generator) -> str:
    """Five gauge blocks over the range of the gauge."""
    rows = ["Part,Reference,1,2,3,4,5,6"]
    for number, size in enumerate((2.5, 5.0, 10.0, 15.0, 20.0), 1):
        values = size + 0.0002 + 0.00015 * size + random.normal(0, 0.0009, 6)
        rows.append(f"{number},{size:.4f}," + ",".join(map(_read_off, values)))
    return _text(rows)


def _weld_pull(random: np.random.Generator) -> str:
    """A row a pull: each person has batches of their own, three like pieces from each."""
    rows = ["Operator,Part,Trial,Force [N]"]
    batch = 0
    for who, off in zip(PEOPLE, (0.0, 1.2, -0.8), strict=True):
        for _ in range(5):
            batch += 1
            level = 92.0 + off + random.normal(0, 5.0)
            rows += [f"{who},B{batch},{i},{level + random.normal(0, 1.6):.0f}" for i in (1, 2, 3)]
    return _text(rows)


def _text(rows: Sequence[str]) -> str:
    return "\n".join([*rows, ""])


def write_study_files(folder: Path = FOLDER) -> None:
    """Write every file."""
    for name, text in study_files().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


def keep_gauge_studies(
    programme: str, *, read_at: datetime, read_by: str, studies: Sequence[Invented] = STUDIES
) -> None:
    """Keep the studies in a programme that is in the open record; the pull tester is made where it is not."""
    from offtool.handbook.terms import StudyKind
    from offtool.records.models import Gauge
    from offtool.records.queries import find_programme
    from offtool.steps.keep_study import StudyAbout, keep_study

    Gauge.objects.get_or_create(
        programme=find_programme(programme), code=WELD_PULL.gauge,
        defaults={"name": "pull tester", "resolution": 1.0, "uncertainty": 0.0},
    )  # fmt: skip
    files = study_files()
    for one in studies:
        about = StudyAbout(
            kind=StudyKind(one.kind), size=one.size, tolerance=one.tolerance, reference=one.reference,
            reference_uncertainty=one.reference_uncertainty, done_on=one.done_on,
        )  # fmt: skip
        keep_study(
            files[one.file].encode(), one.file, programme=programme, gauge=one.gauge, study=one.name,
            about=about, read_at=read_at, read_by=read_by,
        )  # fmt: skip


if __name__ == "__main__":
    write_study_files()
