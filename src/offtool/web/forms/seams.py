"""Forms of a seam: define it, ask whether a piece is open, read and keep the file of a weld study."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.handbook.joint_kinds import Role
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import Failure, Ridge, SeamKind
from offtool.steps.ask_if_open import PieceSeen
from offtool.steps.define_seam import SeamDefined
from offtool.steps.keep_weld_study import WeldStudyAbout
from offtool.steps.seam_place import SeamPlace, SizeToChoose, WeldPlace
from offtool.steps.sentences import sentence
from offtool.steps.sizes_given import DefinitionRefused, Said, SizeSaid, said_of
from offtool.web.forms.fields import name_field, note_field, number_or_blank, your_name_field
from offtool.web.forms.gauge import KeepStudyForm, StudyFileForm

KINDS = {
    SeamKind.RIDGE: "two flat faces, one of them with a small triangle that melts first",
    SeamKind.STEP: "a ridge, and a step that guides the halves and hides the melt on one side",
    SeamKind.GROOVE: "a tongue with a ridge stands in a groove that keeps the melt on both sides",
    SeamKind.SHEAR: "two walls overlap a little and melt into each other as they are driven together",
}
"""Each kind in words."""
CHOOSE = ("", "choose")
BLANK = ("", "a number")
NOT_LOOKED = ("not looked", "not looked at")
SEEN = (NOT_LOOKED, ("seen", "seen"), ("absent", "looked for, not there"))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleFields:
    """The three fields of one size of the seam."""

    meaning: str
    unit: str
    usual: str
    """What stands where it is left blank; empty where it must be given."""
    size: BoundField
    value: BoundField
    plus_minus: BoundField


class SeamForm(forms.Form):
    """A seam: how its parts meet, its sizes, what it must hold, and the welder."""

    code = name_field("Short name", "Such as torso; it stands in addresses and files.")
    name = name_field("Name in words", "Such as torso seam.", required=False)
    top_part = forms.ChoiceField(label="Part under the horn", error_messages={"required": "Choose one."})
    bottom_part = forms.ChoiceField(label="Part in the nest", error_messages={"required": "Choose one."})
    required_n = number_or_blank(
        "Pull that it must hold, N", "From use and the tension test of the law that applies, with a reserve."
    )
    largest_flash_mm = number_or_blank(
        "Flash that may stand out, mm", "At most; blank where the look alone counts."
    )
    frequency_khz = number_or_blank("Frequency, kHz", "Such as 20; not in Hz.")
    converter_um = number_or_blank(
        "Converter, µm peak-to-peak",
        "Amplitude at full power, the whole way from end to end. Stated as peak: give twice that.",
    )
    amplitude_pct = number_or_blank(
        "Amplitude set at the welder, %", "Of full; 100 where nothing is set.", at_most=100
    )
    booster_gain = number_or_blank("Gain of the booster", "Such as 1.5; 1 for a booster that only holds.")
    horn_gain = number_or_blank("Gain of the horn", "Engraved on it, or said by its maker.")
    horn_distance_mm = number_or_blank(
        "Distance from horn to seam, mm", "From the face of the horn; up to 6 mm is the near field."
    )
    note = note_field()
    made_by = your_name_field()

    def __init__(
        self, kind: SeamKind, place: SeamPlace, data: Mapping[str, Any] | None = None, **options: Any
    ) -> None:
        initial = {"amplitude_pct": "100", **options.pop("initial", {})}
        super().__init__(data, initial=initial, **options)
        self.kind = kind
        self.roles: tuple[Role, ...] = SEAM_KINDS[kind]
        parts = [(one.code, one.words) for one in place.parts]
        for name in ("top_part", "bottom_part"):
            self._choices(name, [CHOOSE, *parts])
        for role in self.roles:
            self._add(role, [one for one in place.sizes if one.unit == role.unit])

    def _choices(self, name: str, choices: Sequence[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = choices

    def _add(self, role: Role, sizes: Sequence[SizeToChoose]) -> None:
        parts = dict.fromkeys(one.part for one in sizes)
        groups = [(part, [(one.key, one.words) for one in sizes if one.part == part]) for part in parts]
        what = role.meaning
        self.fields[f"size_{role.name}"] = forms.ChoiceField(
            label=f"Measured size for {what}",
            required=False,
            choices=[BLANK, *groups],
            error_messages={"invalid_choice": "This size is not in the programme: choose another."},
        )
        self.fields[f"value_{role.name}"] = number_or_blank(f"Number for {what}, {role.unit}")
        self.fields[f"plus_minus_{role.name}"] = number_or_blank(
            f"How far {what} may be off, {role.unit}", at_least=0
        )

    @property
    def sizes(self) -> Iterator[RoleFields]:
        """A row a size."""
        for role in self.roles:
            yield RoleFields(
                meaning=role.meaning,
                unit="°" if role.unit == "deg" else role.unit,
                usual=_usual(role),
                size=self[f"size_{role.name}"],
                value=self[f"value_{role.name}"],
                plus_minus=self[f"plus_minus_{role.name}"],
            )

    @property
    def about(self) -> tuple[BoundField, ...]:
        """What it is called."""
        return self["code"], self["name"]

    @property
    def parts(self) -> tuple[BoundField, ...]:
        """What is welded on what."""
        return self["top_part"], self["bottom_part"]

    @property
    def asked(self) -> tuple[BoundField, ...]:
        """What it must hold, and how it may look."""
        return self["required_n"], self["largest_flash_mm"]

    @property
    def welder(self) -> tuple[BoundField, ...]:
        """The welder, from the generator to the seam."""
        names = (
            *("frequency_khz", "converter_um", "amplitude_pct"),
            *("booster_gain", "horn_gain", "horn_distance_mm"),
        )
        return tuple(self[name] for name in names)

    @property
    def last(self) -> tuple[BoundField, ...]:
        """A note, and who."""
        return self["note"], self["made_by"]

    def as_defined(self) -> SeamDefined:
        """What the step asks for."""
        given = self.cleaned_data
        plain = {
            one.name: given[one.name]
            for one in fields(SeamDefined)
            if one.name not in ("kind", "sizes", "amplitude_pct")
        }
        full = given["amplitude_pct"]
        return SeamDefined(
            kind=self.kind.value,
            sizes=dict(self._sizes()),
            amplitude_pct=100.0 if full is None else full,
            **plain,
        )

    def _sizes(self) -> Iterator[tuple[str, Said]]:
        given = self.cleaned_data
        for role in self.roles:
            said = SizeSaid(
                size=given[f"size_{role.name}"],
                value=given[f"value_{role.name}"],
                plus_minus=given[f"plus_minus_{role.name}"] or 0.0,
            )
            if said.size or said.value is not None:
                yield role.name, said

    def refuse(self, error: DefinitionRefused) -> None:
        """Show what cannot be at its field: of a size, at the number where there is one."""
        name = error.field
        if f"value_{name}" in self.fields:
            is_measured = bool(self.cleaned_data.get(f"size_{name}"))
            name = f"size_{name}" if is_measured else f"value_{name}"
        said = sentence(f"{error.what}; {error.remedy}" if error.remedy else error.what)
        self.add_error(name if name in self.fields else None, said)


def _usual(role: Role) -> str:
    if role.usual is None:
        return ""
    if role.name == "open_height":
        return "blank: not known, so that a height says nothing of an open seam"
    return f"blank: {role.usual:g}{'°' if role.unit == 'deg' else f' {role.unit}'}"


def typed_of(defined: SeamDefined) -> dict[str, Any]:
    """A seam as its form is filled."""
    typed: dict[str, Any] = {
        one.name: _typed(getattr(defined, one.name))
        for one in fields(SeamDefined)
        if one.name not in ("kind", "sizes")
    }
    for role, given in defined.sizes.items():
        said = said_of(given)
        typed[f"size_{role}"] = said.size
        typed[f"value_{role}"] = _typed(said.value)
        typed[f"plus_minus_{role}"] = _typed(said.plus_minus or None)
    return typed


def _typed(value: Any) -> Any:
    return f"{value:.12g}" if isinstance(value, float) else value


class TakeOutForm(forms.Form):
    """Who takes a seam out of the record."""

    made_by = your_name_field()


class OpenForm(forms.Form):
    """What was read and seen of a piece in the hand; nothing of it is kept."""

    height_mm = number_or_blank("Height over both parts, mm", "At the seam.", at_least=0)
    pull_n = number_or_blank("Pull reached, N", "Blank where it was not pulled.", at_least=0)
    came_apart = forms.ChoiceField(
        label="How it came apart",
        required=False,
        choices=[
            NOT_LOOKED,
            (Failure.TORN.value, "material torn"),
            (Failure.PEELED.value, "peeled clean"),
            (Failure.HELD.value, "held: the pull was stopped"),
        ],
    )
    ridge = forms.ChoiceField(
        label="What is left of the ridge",
        required=False,
        choices=[NOT_LOOKED, *((one.value, one.value) for one in Ridge if one is not Ridge.NOT_LOOKED)],
    )
    flash = forms.ChoiceField(label="Flash along the seam", required=False, choices=SEEN)
    horn_mark = forms.ChoiceField(label="Mark where the horn stood", required=False, choices=SEEN)

    def as_seen(self) -> PieceSeen:
        """The piece as the step takes it."""
        given = self.cleaned_data
        looks: dict[str, Any] = {
            name: given[name] or NOT_LOOKED[0] for name in ("came_apart", "ridge", "flash", "horn_mark")
        }
        return PieceSeen(height_mm=given["height_mm"], pull_n=given["pull_n"], **looks)


class WeldFileForm(StudyFileForm):
    """Choose the file of a weld study."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["file"].help_text = "CSV or XLSX, a row a piece, as it was written at the welder."


