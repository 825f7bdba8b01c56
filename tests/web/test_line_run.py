"""The page of a run: a short answer at once, a long one behind it, stopped, joined, without a script."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client

from offtool.core.pilot.simulation.told import AT_THE_LINE
from offtool.core.values import OfftoolError
from offtool.records.models import Programme
from offtool.records.operations import define_line
from offtool.steps import executors
from offtool.steps.plain import as_plain
from offtool.steps.run_line import plan_line_run, run_line
from offtool.web import long_line_run
from offtool.web.long_runs import AT_ONCE, LONG_RUNS, LongRun, LongRuns
from tests.steps.run_lines import LINE, SLUG, a_line
from tests.web.rendering import Outline, faults

pytestmark = pytest.mark.django_db
PAGE = f"/p/{SLUG}/line/{LINE.replace(' ', '%20')}/run/"


@pytest.fixture(autouse=True)
def forgotten() -> Iterator[None]:
    """No run of another test is known, and none goes on."""
    yield
    for run in list(LONG_RUNS._runs.values()):
        run.stop_asked.set()
        wait_for(run)
    LONG_RUNS._runs.clear()


def wait_for(run: LongRun) -> LongRun:
    ends = time.monotonic() + 30
    while not run.is_over:
        assert time.monotonic() < ends
        time.sleep(0.02)
    return run


def only_run() -> LongRun:
    (run,) = LONG_RUNS._runs.values()
    return run


def read(client: Client, address: str = PAGE, **given: Any) -> str:
    answer = client.get(address, given)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def test_verdict_first_then_what_to_do_drawings_and_why(client: Client) -> None:
    a_line([20, 30, 24], planned_per_h=130.0)
    html = read(client)
    text = Outline(html).text
    assert "not the 130 planned: s2 limits it." in text
    places = [
        html.index(one)
        for one in (
            "<h1>",
            "What to do",
            'id="output"',
            'id="time"',
            'id="unsaid"',
            'id="stations"',
            'id="run"',
        )
    ]
    assert places == sorted(places)
    assert AT_THE_LINE.text in text
    assert "stoppages" in text.casefold()
    assert faults(html) == []
    assert "data-progress" not in html


def test_json_is_what_the_step_says(client: Client) -> None:
    a_line([20, 30])
    answer = client.get(PAGE, {"runs": 4, "seed": 7, "format": "json"})
    assert answer.json() == as_plain(run_line(SLUG, runs=4, seed=7))


def test_a_long_run_is_begun_shown_under_way_and_shown_when_it_is_over(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(long_line_run, "WAITED_FOR_S", 0.0)
    a_line([20, 30], tasks={"spread_s": 4.0})
    assert "are not under way" in read(client, runs=6, more="on")
    answer = client.post(PAGE, {"runs": 6, "more": "on", "do": "start"})
    assert answer.status_code == 302
    assert answer.url == f"{PAGE}?runs=6&more=on"
    wait_for(only_run())
    html = read(client, answer.url)
    assert "one more person at s2" in Outline(html).text.casefold()
    assert "data-progress" not in html
    assert faults(html) == []
    planned = plan_line_run(SLUG, runs=6, more=True)
    assert client.get(answer.url + "&format=json").json() == as_plain(planned.run())


def test_while_it_is_under_way_the_page_says_how_far_it_is_and_can_stop_it(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(long_line_run, "WAITED_FOR_S", 0.0)
    monkeypatch.setattr(executors, "cores", lambda: 1)  # the browser's test has it on processes
    a_line([20, 30], tasks={"spread_s": 4.0})
    asked = {"runs": 500, "hours": 20}
    address = client.post(PAGE, {**asked, "do": "start"}).url
    run = only_run()
    while run.done < 5:
        time.sleep(0.02)
    html = read(client, address)
    text = Outline(html).text
    assert "of 500 runs are done." in text
    assert '<meta http-equiv="refresh"' in html
    assert faults(html) == []
    told = client.get(f"{PAGE}{run.key}/").json()
    assert told["of"] == 500
    assert not told["over"]
    assert "good pieces an hour" in told["so_far"]
    client.post(PAGE, {**asked, "do": "start"})
    assert only_run() is run  # the same settings join it
    client.post(PAGE, {**asked, "do": "stop"})
    wait_for(run)
    assert client.get(f"{PAGE}{run.key}/").json()["over"]
    assert "of 500 runs of 20 h, stopped" in read(client, address)
    assert client.get(f"{PAGE}nothing/").json()["over"]


def test_json_of_a_run_that_nobody_began_is_refused_and_not_answered_by_another(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(long_line_run, "WAITED_FOR_S", 0.0)
    a_line([20, 30])
    answer = client.get(PAGE, {"runs": 400, "format": "json"})
    assert answer.status_code == 422
    assert "offtool run-line" in answer.json()["remedy"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"runs": "1"}, "2"),
        ({"hours": "0"}, "0.1 or more"),
        ({"pilot": "P9"}, "P9"),
        ({"runs": "x"}, "whole number"),
    ],
)
def test_what_cannot_be_asked_is_said_at_its_field(client: Client, given: dict[str, str], said: str) -> None:
    a_line([20, 30])
    answer = client.get(PAGE, given)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert 'aria-invalid="true"' in html
    assert said in Outline(html).text
    assert "s2 limits it." in html
    assert client.get(PAGE, {**given, "format": "json"}).status_code == 422


def test_a_line_without_tasks_says_what_comes_first(client: Client) -> None:
    define_line(Programme.objects.create(slug=SLUG, title="Kite"), LINE, {}, made_by="tester")
    html = read(client)
    assert "Nothing can be run yet" in html
    assert faults(html) == []
    assert client.get(PAGE, {"format": "json"}).status_code == 422


def test_only_so_many_runs_are_under_way_and_a_broken_one_says_so() -> None:
    runs, stop = LongRuns(), [False]

    def work(**_: Any) -> str:
        while not stop[0]:
            time.sleep(0.01)
        return "done"

    begun = [runs.start(str(key), work) for key in range(AT_ONCE)]
    with pytest.raises(OfftoolError, match="are under way already"):
        runs.start("one more", work)
    stop[0] = True
    assert [wait_for(one).result for one in begun] == ["done"] * AT_ONCE

    def refuse(**_: Any) -> str:
        raise OfftoolError("no")

    refused = wait_for(runs.start("refused", refuse))
    assert refused.error is not None
    assert wait_for(runs.start("refused", work)).result == "done"  # begun anew
