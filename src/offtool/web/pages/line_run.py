"""The page of a run: what the line makes against the plan, what to add, where the time goes, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution, OfftoolError
from offtool.reports.line_run_output import draw_output
from offtool.reports.line_run_places import draw_places
from offtool.reports.line_run_stores import draw_stores
from offtool.reports.line_run_words import (
    before_in_words,
    estimated_percent,
    gain_in_words,
    parts_of,
    people_in_words,
    reaches_in_words,
    shares_in_words,
    shares_of,
    shown_in_words,
    time_in_words,
    waits_before,
)
from offtool.reports.words import percent
from offtool.steps.findings import Action, Fact
from offtool.steps.line_run_found import LineRunFound, MoreOfIt, PressRun, StationRun
from offtool.steps.line_run_sentences import LINE, LONGER, MORE, PILOT
from offtool.steps.run_line import LineRunChoices
from offtool.steps.sentences import sentence
from offtool.web.forms.line_run import LineRunForm
from offtool.web.long_line_run import LineRunAnswer
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.line_run_progress import ProgressShown, progress_in_words
from offtool.web.pages.trial import MARK, ActionRow


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    """One station, or one tool that feeds the line."""

    name: str
    what: str
    """Its people and tasks, or its parts."""
    time: str
    time_from: str
    needed: str
    goes: str
    """Where its time goes."""
    before: tuple[str, ...]
    limits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreRow:
    """One thing more, tried alone."""

    words: str
    gain: str
    rate: str
    word: str
    mark: str
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRunPage:
    """What the line makes."""

    frame: Frame
    when: str
    """What runs the answer is of."""
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    unsaid: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    progress: ProgressShown | None
    notice: str
    refusal: str
    more: tuple[MoreRow, ...]
    more_says: str
    output: SafeString | None
    places: SafeString | None
    stores: SafeString | None
    stations: tuple[StationRow, ...]
    form: Any
    line_href: str
    method: str


def line_run_page(answer: LineRunAnswer, form: LineRunForm, *, refusal: str = "") -> LineRunPage:
    """The page of a result; `refusal` says why a run could not be begun."""
    found = answer.found
    query = f"?{form.query()}" if form.is_valid() and form.asks_long else "?"
    has_stores = any(one.before for one in found.stations)
    return LineRunPage(
        frame=_frame(found.programme, found.programme_title, found.line, found.invented, as_json=query),
        when=_when(answer),
        headline=found.headline,
        actions=tuple(_action(one, found) for one in found.actions),
        facts=found.rests_on,
        unsaid=tuple(Fact(about=one.about, says=one.says) for one in found.unsaid),
        cautions=found.cautions,
        progress=_progress(answer, form, query) if form.is_valid() else None,
        notice=answer.notice,
        refusal=refusal,
        more=tuple(_more(one, found) for one in found.more),
        more_says=_more_says(found),
        output=mark_safe(draw_output(found)),  # noqa: S308 our own drawing
        places=mark_safe(draw_places(found)),  # noqa: S308 our own drawing
        stores=mark_safe(draw_stores(found)) if has_stores else None,  # noqa: S308 our own drawing
        stations=(*map(_station, found.stations), *map(_press, found.presses)),
        form=form,
        line_href=reverse("line", args=[found.programme, found.line]),
        method=found.method,
    )


def nothing_to_run_page(choices: LineRunChoices, error: OfftoolError) -> LineRunPage:
    """The page of a line that has no tasks yet."""
    line_href = reverse("line", args=[choices.programme, choices.line])
    do = (
        ActionRow(do=sentence(error.remedy), because="", href=line_href, link="the line")
        if error.remedy
        else None
    )
    return LineRunPage(
        frame=_frame(choices.programme, choices.programme_title, choices.line, choices.invented),
        when="",
        headline=sentence(f"nothing can be run yet: {error.what}"),
        actions=(do,) if do is not None else (),
        facts=(), unsaid=(), cautions=(), progress=None, notice="", refusal="", more=(), more_says="",
        output=None, places=None, stores=None, stations=(), form=None, line_href=line_href, method="",
    )  # fmt: skip


def _frame(programme: str, title: str, line: str, invented: bool, *, as_json: str = "") -> Frame:
    crumbs = (
        Crumb(text=title, href=reverse("programme", args=[programme])),
        Crumb(text=f"Line {line}", href=reverse("line", args=[programme, line])),
        Crumb(text="What it makes"),
    )
    link = f"{as_json}{'' if as_json == '?' else '&'}format=json" if as_json else ""
    return Frame(title=f"What line {line} makes, {title}", crumbs=crumbs, invented=invented, as_json=link)


def _when(answer: LineRunAnswer) -> str:
    done = answer.found.simulated
    of = f"{done.runs} of {done.runs_asked}" if done.stopped else f"{done.runs}"
    said = f"{of} runs of {done.hours:g} h"
    if answer.long is not None and not answer.long.is_over:
        return f"{said}, so far" if answer.long.known is not None else f"{said}, until the long run says more"
    if answer.long is None:
        return f"{said}: a first answer" if not answer.found.more else said
    return f"{said}, stopped" if done.stopped else said


def _action(one: Action, found: LineRunFound) -> ActionRow:
    pilot = f"?pilot={found.pilots[-1]}" if found.pilots else ""
    links = {
        LONGER: ("run it longer", "#run"),
        MORE: ("all that was tried", "#more"),
        LINE: ("the line", reverse("line", args=[found.programme, found.line])),
        PILOT: ("with its times", pilot),
    }
    link, href = links.get(one.leads_to, ("", ""))
    return ActionRow(do=one.do, because=one.because, href=href, link=link)


def _progress(answer: LineRunAnswer, form: LineRunForm, query: str) -> ProgressShown | None:
    long, found = answer.long, answer.found
    if long is None or long.is_over:
        return None
    return ProgressShown(
        done=long.done,
        of=long.of,
        says=progress_in_words(long),
        href=reverse("run_line_progress", args=[found.programme, found.line, long.key]),
        again_href=query,
        fields=tuple((name, str(value)) for name, value in form.asked().items()),
    )


def _more(one: MoreOfIt, found: LineRunFound) -> MoreRow:
    return MoreRow(
        words=one.words,
        gain=gain_in_words(one),
        rate=reaches_in_words(one, found),
        word=shown_in_words(one),
        mark="" if one.is_nothing else MARK[one.shown],
        assumed=one.is_of_assumed,
    )


def _more_says(found: LineRunFound) -> str:
    if found.more_confidence is None:
        return ""
    return (
        f"Each was tried alone, run by run with the same chances as the line as it is. The intervals hold "
        f"for all of them together at {percent(found.more_confidence, 0)}."
    )


def _station(one: StationRun) -> StationRow:
    return StationRow(
        name=one.name,
        what=f"{people_in_words(one)}: {', '.join(one.tasks)}",
        time=time_in_words(one),
        time_from=one.time_from,
        needed=estimated_percent(one.shares.needed),
        goes=shares_in_words(shares_of(one.shares)),
        before=tuple(map(before_in_words, waits_before(one))),
        limits=one.limits,
    )


def _press(one: PressRun) -> StationRow:
    return StationRow(
        name=one.name,
        what=f"moulds {', '.join(one.parts)}",
        time=f"{one.cycle_s:.3g} s a shot",
        time_from="",
        needed=estimated_percent(one.shares.needed),
        goes=shares_in_words(parts_of(one)),
        before=(),
        limits=one.limits,
    )
