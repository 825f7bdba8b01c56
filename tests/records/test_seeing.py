"""What was seen at the press is kept in whole or not at all, and never rewritten."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import WeightClass
from offtool.records.models import Defect, Flaw, Look, Photograph
from offtool.records.operations import NewFlaw, NewPhotograph, keep_defect, record_look, set_look_aside
from tests.records.example import NOON, Example, make_example

pytestmark = pytest.mark.django_db


@pytest.fixture
def example(db: None) -> Example:
    return make_example()


@pytest.fixture
def flash(example: Example) -> Defect:
    return make_defect(example)


def make_defect(example: Example, **changed: object) -> Defect:
    given = {
        "code": "flash",
        "name": "flash",
        "meaning": "",
        "weight_class": WeightClass.MAJOR,
        "is_listed": True,
        "made_by": "Ada",
        **changed,
    }
    return keep_defect(example.programme, **given)  # type: ignore[arg-type]


def a_picture(content: bytes = b"\xff\xd8", of: int | None = 0) -> NewPhotograph:
    return NewPhotograph(name="a.jpg", content=content, media_type="image/jpeg", width=4, height=3, of=of)


def look_at(
    example: Example, *flaws: NewFlaw, pictures: tuple[NewPhotograph, ...] = (), pieces: int = 4
) -> Look:
    return record_look(
        example.trial, example.cavities[0], None, pieces, flaws, pictures, looked_at=NOON, looked_by="Ada"
    )


def test_a_look_is_kept_with_flaws_and_photographs(example: Example, flash: Defect) -> None:
    look = look_at(
        example,
        NewFlaw(defect=flash, pieces=2, place="ear"),
        NewFlaw(defect=flash, pieces=1, place="tail"),
        pictures=(a_picture(of=1), a_picture(), a_picture(b"other", of=None)),
    )
    assert list(look.flaws.values_list("place", "pieces")) == [("ear", 2), ("tail", 1)]
    assert [one.flaw.place if one.flaw else None for one in look.photographs.order_by("pk")] == ["ear", None]
    assert look.history.get().history_user_id == "Ada"


@pytest.mark.parametrize(
    ("flaws", "said"),
    [([5], "more pieces than were looked at"), ([1, 1], "there is one already"), ([0], "at least one piece")],
)
def test_a_look_that_cannot_be_leaves_nothing(
    example: Example, flash: Defect, flaws: list[int], said: str
) -> None:
    with pytest.raises(OfftoolError, match=said):
        look_at(example, *(NewFlaw(defect=flash, pieces=pieces) for pieces in flaws), pictures=(a_picture(),))
    assert Look.objects.count() == Flaw.objects.count() == Photograph.objects.count() == 0


def test_a_defect_of_another_programme_is_refused(example: Example) -> None:
    strange = keep_defect(
        example.other,
        "flash",
        name="flash",
        meaning="",
        weight_class=WeightClass.MAJOR,
        is_listed=True,
        made_by="",
    )
    with pytest.raises(OfftoolError, match="the defect belongs to another programme"):
        look_at(example, NewFlaw(defect=strange, pieces=1))


def test_a_look_is_set_aside_once_and_nothing_else_of_it_can_change(example: Example) -> None:
    look = look_at(example)
    set_look_aside(look, "wrong box", "Grace")
    row = look.history.latest()
    assert (row.set_aside, row.history_user_id, row.history_change_reason) == (
        "wrong box",
        "Grace",
        "wrong box",
    )
    with pytest.raises(OfftoolError, match="set aside before"):
        set_look_aside(look, "again", "Grace")
    with pytest.raises(IntegrityError, match="what was looked at is never changed"), transaction.atomic():
        Look.objects.filter(pk=look.pk).update(pieces=9)


def test_a_defect_knows_when_it_came_onto_the_list_and_went_off_it(example: Example, flash: Defect) -> None:
    assert flash.list_changes == {}
    make_defect(example, name="burr")
    assert list(make_defect(example, is_listed=False).list_changes.values()) == [False]
    assert list(make_defect(example).list_changes.values()) == [False, True]
    assert list(make_defect(example, code="whisker").list_changes.values()) == [True]
    assert make_defect(example, code="thread", is_listed=False).list_changes == {}


def test_a_list_keeps_every_state_and_writes_nothing_where_nothing_changes(
    example: Example, flash: Defect
) -> None:
    make_defect(example)
    assert flash.history.count() == 1
    make_defect(example, name="burr")
    make_defect(example, name="burr", is_listed=False, reason="no such tool")
    assert [(row.name, row.is_listed) for row in flash.history.order_by("history_id")] == [
        ("flash", True),
        ("burr", True),
        ("burr", False),
    ]
    with pytest.raises(OfftoolError, match="name must not be empty"):
        make_defect(example, name="")
