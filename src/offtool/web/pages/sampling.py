"""The page of sampling plans: the question, its answer in a sentence, the curve, what it does not promise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.safestring import SafeString, mark_safe

from offtool.core.pilot.sampling import AttributePlan, LotJudged, Switching, VariablesPlan
from offtool.core.values import Caution
from offtool.reports.operating_curve import PHONE_WIDTH, WIDTH, draw_operating_curve
from offtool.steps.findings import Action, Fact
from offtool.steps.sampling_asked import ASKS, Ask
from offtool.steps.sampling_found import SamplingFound
from offtool.web.forms.sampling import SamplingForm
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.seam_words import with_capital

HERE = "Sampling"
EMPTY = "How many pieces to look at, and what that shows."
NO_ANSWER = "There is no plan yet: see the marked field."
ANOTHER = {"lots": ("lots", "Follow the lots.")}
"""Where an action leads to: the question, and the words of the link."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskLink:
    """One question that may be asked."""

    title: str
    answers: str
    href: str
    is_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingActionRow:
    """One thing to do, and where it leads."""

    do: str
    because: str
    href: str
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    """One lot that was looked at."""

    number: int
    lot: str
    severity: str
    plan: str
    found: str
    mark: str
    word: str
    then: str
    """What changes after it; empty where nothing does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingPage:
    """One question and its answer, or all questions."""

    frame: Frame
    asks: tuple[AskLink, ...]
    ask: str
    question: str
    """What the question answers; the heading before anything is filled in."""
    headline: str
    form: SamplingForm | None
    says: tuple[str, ...]
    promises_not: tuple[str, ...]
    actions: tuple[SamplingActionRow, ...]
    facts: tuple[Fact, ...]
    curves: tuple[SafeString, ...]
    """For the desk and for the phone; none where there is no plan."""
    lots: tuple[LotRow, ...]
    cautions: tuple[Caution, ...]
    method: str


def sampling_page(
    form: SamplingForm | None = None,
    found: SamplingFound | None = None,
    *,
    asked: Mapping[str, str] | None = None,
) -> SamplingPage:
    """The page; without a form, the questions to choose from."""
    ask = form.ask if form is not None else None
    given = {name: value for name, value in (asked or {}).items() if name != "format"}
    plan = (found.plan or found.measured) if found is not None else None
    return SamplingPage(
        frame=_frame(ask, as_json="?" + urlencode({**given, "format": "json"}) if found else ""),
        asks=tuple(_links(ask)),
        ask=ask or "",
        question=ASKS[ask][1] if ask else "",
        headline=_headline(form, found),
        form=form,
        says=found.says if found else (),
        promises_not=found.promises_not if found else (),
        actions=tuple(map(_action, found.actions)) if found else (),
        facts=found.rests_on if found else (),
        curves=tuple(_curves(plan)) if plan is not None else (),
        lots=tuple(_lots(found.switching)) if found and found.switching else (),
        cautions=tuple(map(with_capital, found.cautions)) if found else (),
        method=found.method if found else "",
    )


def _frame(ask: Ask | None, *, as_json: str) -> Frame:
    if ask is None:
        return Frame(title=HERE, crumbs=(Crumb(text=HERE),))
    title = ASKS[ask][0]
    crumbs = (Crumb(text=HERE, href=reverse("sampling")), Crumb(text=title))
    return Frame(title=f"{title}, sampling", crumbs=crumbs, as_json=as_json)


def _headline(form: SamplingForm | None, found: SamplingFound | None) -> str:
    if found is not None:
        return found.headline
    if form is None:
        return EMPTY
    return NO_ANSWER if form.errors else ASKS[form.ask][1]


def _links(here: Ask | None) -> Iterator[AskLink]:
    for ask, (title, answers) in ASKS.items():
        yield AskLink(
            title=title, answers=answers, href=f"{reverse('sampling')}?ask={ask}", is_here=ask == here
        )


def _curves(plan: AttributePlan | VariablesPlan) -> Iterator[SafeString]:
    for width in (WIDTH, PHONE_WIDTH):
        if drawing := draw_operating_curve(plan, width=width):
            yield mark_safe(drawing)  # noqa: S308 our own drawing


def _action(one: Action) -> SamplingActionRow:
    ask, link = ANOTHER.get(one.leads_to, ("", ""))
    href = f"{reverse('sampling')}?ask={ask}" if ask else ""
    return SamplingActionRow(do=one.do, because=one.because, href=href, link=link)


def _lots(switching: Switching) -> Iterator[LotRow]:
    """The newest lot first."""
    following = [*(one.severity for one in switching.lots[1:]), switching.severity]
    rows = [
        _lot(number, one, after, stops=switching.stopped and number == len(switching.lots))
        for number, (one, after) in enumerate(zip(switching.lots, following, strict=True), start=1)
    ]
    yield from reversed(rows)


def _lot(number: int, one: LotJudged, after: str, *, stops: bool) -> LotRow:
    then = "stop" if stops else f"{after} from here on" if after != one.severity else ""
    return LotRow(
        number=number,
        lot=f"{one.lot:,}",
        severity=one.severity,
        plan=f"{one.pieces:,}, accept {one.accept}, refuse {one.refuse}",
        found=f"{one.found:,}",
        mark="yes" if one.accepted else "no",
        word="accepted" if one.accepted else "refused",
        then=then,
    )
