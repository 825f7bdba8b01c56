"""The page that defines a joint: first its kind, then its sizes and what it must do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.forms import BoundField
from django.urls import reverse
from django.utils.http import urlencode

from offtool.handbook.joint_kinds import JOINT_KINDS, KindOfJoint
from offtool.handbook.terms import JointKind
from offtool.steps.joint_places import DefiningPlace
from offtool.web.forms.joint_define import PROPERTIES, JointForm, RemoveForm, SizeFields
from offtool.web.pages.frame import Frame
from offtool.web.pages.joints import JointPlace


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRow:
    """One kind to choose."""

    kind: str
    meaning: str
    measure: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointDefinePage:
    """Define a joint, or change one; without a form the kind comes first."""

    frame: Frame
    headline: str
    kinds: tuple[KindRow, ...]
    form: Any
    """None before a kind is chosen."""
    kind: str
    meaning: str
    sizes: tuple[SizeFields, ...]
    is_chain: bool
    is_loop: bool
    rows: int
    asked: tuple[BoundField, ...]
    """What it must do."""
    properties: tuple[BoundField, ...]
    properties_open: bool
    no_sizes: bool
    """The programme has no sizes yet: all are given as numbers."""
    keep: str
    """Words of the button."""
    back: str
    remove_form: Any
    """None where there is nothing to take out."""
    tests: int


def kinds_page(place: DefiningPlace) -> JointDefinePage:
    """The page on which a kind is chosen."""
    return _page(place, None, headline="Which kind of joint is it?", remove=None)


def joint_define_page(
    place: DefiningPlace, form: JointForm, *, code: str = "", remove: RemoveForm | None = None
) -> JointDefinePage:
    """The page of a definition of one kind; `code` names the joint that is changed."""
    headline = f"Change joint {code}." if code else f"Define a joint: {form.facts.kind}."
    return _page(place, form, headline=headline, code=code, remove=remove)


def _page(
    place: DefiningPlace,
    form: JointForm | None,
    *,
    headline: str,
    remove: RemoveForm | None,
    code: str = "",
) -> JointDefinePage:
    at = JointPlace(
        programme=place.programme,
        programme_title=place.programme_title,
        invented=place.invented,
        joint=code,
    )
    facts = form.facts if form is not None else None
    new = reverse("new_joint", args=[place.programme])
    return JointDefinePage(
        frame=at.frame(here="Change" if code else "Define a joint"),
        headline=headline,
        kinds=tuple(_kind(one, new) for one in JOINT_KINDS.values()),
        form=form,
        kind=facts.kind.value if facts is not None else "",
        meaning=facts.meaning if facts is not None else "",
        sizes=tuple(form.sizes) if form is not None else (),
        is_chain=facts is not None and not facts.roles,
        is_loop=facts is not None and facts.kind is JointKind.LOOP,
        rows=form.row_count if form is not None else 0,
        asked=tuple(form.named("lower", "upper", "limb_mass_g", "lever_mm", "safety_factor"))
        if form is not None
        else (),
        properties=tuple(form.named(*PROPERTIES)) if form is not None else (),
        properties_open=form is not None and form.properties_open,
        no_sizes=not place.sizes,
        keep=f"Keep joint {code}" if code else "Define this joint",
        back=at.address("joint") if code else reverse("joints", args=[place.programme]),
        remove_form=remove,
        tests=place.tests,
    )


def _kind(one: KindOfJoint, new: str) -> KindRow:
    unit = f", {one.unit}" if one.unit != "1" else ""
    return KindRow(
        kind=one.kind.value,
        meaning=one.meaning,
        measure=f"{one.measure}{unit}",
        href=f"{new}?{urlencode({'kind': one.kind.value})}",
    )
