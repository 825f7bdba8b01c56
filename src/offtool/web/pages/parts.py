"""The page of all parts of a product: what each weighs, covers, and where it is thick."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from offtool.reports import words
from offtool.steps.findings import Action
from offtool.steps.part_found import PartFound, PartsFound
from offtool.steps.part_sentences import FIT, READ, is_thick, weight_in_words
from offtool.web.pages.frame import AS_JSON, Crumb, Frame
from offtool.web.pages.trial import ActionRow

LINKS = {READ: ("read_mesh", "Read a shape"), FIT: ("fit_tool", "Which press")}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlace:
    """Which part a page is about; none for the list."""

    programme: str
    programme_title: str
    invented: bool
    part: str = ""

    def address(self, page: str) -> str:
        """The address of one of the part's pages: "part", "read_mesh", "part_picture" …"""
        return reverse(page, args=[self.programme, self.part])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the part's page, or of a page that hangs on it and is called `here`."""
        parts = reverse("parts", args=[self.programme])
        crumbs = [
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Parts", href=parts if self.part else ""),
        ]
        if self.part:
            crumbs.append(Crumb(text=self.part, href=self.address("part") if here else ""))
        if here:
            crumbs.append(Crumb(text=here))
        title = f"Part {self.part}, {self.programme_title}" if self.part else f"Parts, {self.programme_title}"
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=tuple(crumbs),
            invented=self.invented,
            as_json=as_json,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part in the list."""

    code: str
    name: str
    href: str
    resin: str
    weight: str
    shadow: str
    walls: str
    thickest: str
    mark: str
    """The class of its row: "doubt" where the mesh is not sound."""
    next: ActionRow | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsPage:
    """All parts of a programme."""

    frame: Frame
    when: str
    headline: str
    parts: tuple[PartRow, ...]


def parts_page(found: PartsFound) -> PartsPage:
    """The list of all parts."""
    place = PartPlace(
        programme=found.programme, programme_title=found.programme_title, invented=found.invented
    )
    return PartsPage(
        frame=place.frame(as_json=AS_JSON),
        when=f"{found.programme_title}: the shapes of its parts",
        headline=found.headline,
        parts=tuple(map(_row, found.parts)),
    )


def place_of(found: PartFound) -> PartPlace:
    """Where a part's pages are."""
    return PartPlace(
        programme=found.programme,
        programme_title=found.programme_title,
        invented=found.invented,
        part=found.part,
    )


def action_row(action: Action, place: PartPlace, tool: str = "") -> ActionRow:
    """Something to do, with its link."""
    page, link = LINKS.get(action.leads_to, ("", ""))
    href = ""
    if page:
        href = reverse(page, args=[place.programme, tool if action.leads_to == FIT else place.part])
    return ActionRow(do=action.do, because=action.because, href=href, link=link)


def _row(one: PartFound) -> PartRow:
    place, known = place_of(one), one.known
    first = action_row(one.actions[0], place, one.tools[0] if one.tools else "") if one.actions else None
    row = {"code": one.part, "name": one.name, "href": place.address("part"), "resin": one.resin}
    if known is None:
        return PartRow(**row, weight="not known", shadow="", walls="", thickest="", mark="", next=first)
    walls = known.geometry.walls if known.thickest_mm is not None else None
    spread = walls.by_sphere if walls is not None else None
    return PartRow(
        **row,
        weight=weight_in_words(known),
        shadow=f"{words.number(known.silhouette_mm2 / 100, 2)} cm²",
        walls=f"{spread.p5_mm:.1f} to {spread.p95_mm:.1f} mm" if spread is not None else "cannot be said",
        thickest=f"{known.thickest_mm:.1f} mm" if known.thickest_mm is not None else "",
        mark="doubt" if known.geometry.spoiled or is_thick(known) else "",
        next=first,
    )
