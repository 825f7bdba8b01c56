"""The page of all seams of a product: how strong each is shown to be, where to stand, what to do next."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.joints.evidence import Span
from offtool.core.values import Verdict
from offtool.reports.seam_words import newtons
from offtool.reports.span_bar import draw_span_bar
from offtool.steps.findings import Action
from offtool.steps.seam_found import SeamFound, SeamsFound
from offtool.steps.seam_sentences import DESIGN, PIECES, READ, WINDOW, is_stale
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.seam_words import bound_in_newtons, design_in_words, stand_in_short
from offtool.web.pages.trial import MARK, ActionRow

INFINITE = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamPlace:
    """Which seam a page is about; none where one is about to be defined."""

    programme: str
    programme_title: str
    invented: bool
    seam: str = ""

    def address(self, page: str, *more: object) -> str:
        """The address of one of the seam's pages: "seam", "read_weld_study", "change_seam" …"""
        return reverse(page, args=[self.programme, self.seam, *more])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the seam's page, or of a page that hangs on it and is called `here`."""
        crumbs = [
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Seams", href=reverse("seams", args=[self.programme])),
        ]
        if self.seam:
            crumbs.append(Crumb(text=self.seam, href=self.address("seam") if here else ""))
        if here:
            crumbs.append(Crumb(text=here))
        title = f"Seam {self.seam}, {self.programme_title}" if self.seam else self.programme_title
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=tuple(crumbs),
            invented=self.invented,
            as_json=as_json,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamLine:
    """One seam in the list."""

    code: str
    href: str
    name: str
    kind: str
    mark: str
    word: str
    strength: str
    bar: SafeString | None
    stand: str
    design_mark: str
    design: str
    next: ActionRow | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamsPage:
    """All seams of a programme."""

    frame: Frame
    when: str
    headline: str
    seams: tuple[SeamLine, ...]
    new_href: str
    report_href: str
    """Empty where there is no seam to report on."""


def seams_page(found: SeamsFound) -> SeamsPage:
    """The page of all seams."""
    programme = Crumb(text=found.programme_title, href=reverse("programme", args=[found.programme]))
    frame = Frame(
        title=f"Seams, {found.programme_title}",
        crumbs=(programme, Crumb(text="Seams")),
        invented=found.invented,
        as_json=AS_JSON,
    )
    return SeamsPage(
        frame=frame,
        when=found.programme_title,
        headline=found.headline,
        seams=tuple(map(_line, found.seams)),
        new_href=reverse("new_seam", args=[found.programme]),
        report_href=reverse("seams_report", args=[found.programme]) if found.seams else "",
    )


def place_of(found: SeamFound) -> SeamPlace:
    """Where the page of a seam stands."""
    return SeamPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        seam=found.seam,
    )


def action_row(action: Action, place: SeamPlace, *, page: str = "") -> ActionRow:
    """What to do, with the link that leads on; `page` is the seam's own address on another page."""
    ways = {
        READ: ("read a weld study", place.address("read_weld_study")),
        WINDOW: ("the window", f"{page}#window"),
        DESIGN: ("the design", f"{page}#design"),
        PIECES: ("the pieces", f"{page}#pieces"),
    }
    link, href = ways.get(action.leads_to, ("", ""))
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _line(found: SeamFound) -> SeamLine:
    place = place_of(found)
    href = place.address("seam")
    return SeamLine(
        code=found.seam,
        href=href,
        name=found.name,
        kind=f"{found.kind}, {found.top} on {found.bottom}",
        mark=MARK[found.verdict],
        word=str(found.verdict),
        strength=strength_in_short(found),
        bar=_bar(found),
        stand=stand_in_short(found.window),
        design_mark=MARK[found.design.verdict] if found.design else "doubt",
        design=design_in_words(found.design),
        next=action_row(found.actions[0], place, page=href) if found.actions else None,
    )


def strength_in_short(found: SeamFound) -> str:
    """274 N shown, 90 N asked, before its steel was cut; that nothing was pulled."""
    asked = f"{found.required_n:g} N asked" if found.required_n is not None else "no pull is asked yet"
    if found.strength is None:
        return f"nothing pulled, {asked}" if found.required_n is not None else asked
    said = f"{bound_in_newtons(found.strength.low_n)} shown, {asked}"
    return f"{said}, before its steel was cut" if is_stale(found) else said


def _bar(found: SeamFound) -> SafeString | None:
    """From the bound to the mean of the pulls, against the pull that is asked."""
    strength = found.strength
    if strength is None or strength.low_n is None:
        return None
    said = f"{strength_in_short(found)}, mean of the pulls {newtons(strength.mean_n)}: {found.verdict}"
    between = Span(low=strength.low_n, high=max(strength.mean_n, strength.low_n))
    asked = Span(low=strength.required_n, high=INFINITE)
    verdict: Verdict = strength.verdict
    return mark_safe(draw_span_bar(between, asked, verdict, said))  # noqa: S308 our own drawing
