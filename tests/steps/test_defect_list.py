"""The list of defects: standard words to start from, a programme's own over them, every change kept."""

from __future__ import annotations

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.defects import PRACTICE, STANDARD_DEFECTS, standard_defect
from offtool.handbook.terms import LONGEST_NAME, WeightClass
from offtool.records.models import Defect
from offtool.records.queries.finding import NotInRecord
from offtool.steps.defect_list import defect_list, edit_defect
from tests.steps.press import SLUG, make_tool

ASKED = {
    "short-shot",
    "flash",
    "sink",
    "void",
    "burn",
    "weld-line",
    "flow-line",
    "jetting",
    "gate-blush",
    "splay",
    "colour-streak",
    "off-colour",
    "delamination",
    "warp",
    "ejector-mark",
    "drag",
    "stuck",
    "crack",
    "parting-step",
    "gate-vestige",
    "missing-detail",
    "missing-date-mark",
    "specks",
}
"""Kinds of flaw of a moulded part that every moulder tells apart: common practice, no source."""


def test_the_handbook_has_every_flaw_that_moulders_tell_apart_once() -> None:
    codes = [one.code for one in STANDARD_DEFECTS]
    assert set(codes) >= ASKED
    assert len(codes) == len(set(codes))
    names = [name.strip() for one in STANDARD_DEFECTS for name in (one.name, *one.also_called.split(","))]
    assert len(names) == len(set(names))


def test_every_row_is_whole_and_says_where_it_comes_from() -> None:
    for one in STANDARD_DEFECTS:
        assert one.source == PRACTICE
        assert all((one.name, one.also_called, one.meaning, one.process, one.steel))
        assert len(one.name) <= LONGEST_NAME
        assert one.code == one.code.casefold().replace(" ", "-")
    assert standard_defect("flash") is not None
    assert standard_defect("whisker") is None


@pytest.mark.django_db
def test_an_untouched_list_is_the_handbooks_and_writes_nothing() -> None:
    make_tool()
    assert [one.code for one in defect_list(SLUG)] == [one.code for one in STANDARD_DEFECTS]
    assert all(one.is_listed and one.is_standard for one in defect_list(SLUG))
    assert Defect.objects.count() == 0


@pytest.mark.django_db
def test_own_words_lie_over_the_standard_ones_and_what_is_off_comes_last() -> None:
    make_tool()
    edit_defect(SLUG, "flash", name="fin", made_by="Ada")
    edit_defect(SLUG, "whisker", name="whisker", weight_class=WeightClass.MINOR, made_by="Ada")
    edit_defect(SLUG, "short-shot", is_listed=False, made_by="Ada")
    rows = {one.code: one for one in defect_list(SLUG)}
    assert (rows["flash"].name, rows["flash"].meaning) == ("fin", standard_defect("flash").meaning)  # type: ignore[union-attr]
    assert rows["flash"].steel == "spot the parting line, weld a worn edge"
    assert (rows["whisker"].is_standard, rows["whisker"].process) == (False, "")
    assert list(rows)[-1] == "short-shot"
    assert list(rows)[-2] == "whisker"


@pytest.mark.django_db
def test_what_is_not_said_stays_as_it_is() -> None:
    make_tool()
    edit_defect(SLUG, "whisker", name="whisker", meaning="a thread", made_by="Ada")
    changed = edit_defect(SLUG, "whisker", weight_class=WeightClass.CRITICAL, made_by="Ada")
    assert (changed.name, changed.meaning, changed.weight_class) == ("whisker", "a thread", "critical")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("code", "name", "said"),
    [
        ("whisker", None, "give a new one a name"),
        ("whisker", " ", "give a new one a name"),
        ("", "x", "code must not"),
        ("flash", "", "name must not be empty"),
        ("x" * 101, "x", "at most 100 signs"),
    ],
)
def test_a_list_that_cannot_be_is_refused(code: str, name: str | None, said: str) -> None:
    make_tool()
    with pytest.raises(OfftoolError, match=said):
        edit_defect(SLUG, code, name=name, made_by="Ada")
    assert Defect.objects.count() == 0


@pytest.mark.django_db
def test_an_unknown_programme_is_named_with_the_nearest_one() -> None:
    make_tool()
    with pytest.raises(NotInRecord, match="did you mean 'flipper'"):
        defect_list("fliper")
