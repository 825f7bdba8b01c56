"""Loading the cases and running one, in whichever process."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

from tests.coverage.cases import CASES, Covered


def load_cases() -> None:
    """Import every module of cases beside this one."""
    for path in sorted(Path(__file__).parent.glob("[a-z]*.py")):
        import_module(f"tests.coverage.{path.stem}")


def run_case(name: str) -> Covered:
    """One case, in a process that may have to load them first."""
    if name not in CASES:
        load_cases()
    return CASES[name].run()
