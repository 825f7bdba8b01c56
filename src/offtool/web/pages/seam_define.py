"""The page that defines a seam or changes it: the kind first, then its sizes, its parts and its welder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.web.forms.seams import KINDS
from offtool.web.pages.frame import Frame
from offtool.web.pages.seams import SeamPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRow:
    """One kind of seam to choose."""

    kind: str
    means: str
    sizes: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindChoice:
    """One kind in the list above the sizes."""

    kind: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamDefinePage:
    """Define a seam, or change one."""

    frame: Frame
    headline: str
    kinds: tuple[KindRow, ...]
    """To choose from first; empty once one is chosen."""
    choices: tuple[KindChoice, ...]
    kind: str
    means: str
    can_change_kind: bool
    form: Any
    """None before a kind is chosen."""
    carried: tuple[tuple[str, str], ...]
    """Sizes of another kind that were typed; they come back with that kind."""
    take_out: Any
    """The form that takes the seam out; None for a new one and for one with studies."""
    done: str
    """What the button says."""
    back_href: str
    back: str
    has_parts: bool
    """Without two parts there is nothing to weld: the page says what to do first."""


def choose_kind_page(place: SeamPlace, *, parts: int) -> SeamDefinePage:
    """The first half: which kind it is."""
    here = reverse("new_seam", args=[place.programme])
    rows = tuple(
        KindRow(
            kind=kind.value.capitalize(),
            means=means,
            sizes="; ".join(role.meaning for role in SEAM_KINDS[kind] if role.usual is None),
            href=f"{here}?kind={kind.name.lower()}",
        )
        for kind, means in KINDS.items()
    )
    return _page(place, kinds=rows, headline="How do the two parts meet?", has_parts=parts > 1)


def define_page(
    place: SeamPlace,
    kind: SeamKind,
    form: Any,
    *,
    typed: Mapping[str, Any] | None = None,
    studies: int = 0,
    take_out: Any = None,
) -> SeamDefinePage:
    """The form of a new seam, or of the one that `place` names."""
    headline = f"Change seam {place.seam}." if place.seam else f"A seam of the kind {kind.value}."
    return _page(
        place,
        headline=headline,
        kind=kind.value,
        means=KINDS[kind],
        can_change_kind=not studies,
        form=form,
        carried=tuple(_carried(typed or {}, form)),
        take_out=take_out,
    )


def _carried(typed: Mapping[str, Any], form: Any) -> list[tuple[str, str]]:
    prefixes = ("size_", "value_", "plus_minus_")
    return [
        (name, str(value))
        for name, value in typed.items()
        if name.startswith(prefixes) and name not in form.fields and value
    ]


def _page(place: SeamPlace, *, headline: str, **more: Any) -> SeamDefinePage:
    given: dict[str, Any] = {
        "kinds": (),
        "kind": "",
        "means": "",
        "can_change_kind": False,
        "form": None,
        "carried": (),
        "take_out": None,
        "has_parts": True,
    } | more
    back = place.address("seam") if place.seam else reverse("seams", args=[place.programme])
    return SeamDefinePage(
        frame=place.frame(here="Change" if place.seam else "New seam"),
        headline=headline,
        choices=tuple(KindChoice(kind=one.value, is_chosen=one.value == given["kind"]) for one in KINDS),
        done="Keep the change" if place.seam else "Keep this seam",
        back_href=back,
        back=f"Seam {place.seam} as it is" if place.seam else "All seams",
        **given,
    )
