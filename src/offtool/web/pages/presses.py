"""The page of all presses: their numbers, and every tool against every press."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse

from offtool.core.planning.press import PressFacts
from offtool.core.planning.press.compare import called
from offtool.core.values import Caution
from offtool.reports.fit_words import on_press_in_words, press_in_words
from offtool.steps.findings import Action
from offtool.steps.fit_found import PressesFound, ToolAmongPresses, ToolOnPress
from offtool.steps.fit_meshes import MESH
from offtool.steps.fit_sentences import BEST, CHECKS, NEW_PRESS, PRESS, TOOL
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import MARK, ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberRow:
    """One number of every press."""

    about: str
    cells: tuple[tuple[str, str], ...]
    """The press, and what it has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressHead:
    """A press at the head of a column."""

    name: str
    change_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPressCell:
    """One tool on one press."""

    press: str
    mark: str
    word: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRow:
    """One tool against all presses."""

    code: str
    name: str
    href: str
    mark: str
    headline: str
    cells: tuple[OnPressCell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PressesPage:
    """All presses and all tools."""

    frame: Frame
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    presses: tuple[PressHead, ...]
    tools: tuple[ToolRow, ...]
    numbers: tuple[NumberRow, ...]
    cautions: tuple[Caution, ...]
    new_href: str
    prices_href: str
    method: str


def presses_page(found: PressesFound) -> PressesPage:
    """The page of all presses."""
    programme = Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme]))
    return PressesPage(
        frame=Frame(
            title=f"Presses, {found.programme_title}",
            crumbs=(programme, Crumb(text="Presses")),
            invented=found.invented,
            as_json=AS_JSON,
        ),
        when=found.programme_title,
        headline=found.headline,
        actions=tuple(action_row(one, found.programme) for one in found.actions),
        presses=tuple(_head(one, found.programme) for one in found.presses),
        tools=tuple(_tool(one, found.programme) for one in found.tools),
        numbers=tuple(_numbers(found)),
        cautions=tuple(map(with_capital, found.cautions)),
        new_href=reverse("ground_new_press", args=[found.programme]),
        prices_href=reverse("prices", args=[found.programme]),
        method=found.method,
    )


def action_row(action: Action, programme: str, tool: str = "") -> ActionRow:
    """What to do, with the link that leads on."""
    link, href = _way(action.leads_to, programme, tool)
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _way(leads_to: str, programme: str, tool: str) -> tuple[str, str]:
    if leads_to.startswith(PRESS):
        return "its numbers", reverse("ground_press", args=[programme, leads_to.removeprefix(PRESS)])
    if leads_to.startswith(MESH):
        return "read it in", reverse("read_mesh", args=[programme, leads_to.removeprefix(MESH)])
    ways = {
        NEW_PRESS: ("the first press", reverse("ground_new_press", args=[programme])),
        CHECKS: ("the checks", "#checks"),
        BEST: ("the press for each tool", "#best"),
        **({TOOL: ("its numbers", reverse("tool_numbers", args=[programme, tool]))} if tool else {}),
    }
    return ways.get(leads_to, ("", ""))


def _tool(one: ToolAmongPresses, programme: str) -> ToolRow:
    return ToolRow(
        code=one.tool,
        name=one.tool_name,
        href=reverse("fit_tool", args=[programme, one.tool]),
        mark=MARK[one.verdict],
        headline=one.headline,
        cells=tuple(map(_cell, one.on)),
    )


def _cell(one: ToolOnPress) -> OnPressCell:
    return OnPressCell(press=one.press, mark=MARK[one.verdict], word=on_press_in_words(one), why=one.words)


def _head(press: PressFacts, programme: str) -> PressHead:
    return PressHead(name=called(press), change_href=reverse("ground_press", args=[programme, press.code]))


def _numbers(found: PressesFound) -> Iterator[NumberRow]:
    """The sheets of all presses side by side, a row a number."""
    sheets = [press_in_words(one, found.currency) for one in found.presses]
    names = [called(one) for one in found.presses]
    for row in zip(*sheets, strict=True):
        cells = tuple(zip(names, (says for _, says in row), strict=True))
        yield NumberRow(about=row[0][0], cells=cells)
