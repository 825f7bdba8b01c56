"""The pages that name steel: the sizes whose steel nobody has named, and one of them with its form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from offtool.steps.name_steel import SizeWithoutSteel
from offtool.steps.sentences import count
from offtool.web.forms.name_steel import NameSteelForm
from offtool.web.pages.frame import AS_JSON, Crumb, Frame, TrialPlace, trial_frame

HERE = "Steel"


@dataclass(frozen=True, slots=True, kw_only=True)
class NamelessRow:
    """A size whose steel is not named yet."""

    size: str
    cavities: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamelessPage:
    """All sizes of a tool whose steel is not named yet."""

    frame: Frame
    place: TrialPlace
    headline: str
    rows: tuple[NamelessRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NameSteelPage:
    """One size, and the form that names its steel."""

    frame: Frame
    place: TrialPlace
    headline: str
    nominal: str
    form: NameSteelForm


def nameless_page(sizes: Sequence[SizeWithoutSteel], place: TrialPlace) -> NamelessPage:
    """The list."""
    headline = (
        f"{count(len(sizes), 'size')} without known steel." if sizes else "The steel of every size is named."
    )
    return NamelessPage(
        frame=trial_frame(place, here=HERE, as_json=AS_JSON),
        place=place,
        headline=headline,
        rows=tuple(_row(size, place) for size in sizes),
    )


def name_steel_page(size: SizeWithoutSteel, place: TrialPlace, form: NameSteelForm) -> NameSteelPage:
    """One size and its form."""
    name = f"{size.part} {size.number}"
    frame = trial_frame(place, here=HERE)
    way = (*frame.crumbs[:-1], Crumb(text=HERE, href=place.address("steel")), Crumb(text=name))
    return NameSteelPage(
        frame=replace(frame, crumbs=way, title=f"Steel of {name}, {place.programme_title}"),
        place=place,
        headline=f"Which steel forms {size.number} {size.name}".rstrip() + "?",
        nominal=f"Part {size.part}, {size.nominal:g} mm on the drawing; steel of state {place.state}",
        form=form,
    )


def _row(size: SizeWithoutSteel, place: TrialPlace) -> NamelessRow:
    return NamelessRow(
        size=f"{size.part} {size.number} {size.name}".rstrip(),
        cavities=count(len(size.cavities), "cavity", "cavities"),
        href=place.address("name_steel", size.part, size.number),
    )
