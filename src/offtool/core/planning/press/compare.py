"""All presses for one tool: those it goes on first, and why not each other."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from offtool.core.planning.press.check import FitCheck, FitQuestion, not_known_in_words
from offtool.core.planning.press.facts import PressFacts, ToolFacts
from offtool.core.planning.press.fit import WORST_FIRST, PressFit, fit_press
from offtool.core.values import Caution, ImpossibleInput, Verdict

WOULD = {
    FitQuestion.CLAMP: "would flash",
    FitQuestion.SHOT: "cannot hold the shot",
    FitQuestion.RESIDENCE: "keeps the resin hot too long",
    FitQuestion.TIE_BARS: "has too little room between its tie bars",
    FitQuestion.MOULD_HEIGHT: "does not take a mould so thick",
    FitQuestion.OPENING: "does not open far enough",
    FitQuestion.DAYLIGHT: "has too little daylight",
    FitQuestion.EJECTOR: "does not push far enough",
}
"""What a press does where a check fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressCompared:
    """One press among all: its fit, and in words why it stands where it stands."""

    fit: PressFit
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressesCompared:
    """Best first: those that hold, those of which it is not shown, those that do not."""

    presses: tuple[PressCompared, ...]
    tool: ToolFacts
    words: str
    cautions: tuple[Caution, ...] = ()

    @property
    def best(self) -> PressFit | None:
        """The first, unless even that one fails."""
        first = self.presses[0].fit if self.presses else None
        return first if first is not None and first.verdict is not Verdict.FAILS else None


def compare_presses(
    tool: ToolFacts, presses: Sequence[PressFacts], *, said_to_hold: Collection[str] = ()
) -> PressesCompared:
    """Which press a tool goes on, of all there are.

    First by verdict, then those that somebody said hold it, then by how few things are unusual there, then
    the cheaper hour where both are known, then the smaller clamp: a large press costs more and presses a
    small mould harder than it needs.

    Returns: PressesCompared. Raises: ImpossibleInput for a number that cannot be, and for two presses of one
    code.
    """
    _refuse_twice(presses)
    fits = sorted((fit_press(press, tool) for press in presses), key=lambda one: _standing(one, said_to_hold))
    told = tuple(PressCompared(fit=one, words=_told(one, said_to_hold)) for one in fits)
    seen = dict.fromkeys(caution for one in fits for caution in one.cautions)
    return PressesCompared(presses=told, tool=tool, words=_words(tool, fits), cautions=tuple(seen))


def _refuse_twice(presses: Sequence[PressFacts]) -> None:
    seen: set[str] = set()
    for one in presses:
        if one.code in seen:
            raise ImpossibleInput("code", one.code, "", "two presses have it", "give each its own")
        seen.add(one.code)


def _standing(one: PressFit, said: Collection[str]) -> tuple[int, int, int, bool, int, float, float, str]:
    press, infinite = one.press, float("inf")
    return (
        -WORST_FIRST.index(one.verdict),
        len(one.failing),
        len(one.not_shown),
        one.press.code not in said,
        len(_unusual(one)),
        press.per_hour if press.per_hour is not None else infinite,
        press.clamp_kn if press.clamp_kn is not None else infinite,
        press.code,
    )


def _unusual(one: PressFit) -> list[str]:
    """What is outside the usual there, in a few words each."""
    return [check.unusual for check in one.checks if check.unusual]


def why(fit: PressFit) -> str:
    """In one line: what stands in the way, else what is not known, else how much is to spare."""
    if fit.failing:
        return " and ".join(_would(one) for one in fit.failing)
    if fit.not_shown:
        missing = [one.what.replace(f" of {fit.press.code}", "") for one in fit.missing]
        said = [f"{one.question}: {one.words}" for one in fit.not_shown if not one.missing]
        return "; ".join([*said, *([not_known_in_words(missing)] if missing else [])])
    clamp = fit.check(FitQuestion.CLAMP)
    spare = f"{100 * clamp.margin:.0f} % clamp to spare" if clamp.margin is not None else "it fits"
    return ", ".join([spare, *_unusual(fit)])


def _told(fit: PressFit, said: Collection[str]) -> str:
    """Why it stands there, and that others were named for the tool and this was not."""
    is_named = not said or fit.press.code in said or fit.verdict is Verdict.FAILS
    return why(fit) if is_named else f"{why(fit)}; nobody has named it for this tool"


def _would(check: FitCheck) -> str:
    if (
        check.question is FitQuestion.MOULD_HEIGHT
        and check.needed
        and check.can
        and check.needed[0] < check.can[0]
    ):
        return "takes no mould so thin"
    return WOULD[check.question]


def _words(tool: ToolFacts, fits: Sequence[PressFit]) -> str:
    if not fits:
        return f"no press is written down for {tool.code}"
    first = fits[0]
    others = list(_others(fits[1:]))
    if first.verdict is Verdict.HOLDS:
        start = f"{tool.code} goes on {called(first.press)} with {why(first)}"
    elif first.verdict is Verdict.NOT_SHOWN:
        start = f"{tool.code} may go on {called(first.press)}: {why(first)}"
        others = [] if len(start) > 140 else others
    else:
        start = f"{tool.code} goes on no press here: {called(first.press)} {why(first)}"
    return "; ".join([start, *others])


def _others(fits: Sequence[PressFit]) -> Iterator[str]:
    """The smallest that fails, for that is the one people would try."""
    failing = [one for one in fits if one.verdict is Verdict.FAILS]
    if failing:
        yield f"{called(failing[0].press)} {why(failing[0])}"


def called(press: PressFacts) -> str:
    """By name with its code, or by code alone."""
    return f"{press.code} ({press.name})" if press.name and press.name != press.code else press.code
