"""The page of the safety of a toy: own tests, what the law asks, small parts, and who decides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.pilot.safety import AskedTest
from offtool.core.values import Caution
from offtool.handbook.toy_law import EARS_AND_SPLINTERS, LAW_DECIDES, MARKETS, TRY_WITH_CARE
from offtool.reports import words
from offtool.reports.small_part_drawing import draw_small_part
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import count, listed, sentence
from offtool.steps.small_parts_of import PartInGauge, SmallPartsStanding
from offtool.steps.toy_found import SafetyFound
from offtool.steps.toy_judged import PartJudged
from offtool.steps.toy_standing import MarketStanding, RunSeen, TestStanding
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.seam_words import with_capital
from offtool.web.pages.trial import MARK, ActionRow

LEADS = {
    "market": "Say it.",
    "tests": "Own tests.",
    "read": "Read a test.",
    "small": "Small parts.",
    "parts": "Shapes of the parts.",
}
AT_THE_BENCH = (TRY_WITH_CARE, EARS_AND_SPLINTERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRow:
    """One test, and the pieces of one part in it."""

    test: str
    asked: str
    """The load of the law, and how often."""
    part: str
    mark: str
    word: str
    says: str
    runs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedRow:
    """One test that the law asks."""

    title: str
    in_law: str
    si: str
    how: str
    tried: str
    section: str
    surety: str
    only_where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketShown:
    """One market."""

    code: str
    title: str
    says: str
    judged: tuple[JudgedRow, ...]
    asked: tuple[AskedRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part in the cylinder."""

    part: str
    href: str
    name: str
    mark: str
    word: str
    says: str
    place: str
    """How the gauge is held over it."""
    drawing: SafeString | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallShown:
    """All parts, and what came off."""

    says: str
    matters: str
    """For which ages it matters, and how."""
    parts: tuple[PartRow, ...]
    without: str
    came_off: tuple[PartRow, ...]
    section: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRow:
    """One own test, and the form that sets it aside."""

    name: str
    what: str
    when: str
    file: str
    file_href: str
    since: tuple[str, ...]
    state: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyPage:
    """The safety of a toy."""

    frame: Frame
    when: str
    headline: str
    stands: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    at_the_bench: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    who_decides: Caution
    markets: tuple[MarketShown, ...]
    small: SmallShown
    runs: tuple[RunRow, ...]
    share_form: Any
    read_href: str
    market_href: str
    here: str
    method: str


def safety_page(
    found: SafetyFound,
    share_form: Any,
    *,
    made_by: str = "",
    refused: Mapping[str, SetAsideForm] | None = None,
    as_json: str = AS_JSON,
) -> SafetyPage:
    """The page; `refused` has the form of the test that could not be set aside."""
    own, standing = [found.programme], found.standing
    return SafetyPage(
        frame=safety_frame(found.programme, found.programme_title, found.invented, as_json=as_json),
        when=_when(found),
        headline=found.headline,
        stands=found.stands,
        actions=tuple(_action(one, found.programme) for one in found.actions),
        facts=found.rests_on,
        at_the_bench=AT_THE_BENCH,
        cautions=tuple(
            with_capital(one) for one in found.cautions if one not in (*AT_THE_BENCH, LAW_DECIDES)
        ),
        who_decides=LAW_DECIDES,
        markets=tuple(map(_market, standing.by_market)),
        small=_small(standing.small_parts, found.programme),
        runs=tuple(_run(one, found.programme, made_by, refused or {}) for one in standing.runs),
        share_form=share_form,
        read_href=reverse("read_toy_test", args=own),
        market_href=reverse("market", args=own),
        here=reverse("safety", args=own),
        method=found.method,
    )


def safety_frame(programme: str, title: str, invented: bool, *, here: str = "", as_json: str = "") -> Frame:
    """The frame of the page, or of one that hangs on it and is called `here`."""
    address = reverse("safety", args=[programme])
    crumbs = [
        Crumb(text=title, href=reverse("programme", args=[programme])),
        Crumb(text="Safety", href=address if here else ""),
        *([Crumb(text=here)] if here else []),
    ]
    named = f"{here}, {title}" if here else f"Safety, {title}"
    return Frame(title=named, crumbs=tuple(crumbs), invented=invented, as_json=as_json)


def _when(found: SafetyFound) -> str:
    standing = found.standing
    sold = listed([MARKETS[one] for one in standing.markets])
    if not sold or standing.from_months is None:
        return found.programme_title
    to = f" to {standing.to_months:g}" if standing.to_months is not None else ""
    mass = f", {standing.mass_kg:g} kg" if standing.mass_kg is not None else ""
    return f"{found.programme_title}: {sold}, from {standing.from_months:g}{to} months{mass}"


def _action(one: Action, programme: str) -> ActionRow:
    pages = {"market": "market", "read": "read_toy_test", "parts": "parts"}
    href = f"#{one.leads_to}" if one.leads_to in ("tests", "small") else ""
    if one.leads_to in pages:
        href = reverse(pages[one.leads_to], args=[programme])
    return ActionRow(do=one.do, because=one.because, href=href, link=LEADS.get(one.leads_to, ""))


