"""offtool line and what is said of one: verdict, table, the same as JSON; places adopted, tables read."""

from __future__ import annotations

from pathlib import Path

import pytest

from offtool.cli.line import UNITS, USUAL_SECONDS
from offtool.exchange.line_tasks import TIMES
from offtool.records.models import Line, LineTask, Programme
from offtool.steps.balance_line import balance_line
from offtool.steps.define_line import adopt
from offtool.steps.know_line import know_line
from offtool.steps.line_in_record import SECONDS
from offtool.steps.line_table import EXAMPLE, table_of
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run
from tests.steps.lined import LINE, ONE_EACH, SLUG, make_line


@pytest.fixture
def boat(record: Path) -> Line:
    """The line in the record."""
    return make_line()


def test_what_help_says_is_what_the_step_takes() -> None:
    assert USUAL_SECONDS == SECONDS
    assert set(UNITS) == set(TIMES)


@pytest.mark.usefixtures("boat")
def test_it_says_verdict_what_to_do_stations_and_why(run: Run) -> None:
    answer = run("line", SLUG)
    assert answer.exit_code == 0
    said = " ".join(answer.out.split())
    assert said.startswith(balance_line(SLUG).headline)
    for words in ("What to do", "The stations as proposed", "Why not fewer stations", "What it rests on"):
        assert words in said
    for task in ONE_EACH:
        assert task in said
    assert f"offtool line {SLUG} 'boat line' --adopt" in said


@pytest.mark.usefixtures("boat")
@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ((), {}),
        (("--rate", "100,5"), {"rate_per_h": 100.5}),
        (("--people", "4"), {"people": 4}),
        (("--people", "5", "--stations", "3"), {"people": 5, "stations": 3}),
    ],
)
def test_json_is_the_result_of_the_step(run: Run, typed: tuple[str, ...], asked: dict[str, float]) -> None:
    found = balance_line(SLUG, **asked)  # type: ignore[arg-type]
    assert run("line", SLUG, *typed, "--json").json == as_plain(found)


@pytest.mark.usefixtures("boat")
def test_what_is_proposed_is_adopted(run: Run) -> None:
    answer = run("line", SLUG, "--stations", "4", "--adopt")
    assert "7 tasks of boat line are adopted at 4 stations." in answer.out
    assert "As adopted, 4 stations" in answer.out
    assert not LineTask.objects.filter(placed_at=None).exists()


@pytest.mark.usefixtures("boat")
def test_what_was_asked_for_is_said_when_it_is_adopted(run: Run) -> None:
    answer = " ".join(run("line", SLUG, "--rate", "90", "--adopt").out.split())
    assert "They were asked for 90 an hour; below they stand against the plan." in answer
    assert "asked for 120" not in run("line", SLUG, "--adopt").out


@pytest.mark.usefixtures("boat")
def test_a_task_that_is_too_long_is_named_in_the_command(run: Run) -> None:
    answer = " ".join(run("line", SLUG, "--rate", "240").out.split())
    assert f"offtool line-task {SLUG} 'boat line' 'weld' --time-s SECONDS" in answer
    assert f"offtool line-station {SLUG} 'boat line' STATION --people 2" in answer


@pytest.mark.usefixtures("boat")
def test_stations_left_over_come_with_the_command_that_takes_them_out(run: Run) -> None:
    adopt(SLUG, LINE, ONE_EACH, by="x")
    adopt(SLUG, LINE, {**ONE_EACH, "pack": 5}, by="x")
    answer = " ".join(run("line", SLUG).out.split())
    assert f"offtool line-station {SLUG} 'boat line' 6 --remove" in answer
    assert run("line-station", SLUG, LINE, "6", "--remove").exit_code == 0


@pytest.mark.usefixtures("record")
def test_a_programme_without_a_line_names_the_command(run: Run) -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    answer = run("run-line", SLUG)
    assert answer.exit_code == 1
    assert "offtool line PROGRAMME 'main line' --read FILE --keep" in " ".join(answer.err.split())


