"""The form of a photograph with a card: where the card lies and what it is, and regions of the piece."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from offtool.core.colour import LIGHTS
from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.steps.card_marks import MOST_ACROSS, Corners
from offtool.steps.colour_from_photograph import PhotographMarks, PhotographPlace, PieceMark
from offtool.steps.sentences import sentence
from offtool.web.forms.fields import number_or_blank, your_name_field

REGIONS, AT_ONCE = 6, 2
GRID, ONE_GREY = "grid", "grey"
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


class SharesField(forms.CharField):
    """So many numbers in per cent of the picture, as shares from 0 to 1."""

    def __init__(self, count: int, invalid: str, **options: Any) -> None:
        self.count, self.invalid = count, invalid
        widget = forms.TextInput(attrs={"autocomplete": "off", "inputmode": "text"})
        super().__init__(widget=widget, max_length=200, **options)

    def clean(self, value: Any) -> Any:
        """The shares, or nothing where nothing is typed."""
        text = super().clean(value)
        if not text:
            return ()
        numbers = [float(one.replace(",", ".")) / 100 for one in _NUMBER.findall(text)]
        if len(numbers) != self.count or not all(0 <= one <= 1 for one in numbers):
            raise forms.ValidationError(self.invalid)
        return tuple(numbers)


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionFields:
    """The fields of one region of the piece."""

    number: int
    part: BoundField
    place: BoundField
    box: BoundField


class MarksForm(forms.Form):
    """What is marked on the photograph."""

    kind = forms.ChoiceField(
        label="Card",
        choices=[(GRID, "patches in rows and columns"), (ONE_GREY, "one grey patch")],
        widget=forms.RadioSelect,
        initial=GRID,
        error_messages={"required": "Say what card it is."},
    )
    corners = SharesField(
        8,
        "Give four corners, each as from left and from top in per cent of the picture, such as "
        "10 62; 40 62; 40 90; 10 90.",
        label="Corners of the card",
        help_text="Of its outermost patches: upper left, upper right, lower right, lower left, as it lies.",
        error_messages={"required": "Mark the card on the picture, or type its four corners."},
    )
    rows = forms.IntegerField(label="Rows", required=False, min_value=1, max_value=MOST_ACROSS)
    columns = forms.IntegerField(label="Columns", required=False, min_value=1, max_value=MOST_ACROSS)
    card = forms.FileField(
        label="File of its values",
        required=False,
        help_text="CSV or XLSX, a row a patch: patch, L, a, b; row by row from the card's upper left.",
    )
    card_slip = forms.CharField(required=False, widget=forms.HiddenInput)
    light = forms.ChoiceField(
        label="Values are stated for",
        choices=[(one, one.replace("/", ", ") + " degrees") for one in LIGHTS],
        initial="D50/2",
        help_text="As the card says.",
    )
    grey_lightness = number_or_blank("L* of the grey", "It stands on the card; a middle grey is about 50.")
    made_by = your_name_field()

    def __init__(self, place: PhotographPlace, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["corners"].widget.attrs["data-mark"] = "corners"
        for name in ("rows", "columns"):
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        parts = [(label, f"{label}, {words}" if words != label else label) for label, words in place.parts]
        for number in range(REGIONS):
            self._add_region(number, parts, place.part)

    def _add_region(self, number: int, parts: list[tuple[str, str]], part: str) -> None:
        first = parts[0][0] if parts else ""
        self.fields[f"part_{number}"] = forms.ChoiceField(
            label="Part", choices=parts, required=False, initial=part or first
        )
        self.fields[f"place_{number}"] = forms.CharField(label="Where on it", required=False, max_length=100)
        box = SharesField(
            4,
            "Give left, top, right and bottom in per cent of the picture, such as 55 20 62 28.",
            label="Left, top, right, bottom, %",
            required=False,
        )
        box.widget.attrs["data-mark"] = "box"
        box.widget.attrs["data-says"] = str(number + 1)
        self.fields[f"box_{number}"] = box

    @property
    def first_regions(self) -> Iterator[RegionFields]:
        """The fields of the regions that are shown at once."""
        yield from map(self._region, range(AT_ONCE))

    @property
    def more_regions(self) -> Iterator[RegionFields]:
        """The fields of the others."""
        yield from map(self._region, range(AT_ONCE, REGIONS))

    @property
    def has_more(self) -> bool:
        """Whether anything is typed in one of the others."""
        return any(self[f"box_{number}"].value() for number in range(AT_ONCE, REGIONS))

    def _region(self, number: int) -> RegionFields:
        return RegionFields(
            number=number + 1,
            part=self[f"part_{number}"],
            place=self[f"place_{number}"],
            box=self[f"box_{number}"],
        )

    def clean(self) -> dict[str, Any]:
        """What each kind of card needs, and at least one region."""
        given = self.cleaned_data
        needed = {
            GRID: (("rows", "Count its rows."), ("columns", "Count its columns.")),
            ONE_GREY: (("grey_lightness", "Give the L* of the grey."),),
        }
        for name, said in needed.get(given.get("kind", ""), ()):
            if given.get(name) is None and name not in self.errors:
                self.add_error(name, said)
        boxes = [f"box_{number}" for number in range(REGIONS)]
        if not any(given.get(name) for name in boxes) and not any(name in self.errors for name in boxes):
            self.add_error("box_0", "Mark a region of the piece, or type where it is.")
        return given

    def marks(self, card: bytes, card_name: str) -> PhotographMarks:
        """What is marked, as the step takes it."""
        given = self.cleaned_data
        is_grey = given["kind"] == ONE_GREY
        x = given["corners"]
        corners: Corners = ((x[0], x[1]), (x[2], x[3]), (x[4], x[5]), (x[6], x[7]))
        return PhotographMarks(
            corners=corners,
            rows=1 if is_grey else given["rows"],
            columns=1 if is_grey else given["columns"],
            grey_lightness=given["grey_lightness"] if is_grey else None,
            card=b"" if is_grey else card,
            card_name=card_name,
            light=next(one for one in LIGHTS if one == given["light"]),
            piece=tuple(self._piece()),
        )

    def _piece(self) -> Iterator[PieceMark]:
        given = self.cleaned_data
        for number in range(REGIONS):
            box = given[f"box_{number}"]
            if box:
                place = given[f"place_{number}"]
                region = (box[0], box[1], box[2], box[3])
                yield PieceMark(part=given[f"part_{number}"], region=region, place=place)

    def refuse(self, error: OfftoolError) -> None:
        """Show what cannot be at the field it speaks of."""
        argument = str(getattr(error, "argument", "") or error.where)
        said = str(error)
        if isinstance(error, ImpossibleInput):
            said = f"{error.value} {error.unit}".rstrip() + f": {error.limit}"
            said = f"{said}; {error.remedy}" if error.remedy else said
        self.add_error(argument if argument in self.fields else None, sentence(said))
