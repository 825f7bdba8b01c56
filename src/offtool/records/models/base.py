"""What all models share: constraints made from the trade's ranges and words, and the history of changes."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from simple_history.models import HistoricalRecords

from offtool.handbook.terms import LONGEST_FILE_NAME, LONGEST_NAME, Ends
from offtool.records.acting import name_of_actor


def name_field(help_text: str, **options: Any) -> models.CharField[str, str]:
    """A short name that people say aloud: a code, a number, a label."""
    return models.CharField(max_length=LONGEST_NAME, help_text=help_text, **options)


def count_field(help_text: str, **options: Any) -> models.PositiveIntegerField[int | None, int | None]:
    """How many; may be blank: nobody has counted or said it yet."""
    return models.PositiveIntegerField(null=True, blank=True, help_text=help_text, **options)


def note_field() -> models.TextField[str, str]:
    """Room for what has no column of its own."""
    return models.TextField(blank=True, default="", help_text="Anything the next reader should know.")


def number_field(help_text: str) -> models.FloatField[float | None, float | None]:
    """A number that may be blank: nobody has written it down yet."""
    return models.FloatField(null=True, blank=True, help_text=help_text)


def word_field(words: type[StrEnum], help_text: str, **options: Any) -> models.CharField[str, str]:
    """One of the fixed words of the trade; `one_of` holds it in the database."""
    choices = [(word.value, word.value or "not stated") for word in words]
    options.setdefault("max_length", 30)
    return models.CharField(choices=choices, help_text=help_text, **options)


def one_of(table: str, field: str, words: type[StrEnum]) -> CheckConstraint:
    """The field holds one of the fixed words."""
    allowed = ", ".join(word.value or "nothing" for word in words)
    return CheckConstraint(
        condition=Q(**{f"{field}__in": [word.value for word in words]}),
        name=f"{table}_{field}_word",
        violation_error_message=f"{field} must be one of: {allowed}",
    )


def once(name: str, *fields: str, said: str = "", condition: Q | None = None) -> UniqueConstraint:
    """No two rows have the same in these fields."""
    return UniqueConstraint(
        fields=fields,
        name=name,
        condition=condition,
        violation_error_message=said or f"there is one already with the same {', '.join(fields)}",
    )


def filled(table: str, *fields: str) -> list[CheckConstraint]:
    """The names are not empty."""
    return [
        CheckConstraint(
            condition=~Q(**{field: ""}),
            name=f"{table}_{field}_filled",
            violation_error_message=f"{field} must not be empty",
        )
        for field in fields
    ]


def listed(table: str, field: str) -> CheckConstraint:
    """The name can stand in a list: no semicolon."""
    return CheckConstraint(
        condition=~Q(**{f"{field}__contains": ";"}),
        name=f"{table}_{field}_listed",
        violation_error_message=f"{field} must have no semicolon: lists are written with it",
    )


_LOOKUPS = {"above": "gt", "at_least": "gte", "below": "lt", "at_most": "lte"}


def within(table: str, ends: Ends, *fields: str) -> list[CheckConstraint]:
    """The numbers lie between the ends; a blank is allowed where the field allows it, NaN and infinity never.

    PostgreSQL holds NaN to be above every number and SQLite stores it as NULL: an upper end in every range
    and NOT NULL refuse it in both.
    """
    words = " and ".join(f"{end.replace('_', ' ')} {value:g}" for end, value in ends.items())
    return [
        CheckConstraint(
            condition=Q(**{f"{field}__{_LOOKUPS[end]}": value for end, value in ends.items()}),
            name=f"{table}_{field}_range",
            violation_error_message=f"{field} must be {words}",
        )
        for field in fields
    ]


def not_zero(table: str, field: str, meaning: str) -> CheckConstraint:
    """A number that means nothing when it is zero."""
    return CheckConstraint(
        condition=~Q(**{field: 0}),
        name=f"{table}_{field}_not_zero",
        violation_error_message=f"{field} must not be 0: {meaning}",
    )


def _get_actor(row: models.Model) -> str:
    return str(row.history_user_id)  # type: ignore[attr-defined]


def _set_actor(row: models.Model, name: str) -> None:
    row.history_user_id = name  # type: ignore[attr-defined]


class ReadFromFile(models.Model):
    """What was carried out once and read from one file, kept byte for byte; set aside, never deleted."""

    done_on = models.DateField(null=True, blank=True, help_text="The day it was measured.")
    note = models.TextField(blank=True, default="", help_text="Anything the next reader should know.")
    file_name = models.CharField(max_length=LONGEST_FILE_NAME, help_text="The file's name as it was sent.")
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the bytes.")
    content = models.BinaryField(help_text="The bytes of the file themselves.")
    read_at = models.DateTimeField(help_text="When it was read.")
    read_by = name_field("Who read it.", blank=True, default="")
    set_aside = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )

    class Meta:
        abstract = True


def kept_history(*, without: tuple[str, ...] = ()) -> HistoricalRecords:
    """Every state a definition has been in, with who changed it, when and why; rows are only ever added.

    `without` names columns that never change and are too large to be kept again.
    """
    return HistoricalRecords(
        excluded_fields=list(without),
        history_user_id_field=models.CharField(max_length=LONGEST_NAME, default="", blank=True),
        history_user_getter=_get_actor,
        history_user_setter=_set_actor,
        get_user=name_of_actor,
        history_change_reason_field=models.TextField(default="", blank=True, null=True),
    )
