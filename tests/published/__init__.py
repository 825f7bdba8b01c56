"""Published data, verbatim under a header of # lines that names the source."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).parent


def lines(name: str) -> list[str]:
    """The lines of a file without its header."""
    text = (HERE / name).read_text(encoding="utf-8")
    return [line for line in text.splitlines() if not line.startswith("#")]


def numbers(name: str) -> list[float]:
    """All numbers of a file that holds nothing else."""
    return [float(one) for line in lines(name) for one in line.split()]


def table(name: str) -> list[list[str]]:
    """The rows of a comma-separated file, without quotes and without the row of names."""
    return [[cell.strip('"') for cell in line.split(",")] for line in lines(name)[1:] if line]


def strd(name: str) -> tuple[list[str], list[float]]:
    """Treatment and response of a one-way file of the Statistical Reference Datasets."""
    rows = lines(f"nist_strd/{name}.dat")
    first = max(i for i, line in enumerate(rows) if line.startswith("Data:"))
    pairs = [line.split() for line in rows[first + 1 :] if line.strip()]
    return [group for group, _ in pairs], [float(value) for _, value in pairs]
