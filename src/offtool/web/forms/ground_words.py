"""Forms of what a programme says itself: its words for the stages, and how often it meets each sign."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms.boundfield import BoundField

from offtool.core.values import OfftoolError
from offtool.handbook.terms import Stage
from offtool.steps.ground_found import StageKnown
from offtool.steps.sentences import sentence
from offtool.web.forms.fields import NumberField, name_field, number_or_blank
from offtool.web.forms.ground import GroundForm, typed


class StageForm(GroundForm):
    """What a programme calls a stage."""

    engineer = name_field("For the engineer", required=False)
    archive = name_field("For the archive", required=False)
    kept = number_or_blank(
        "How many of the pieces that turn up are from it, %",
        "Before anything is looked at, compared with the other stages.",
        at_least=0,
    )
    layout = (("", "", ("engineer", "archive", "kept", "made_by")),)

    def __init__(self, known: StageKnown, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.stage = known.stage

    def said(self) -> Mapping[str, Any]:
        """What is said, as the step takes it."""
        given = self.cleaned_data
        kept = None if given["kept"] is None else given["kept"] / 100
        return {"engineer": given["engineer"], "archive": given["archive"], "kept": kept}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareRow:
    """The shares of one stage, outcome by outcome."""

    stage: str
    fields: tuple[BoundField, ...]
    error: str


class SharesForm(GroundForm):
    """How often each outcome of a sign is met at each stage, in per cent; blank for the handbook's share."""

    def __init__(
        self,
        outcomes: Sequence[str],
        usual: Mapping[str, Sequence[str]],
        data: Any = None,
        **options: Any,
    ) -> None:
        super().__init__(data, **options)
        self.outcomes = tuple(outcomes)
        self.errors_of: dict[str, str] = {}
        for stage in Stage:
            for place, outcome in enumerate(self.outcomes):
                self.fields[_share(stage, place)] = NumberField(
                    label=f"{outcome}, {stage.value}, %",
                    required=False,
                    min_value=0,
                    max_value=100,
                    error_messages={
                        "invalid": "Give a number, such as 40.",
                        "min_value": "0 to 100.",
                        "max_value": "0 to 100.",
                    },
                )
                counted = usual[outcome][list(Stage).index(stage)]
                self.fields[_share(stage, place)].widget.attrs["placeholder"] = counted

    @property
    def rows(self) -> Iterator[ShareRow]:
        """A row a stage."""
        for stage in Stage:
            fields = tuple(self[_share(stage, place)] for place in range(len(self.outcomes)))
            yield ShareRow(stage=stage.value, fields=fields, error=self.errors_of.get(stage.value, ""))

    def refuse(self, error: OfftoolError) -> None:
        """Show what cannot be beside its stage."""
        self.errors_of[error.where] = sentence(f"{error.what}; {error.remedy}")
        self.add_error(None, f"Nothing was kept: {error.where}: {error.what}; {error.remedy}.")

    def said(self) -> dict[str, dict[str, float | None]]:
        """By stage and outcome, as the step takes it."""
        given = self.cleaned_data
        return {
            stage.value: {
                outcome: None if (value := given[_share(stage, place)]) is None else value / 100
                for place, outcome in enumerate(self.outcomes)
            }
            for stage in Stage
        }


def _share(stage: Stage, place: int) -> str:
    return f"{stage.name.lower()}_{place}"


def shares_typed(shares: Sequence[tuple[str, Sequence[float]]], own: Sequence[Stage]) -> dict[str, Any]:
    """The shares that the programme says itself, as the form is filled."""
    return {
        _share(stage, place): typed(100 * values[list(Stage).index(stage)])
        for place, (_, values) in enumerate(shares)
        for stage in own
    }
