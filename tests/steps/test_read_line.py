"""A table of tasks read into a line: what would change, what must be mended, and only then kept."""

from __future__ import annotations

import re

import pytest

from offtool.core.values import OfftoolError
from offtool.records.models import Line, LineTask, Programme
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import adopt
from offtool.steps.know_line import know_line
from offtool.steps.line_table import EXAMPLE, table_of
from offtool.steps.read_line import CHANGED, NEW, SAME, UNIT_NOT_SAID, keep_line_table, preview_line
from tests.steps.lined import LINE, ONE_EACH, SLUG, make_line

pytestmark = pytest.mark.django_db


def preview(text: str, **how: str):  # type: ignore[no-untyped-def]
    return preview_line(text.encode(), "t.csv", programme=SLUG, line=LINE, **how)


def keep(text: str, **how: object):  # type: ignore[no-untyped-def]
    return keep_line_table(text.encode(), "t.csv", programme=SLUG, line=LINE, read_by="Kim", **how)  # type: ignore[arg-type]


def table() -> str:
    return table_of(know_line(SLUG, LINE)).decode("utf-8-sig").replace("\r\n", "\n")


def test_the_example_makes_a_line_that_is_not_there_yet() -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    seen = preview(EXAMPLE)
    assert seen.is_new
    assert [one.standing for one in seen.tasks] == [NEW] * 6
    assert not Line.objects.exists()
    kept = keep(EXAMPLE)
    assert (kept.new, kept.changed, kept.gone) == (6, 0, 0)
    known = know_line(SLUG, LINE)
    assert set(known.task_named("fit head").after) == {"print eyes", "weld seam"}  # type: ignore[union-attr]
    assert balance_line(SLUG).known.line == LINE


def test_the_table_that_is_handed_out_changes_nothing_when_it_is_read_back() -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    seen = preview(table())
    assert {one.standing for one in seen.tasks} == {SAME}
    assert (seen.problems, seen.refused, seen.gone) == ((), (), ())
    assert not seen.can_be_kept


def test_only_what_the_file_has_columns_for_is_changed() -> None:
    make_line()
    adopt(SLUG, LINE, ONE_EACH, by="x")
    names = "".join(f"{name},{10 + i}\n" for i, name in enumerate(ONE_EACH))
    keep("task,time [s]\n" + names)
    weld = know_line(SLUG, LINE).task_named("weld")
    assert weld is not None
    assert (weld.time_s, weld.after, weld.needs, weld.placed_at) == (11.0, ("clip",), ("welder",), 2)
    assert (weld.spread_s, weld.readings) == (None, 0)  # of another time the old readings say nothing


def test_what_would_change_and_be_taken_out_is_said() -> None:
    make_line()
    text = table().replace("weld,,18,1,", "weld,,19,1,").replace("look,", "look over,")
    seen = preview(text)
    standing = {one.known.task: (one.standing, one.changes) for one in seen.tasks}
    assert standing["weld"] == (CHANGED, ("time",))
    assert standing["look over"][0] == NEW
    assert seen.gone == ("look",)
    assert any("no task of the line" in one for one in seen.problems)  # pack still comes after look
    assert any("would be taken out: look" in one.text for one in seen.cautions)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("clip,,12,1.5,12,,", "clip,,12,1.5,12,pack,"), "clip → weld → "),
        (("weld,,18,1,12,clip", "weld,,18,1,12,clop"), "row 3, task weld: it comes after 'clop'"),
        (("weld,,18,1,12,clip", "weld,,18,1,12,weld"), "row 3, task weld: it comes after itself"),
        (("look,,7,", "look,,0,"), "row 4, task look: the time is 0 s: must be above 0"),
        (("look,,7,", "look,,soon,"), "row 4, task look: no time can be read"),
        (("look,,7,", "weld,,7,"), "task weld: stands twice"),
        (("either,,,,,,,\nlook", "either,,,,,X-9,,\nlook"), "task weld: no part 'X-9'"),
        (("time [s]", "time"), UNIT_NOT_SAID),
    ],
)
def test_what_must_be_mended_is_named_and_nothing_is_kept(change: tuple[str, str], said: str) -> None:
    make_line()
    before = [(one.name, one.time_s) for one in LineTask.objects.all()]
    text = table()
    assert change[0] in text
    changed = text.replace(*change, 1)
    assert any(said in one for one in preview(changed).problems)
    with pytest.raises(OfftoolError):
        keep(changed)
    assert [(one.name, one.time_s) for one in LineTask.objects.all()] == before


def test_the_ring_is_named_whole() -> None:
    make_line()
    found = preview(table().replace("clip,,12,1.5,12,", "clip,,12,1.5,12,look")).problems
    assert len(found) == 1
    assert "clip → weld → look → clip" in found[0]


def test_times_in_another_unit_are_doubted_against_the_cycle() -> None:
    make_line()
    minutes = preview("task,time [min]\nclip,12\nweld,18\n")
    assert any("far longer than the cycle" in one.text for one in minutes.cautions)
    hidden = preview("task,time [s]\nclip,0.2\nweld,0.3\n")
    assert any("are these minutes?" in one.text for one in hidden.cautions)


def test_cells_that_cannot_be_read_stay_out_only_where_that_is_said() -> None:
    make_line()
    text = table().replace("either", "upside", 1)
    assert preview(text).refused
    with pytest.raises(OfftoolError):
        keep(text)
    assert keep(text.replace("12,1.5,12", "13,1.5,12"), leave_out=True).left_out == 1


def test_a_pair_said_at_either_task_is_one_pair() -> None:
    make_line()
    text = re.sub(r"^(pack,.*,left,)", r"\1arms", table(), flags=re.MULTILINE)
    keep(text)
    assert preview(text).tasks[0].standing == SAME
    assert {one.standing for one in preview(text).tasks} == {SAME}
    assert know_line(SLUG, LINE).task_named("arms").together == ("pack",)  # type: ignore[union-attr]


def test_a_table_without_an_order_says_that_any_order_is_taken() -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    seen = preview("task,time [s],liebling\nclip,12,\nweld,18,clip\n")
    said = [one.text for one in seen.cautions]
    assert seen.no_order
    assert any("any order is taken as allowed" in one for one in said)
    assert any("not read" in one and "'liebling'" in one for one in said)
    ordered = preview("task,time [s],after\nclip,12,\nweld,18,clip\n")
    assert not ordered.no_order
    assert not any("order is taken" in one.text for one in ordered.cautions)


def test_an_order_that_is_kept_is_not_missed_in_a_table_of_times() -> None:
    make_line()
    assert not preview("task,time [s]\n" + "".join(f"{name},10\n" for name in ONE_EACH)).no_order


def test_new_equipment_is_said_with_what_may_be_meant() -> None:
    make_line()
    seen = preview("task,time [s],needs\nclip,12,wellder\nweld,18,welder\n")
    assert any("new equipment: wellder (is welder meant?)" in one.text for one in seen.cautions)
    same = preview("task,time [s],needs\nclip,12,\nweld,18,welder\n")
    assert not any("new equipment" in one.text for one in same.cautions)


def test_equipment_that_is_a_task_is_doubted() -> None:
    make_line()
    seen = preview("task;time [s];after;needs\nclip;12;;\nweld;18;;\nlook;7;clip; weld\n")
    assert any("weld is needed as equipment and is a task" in one.text for one in seen.cautions)
    assert not any("new equipment" in one.text for one in seen.cautions)