class HowWeldForm(forms.Form):
    """What the file does not say: where its pieces are from, what pulled them, when."""

    upload = forms.CharField(widget=forms.HiddenInput)
    top_trial = forms.ChoiceField(label="Pieces under the horn are from", required=False)
    bottom_trial = forms.ChoiceField(label="Pieces in the nest are from", required=False)
    gauge = forms.ChoiceField(label="Pulled with", required=False)
    done_on = forms.DateField(
        label="Welded on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Trials of a later day are passed over.",
    )
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="Of a workbook: its name."
    )

    def __init__(self, asked: Mapping[str, Any], *, place: WeldPlace, **options: Any) -> None:
        super().__init__({name: asked.get(name) for name in asked}, auto_id="how_%s", **options)
        for name, trials in (("top_trial", place.top_trials), ("bottom_trial", place.bottom_trials)):
            self._choices(name, [("", "the newest trial"), *((one, one) for one in trials)])
        self._choices("gauge", [("", "not recorded"), *place.gauges])
        self.fields["top_trial"].label = f"{place.top_part}, under the horn, is from"
        self.fields["bottom_trial"].label = f"{place.bottom_part}, in the nest, is from"

    def _choices(self, name: str, choices: Sequence[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 for the type checker
        field.choices = choices

    @property
    def about(self) -> WeldStudyAbout:
        """What is told, as the step takes it; as if nothing were told where that is wrong."""
        given = self.cleaned_data if self.is_valid() else {}
        return WeldStudyAbout(
            gauge=given.get("gauge") or "",
            done_on=given.get("done_on"),
            top_trial=given.get("top_trial") or "",
            bottom_trial=given.get("bottom_trial") or "",
        )

    @property
    def sheet_asked(self) -> str | None:
        """The sheet that is asked for."""
        return (self.cleaned_data.get("sheet") if self.is_valid() else None) or None


class KeepWeldForm(KeepStudyForm):
    """Keep what was shown, under a name; the day was told already."""

    name = name_field("Name of the study", "Such as W1.")
    done_on = None  # type: ignore[assignment]  # how Django leaves out a field of a parent form

    def about_weld(self, told: WeldStudyAbout) -> WeldStudyAbout:
        """What was told of the study already, with its note."""
        return replace(told, note=self.cleaned_data["note"])
