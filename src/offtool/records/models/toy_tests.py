"""Tests of the law on own pieces: what was pulled, turned and dropped, and what became of it."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from offtool.handbook.terms import NOT_NEGATIVE, POSITIVE, Market
from offtool.handbook.toy_law import TOY_TESTS_NAMED
from offtool.records.models.base import (
    ReadFromFile,
    count_field,
    filled,
    kept_history,
    name_field,
    number_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.parts import Part, Programme


class ToyTestRun(ReadFromFile):
    """One test of the law on several pieces, from one file. Set aside with a reason, never changed."""

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="toy_tests")
    name = name_field("The test's own name or number.")
    market = word_field(Market, "Whose law.")
    test = name_field("The test, such as torque.", choices=[(key, key) for key in TOY_TESTS_NAMED])
    history = kept_history(without=("content",))

    class Meta:
        constraints = (
            once("toy_test_once", "programme", "name"),
            *filled("toy_test", "name", "file_name"),
            one_of("toy_test", "market", Market),
            CheckConstraint(
                condition=Q(test__in=list(TOY_TESTS_NAMED)),
                name="toy_test_test_word",
                violation_error_message=f"test must be one of: {', '.join(TOY_TESTS_NAMED)}",
            ),
        )

    def __str__(self) -> str:
        return self.name


class ToyTestPiece(models.Model):
    """One piece of a test of the law. Never updated."""

    run = models.ForeignKey(ToyTestRun, on_delete=models.PROTECT, related_name="pieces")
    piece = name_field("The piece, as marked.")
    part = models.ForeignKey(
        Part,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="in_toy_tests",
        help_text="The part that was pulled or turned; blank: the whole toy.",
    )
    value = number_field("How far it was pulled or turned, N or N·m.")
    unit = name_field("The unit of the value.", blank=True, default="")
    drops = count_field("How often it fell.")
    height_m = number_field("From how high it fell, m.")
    held = models.BooleanField(help_text="Nothing came off, nothing broke.")
    came_off_mm = number_field("Largest size of what came off, mm.")
    row = models.PositiveIntegerField(help_text="Row in the file, from 1.")

    class Meta:
        constraints = (
            once("toy_test_piece_once", "run", "row"),
            *filled("toy_test_piece", "piece"),
            *within("toy_test_piece", NOT_NEGATIVE, "value"),
            *within("toy_test_piece", POSITIVE, "drops", "height_m", "came_off_mm"),
        )

    def __str__(self) -> str:
        return self.piece
