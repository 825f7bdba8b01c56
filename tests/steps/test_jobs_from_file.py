"""The running jobs from a file: shown, kept in whole or not at all, changed where they are known."""

from __future__ import annotations

from datetime import date, datetime
from io import BytesIO

import openpyxl
import pytest

from offtool.core.values import OfftoolError
from offtool.exchange.jobs_file import read_jobs
from offtool.records.models import Job, Programme
from offtool.steps.jobs_from_file import keep_jobs, left_out_in_words, preview_jobs
from tests.steps.asked import make_asked, run_job
from tests.web import otter

pytestmark = pytest.mark.django_db
HEAD = "Job,Press,Product,Part,Material,Colour,From,To,May stop,Margin per hour,Restart minutes\n"
FILE = HEAD + "J-9,P1,kite reel,reel,ABS,red,2026-04-13,2026-04-20,yes,31.5,12\nJ-10,P2,,,,,13.4.2026,,no,,\n"


def keep(text: str, **more: object) -> object:
    return keep_jobs(text.encode(), "jobs.csv", programme=otter.SLUG, read_by="tester", **more)  # type: ignore[arg-type]


def test_a_row_is_a_job_with_all_its_columns() -> None:
    make_asked()
    keep(FILE)
    first, second = Job.objects.get(code="J-9"), Job.objects.get(code="J-10")
    assert (first.press.code, first.product, first.what, first.resin) == ("P1", "kite reel", "reel", "ABS")
    assert (first.begins, first.ends) == (date(2026, 4, 13), date(2026, 4, 20))
    assert (first.may_stop, first.margin_per_h, first.restart_min) == (True, 31.5, 12)
    assert (second.begins, second.ends, second.may_stop, second.margin_per_h) == (
        date(2026, 4, 13),
        None,
        False,
        None,
    )


def test_the_preview_keeps_nothing() -> None:
    make_asked()
    found = preview_jobs(FILE.encode(), "jobs.csv", programme=otter.SLUG)
    assert [one.standing for one in found.jobs] == ["new", "new"]
    assert not Job.objects.exists()


