"""One line of the table: what was measured, what is aimed at, and the baseline of the same run."""

from __future__ import annotations

from dataclasses import dataclass

WHAT, NUMBER = 56, 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A measured value beside its goal and its baseline; None where there is none."""

    what: str
    value: float
    unit: str
    goal: float | None = None
    beside: str = ""
    baseline: float | None = None

    def line(self) -> str:
        """The figure as a line of the table."""
        goal = f"under {_shown(self.goal, self.unit)}" if self.goal is not None else ""
        ratio = f"{self.value / self.baseline:.1f} x" if self.baseline else ""
        baseline = f"{self.beside} {_shown(self.baseline, self.unit)}" if self.baseline is not None else ""
        measured = f"{self.what:<{WHAT}}{_shown(self.value, self.unit):>{NUMBER}}"
        return f"{measured}{goal:>16}{ratio:>10}  {baseline}".rstrip()


def heading() -> str:
    """The head of the table."""
    return f"{'':<{WHAT}}{'measured':>{NUMBER}}{'goal':>16}{'ratio':>10}  baseline"


def _shown(value: float | None, unit: str) -> str:
    if value is None:
        return ""
    if unit == "s" and value < 1:
        return f"{1000 * value:,.3g} ms"
    return f"{value:,.3g} {unit}" if value < 1000 else f"{value:,.0f} {unit}"
