"""The sheet on which a sample is looked at: three ways for every detail, nothing chosen beforehand.

Hundreds of fields may stand on it, so its rows are plain data and no fields of Django's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite

from django import forms

from offtool.handbook.measured_colour import (
    DIFFERENCE,
    LIGHTNESS,
    OBSERVERS,
    SIDEWAYS,
    USUAL_OBSERVER,
    USUAL_UNCERTAINTY_DE,
    Illuminant,
)
from offtool.handbook.terms import LARGEST_NUMBER, LONGEST_NAME, ColourBy, Ends
from offtool.records.operations import NewColour
from offtool.steps.look_at_sample import ColourOn, FoundOn, LookFor, SampleToLookAt
from offtool.web.forms.fields import NumberField, note_field, your_name_field
from offtool.web.pages.frame import anchor

MEASURED = "size"


class LookHeadForm(forms.Form):
    """Who looked, and what else is to be said."""

    note = note_field()
    looked_by = your_name_field()


@dataclass(slots=True, kw_only=True)
class LookRow:
    """One thing to look at or measure, as it was sent or empty."""

    look: LookFor
    mark: str
    """Names its fields."""
    outcome: str = ""
    """Empty: not looked at."""
    is_unsure: bool = False
    value: str = ""
    uncertainty: str = ""
    error: str = ""

    @property
    def is_size(self) -> bool:
        """Whether it is measured instead of looked at."""
        return self.look.kind == MEASURED

    @property
    def is_filled(self) -> bool:
        """Whether anything was said of it."""
        return bool(self.outcome or self.value or self.uncertainty)

    @property
    def choices(self) -> tuple[tuple[str, str, bool], ...]:
        """Mark, words and whether it is chosen, of every way to answer; "not looked" is last."""
        ways = (*self.look.outcomes, "")
        return tuple((f"{self.mark}-{k}", one, one == self.outcome) for k, one in enumerate(ways))

    def found(self) -> FoundOn:
        """What it says. Raises ValueError, in words, for what cannot be."""
        if not self.is_size:
            if self.outcome not in self.look.outcomes:
                raise ValueError(f"Choose one of: {', '.join(self.look.outcomes)}.")
            return self._found()
        if not self.value:
            raise ValueError("Give the value that was measured, too.")
        uncertainty = number(self.uncertainty) if self.uncertainty else None
        if uncertainty is not None and uncertainty < 0:
            raise ValueError("An uncertainty is 0 or more; blank where nobody knows it.")
        return self._found(value=number(self.value), uncertainty=uncertainty)

    def _found(self, *, value: float | None = None, uncertainty: float | None = None) -> FoundOn:
        return FoundOn(
            part=self.look.part,
            kind=self.look.kind,
            code=self.look.code,
            outcome=self.outcome,
            value=value,
            uncertainty=uncertainty,
            is_sure=not self.is_unsure,
        )


@dataclass(slots=True, kw_only=True)
class ColourRow:
    """The colour of a place on one part, by an instrument."""

    part: str
    mark: str
    lightness: str = ""
    a: str = ""
    b: str = ""
    uncertainty: str = ""
    place: str = ""
    illuminant: str = Illuminant.D65.value
    observer: str = str(USUAL_OBSERVER)
    error: str = ""

    illuminants = tuple(one.value for one in Illuminant)
    observers = tuple(str(one) for one in OBSERVERS)

    @property
    def is_filled(self) -> bool:
        """Whether any of the numbers was given."""
        return bool(self.lightness or self.a or self.b)

    def colour(self) -> ColourOn:
        """What it says. Raises ValueError, in words, for what cannot be."""
        if not (self.lightness and self.a and self.b):
            raise ValueError("A colour is L*, a* and b*: give all three.")
        if self.illuminant not in self.illuminants or self.observer not in self.observers:
            raise ValueError("Choose the light and the observer that the instrument says.")
        return ColourOn(
            part=self.part,
            colour=NewColour(
                lightness=within(self.lightness, LIGHTNESS, "L*"),
                a=within(self.a, SIDEWAYS, "a*"),
                b=within(self.b, SIDEWAYS, "b*"),
                uncertainty_de=within(self.uncertainty, DIFFERENCE, "The uncertainty")
                if self.uncertainty
                else USUAL_UNCERTAINTY_DE,
                by=ColourBy.INSTRUMENT,
                place=self.place,
                illuminant=Illuminant(self.illuminant),
                observer=int(self.observer),
            ),
        )


@dataclass(slots=True, kw_only=True)
class LookBlock:
    """One part on the sheet; the whole piece where the label is empty."""

    label: str
    part: str
    details: tuple[LookRow, ...]
    signs: tuple[LookRow, ...]
    sizes: tuple[LookRow, ...]
    colour: ColourRow | None
    is_alone: bool = field(default=False)
    """Whether it is the only part: its sizes and signs then stand in the open."""

    @property
    def rows(self) -> tuple[LookRow, ...]:
        """All that can be looked at."""
        return (*self.details, *self.signs, *self.sizes)

    @property
    def is_sign_filled(self) -> bool:
        """Whether a sign says something, so that it must not stay folded."""
        return any(one.is_filled for one in self.signs)

    @property
    def is_size_filled(self) -> bool:
        """The same of a size."""
        return any(one.is_filled for one in self.sizes)


class LookSheet:
    """Everything that can be looked at, empty or as it was sent."""

    def __init__(self, place: SampleToLookAt, data: Mapping[str, str] | None = None) -> None:
        self.data = data or {}
        self.is_sent = data is not None
        self.first = tuple(self._row(one) for one in place.first)
        self.blocks = tuple(
            self._block(one.label, one.part, one.looks) for one in place.parts if one.looks or one.label
        )
        for block in self.blocks:
            block.is_alone = len(place.parts) <= 2
        self.error = ""

    def found(self) -> tuple[list[FoundOn], list[ColourOn]]:
        """What was found; the reasons why not stand at the rows and on the sheet, and then it is nothing."""
        found = [one for row in self._rows() if row.is_filled and (one := _found(row)) is not None]
        filled = [block.colour for block in self.blocks if block.colour and block.colour.is_filled]
        colours = [told for row in filled if (told := _colour(row)) is not None]
        wrong = sum(bool(row.error) for row in self._rows()) + sum(bool(row.error) for row in filled)
        if wrong:
            self.error = f"Nothing was kept: see the {'marked one' if wrong == 1 else f'{wrong} marked'}."
            return [], []
        if not found and not colours:
            self.error = "Nothing was kept: say what you saw, missed or measured."
        return found, colours

    def _rows(self) -> Iterator[LookRow]:
        yield from self.first
        for block in self.blocks:
            yield from block.rows

    def _block(self, label: str, part: str, looks: Sequence[LookFor]) -> LookBlock:
        rows = [self._row(one) for one in looks]
        return LookBlock(
            label=label,
            part=part,
            details=tuple(one for one in rows if one.look.kind == "detail"),
            signs=tuple(one for one in rows if one.look.kind == "sign"),
            sizes=tuple(one for one in rows if one.is_size),
            colour=self._colour(label) if label else None,
        )

    def _row(self, look: LookFor) -> LookRow:
        mark = anchor(look.kind, look.part, look.code)
        return LookRow(
            look=look,
            mark=mark,
            outcome=self._said(f"saw-{mark}"),
            is_unsure=f"unsure-{mark}" in self.data,
            value=self._said(f"value-{mark}"),
            uncertainty=self._said(f"plus-{mark}"),
        )

    def _colour(self, label: str) -> ColourRow:
        mark = anchor("colour", label)
        return ColourRow(
            part=label,
            mark=mark,
            lightness=self._said(f"lightness-{mark}"),
            a=self._said(f"a-{mark}"),
            b=self._said(f"b-{mark}"),
            uncertainty=self._said(f"plus-{mark}"),
            place=self._said(f"place-{mark}")[:LONGEST_NAME],
            illuminant=self._said(f"illuminant-{mark}") or Illuminant.D65.value,
            observer=self._said(f"observer-{mark}") or str(USUAL_OBSERVER),
        )

    def _said(self, name: str) -> str:
        return self.data.get(name, "").strip()


def _found(row: LookRow) -> FoundOn | None:
    """What a row says; None with the reason at the row."""
    try:
        return row.found()
    except ValueError as error:
        row.error = str(error)
        return None


def _colour(row: ColourRow) -> ColourOn | None:
    try:
        return row.colour()
    except ValueError as error:
        row.error = str(error)
        return None


def number(written: str) -> float:
    """A number as people write it. Raises ValueError, in words."""
    try:
        value = NumberField().clean(written)
    except forms.ValidationError as error:
        raise ValueError("Give a number, such as 4.02.") from error
    if value is None or not isfinite(value) or abs(value) > LARGEST_NUMBER:
        raise ValueError("No size is as large as that: mend the number.")
    return float(value)


def within(written: str, ends: Ends, called: str) -> float:
    """A number between two ends. Raises ValueError, in words."""
    value = number(written)
    low, high = ends.get("at_least", ends.get("above", -LARGEST_NUMBER)), ends.get("at_most", LARGEST_NUMBER)
    if not low <= value <= high or value <= ends.get("above", -LARGEST_NUMBER):
        raise ValueError(f"{called} lies between {low:g} and {high:g}.")
    return value
