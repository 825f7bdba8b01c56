"""The order of a lot, from the register and from a table that somebody brought."""

from __future__ import annotations

import pytest

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.records.models import Part, Programme
from offtool.records.operations import define_detail
from offtool.records.queries.finding import NotInRecord
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import PartSaid, SampleSaid, look_for_detail_on, register_sample, set_aside
from offtool.steps.order_samples import order_of_samples, order_of_table
from tests.steps.clip import NOON, SLUG

DETAILS = ("rib", "vent", "mark")
LOT = {"0003": "---", "0001": "x--", "0004": "xx-", "0002": "xxx"}
"""What is there on each: a perfect ladder, whose order is known whatever the numbers say."""


@pytest.fixture
def bag(clip: Programme) -> Programme:
    """Four clips without a tag."""
    part = Part.objects.get(programme=clip, code="P1")
    for code in DETAILS:
        define_detail(part, {"code": code}, {}, made_by="x")
    for number, shows in LOT.items():
        register_sample(SLUG, SampleSaid(number=number, parts=(PartSaid(part="P1"),)), at=NOON, by="x")
        for code, there in zip(DETAILS, shows, strict=True):
            look_for_detail_on(SLUG, number, "P1", code, is_there=there == "x", at=NOON, by="x")
    return clip


def test_a_perfect_ladder_is_climbed_step_by_step(bag: Programme) -> None:
    found = order_of_samples(SLUG, "P1")
    assert [one.samples for one in found.order.groups] == [("0003",), ("0001",), ("0004",), ("0002",)]
    assert found.order.odd == ()
    assert [one.details for one in found.order.details] == [("rib",), ("vent",), ("mark",)]
    assert found.headline == "4 samples in 4 groups."


def test_some_samples_only(bag: Programme) -> None:
    found = order_of_samples(SLUG, "P1", ["0001", "0002"])
    assert [one.samples for one in found.order.groups] == [("0001",), ("0002",)]


def test_where_people_disagree_nothing_counts_and_what_is_set_aside_does_not_either(bag: Programme) -> None:
    later = NOON.replace(hour=13)
    look_for_detail_on(SLUG, "0003", "P1", "rib", is_there=True, at=later, by="y")
    lot = order_of_samples(SLUG, "P1").lot
    column = lot.details.index("rib")
    assert lot.seen[lot.samples.index("0003")][column] is None
    new = next(one for one in identify_sample(SLUG, "0003").observations if one.seen_at == later)
    set_aside(SLUG, "0003", new.kind, new.key, "a scratch", by="x")
    lot = order_of_samples(SLUG, "P1").lot
    assert lot.seen[lot.samples.index("0003")][column] is False
    assert order_of_samples(SLUG, "P1").order.groups[0].samples == ("0003",)


def test_what_nobody_was_sure_of_counts_as_not_looked_at(bag: Programme) -> None:
    part = Part.objects.get(programme=bag, code="P1")
    define_detail(part, {"code": "foot"}, {}, made_by="x")
    look_for_detail_on(SLUG, "0001", "P1", "foot", is_there=True, is_sure=False, at=NOON, by="x")
    lot = order_of_samples(SLUG, "P1").lot
    assert lot.seen[lot.samples.index("0001")][lot.details.index("foot")] is None


def test_the_same_lot_as_a_table_gives_the_same_order(bag: Programme) -> None:
    rows = [",".join(["sample", *DETAILS])]
    rows += [
        ",".join([number, *("yes" if one == "x" else "no" for one in LOT[number])]) for number in sorted(LOT)
    ]
    found = order_of_table("\n".join(rows).encode(), "bag.csv")
    kept = order_of_samples(SLUG, "P1")
    assert [one.samples for one in found.order.groups] == [one.samples for one in kept.order.groups]
    assert found.refused == ()


def test_a_cell_that_cannot_be_read_is_named_and_counts_as_not_looked_at(bag: Programme) -> None:
    found = order_of_table(b"sample,rib,vent\nA,yes,no\nB,perhaps,yes\nC,no,no\n", "bag.csv")
    (cell,) = found.refused
    assert (cell.row, cell.column, cell.found) == (3, 2, "perhaps")
    assert found.lot.seen[1] == (None, True)
    assert any("could not be read" in str(one) for one in found.cautions)


def test_a_lot_that_nobody_looked_at_says_what_to_do(clip: Programme) -> None:
    with pytest.raises(NotEnoughData, match="on 0 samples; look for its details"):
        order_of_samples(SLUG, "P1")
    with pytest.raises(NotInRecord, match="no part 'P7'"):
        order_of_samples(SLUG, "P7")
    with pytest.raises(OfftoolError, match="empty"):
        order_of_table(b"", "bag.csv")