@pytest.mark.usefixtures("boat")
def test_a_table_without_an_order_says_so_under_what_to_do(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text("task,time [s],needs,liebling\nclip,12,welder,\nlook,7,,clip\n", encoding="utf-8")
    answer = " ".join(run("line", SLUG, "second", "--read", file).out.split())
    assert "1. Say what must be done before what" in answer
    assert "needs welder" in answer


@pytest.mark.usefixtures("boat")
def test_a_yield_typed_as_a_share_is_refused(run: Run) -> None:
    answer = run("define-line", SLUG, LINE, "--planned-final-yield", "0.98")
    assert answer.exit_code == 1
    assert "98 % is typed 98" in " ".join(answer.err.split())
    assert know_line(SLUG).planned_final_yield is None


def test_a_table_makes_a_line_shown_first_then_kept(run: Run, record: Path, tmp_path: Path) -> None:
    Programme.objects.create(slug=SLUG, title="Toy boat")
    file = tmp_path / "tasks.csv"
    file.write_text(EXAMPLE, encoding="utf-8")
    shown = run("line", SLUG, LINE, "--read", file)
    assert "6 tasks understood. Nothing is kept yet." in shown.out
    assert not Line.objects.exists()
    kept = run("line", SLUG, LINE, "--read", file, "--keep")
    assert "Kept: 6 new tasks of tasks.csv" in kept.out
    assert [one.task for one in know_line(SLUG).tasks][:2] == ["clip hull", "weld seam"]


@pytest.mark.usefixtures("boat")
def test_table_and_sheet_are_written_and_the_table_is_read_back(run: Run, tmp_path: Path) -> None:
    table, sheet = tmp_path / "t.csv", tmp_path / "s.pdf"
    assert run("line", SLUG, "--table", table, "--sheet", sheet).exit_code == 0
    assert table.read_bytes() == table_of(know_line(SLUG))
    assert sheet.read_bytes().startswith(b"%PDF")
    text = table.read_text(encoding="utf-8-sig").replace("weld,,18,", "weld,,18.5,")
    table.write_text(text, encoding="utf-8")
    assert "1 task changed" in run("line", SLUG, LINE, "--read", table, "--keep").out


@pytest.mark.usefixtures("boat")
def test_a_ring_is_refused_whole_and_nothing_is_kept(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_text("task,time [s],after\nclip,12,pack\nweld,18,clip\npack,9,weld\n", encoding="utf-8")
    answer = run("line", SLUG, LINE, "--read", file, "--keep")
    assert answer.exit_code == 1
    assert "clip → weld → pack → clip" in " ".join(answer.out.split())
    assert LineTask.objects.count() == len(ONE_EACH)


@pytest.mark.usefixtures("boat")
@pytest.mark.parametrize(
    "words",
    [
        ("line", SLUG, "--rate", "90", "--people", "3"),
        ("line", SLUG, "--unit", "s"),
        ("line", SLUG, "--read", __file__),
        ("line", SLUG, "--rate", "0"),
        ("line", SLUG, "--sheet", "sheet.csv"),
        ("define-line", SLUG, LINE, "--forget", "peple"),
        ("define-line", SLUG, LINE, "--equipment", "welder"),
        ("line-station", SLUG, LINE, "2", "--remove", "--people", "1"),
        ("line-station", SLUG, LINE, "2", "--rework-to", "back"),
        ("line-task", SLUG, LINE, "tape", "--new"),
        ("line-break", SLUG, LINE, "2"),
    ],
)
def test_wrong_usage_leaves_with_2(run: Run, words: tuple[str, ...]) -> None:
    assert run(*words).exit_code == 2


@pytest.mark.usefixtures("boat")
def test_the_plan_is_said_in_per_cent_and_forgotten(run: Run) -> None:
    answer = run("define-line", SLUG, LINE, "--planned-final-yield", "98", "--people", "9")
    assert "is kept" in answer.out
    assert know_line(SLUG).planned_final_yield == 0.98
    run("define-line", SLUG, LINE, "--forget", "people", "--equipment", "welder=2")
    known = know_line(SLUG)
    assert known.people is None
    assert known.equipment[0].at_most == 2
    assert run("define-line", SLUG, LINE, "--json").json == as_plain(known)
    assert run("define-line", SLUG, "boot line", "--people", "3").exit_code == 1
    assert run("define-line", SLUG, "second", "--new", "--people", "3").exit_code == 0


@pytest.mark.usefixtures("boat")
def test_stations_tasks_and_breaks_are_said(run: Run) -> None:
    run(
        "line-station",
        SLUG,
        LINE,
        "2",
        "--name",
        "welder",
        "--people",
        "2",
        "--has",
        "welder",
        "--fails",
        "2",
    )
    station = know_line(SLUG).station_numbered(2)
    assert station is not None
    assert (station.name, station.people, station.has, station.fails) == ("welder", 2, ("welder",), 0.02)
    run("line-task", SLUG, LINE, "tape", "--new", "--time-s", "4,5", "--after", "look", "--after", "arms")
    task = know_line(SLUG).task_named("tape")
    assert task is not None
    assert (task.time_s, set(task.after)) == (4.5, {"look", "arms"})
    run("line-task", SLUG, LINE, "tape", "--after", "", "--station", "2")
    later = know_line(SLUG).task_named("tape")
    assert later is not None
    assert (later.after, later.placed_at, later.time_s) == ((), 2, 4.5)
    run("line-task", SLUG, LINE, "tape", "--remove")
    assert know_line(SLUG).task_named("tape") is None
    run("line-break", SLUG, LINE, "2", "2.25")
    assert know_line(SLUG).breaks[0].ends_h == 2.25
    run("line-break", SLUG, LINE, "2", "--remove")
    assert know_line(SLUG).breaks == ()


@pytest.mark.usefixtures("record")
def test_a_tool_feeds_the_line(run: Run) -> None:
    line = make_line()
    line.programme.tools.create(code="M1", name="hull")
    run("line-press", SLUG, LINE, "M1", "--cycle-s", "36", "--task", "clip")
    run("line-press", SLUG, LINE, "M1", "--rejects", "1.5")
    (feed,) = know_line(SLUG).presses
    assert (feed.cycle_s, feed.rejects, feed.task) == (36.0, 0.015, "clip")
    assert "1.5 %" in run("define-line", SLUG, LINE).out
    run("line-press", SLUG, LINE, "M1", "--remove")
    assert know_line(SLUG).presses == ()
