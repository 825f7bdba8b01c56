"""What pieces are told apart by: shown as a whole, entered piece by piece, nothing typed is lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from django.test import Client

from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.terms import Stage
from offtool.records.models import Detail, Job, Trial
from offtool.steps.define_ground import (
    ColourSaid,
    DetailSaid,
    JobSaid,
    PressSaid,
    RunSaid,
    keep_detail,
    keep_job,
    keep_press,
    keep_run,
)
from offtool.steps.know_ground import know_ground
from offtool.steps.plain import as_plain
from offtool.web.pages.ground import ground_page
from tests.steps.told_apart import PART, make_told_apart
from tests.web.otter import SLUG
from tests.web.rendering import Outline, faults, render_page

GROUND = f"/p/{SLUG}/told-apart-by/"
RUN = {"name": "T0", "state": "a", "stage": "first shots", "shot_on": "2026-03-03", "pieces": "40",
       "press": "P6", "colour": "mint", "made_by": "ida"}  # fmt: skip
DETAIL = {"code": "date-mark", "name": "date mark", "kind": "stays", "where": "in the foot",
          "came_0": "c", "lost_0": "b", "made_by": "ida"}  # fmt: skip
JOB = {"press": "P6", "code": "4711", "product": "wheelbarrow", "begins": "2026-03-01", "ends": "2026-03-09",
       "colour": "mint", "lightness": "78,5", "a": "-24", "b": "7.5", "illuminant": "D65", "observer": "10",
       "made_by": "ida"}  # fmt: skip


@pytest.fixture
def bare(db: None) -> None:
    """Two tools; nothing else."""
    make_told_apart()


@pytest.fixture
def filled(bare: None) -> None:
    """A press with a job, a run that interrupted it, a detail."""
    keep_press(SLUG, PressSaid(code="P6", name="80 t", holds=("M2",)), by="x")
    mint = ColourSaid(lightness=78.5, a=-24.0, b=7.5)
    begins = date(2026, 3, 1)
    keep_job(SLUG, JobSaid(press="P6", code="4711", begins=begins, colour="mint", measured=mint), by="x")
    run = RunSaid(tool="M2", name="T0", state="a", press="P6", interrupted=("P6", "4711"))
    keep_run(SLUG, run, by="x")
    states = {"M2": {"a": False, "b": None, "c": True}}
    keep_detail(SLUG, DetailSaid(part=PART, code="date-mark", name="date mark", in_states=states), by="x")


def page(client: Client, address: str = GROUND, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.content
    html = answer.content.decode()
    assert faults(html) == []
    return html


@pytest.mark.usefixtures("bare")
def test_empty_parts_say_what_to_enter_first_and_why(client: Client) -> None:
    text = Outline(page(client)).text
    for words in (
        "Nothing but the handbook tells pieces apart",
        "Enter the runs of each tool, T0 first.",
        "nothing bounds a state as hard",
        "No run is recorded. A piece of this tool can only be given to a stage of the handbook.",
        "No build is recorded: enter EP, FEP and line pilot",
        "No press is recorded. A trial takes the colour that is in the barrel",
    ):
        assert words in text


@pytest.mark.usefixtures("filled")
def test_all_that_is_known_stands_on_the_page_in_words(client: Client) -> None:
    html = page(client)
    text = Outline(html).text
    for words in (
        "first shots by its name",
        "4711 on P6",
        "not there",
        "sheet lost",
        "still running",
        "Holds M2.",
    ):
        assert words in text
    assert 'aria-label="patch of mint"' in html
    assert "L* 78.5, a* −24.0, b* 7.5, spread 0.6" in text
    for stage in Stage:
        assert stage.value in text
    for sign in SIGNS.values():
        assert sign.asks in text


@pytest.mark.usefixtures("filled")
def test_each_thing_leads_to_its_own_page(client: Client) -> None:
    html = page(client)
    for address in (
        f"{GROUND}runs/M2/T0/", f"{GROUND}runs/M3/", f"{GROUND}details/{PART}/date-mark/",
        f"{GROUND}details/HO-05/", f"{GROUND}presses/P6/", f"{GROUND}presses/P6/jobs/4711/",
        f"{GROUND}presses/P6/jobs/", f"{GROUND}presses/", f"{GROUND}builds/", f"{GROUND}stages/pilot/",
        f"{GROUND}signs/date%20mark/",
    ):  # fmt: skip
        assert f'href="{address}"' in html
        page(client, address)


@pytest.mark.usefixtures("filled")
def test_json_is_the_result_of_the_step(client: Client) -> None:
    assert client.get(f"{GROUND}?format=json").json() == as_plain(know_ground(SLUG))


@pytest.mark.usefixtures("filled")
def test_every_field_of_the_page_is_there(bare: None) -> None:
    shown = ground_page(know_ground(SLUG))
    render_page("ground.html", shown)
    render_page("ground.html", replace(shown, actions=(), details=(), builds=(), presses=()))


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(
    "address",
    ["runs/M9/", "runs/M2/T9/", "details/HO-99/", f"details/{PART}/no/", "presses/P9/",
     "presses/P6/jobs/9/", "builds/EP9/", "stages/never/", "signs/smell/"],
)  # fmt: skip
def test_what_is_not_there_is_said(client: Client, address: str) -> None:
    page(client, GROUND + address, status=404)


@pytest.mark.usefixtures("bare")
def test_a_run_is_entered_and_changed(client: Client) -> None:
    answer = client.post(f"{GROUND}runs/M2/", RUN)
    assert (answer.status_code, answer.headers["Location"]) == (302, f"{GROUND}#runs")
    run = Trial.objects.get()
    assert (run.name, run.stage, run.pieces, run.shot_on) == ("T0", "first shots", 40, date(2026, 3, 3))
    html = page(client, f"{GROUND}runs/M2/T0/")
    assert 'value="40"' in html
    assert 'value="ida"' in html, "the name is offered again"
    client.post(f"{GROUND}runs/M2/T0/", {**RUN, "stage": "", "pieces": ""})
    run.refresh_from_db()
    assert (run.stage, run.pieces) == ("", None)


@pytest.mark.usefixtures("bare")
def test_a_detail_is_entered_with_the_state_it_came_with(client: Client) -> None:
    client.post(f"{GROUND}details/{PART}/", DETAIL)
    row = next(one for one in know_ground(SLUG).details if one.part == PART).details[0]
    assert row.in_states == (False, None, True)
    html = page(client, f"{GROUND}details/{PART}/date-mark/")
    changed = {**DETAIL, "state_0_0": "not there", "state_0_1": "there", "state_0_2": "there"}
    assert html.count('<option value="sheet lost" selected>') == 1
    client.post(f"{GROUND}details/{PART}/date-mark/", changed)
    row = next(one for one in know_ground(SLUG).details if one.part == PART).details[0]
    assert row.in_states == (False, True, True)


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(
    ("address", "sent", "field", "said"),
    [
        ("runs/M2/", {**RUN, "state": ""}, "state", "Choose the state."),
        ("runs/M2/", RUN, "name", "There is a run T0 already"),
        ("runs/M2/", {**RUN, "name": "T5", "ended_on": "2026-01-01"}, "ended_on", "is before"),
        ("runs/M2/", {**RUN, "name": "T5", "pieces": "many"}, "pieces", "Give a whole number."),
        ("runs/M2/", {**RUN, "name": "T5", "lightness": "50"}, "a", "Give L*, a* and b*, or none"),
        (f"details/{PART}/", {**DETAIL, "code": "vent", "went_0": "b"}, "went_0", "choose a later state"),
        (f"details/{PART}/", DETAIL, "code", "There is a detail date-mark already"),
        ("presses/P6/jobs/", JOB, "code", "There is a job 4711 already"),
        ("presses/P6/jobs/", {**JOB, "code": "5", "begins": ""}, "begins", "Give the day."),
        ("presses/P6/jobs/", {**JOB, "code": "5", "a": "red"}, "a", "Give a number"),
        ("presses/", {"code": ""}, "code", "Give a name."),
        ("stages/pilot/", {"kept": "0"}, "kept", "above 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    client: Client, address: str, sent: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(GROUND + address, sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert faults(html) == []
    at = html.index(f'id="id_{field}_error"')
    assert said.lower() in html[at : at + 300].lower()
    for name in ("product", "colour", "where"):
        if name in sent:
            assert sent[name] in html
    assert Job.objects.count() + Detail.objects.count() + Trial.objects.count() == 3


@pytest.mark.usefixtures("filled")
def test_a_press_and_a_build_are_kept(client: Client) -> None:
    client.post(f"{GROUND}presses/", {"code": "P7", "holds": ["M2", "M3"], "made_by": "ida"})
    runs = ['["M2", "T0"]']
    client.post(
        f"{GROUND}builds/", {"code": "EP1", "stage": "engineering build", "runs": runs, "made_by": ""}
    )
    known = know_ground(SLUG)
    assert [one.holds for one in known.presses] == [("M2",), ("M2", "M3")]
    assert known.builds[0].runs == (("M2", "T0"),)
    assert "checked" in page(client, f"{GROUND}builds/EP1/")


@pytest.mark.usefixtures("bare")
def test_shares_are_typed_in_per_cent_and_a_broken_row_is_named(client: Client) -> None:
    sent = {"pilot_0": "50", "pilot_1": "30", "pilot_2": "20", "made_by": "ida"}
    assert client.post(f"{GROUND}signs/paint/", {**sent, "pilot_2": "2"}).status_code == 422
    answer = client.post(f"{GROUND}signs/paint/", {**sent, "pilot_2": ""})
    assert "line pilot: only some outcomes have a share" in answer.content.decode()
    assert client.post(f"{GROUND}signs/paint/", sent).status_code == 302
    paint = next(one for one in know_ground(SLUG).signs if one.sign == "paint")
    assert paint.own == (Stage.PILOT,)
    assert 'value="30"' in page(client, f"{GROUND}signs/paint/")
    assert "your own at: line pilot" in Outline(page(client)).text


@pytest.mark.usefixtures("bare")
def test_a_stage_is_called_what_the_programme_calls_it(client: Client) -> None:
    client.post(f"{GROUND}stages/pilot/", {"archive": "pre-series", "kept": "20", "made_by": "ida"})
    text = Outline(page(client)).text
    assert "pre-series" in text
    assert "your own words" in text
