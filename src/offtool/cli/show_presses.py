"""Presses and tools on the terminal: which goes on which, what to do, the cycle, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.planning.cycle import CycleTime
from offtool.core.planning.press import FitCheck, PressFit
from offtool.core.planning.press.compare import called
from offtool.reports.fit_words import (
    NO_NUMBER,
    at_temperatures,
    bracket_in_words,
    cooled_in_words,
    every_in_words,
    margin_in_words,
    press_in_words,
)
from offtool.steps.findings import Action
from offtool.steps.fit_found import FitFound, PressesFound, ToolAmongPresses


def presses_lines(found: PressesFound) -> list[str]:
    """Every tool with its press, what each other lacks, and the presses with their numbers."""
    lines = sentence(found.headline)
    lines += _to_do(found.actions)
    lines += [] if found.presses else _first_press(found.programme)
    for one in found.tools if found.presses else ():
        lines += _tool(one)
    if found.presses:
        lines += heading("Presses")
        rows = [[called(press), _numbers(press_in_words(press, found.currency))] for press in found.presses]
        lines += table(rows, width=width(), indent=2)
    return [*lines, *cautions(found.cautions)]


def _first_press(programme: str) -> list[str]:
    """The command that writes down a press, where there is none."""
    return [
        "",
        *sentence(f"offtool press {programme} PRESS --new --clamp-kn KN --barrel-g G writes one down."),
    ]


def _tool(one: ToolAmongPresses) -> list[str]:
    rows = [[on.press, str(on.verdict), on.words] for on in one.on]
    return [*heading(f"{one.tool} {one.tool_name}".rstrip()), *table(rows, width=width(), indent=2)]


def _numbers(told: Sequence[tuple[str, str]]) -> str:
    known = [f"{about} {says}" for about, says in told if says != NO_NUMBER]
    return ", ".join(known) or f"its numbers are {NO_NUMBER}"


def fit_lines(found: FitFound) -> list[str]:
    """One tool: its press, what to do, each check, the others, the cycle, the cooling."""
    lines = [*sentence(found.headline), *_to_do(found.actions)]
    lines += [] if found.compared.presses else _first_press(found.programme)
    if found.compared.presses:
        lines += _checks(found.compared.presses[0].fit)
        rows = [[called(one.fit.press), str(one.fit.verdict), one.words] for one in found.compared.presses]
        lines += [*heading("All presses"), *table(rows, width=width(), indent=2)]
    lines += _cycle(found.cycle.cycle) if found.cycle.cycle is not None else []
    if found.cooling is not None:
        lines += [
            *heading("Cooling"),
            *sentence(f"{at_temperatures(found.cooling)[0].upper()}{at_temperatures(found.cooling)[1:]}:"),
        ]
        rows = [[about, says] for about, says in cooled_in_words(found.cooling)]
        lines += table_or_bullets(rows, [f"{about}: {says}" for about, says in rows], sides="<>")
    facts = [[one.about, one.says] for one in found.rests_on]
    lines += [*heading("What it rests on"), *table(facts, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _to_do(actions: Sequence[Action]) -> list[str]:
    if not actions:
        return []
    return [*heading("What to do"), *steps([(one.do, one.because) for one in actions])]


def _checks(fit: PressFit) -> list[str]:
    rows = [[str(one.question), str(one.verdict), _said(one)] for one in fit.checks]
    return [*heading(f"On {called(fit.press)}"), *table(rows, width=width(), indent=2)]


def _said(check: FitCheck) -> str:
    return "; ".join(filter(None, (margin_in_words(check), check.words, check.advice)))


def _cycle(cycle: CycleTime) -> list[str]:
    told = [cycle.words, every_in_words(cycle.seconds_a_part)]
    told += [f"{one.what}: {bracket_in_words(one.seconds, 's', 1)} ({one.rests_on})" for one in cycle.shares]
    return [*heading("Cycle"), *bullets(told)]
