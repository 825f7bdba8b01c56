"""The page of one tool among the presses: which it goes on, each check, its cycle and how it cools."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.planning.cycle import CycleTime
from offtool.core.planning.cycle.whole import AT_THE_PRESS
from offtool.core.planning.press import FitCheck, PressCompared, PressFit
from offtool.core.planning.press.barrel import GASES
from offtool.core.planning.press.compare import called
from offtool.core.planning.press.room import CRANE
from offtool.core.values import Caution
from offtool.reports.cooling_drawing import draw_cooling
from offtool.reports.fit_bar import draw_fit_bar
from offtool.reports.fit_words import (
    at_temperatures,
    bracket_in_words,
    can_in_words,
    cooled_in_words,
    every_in_words,
    margin_in_words,
    needed_in_words,
)
from offtool.steps.cycle_of_tool import WallCooled
from offtool.steps.findings import Fact
from offtool.steps.fit_found import FitFound
from offtool.steps.sentences import sentence
from offtool.web.forms.fit import TryShotForm
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.presses import action_row
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import MARK, ActionRow

HURTS = (CRANE, AT_THE_PRESS, GASES)
"""Cautions of what can hurt someone: they stand under a heading of their own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One check with its bar."""

    question: str
    mark: str
    word: str
    bar: SafeString
    needed: str
    can: str
    margin: str
    says: str
    advice: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressAgainst:
    """One press among all, and why it stands where it stands."""

    name: str
    mark: str
    word: str
    why: str
    change_href: str
    is_best: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleShown:
    """The cycle in words, and its stretches."""

    says: str
    per_part: str
    rows: tuple[tuple[str, str, str], ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingShown:
    """How the thickest wall cools."""

    says: str
    drawing: SafeString
    numbers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FitPage:
    """One tool among all presses."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    hurts: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    on: str
    """The press whose checks are shown; empty where there is none."""
    checks: tuple[CheckRow, ...]
    presses: tuple[PressAgainst, ...]
    cycle: CycleShown | None
    why_no_cycle: str
    cooling: CoolingShown | None
    form: TryShotForm
    tool_href: str
    presses_href: str
    bench_href: str
    method: str


def fit_page(found: FitFound, form: TryShotForm) -> FitPage:
    """The page of one tool."""
    first = found.compared.presses[0].fit if found.compared.presses else None
    cycle, presses_href = found.cycle.cycle, reverse("presses", args=[found.programme])
    of_cycle = {*HURTS, *(cycle.cautions if cycle is not None else ())}
    return FitPage(
        frame=_frame(found, presses_href),
        when=f"Tool {found.tool} {found.tool_name}".rstrip() + f", {found.programme_title}",
        headline=found.headline,
        actions=tuple(action_row(one, found.programme, found.tool) for one in found.actions),
        facts=found.rests_on,
        hurts=tuple(with_capital(one) for one in HURTS if one in found.cautions),
        cautions=tuple(with_capital(one) for one in found.cautions if one not in of_cycle),
        on=called(first.press) if first is not None else "",
        checks=tuple(map(_check, first.checks)) if first is not None else (),
        presses=tuple(_against(one, found, first) for one in found.compared.presses),
        cycle=_cycle(cycle) if cycle is not None else None,
        why_no_cycle=found.cycle.why_not,
        cooling=_cooling(found.cooling, found.cycle.wall_from) if found.cooling is not None else None,
        form=form,
        tool_href=reverse("tool_numbers", args=[found.programme, found.tool]),
        presses_href=presses_href,
        bench_href=reverse("formula", args=["cooling_time_unequal"]),
        method=found.method,
    )


def _frame(found: FitFound, presses_href: str) -> Frame:
    return Frame(
        title=f"Press for tool {found.tool}, {found.programme_title}",
        crumbs=(
            Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme])),
            Crumb(text="Presses", href=presses_href),
            Crumb(text=f"Tool {found.tool}"),
        ),
        invented=found.invented,
        as_json=AS_JSON,
    )


def _check(check: FitCheck) -> CheckRow:
    return CheckRow(
        question=str(check.question),
        mark=MARK[check.verdict],
        word=str(check.verdict),
        bar=mark_safe(draw_fit_bar(check)),  # noqa: S308 our own drawing
        needed=needed_in_words(check),
        can=can_in_words(check),
        margin=margin_in_words(check),
        says=sentence(check.words),
        advice=sentence(check.advice) if check.advice else "",
        source=check.source,
    )


def _against(one: PressCompared, found: FitFound, first: PressFit | None) -> PressAgainst:
    press = one.fit.press
    return PressAgainst(
        name=called(press),
        mark=MARK[one.fit.verdict],
        word=str(one.fit.verdict),
        why=sentence(one.words),
        change_href=reverse("ground_press", args=[found.programme, press.code]),
        is_best=one.fit is first,
    )


def _cycle(cycle: CycleTime) -> CycleShown:
    return CycleShown(
        says=sentence(cycle.words),
        per_part=sentence(every_in_words(cycle.seconds_a_part)),
        rows=tuple((one.what, bracket_in_words(one.seconds, "s", 1), one.rests_on) for one in cycle.shares),
        cautions=tuple(with_capital(one) for one in cycle.cautions if one not in HURTS),
    )


def _cooling(cooled: WallCooled, part: str) -> CoolingShown:
    of = f" of {part}" if part else ""
    return CoolingShown(
        says=sentence(f"the thickest wall{of}: {at_temperatures(cooled)}, at its warmest place"),
        drawing=mark_safe(draw_cooling(cooled.in_steps)),  # noqa: S308 our own drawing
        numbers=tuple(cooled_in_words(cooled)),
    )
