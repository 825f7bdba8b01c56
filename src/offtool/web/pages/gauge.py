"""The pages of the gauges: all of them, and one: is it fit, what to do, why, what it means for the sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.inspection.gauge import (
    GaugeJudgement,
    GaugeStudy,
    LinearityStudy,
    ReferenceStudy,
)
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.gauge_bias_drawing import draw_linearity, draw_reference_run
from offtool.reports.gauge_parts_drawing import draw_parts_by_operator
from offtool.reports.gauge_share_bars import draw_shares
from offtool.reports.gauge_words import (
    exact_in_words,
    guard_in_words,
    hanging_in_words,
    index_in_words,
    share_of_spread,
)
from offtool.steps.findings import Action, Fact
from offtool.steps.gauge_sentences import READ, SIZES
from offtool.steps.gauge_studied import GaugesStanding, GaugeStudied, SizeWithGauge, StudyLine
from offtool.steps.sentences import count
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.gauge_numbers import NumbersShown, numbers_shown
from offtool.web.pages.trial import MARK, ActionRow

SIZES_SHOWN = 6
FIT = {GaugeJudgement.FIT: "yes", GaugeJudgement.NOT_FIT: "no"}


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePlace:
    """Which gauge a page is about."""

    programme: str
    programme_title: str
    invented: bool
    gauge: str

    def address(self, page: str, *more: object) -> str:
        """The address of one of the gauge's pages: "gauge", "read_study", "study_file"."""
        return reverse(page, args=[self.programme, self.gauge, *more])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the gauge's page, or of a page that hangs on it and is called `here`."""
        crumbs = (
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Gauges", href=reverse("gauges", args=[self.programme])),
            Crumb(text=self.gauge, href=self.address("gauge") if here else ""),
        )
        title = f"Gauge {self.gauge}, {self.programme_title}"
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=(*crumbs, Crumb(text=here)) if here else crumbs,
            invented=self.invented,
            as_json=as_json,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeRow:
    """One gauge in the list."""

    code: str
    href: str
    name: str
    step: str
    sizes: str
    mark: str
    """The class that gives the word its sign; empty without a judgement."""
    word: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugesPage:
    """All gauges of a programme."""

    frame: Frame
    when: str
    headline: str
    gauges: tuple[GaugeRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingShown:
    """A drawing with the words above and below it."""

    title: str
    drawing: SafeString
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """What the gauge does to one size."""

    size: str
    name: str
    trial: str
    href: str
    guard: str
    share: str
    index: str
    exact: str
    mark: str
    word: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRow:
    """One study, and the form that sets it aside."""

    name: str
    href: str
    what: str
    when: str
    file: str
    file_href: str
    state: str
    form: Any
    """None where it is set aside already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePage:
    """One gauge by one of its studies."""

    frame: Frame
    place: GaugePlace
    when: str
    headline: str
    actions: tuple[ActionRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    drawings: tuple[DrawingShown, ...]
    numbers: tuple[NumbersShown, ...]
    sizes_say: str
    sizes: tuple[SizeRow, ...]
    """Those of which the gauge takes most, and all whose verdict hangs on it."""
    folded_sizes: tuple[SizeRow, ...]
    studies: tuple[StudyRow, ...]
    read_href: str
    method: str


def gauges_page(found: GaugesStanding) -> GaugesPage:
    """The page of all gauges."""
    programme = Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme]))
    frame = Frame(
        title=f"Gauges, {found.programme_title}",
        crumbs=(programme, Crumb(text="Gauges")),
        invented=found.invented,
        as_json=AS_JSON,
    )
    rows = tuple(
        GaugeRow(
            code=one.code,
            href=reverse("gauge", args=[found.programme, one.code]),
            name=one.name,
            step=f"{one.resolution:g} {one.unit}".rstrip(),
            sizes=count(one.sizes, "size"),
            mark=_mark(one.judgement),
            word=one.judgement.value if one.judgement else "",
            says=one.says,
        )
        for one in found.gauges
    )
    return GaugesPage(frame=frame, when=found.programme_title, headline=found.headline, gauges=rows)


def _mark(judgement: GaugeJudgement | None) -> str:
    return FIT.get(judgement, "doubt") if judgement else ""


def gauge_page(
    found: GaugeStudied, *, made_by: str = "", refused: Mapping[str, SetAsideForm] | None = None
) -> GaugePage:
    """The page of a gauge; `refused` has the form of the study that could not be set aside."""
    place = place_of(found)
    sizes = [_size(one, found.programme) for one in sorted(found.sizes, key=_taken, reverse=True)]
    shown = max(SIZES_SHOWN, sum(one.hangs_on_gauge for one in found.sizes))
    return GaugePage(
        frame=place.frame(as_json=AS_JSON),
        place=place,
        when=_when(found),
        headline=found.headline,
        actions=tuple(_action(one, place) for one in found.actions),
        facts=found.rests_on,
        cautions=found.cautions,
        drawings=tuple(_drawings(found)),
        numbers=tuple(numbers_shown(found)),
        sizes_say=hanging_in_words(found.sizes) if found.sizes else "",
        sizes=tuple(sizes[:shown]),
        folded_sizes=tuple(sizes[shown:]),
        studies=tuple(_study(one, place, made_by, refused or {}) for one in found.studies),
        read_href=place.address("read_study"),
        method=found.method,
    )


def place_of(found: GaugeStudied) -> GaugePlace:
    """Where the page of a gauge stands."""
    return GaugePlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        gauge=found.gauge,
    )


def _when(found: GaugeStudied) -> str:
    name = f"Gauge {found.gauge}" + (f", {found.gauge_name}" if found.gauge_name else "")
    step = f"step {found.resolution:g} {found.unit}".rstrip()
    if found.study is None:
        return f"{name}, {step}"
    day = f", {words.day(found.study.done_on)}" if found.study.done_on else ""
    return f"{name}, {step}. Study {found.study.name}, {found.study.kind}{day}"


def _action(action: Action, place: GaugePlace) -> ActionRow:
    ways = {READ: ("read a study", place.address("read_study")), SIZES: ("the sizes", "#sizes")}
    link, href = ways.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _drawings(found: GaugeStudied) -> list[DrawingShown]:
    result, d, unit = found.result, found.decimals, found.unit
    if isinstance(result, GaugeStudy):
        of = "tolerance" if result.tolerance is not None else "spread"
        return [
            DrawingShown(
                title=f"Share of the {of}",
                drawing=mark_safe(draw_shares(result)),  # noqa: S308 our own drawing
                says=f"thin: {words.percent(result.confidence, 0)} interval; lines at 10 and 30 %: fit up to "
                "the first, not fit above the second",
            ),
            DrawingShown(
                title="Who read what",
                drawing=mark_safe(draw_parts_by_operator(result, decimals=d, unit=unit)),  # noqa: S308 it escapes
                says="Each mark says its value when it is pointed at.",
            ),
        ]
    if isinstance(result, ReferenceStudy):
        room = "; dotted: a tenth of the tolerance" if result.tolerance is not None else ""
        return [
            DrawingShown(
                title="The readings in their order",
                drawing=mark_safe(draw_reference_run(result, found.run, decimals=d, unit=unit)),  # noqa: S308 our own
                says=f"shaded: where the mean lies, {words.percent(result.confidence, 0)}{room}",
            )
        ]
    if isinstance(result, LinearityStudy):
        return [
            DrawingShown(
                title="Bias over the range",
                drawing=mark_safe(draw_linearity(result, decimals=d, unit=unit)),  # noqa: S308 our own
                says=f"dots: the mean of each reference; shaded: where the whole line lies, "
                f"{words.percent(result.confidence, 0)}",
            )
        ]
    return []


def _taken(one: SizeWithGauge) -> tuple[bool, float]:
    """What the gauge takes of a size: of the tolerance by its guard bands, or of the spread."""
    return one.hangs_on_gauge, max(one.guard_share or 0.0, one.share or 0.0)


def _size(one: SizeWithGauge, programme: str) -> SizeRow:
    return SizeRow(
        size=f"{one.part} {one.number}",
        name=one.name,
        trial=f"{one.trial} of {one.tool}",
        href=reverse("trial", args=[programme, one.tool, one.trial]),
        guard=guard_in_words(one),
        share=share_of_spread(one),
        index=index_in_words(one.observed, one.observed_interval),
        exact=exact_in_words(one),
        mark=MARK[one.verdict],
        word=str(one.verdict),
        says=one.says if one.hangs_on_gauge else "",
    )


def _study(one: StudyLine, place: GaugePlace, made_by: str, refused: Mapping[str, SetAsideForm]) -> StudyRow:
    what = one.kind + (f", {one.size}" if one.size else "") + f", {count(one.readings, 'reading')}"
    form = refused.get(one.name) or SetAsideForm(
        initial={"made_by": made_by}, auto_id=f"study{one.study_id}_%s"
    )
    counts = "counts" if one.counts else "does not count: a newer one does"
    return StudyRow(
        name=one.name,
        href=f"{place.address('gauge')}?study={quote(one.name, safe='')}",
        what=what + (f". {one.note}" if one.note else ""),
        when=words.day(one.done_on) if one.done_on else "",
        file=one.file,
        file_href=place.address("study_file", one.study_id),
        state=f"set aside: {one.set_aside}" if one.set_aside else counts,
        form=None if one.set_aside else form,
    )
