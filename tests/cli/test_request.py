"""offtool request, press and tool: trials asked for, and the numbers that a plan needs."""

from __future__ import annotations

from datetime import date

import pytest

from offtool.cli.request import PURPOSES, WISHES
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.records.models import Job, Press, Tool, TrialRequest
from offtool.steps.ask_trial import request_known, requests_known
from offtool.steps.own_numbers import press_numbers, tool_numbers
from offtool.steps.plain import as_plain
from offtool.steps.prices import prices_known
from tests.cli.conftest import Run

ASK = ("--for", "sizes", "--for", "assembly:40", "--due", "2026-04-03")


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert ([one.value for one in TrialPurpose], [one.value for one in ColourWish]) == (PURPOSES, WISHES)


def test_a_trial_is_asked_for_shown_and_listed(run: Run, flipper: str) -> None:
    asked = run("request", flipper, "M1", "T4", *ASK, "--lab", "38 12 18", "--colour", "otter brown")
    assert asked.exit_code == 0, asked.err
    assert "Trial T4 of tool M1 is asked for." in asked.out
    assert "is to show sizes and assembly (40)" in asked.out
    kept = TrialRequest.objects.get()
    assert (kept.due, kept.lightness, kept.needs_engineer) == (date(2026, 4, 3), 38.0, True)
    assert kept.history.get().history_user_id == kept.asked_by
    listed = run("request", flipper)
    assert "One trial waits for its press: M1 T4." in listed.out
    assert run("request", flipper, "--json").json == as_plain(requests_known(flipper))
    shown = run("request", flipper, "M1", "T4", "--json").json
    assert shown == as_plain(request_known(flipper, "M1", "T4"))


def test_what_is_not_said_anew_stays(run: Run, flipper: str) -> None:
    run("request", flipper, "M1", "T4", *ASK, "--late-per-day", "250")
    changed = run("request", flipper, "M1", "T4", "--change", "--no-engineer", "--wish", "a light colour")
    assert changed.exit_code == 0, changed.err
    kept = TrialRequest.objects.get()
    assert (kept.needs_engineer, kept.wish, kept.late_per_day, kept.wants.count()) == (
        False,
        "a light colour",
        250.0,
        2,
    )
    run("request", flipper, "M1", "T4", "--change", "--for", "keep")
    assert [one.purpose for one in kept.wants.all()] == ["keep"]


def test_a_trial_is_withdrawn_with_a_reason(run: Run, flipper: str) -> None:
    run("request", flipper, "M1", "T4", *ASK)
    assert run("request", flipper, "M1", "T4", "--withdraw").exit_code == 1
    gone = run("request", flipper, "M1", "T4", "--withdraw", "--because", "the line waits")
    assert "Trial T4 of tool M1 is withdrawn." in gone.out
    assert not TrialRequest.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says", "code"),
    [
        (("M1",), "name the trial too", 2),
        (("M1", "T4", "--due", "2026-04-03"), "no purpose is given", 1),
        (("M1", "T4", "--for", "asembly"), "did you mean 'assembly'", 1),
        (("M1", "T4", "--for", "sizes:many"), "type the pieces as a whole number", 2),
        (("M1", "T4", "--for", "sizes:0"), "0 pieces", 1),
        (("M1", "T4", *ASK, "--earliest", "2026-05-01"), "is before", 1),
        (("M1", "T4", *ASK, "--because", "why"), "--because belongs to --withdraw", 2),
        (("M1", "T4", *ASK, "--withdraw"), "contradict each other", 2),
        (("M1", "T4", "--change"), "say what is to be changed", 2),
        (("M1", "T4", "--change", "--note", "x"), "no trial 'T4' of tool M1 is asked for", 1),
        (("M9", "T4", *ASK), "no tool 'M9'", 1),
        (("--due", "2026-04-03"), "name the tool and the trial", 2),
        (("M1", "T4", *ASK, "--lab", "38 12"), "--lab", 2),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    run: Run, flipper: str, typed: tuple[str, ...], says: str, code: int
) -> None:
    refused = run("request", flipper, *typed)
    assert (refused.exit_code, says in refused.err) == (code, True), refused.err
    assert not TrialRequest.objects.exists()


def test_where_nothing_is_asked_for_the_command_that_asks_is_named(run: Run, flipper: str) -> None:
    asks = f"offtool request {flipper} TOOL TRIAL --for sizes"
    assert asks in run("request", flipper).out
    run("request", flipper, "M1", "T5", "--for", "sizes")
    assert asks not in run("request", flipper).out


def test_numbers_of_a_tool_are_kept_forgotten_and_shown_with_what_is_missing(run: Run, flipper: str) -> None:
    kept = run("tool", flipper, "M1", "--wide-mm", "296", "--setup-h", "1", "--feed", "cold runner")
    assert kept.exit_code == 0, kept.err
    assert "The numbers of tool M1 are kept." in kept.out
    assert "--high-mm" in kept.out.partition("Missing")[2]
    run("tool", flipper, "M1", "--forget", "setup-h")
    tool = Tool.objects.get(code="M1")
    assert (tool.wide_mm, tool.setup_h, tool.feed) == (296.0, None, "cold runner")
    assert run("tool", flipper, "M1", "--json").json == as_plain(tool_numbers(flipper, "M1"))