def test_a_known_job_is_changed_and_what_has_no_column_stays() -> None:
    make_asked()
    run_job("P1", margin_per_h=20.0)
    text = "job,press,begins,ends\nJ-1,P1,2026-03-16,2026-03-30\n"
    assert preview_jobs(text.encode(), "j.csv", programme=otter.SLUG).jobs[0].standing == "changed"
    keep(text)
    job = Job.objects.get(code="J-1")
    assert (job.ends, job.margin_per_h, job.colour) == (date(2026, 3, 30), 20.0, "orange")
    assert preview_jobs(text.encode(), "j.csv", programme=otter.SLUG).jobs[0].standing == "as it is"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("J-9,P7,,,,,2026-04-13,,no,,", "no press 'P7'"),
        ("J-9,P1,,,,,2026-04-13,2026-04-01,no,,", "ends before it begins"),
        ("J-9,P1,,,,,2026-04-13,2026-04-20,no,,\nJ-9,P1,,,,,2026-05-13,2026-05-20,no,,", "already"),
        ("J-9,P1,,,,,2026-04-13,,no,,\nJ-11,P1,,,,,2026-05-13,,no,,", "J-9 has no end"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(row: str, said: str) -> None:
    make_asked()
    text = f"{HEAD}{row}\n"
    assert any(said in one for one in preview_jobs(text.encode(), "j.csv", programme=otter.SLUG).problems)
    with pytest.raises(OfftoolError):
        keep(text)
    assert not Job.objects.exists()


@pytest.mark.parametrize("cell", ["perhaps", "oui"])
def test_a_word_that_is_neither_yes_nor_no_is_refused_by_its_cell(cell: str) -> None:
    make_asked()
    text = f"{HEAD}J-9,P1,,,,,2026-04-13,,{cell},,\n"
    found = preview_jobs(text.encode(), "j.csv", programme=otter.SLUG)
    assert [(one.row, one.column) for one in found.refused] == [(2, 9)]
    with pytest.raises(OfftoolError):
        keep(text)
    keep(text, leave_out=True)
    assert Job.objects.get(code="J-9").may_stop is None


def test_a_day_with_slashes_is_refused_because_nobody_knows_which_it_is() -> None:
    make_asked()
    text = f"{HEAD}J-9,P1,,,,,3/4/2026,,no,,\nJ-10,P1,,,,,2026-04-13,,no,,\n"
    found = preview_jobs(text.encode(), "j.csv", programme=otter.SLUG)
    assert [one.job for one in found.jobs] == ["J-10"]
    assert found.refused


def test_a_colour_is_read_whole_or_not_at_all() -> None:
    make_asked()
    head = "job,press,begins,colour,L*,a*,b*\n"
    keep(f"{head}J-9,P1,2026-04-13,red,40.5,52,-3.5\nJ-10,P2,2026-04-13,grey,50,,\n")
    red, grey = Job.objects.get(code="J-9"), Job.objects.get(code="J-10")
    assert (red.lightness, red.a, red.b, red.illuminant, red.observer) == (40.5, 52.0, -3.5, "D65", 10)
    assert (grey.lightness, grey.a, grey.b) == (None, None, None)


@pytest.mark.parametrize(
    ("heading", "currency"),
    [
        ("Deckungsbeitrag/h", ""),
        ("margin/h", ""),
        ("DB EUR/h", "EUR"),
        ("Deckungsbeitrag (EUR/h)", "EUR"),
        ("margin per hour [EUR]", "EUR"),
        ("Deckungsbeitrag pro Stunde in €", "EUR"),
        ("每小时毛利(元)", "CNY"),
    ],
)
def test_a_margin_an_hour_is_read_however_it_is_headed(heading: str, currency: str) -> None:
    found = read_jobs(f"job,press,begins,{heading}\nJ-9,P1,2026-04-13,31.5\n".encode(), "j.csv")
    assert (found.rows[0].margin_per_h, found.currency, found.file.refused) == (31.5, currency, ())


def test_a_margin_of_another_time_is_refused_and_not_taken_as_an_hour() -> None:
    found = read_jobs(b"job,press,begins,margin/min\nJ-9,P1,2026-04-13,2\n", "j.csv")
    assert found.rows[0].margin_per_h is None
    assert "has no such unit" in found.file.refused[0].why


@pytest.mark.parametrize(
    ("heading", "minutes"),
    [("restart (min)", 12), ("Restart minutes", 12), ("restart_min", 12), ("restart (h)", 720)],
)
def test_the_restart_is_kept_in_minutes(heading: str, minutes: float) -> None:
    found = read_jobs(f"job,press,begins,{heading}\nJ-9,P1,2026-04-13,12\n".encode(), "j.csv")
    assert (found.rows[0].restart_min, found.file.refused) == (minutes, ())


def test_margins_in_another_money_than_the_programmes_are_said() -> None:
    make_asked()
    Programme.objects.update(currency="USD")
    text = "job,press,begins,margin per hour [EUR]\nJ-9,P1,2026-04-13,31.5\n"
    found = preview_jobs(text.encode(), "j.csv", programme=otter.SLUG)
    assert any("headed in EUR" in one.text and "USD" in one.text for one in found.cautions)


def test_jobs_that_are_left_out_are_named_and_their_presses_said_to_look_free() -> None:
    make_asked()
    text = f"{HEAD}J-9,P1,,,,,3/4/2026,,no,,\n,P1,,,,,2026-04-13,,no,,\nJ-10,P2,,,ABS,,2026-04-13,,no,,\n"
    said = "2 jobs are left out: J-9 and that of row 3; their presses look free."
    assert preview_jobs(text.encode(), "j.csv", programme=otter.SLUG).cautions[0].text == said
    kept = keep_jobs(text.encode(), "j.csv", programme=otter.SLUG, leave_out=True, read_by="tester")
    assert kept.jobs_left_out == ("J-9", "that of row 3")
    assert left_out_in_words(kept.jobs_left_out) == said


def test_a_job_that_ends_before_it_begins_is_not_understood() -> None:
    make_asked()
    text = f"{HEAD}J-9,P1,,,,,2026-04-13,2026-04-01,no,,\nJ-10,P2,,,,,2026-04-13,,no,,\n"
    found = preview_jobs(text.encode(), "j.csv", programme=otter.SLUG)
    assert [one.job for one in found.jobs] == ["J-10"]
    assert any("J-9 ends before it begins" in one for one in found.problems)


def test_a_resin_that_is_unsaid_or_unknown_is_said_of_its_jobs() -> None:
    make_asked()
    text = f"{HEAD}J-9,P1,,,XYZ,,2026-04-13,,no,,\nJ-10,P2,,,,,2026-04-13,,no,,\n"
    said = [one.text for one in preview_jobs(text.encode(), "j.csv", programme=otter.SLUG).cautions]
    assert any("no resins that are known: XYZ" in one for one in said)
    assert any("no resin is said: J-10" in one for one in said)


def test_the_time_in_a_workbook_is_said_to_be_left_out() -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (
        ["job", "press", "begins", "ends"],
        ["J-9", "P1", datetime(2026, 4, 13, 6), datetime(2026, 4, 20)],
    ):
        sheet.append(row)
    out = BytesIO()
    book.save(out)
    found = read_jobs(out.getvalue(), "jobs.xlsx")
    assert (found.rows[0].begins, found.rows[0].ends) == (date(2026, 4, 13), date(2026, 4, 20))
    assert [(one.row, one.column, one.read_as) for one in found.file.repairs] == [(2, 3, "2026-04-13")]
    assert "the time is left out" in found.file.repairs[0].why