def _market(market: MarketStanding) -> MarketShown:
    only = dict(market.only_where)
    return MarketShown(
        code=market.market,
        title=MARKETS[market.market],
        says=sentence(market.words.removeprefix(f"{MARKETS[market.market]}: ")),
        judged=tuple(row for one in market.tests for row in _judged(one)),
        asked=tuple(_asked(one, only.get(one, "")) for one in market.asked.tests),
    )


def _judged(one: TestStanding) -> Iterator[JudgedRow]:
    asked = f"{one.in_law}, {one.section}"
    runs = tuple(run.name for run in one.runs)
    for each in one.judged:
        yield JudgedRow(
            test=one.title,
            asked=asked,
            part=each.part or "whole toy",
            mark=MARK[each.judged.verdict],
            word=str(each.judged.verdict),
            says=sentence(_pieces(each)),
            runs=runs,
        )
    if not one.judged:
        yield JudgedRow(
            test=one.title,
            asked=asked,
            part="",
            mark="doubt",
            word="not shown",
            says=sentence(one.words),
            runs=runs,
        )


def _pieces(one: PartJudged) -> str:
    judged = one.judged
    lowest = f"; lowest {judged.lowest:.3g} {judged.unit}" if judged.lowest is not None else ""
    left = f"; {count(judged.unfinished, 'piece')} not loaded to the end" if judged.unfinished else ""
    return f"{judged.words}{lowest}{left}"


def _asked(one: AskedTest, only_where: str) -> AskedRow:
    si = f"{one.value:.3g} {one.unit}"
    return AskedRow(
        title=one.title,
        in_law=f"{one.times} times {one.in_law}" if one.times > 1 else one.in_law,
        si="" if si == one.in_law else si,
        how=one.how,
        tried=one.tried,
        section=one.section,
        surety=f"{one.surety}" + (f"; {one.note}" if one.note else ""),
        only_where=only_where,
    )


def _small(small: SmallPartsStanding, programme: str) -> SmallShown:
    return SmallShown(
        says=sentence(small.words),
        matters=_matters(small),
        parts=tuple(_part(one, programme, asked=small.asked) for one in small.parts),
        without=listed(small.without_mesh),
        came_off=tuple(
            PartRow(
                part=f"piece {one.piece}" + (f" of {one.part}" if one.part else ""),
                href="",
                name=f"test {one.run}",
                mark=MARK[one.verdict],
                word={"yes": "not small", "no": "small part", "doubt": "not shown"}[MARK[one.verdict]],
                says=sentence(one.words),
                place="",
            )
            for one in small.came_off
        ),
        section=small.section,
    )


def _matters(small: SmallPartsStanding) -> str:
    if not small.ages_said:
        return (
            "Whether the law asks that no piece fits hangs on the age, which is not said; under three years "
            "none may, as it is sold and after the tests."
        )
    if not small.asked:
        return (
            "For these ages the law does not ask that no piece fits; under three years none may, as it is "
            "sold and after the tests."
        )
    names = listed([one.part for one in small.fitting])
    rest = f" What must never come off or be sold loose: {names}." if names else ""
    return f"The toy is for children under three: nothing of it may fit, as sold and after the tests.{rest}"


def _part(one: PartInGauge, programme: str, *, asked: bool) -> PartRow:
    small, fine = ("no", "yes") if asked else ("", "yes")
    mark = {True: small, False: fine, None: "doubt"}[one.fits]
    word = {True: "fits: a small part", False: "does not fit", None: "not shown"}[one.fits]
    return PartRow(
        part=one.part,
        href=reverse("part", args=[programme, one.part]),
        name=one.name,
        mark=mark,
        word=word,
        says=sentence(one.words),
        place=_place(one),
        drawing=mark_safe(draw_small_part(one, asked=asked)) if one.outline else None,  # noqa: S308 our own
    )


def _place(one: PartInGauge) -> str:
    if one.held is None or one.fits is False:
        return ""
    rim, up = (
        ", ".join(words.number(value, decimals) for value in place)
        for place, decimals in ((one.held.rim, 1), (one.held.up, 2))
    )
    return (
        f"Found with the middle of the rim at {rim} mm and its opening towards {up}, in the axes of the mesh."
    )


def _run(one: RunSeen, programme: str, made_by: str, refused: Mapping[str, SetAsideForm]) -> RunRow:
    form = refused.get(one.name) or SetAsideForm(initial={"made_by": made_by}, auto_id=f"run{one.key}_%s")
    off = f", the largest piece that came off {one.came_off_mm:g} mm" if one.came_off_mm else ""
    note = f". {one.note}" if one.note else ""
    return RunRow(
        name=one.name,
        what=f"{one.market}, {one.test}: {count(one.pieces, 'piece')}{off}{note}",
        when=words.day(one.done_on) if one.done_on else "day not said",
        file=one.file,
        file_href=reverse("toy_test_file", args=[programme, one.key]),
        since=one.changes_since,
        state=f"set aside: {one.set_aside}" if one.set_aside else "counts",
        form=None if one.set_aside else form,
    )
