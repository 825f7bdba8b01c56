"""A form for any formula, made from the table of its parameters."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django import forms

from offtool.core.formulas import Formula, Parameter
from offtool.web.wording import title_and_unit


class FormulaForm(forms.Form):
    """A field a parameter. Everything is text here: kinds and ranges are checked by the formula alone."""

    def __init__(self, formula: Formula, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={name: as_text(value) for name, value in formula.example.items()})
        for parameter in formula.parameters:
            self.fields[parameter.name] = _field(parameter)

    @property
    def given(self) -> dict[str, str]:
        """What was filled in, by parameter; blanks are left to the formula."""
        return {name: text for name, text in self.cleaned_data.items() if text != ""}


def as_text(value: object) -> str:
    """An example as one would type it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    if isinstance(value, Mapping):
        return json.dumps(value, ensure_ascii=False, indent=1)
    return str(value)


def _field(parameter: Parameter) -> forms.Field:
    options: dict[str, Any] = {
        "label": title_and_unit(parameter.name)[0],
        "help_text": _help(parameter),
        "required": False,
    }
    if parameter.kind == "choice":
        choices = [("", "—"), *((choice, choice) for choice in parameter.choices)]
        return forms.ChoiceField(choices=choices, **options)
    if parameter.kind == "yes or no":
        return forms.ChoiceField(choices=[("", "—"), ("yes", "yes"), ("no", "no")], **options)
    if parameter.kind in ("numbers", "texts", "table"):
        rows = 12 if parameter.kind == "table" else 4
        return forms.CharField(widget=forms.Textarea(attrs={"rows": rows}), **options)
    decimal = {"inputmode": "decimal"} if parameter.kind in ("number", "whole number") else {}
    return forms.CharField(widget=forms.TextInput(attrs={"autocomplete": "off", **decimal}), **options)


def _help(parameter: Parameter) -> str:
    """Meaning, what may be given, and what a blank means."""
    span = parameter.range.words() if parameter.kind in ("number", "whole number", "numbers") else ""
    written = {
        "numbers": "parted by commas or line by line",
        "texts": "parted by commas or line by line",
        "table": "as JSON, as in the example",
        "whole number": "a whole number",
    }.get(parameter.kind, "")
    blank = "" if parameter.default is None else f"{as_text(parameter.default)} when blank"
    unit = parameter.range.unit
    pieces = [parameter.range.meaning, unit, written, "" if span == "any number" else span, blank]
    return "; ".join(piece for piece in pieces if piece)
