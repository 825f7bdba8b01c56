"""The form that defines a joint: its kind, the sizes it is made of, and what it must do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from django import forms
from django.forms import BoundField

from offtool.handbook.joint_kinds import JOINT_KINDS, MOST_LINKS, KindOfJoint, Role
from offtool.handbook.terms import JointKind
from offtool.steps.define_joint import JointDefined
from offtool.steps.joint_places import SizeToChoose
from offtool.steps.sentences import sentence
from offtool.steps.sizes_given import DefinitionRefused, SizeSaid
from offtool.web.forms.fields import name_field, note_field, number_or_blank, your_name_field

FIRST_ROWS, MORE_ROWS = 4, 3
"""Rows of a chain: at first, and added at a time."""
FRICTION = ("friction_low", "friction_high")
PROPERTIES = (
    *(*FRICTION, "inner_resin", "outer_resin"),
    *("inner_modulus_mpa", "outer_modulus_mpa", "strain_allowed_pct"),
)
"""Folded away: the handbook knows them for most resins."""
COLUMNS = ("lower", "upper", "limb_mass_g", "lever_mm", "safety_factor", *PROPERTIES)
"""What a joint has beside its sizes; each kind asks for some of it."""
_BLANK = {one.name: one.default for one in fields(JointDefined)}


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeFields:
    """The fields of one size: which is measured, or the number, and how far it may be off."""

    meaning: str
    """Of a role; empty in a chain, where each size has a name of its own."""
    unit: str
    usual: str
    """What it is where it is left blank; empty where it must be given."""
    size: BoundField | None
    value: BoundField
    plus: BoundField
    name: BoundField | None = None
    factor: BoundField | None = None
    angle: BoundField | None = None
    angle_role: BoundField | None = None


class JointForm(forms.Form):
    """A joint of one kind; its size fields are those of the kind.

    A change starts from `now`, the joint as it is: what the form of its kind does not ask for stays.
    """

    kind = forms.ChoiceField(label="Kind", choices=[(one.value, one.value) for one in JOINT_KINDS])
    code = name_field("Short name", "Such as shoulder. It stands in the address of its page.")
    name = name_field("In words", "Such as arm in shoulder socket.", required=False)
    note = note_field()
    made_by = your_name_field()

    def __init__(
        self,
        kind: JointKind,
        sizes: Sequence[SizeToChoose],
        data: Mapping[str, Any] | None = None,
        *,
        initial: Mapping[str, Any] | None = None,
        rows: int = FIRST_ROWS,
        now: JointDefined | None = None,
    ) -> None:
        super().__init__(data, initial={**(initial or {}), "kind": kind.value})
        self.facts: KindOfJoint = JOINT_KINDS[kind]
        self.is_loop = kind is JointKind.LOOP
        self._now = now
        kept = len(now.sizes) if now is not None else 0
        # never fewer rows than the joint has: what is not shown would be lost
        self.row_count = 0 if self.facts.roles else max(min(max(rows, FIRST_ROWS), MOST_LINKS), kept)
        self._sizes = sizes
        for role in self.facts.roles:
            self._add_size(role.name, role.meaning, role.unit)
        for i in range(self.row_count):
            self._add_row(i)
        self._add_limits()
        if self.facts.uses_friction:
            self._add_friction()
        if self.facts.uses_materials:
            self._add_materials()

    def _add_size(self, key: str, said: str, *units: str) -> None:
        choices = _choices(self._sizes, units)
        if len(choices) > 1:
            self.fields[f"{key}-size"] = forms.ChoiceField(
                label=f"{said}: measured size",
                required=False,
                choices=choices,
                error_messages={"invalid_choice": "This size is not in the programme: choose another."},
            )
        self.fields[f"{key}-value"] = number_or_blank(f"{said}: number")
        self.fields[f"{key}-plus"] = number_or_blank(f"{said}: give or take", at_least=0)

    def _add_row(self, i: int) -> None:
        key, said = f"row{i}", f"size {i + 1}"
        self.fields[f"{key}-name"] = name_field(f"{said}: name", required=False)
        self._add_size(key, said, "mm", *(["deg"] if self.is_loop else []))
        self.fields[f"{key}-factor"] = number_or_blank(f"{said}: factor")
        if self.is_loop:
            self.fields[f"{key}-angle"] = number_or_blank(f"{said}: angle, deg")
            self.fields[f"{key}-angle_role"] = name_field(f"{said}: size that is its angle", required=False)

    def _add_limits(self) -> None:
        of = f"{self.facts.measure}, {self.facts.unit}" if self.facts.unit != "1" else self.facts.measure
        self.fields["lower"] = number_or_blank(f"Least {of}")
        self.fields["upper"] = number_or_blank(f"Most {of}")
        if self.facts.unit != "N·m":
            return
        self.fields["lower"].help_text = "Blank for what the limb's weight asks."
        self.fields["upper"].help_text = "Blank for half of what shears the peg off, where that is known."
        self.fields["limb_mass_g"] = number_or_blank("Weight it must hold up, g", at_least=0)
        self.fields["lever_mm"] = number_or_blank(
            "Lever, mm", "From the joint to the middle of that weight.", at_least=0
        )
        self.fields["safety_factor"] = number_or_blank(
            "Times that weight", "Blank for 2 (common practice).", at_least=0
        )

    def _add_friction(self) -> None:
        usual = "Blank for the handbook's range of the pair."
        self.fields["friction_low"] = number_or_blank("Least friction", usual, at_least=0)
        self.fields["friction_high"] = number_or_blank("Most friction", usual, at_least=0)

    def _add_materials(self) -> None:
        for side in ("inner", "outer"):
            self.fields[f"{side}_resin"] = name_field(
                f"Resin of the {side} side",
                "Its code, such as POM; blank for that of its part.",
                required=False,
            )
            self.fields[f"{side}_modulus_mpa"] = number_or_blank(
                f"Stiffness of the {side} side, MPa", "Blank for the handbook's.", at_least=0
            )
        self.fields["strain_allowed_pct"] = number_or_blank(
            "Strain either may bear, %", "Blank for the handbook's.", at_least=0
        )

    @property
    def sizes(self) -> Iterator[SizeFields]:
        """The fields of each size, in the order of the kind or of the chain."""
        for role in self.facts.roles:
            yield self._fields_of(role.name, role.meaning, role.unit, _usual(role))
        for i in range(self.row_count):
            yield self._fields_of(f"row{i}", "", "", "")

    def _fields_of(self, key: str, meaning: str, unit: str, usual: str) -> SizeFields:
        def field(name: str) -> BoundField | None:
            return self[f"{key}-{name}"] if f"{key}-{name}" in self.fields else None

        return SizeFields(
            meaning=meaning,
            unit=unit if unit != "1" else "",
            usual=usual,
            size=field("size"),
            value=self[f"{key}-value"],
            plus=self[f"{key}-plus"],
            name=field("name"),
            factor=field("factor"),
            angle=field("angle"),
            angle_role=field("angle_role"),
        )

    def named(self, *names: str) -> list[BoundField]:
        """Those of these fields that the kind has."""
        return [self[name] for name in names if name in self.fields]

    @property
    def properties_open(self) -> bool:
        """Whether something folded away is filled in or refused."""
        return any(self[name].value() or self[name].errors for name in PROPERTIES if name in self.fields)

    def clean(self) -> None:
        """Rows of a chain that say something have a name, and each another."""
        seen: set[str] = set()
        for i in range(self.row_count):
            name = (self.cleaned_data.get(f"row{i}-name") or "").strip()
            if not name and self._says_something(i):
                self.add_error(f"row{i}-name", "Name this size.")
            elif name and name in seen:
                self.add_error(f"row{i}-name", "This name stands above already.")
            seen.add(name)

    def _says_something(self, i: int) -> bool:
        kinds = ("size", "value", "plus", "angle", "angle_role")
        return any(self.cleaned_data.get(f"row{i}-{one}") not in (None, "") for one in kinds)

    def as_defined(self) -> JointDefined:
        """The joint as the step takes it."""
        given = self.cleaned_data
        keys = {role.name: role.name for role in self.facts.roles} or self._rows_by_name()
        return JointDefined(
            **self._not_asked_for(),
            **{name: self._column(name) for name in COLUMNS if name in self.fields},
            code=given["code"].strip(),
            kind=given["kind"],
            name=given["name"].strip(),
            note=given["note"],
            sizes={name: self._said(key) for name, key in keys.items()},
        )

    def _not_asked_for(self) -> dict[str, Any]:
        """What the joint has and this form no field for; friction only where the kind rests on it."""
        if self._now is None:
            return {}
        stays = [one for one in COLUMNS if one not in self.fields and one not in FRICTION]
        return {one: getattr(self._now, one) for one in stays}

    def _column(self, name: str) -> Any:
        """What was typed, or what blank stands for."""
        typed = self.cleaned_data.get(name)
        return _BLANK[name] if typed in (None, "") else typed

    def _rows_by_name(self) -> dict[str, str]:
        named = {f"row{i}": self.cleaned_data[f"row{i}-name"].strip() for i in range(self.row_count)}
        return {name: key for key, name in named.items() if name}

    def _said(self, key: str) -> SizeSaid:
        def get(name: str) -> Any:
            return self.cleaned_data.get(f"{key}-{name}")

        factor = get("factor")
        return SizeSaid(
            size=get("size") or "",
            value=get("value"),
            plus_minus=get("plus") or 0.0,
            factor=1.0 if factor is None else factor,
            angle_deg=get("angle"),
            angle_role=get("angle_role") or "",
        )

    def put(self, error: DefinitionRefused) -> None:
        """Show what the record refuses at its field, at the top where it has none."""
        key = error.field if self.facts.roles else self._rows_by_name().get(error.field, error.field)
        fields = (f"{key}-name", f"{key}-size", f"{key}-value", key)
        field = next((one for one in fields if one in self.fields), None)
        self.add_error(field, f"{sentence(error.what)} {sentence(error.remedy)}")


class RemoveForm(forms.Form):
    """Who takes a joint out."""

    made_by = your_name_field()


def initial_of(now: JointDefined) -> dict[str, Any]:
    """A joint as it is, as the form shows it."""
    initial: dict[str, Any] = {name: getattr(now, name) for name in ("code", "name", "note")}
    initial |= {name: _typed(getattr(now, name)) for name in COLUMNS}
    has_roles = bool(JOINT_KINDS[JointKind(now.kind)].roles)
    for i, (role, said) in enumerate(now.sizes.items()):
        assert isinstance(said, SizeSaid)  # noqa: S101 a joint of the record says all of it
        key = role if has_roles else f"row{i}"
        initial |= {
            f"{key}-name": role,
            f"{key}-size": said.size,
            f"{key}-value": _written(said.value),
            f"{key}-plus": _written(said.plus_minus or None),
            f"{key}-factor": _written(said.factor),
            f"{key}-angle": _written(said.angle_deg),
            f"{key}-angle_role": said.angle_role,
        }
    return initial


def _typed(value: Any) -> str:
    return value if isinstance(value, str) else _written(value)


def _written(value: float | None) -> str:
    """A number as it would be typed."""
    return "" if value is None else f"{value:.12g}"


def _usual(role: Role) -> str:
    """0 mm where blank."""
    if role.usual is None:
        return ""
    return f"{role.usual:g} {role.unit if role.unit != '1' else ''}".rstrip() + " where blank"


def _choices(sizes: Sequence[SizeToChoose], units: Sequence[str]) -> list[Any]:
    """The sizes that could be it, part by part."""
    parts: dict[str, list[tuple[str, str]]] = {}
    for one in sizes:
        if one.unit in units:
            parts.setdefault(one.part, []).append((one.key, one.shown))
    return [("", "none: a number"), *parts.items()]