def test_numbers_of_a_press_are_kept_and_what_cannot_be_is_refused(run: Run, flipper: str) -> None:
    run("tell-apart", flipper, "--press", "P6")
    kept = run("press", flipper, "P6", "--clamp-kn", "785", "--workdays", "Mon Tue")
    assert kept.exit_code == 0, kept.err
    assert run("press", flipper, "P6", "--json").json == as_plain(press_numbers(flipper, "P6"))
    assert (Press.objects.get().clamp_kn, Press.objects.get().workdays) == (785.0, "Mon Tue")
    for typed, says, code in (
        (("--clamp-kn", "-1"), "-1 kN must be above 0", 1),
        (("--works-from-h", "6"), "only one of the two hours is given", 1),
        (("--forget", "weight"), "no such number", 2),
        (("--clamp-kn", "5", "--forget", "clamp-kn"), "both given and forgotten", 2),
    ):
        refused = run("press", flipper, "P6", *typed)
        assert (refused.exit_code, says in refused.err) == (code, True), refused.err
    assert Press.objects.get().clamp_kn == 785.0


def test_a_job_says_what_a_trial_costs_it(run: Run, flipper: str) -> None:
    run("tell-apart", flipper, "--press", "P6")
    job = run("tell-apart", flipper, "--job", "P6: J118", "--begins", "2026-03-20", "--resin", "PP",
              "--may-stop", "--margin-per-h", "31", "--restart-min", "12")  # fmt: skip
    assert job.exit_code == 0, job.err
    kept = Job.objects.get()
    assert (kept.resin, kept.may_stop, kept.margin_per_h, kept.restart_min) == ("PP", True, 31.0, 12.0)
    run("tell-apart", flipper, "--job", "P6: J118", "--change", "--must-run")
    kept.refresh_from_db()
    assert (kept.may_stop, kept.margin_per_h) == (False, 31.0)
    both = run("tell-apart", flipper, "--job", "P6: J118", "--change", "--must-run", "--may-stop")
    assert "contradict each other" in both.err


def test_prices_are_kept_shown_and_forgotten(run: Run, flipper: str) -> None:
    resin = Tool.objects.get(code="M1").programme.resins.get().code
    assert "is not known" in run("prices", flipper).out
    kept = run("prices", flipper, "--currency", "USD", "--resin", f"{resin}=2,4")
    assert kept.exit_code == 0, kept.err
    assert "2.4 USD a kg" in kept.out
    assert run("prices", flipper, "--json").json == as_plain(prices_known(flipper))
    assert "not known" in run("prices", flipper, "--resin", f"{resin}=").out
    for typed, says, code in (
        ("XX=2", "no resin 'XX'", 1),
        (f"{resin}=-1", "at -1", 1),
        (f"{resin}=nan", "at nan", 1),
        (f"{resin}=dear", "type it as", 2),
        (resin, "type it as", 2),
    ):
        refused = run("prices", flipper, "--resin", typed)
        assert (refused.exit_code, says in refused.err) == (code, True), refused.err
    assert prices_known(flipper).currency == "USD"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("24.12.2026", True), ("24 Dec 2026", True), ("24. Dez 2026", True), ("2026-12-24", True),
     ("24.12.26", True), ("25/12/2026", False)],
)  # fmt: skip
def test_a_day_is_typed_in_the_forms_of_shops(run: Run, flipper: str, typed: str, kept: bool) -> None:
    asked = run("request", flipper, "M1", "T4", "--for", "sizes", "--due", typed)
    assert asked.exit_code == 0, asked.err
    assert (TrialRequest.objects.get().due == date(2026, 12, 24)) == kept


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("01/12/2026", "is 1 December to some and 12 January to others"),
        ("2026-12-24 06:00", "holds a time; write the day alone, such as 2026-12-24"),
        ("soon", "is no day; write year-month-day"),
    ],
)
def test_a_day_that_is_none_is_refused_in_plain_words(run: Run, flipper: str, typed: str, says: str) -> None:
    refused = run("request", flipper, "M1", "T4", "--for", "sizes", "--due", typed)
    assert (refused.exit_code, says in " ".join(refused.err.split())) == (2, True), refused.err
    assert not TrialRequest.objects.exists()


def test_numbers_take_a_decimal_comma_and_days_their_german_names(run: Run, flipper: str) -> None:
    run("tell-apart", flipper, "--press", "P6")
    kept = run("press", flipper, "P6", "--dry-cycle-s", "1,8", "--workdays", "Mo Di Donnerstag Fri")
    assert kept.exit_code == 0, kept.err
    press = Press.objects.get()
    assert (press.dry_cycle_s, press.workdays) == (1.8, "Mon Tue Thu Fri")
    for typed, says in (
        ("1,800", "may be 1.800 or 1800"),
        ("quick", "is no number; write it in digits"),
        ("nan", "is no number"),
    ):
        refused = run("press", flipper, "P6", "--dry-cycle-s", typed)
        assert (refused.exit_code, says in " ".join(refused.err.split())) == (2, True), refused.err
    below = run("tell-apart", flipper, "--job", "P6: J1", "--begins", "1.3.2026", "--restart-min", "-1,5")
    assert (below.exit_code, "is below 0" in below.err) == (2, True), below.err


def test_a_resin_that_is_not_known_is_said_where_it_is_typed(run: Run, flipper: str) -> None:
    asked = run("request", flipper, "M1", "T4", *ASK, "--resin", "XYZ")
    assert "XYZ is no resin that is known" in " ".join(asked.out.split())
    run("tell-apart", flipper, "--press", "P6")
    job = run("tell-apart", flipper, "--job", "P6: J1", "--begins", "2026-03-20", "--resin", "QRS")
    assert "QRS is no resin that is known" in " ".join(job.out.split())
