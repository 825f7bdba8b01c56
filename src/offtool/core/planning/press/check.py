"""One question of a fit: what is needed, what the press has, and the three answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from offtool.core.values import Caution, Verdict

INFINITE = float("inf")


class FitQuestion(StrEnum):
    """What is asked of a press, in the order in which it is asked."""

    CLAMP = "clamp"
    SHOT = "shot"
    RESIDENCE = "time in the barrel"
    TIE_BARS = "tie bars"
    MOULD_HEIGHT = "mould height"
    OPENING = "opening"
    DAYLIGHT = "daylight"
    EJECTOR = "ejector"


class Knows(StrEnum):
    """Who can say what is missing."""

    PRESS = "the sheet of the press"
    TOOL = "the toolmaker or a tape on the mould"
    PART = "the mesh of the part"
    RESIN = "the sheet of the grade"


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A number that nobody wrote down, and who knows it."""

    what: str
    who: Knows


@dataclass(frozen=True, slots=True, kw_only=True)
class FitCheck:
    """Least and most that is needed, against the ends that the press can do.

    `margin` is the room that is left as a share of what the press has, negative where it does not reach;
    None where it cannot be said.
    """

    question: FitQuestion
    unit: str
    needed: tuple[float, float] | None
    can: tuple[float, float] | None
    verdict: Verdict
    margin: float | None
    words: str
    advice: str = ""
    missing: tuple[Missing, ...] = ()
    source: str = ""
    unusual: str = ""
    """In a few words what is outside the usual here though it holds; empty where nothing is."""
    cautions: tuple[Caution, ...] = ()


def verdict_between(needed: tuple[float, float], can: tuple[float, float]) -> Verdict:
    """Holds where all that may be needed lies inside, fails where none of it does."""
    if can[0] <= needed[0] and needed[1] <= can[1]:
        return Verdict.HOLDS
    if needed[0] > can[1] or needed[1] < can[0]:
        return Verdict.FAILS
    return Verdict.NOT_SHOWN


def margin_between(needed: tuple[float, float], can: tuple[float, float]) -> float | None:
    """Room to the nearer end, as a share of the upper one."""
    low, high = can
    if not isfinite(high) or high <= 0:
        return None
    above = (high - needed[1]) / high
    return min(above, (needed[0] - low) / high) if low > 0 else above


def not_known(question: FitQuestion, unit: str, missing: tuple[Missing, ...]) -> FitCheck:
    """A question that cannot be answered, with what is missing and where it is to be had."""
    return FitCheck(
        question=question,
        unit=unit,
        needed=None,
        can=None,
        verdict=Verdict.NOT_SHOWN,
        margin=None,
        words=not_known_in_words([one.what for one in missing]),
        advice=to_be_had(missing),
        missing=missing,
    )


def not_known_in_words(what: Sequence[str]) -> str:
    """Runner and thickest wall are not known."""
    listed = " and ".join(one for one in (", ".join(what[:-1]), what[-1]) if one)
    return f"{listed} {'is' if len(what) == 1 else 'are'} not known"


def to_be_had(missing: Sequence[Missing]) -> str:
    """From whom the missing numbers are to be had."""
    return f"to be had from {' and '.join(dict.fromkeys(one.who for one in missing))}" if missing else ""


def absent(*named: tuple[float | None, str, Knows]) -> tuple[Missing, ...]:
    """Those that are not known."""
    return tuple(Missing(what=what, who=who) for value, what, who in named if value is None)
