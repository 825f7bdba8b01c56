"""A trial is asked for by names, changed and withdrawn; what cannot be is refused at its field."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.records.models import Tool, ToolState, Trial, TrialRequest
from offtool.records.operations import fix_slot
from offtool.records.queries import find_request
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_trial import (
    RequestSaid,
    ask_for_trial,
    purpose_named,
    request_known,
    requests_known,
    tool_asked,
    withdraw_trial,
)
from offtool.steps.define_ground import PressSaid, keep_press
from offtool.steps.sizes_given import DefinitionRefused
from tests.records.example import NOON
from tests.steps.told_apart import make_told_apart
from tests.web import otter

SLUG = otter.SLUG
SAID = RequestSaid(
    tool="M2",
    name="T4",
    purposes={TrialPurpose.ASSEMBLY: 40, TrialPurpose.SIZES: None},
    earliest=date(2026, 3, 25),
    due=date(2026, 4, 3),
    late_per_day=250.0,
    asked_by="ida",
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def tool(db: None) -> Tool:
    """Two tools; nothing has run."""
    return make_told_apart()


def seen(tool: Tool, name: str) -> Trial:
    """A trial of the tool that somebody looked at."""
    trial = Trial.objects.create(tool=tool, name=name, state=ToolState.objects.filter(tool=tool).first())
    trial.looks.create(pieces=1, looked_at=NOON)
    return trial


def test_what_is_asked_for_is_known_again_with_its_purposes_in_order() -> None:
    known = ask_for_trial(SLUG, SAID, by="ida")
    assert known == request_known(SLUG, "M2", "T4")
    assert [(one.purpose, one.pieces) for one in known.purposes] == [
        (TrialPurpose.SIZES, None),
        (TrialPurpose.ASSEMBLY, 40),
    ]
    assert (known.wish, known.needs_engineer, known.press, known.has_run) == ("any colour", True, "", False)
    assert requests_known(SLUG).headline == "One trial waits for its press: M2 T4."


def test_a_request_is_changed_and_may_get_another_name() -> None:
    ask_for_trial(SLUG, SAID, by="ida")
    later = replace(SAID, name="T5", due=None, wish=ColourWish.LIGHT.value)
    assert ask_for_trial(SLUG, later, by="bo", now="T4").wish == "a light colour"
    assert TrialRequest.objects.get().name == "T5"


def test_a_fixed_slot_stays_where_what_is_asked_is_changed() -> None:
    keep_press(SLUG, PressSaid(code="P6"), by="x")
    ask_for_trial(SLUG, SAID, by="ida")
    request = find_request(SLUG, "M2", "T4")
    fix_slot(request, request.tool.programme.presses.get(), NOON, made_by="x")
    known = ask_for_trial(SLUG, replace(SAID, hours=3.0), by="ida", now="T4")
    assert (known.press, known.starts_at, known.hours) == ("P6", NOON, 3.0)


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"purposes": {}}, "purposes", "no purpose is given"),
        ({"purposes": {TrialPurpose.SIZES: 0}}, "pieces_sizes", "0 pieces"),
        ({"name": " "}, "name", "has no code"),
        ({"name": "New"}, "name", "no trial can be called New"),
        ({"due": date(2026, 3, 1)}, "due", "2026-03-01 is before 2026-03-25"),
        ({"hours": 0.0}, "hours", "0 h on the press"),
        ({"hours": 5000.0}, "hours", "5000 h on the press"),
        ({"late_per_day": -1.0}, "late_per_day", "-1 a day"),
        ({"wish": "mauve"}, "wish", "no wish is called 'mauve'"),
        ({"lightness": 40.0, "b": 2.0}, "a", "a part of the colour is missing"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_kept(
    changed: dict[str, object], field: str, said: str
) -> None:
    with pytest.raises(DefinitionRefused, match=said) as refused:
        ask_for_trial(SLUG, replace(SAID, **changed), by="ida")
    assert (refused.value.field, bool(refused.value.remedy)) == (field, True)
    assert not TrialRequest.objects.exists()


def test_a_trial_is_asked_for_once_and_not_after_it_has_run(tool: Tool) -> None:
    ask_for_trial(SLUG, SAID, by="ida")
    with pytest.raises(DefinitionRefused, match="M2 T4 is asked for already"):
        ask_for_trial(SLUG, SAID, by="ida")
    seen(tool, "T3")
    with pytest.raises(DefinitionRefused, match="M2 T3 has run already; name the next trial"):
        ask_for_trial(SLUG, replace(SAID, name="T3"), by="ida")
    seen(tool, "T4")
    assert request_known(SLUG, "M2", "T4").has_run
    assert requests_known(SLUG).headline == "No trial is asked for."
    with pytest.raises(DefinitionRefused, match="M2 T4 has run already; ask for the next trial"):
        ask_for_trial(SLUG, replace(SAID, due=None), by="ida", now="T4")


def test_a_trial_that_is_in_the_record_without_findings_may_be_asked_for(tool: Tool) -> None:
    Trial.objects.create(tool=tool, name="T4", state=ToolState.objects.filter(tool=tool).first())
    assert not ask_for_trial(SLUG, SAID, by="ida").has_run


def test_a_trial_is_withdrawn_with_a_reason_and_may_be_asked_for_again() -> None:
    ask_for_trial(SLUG, SAID, by="ida")
    with pytest.raises(OfftoolError, match="no reason is given"):
        withdraw_trial(SLUG, "M2", "T4", because="", by="ida")
    withdraw_trial(SLUG, "M2", "T4", because="the line waits", by="ida")
    with pytest.raises(NotInRecord):
        request_known(SLUG, "M2", "T4")
    ask_for_trial(SLUG, SAID, by="ida")


def test_the_next_trial_is_named_as_the_tool_counts(tool: Tool) -> None:
    assert tool_asked(SLUG, "M3").next_name == "T0"
    for name in ("T0", "T9"):
        seen(tool, name)
    ask_for_trial(SLUG, replace(SAID, name="T10"), by="ida")
    assert tool_asked(SLUG, "M2").next_name == "T11"
    seen(tool, "pilot")
    assert tool_asked(SLUG, "M2").next_name == ""


def test_a_purpose_is_named_as_it_is_written_and_a_slip_is_answered_with_the_nearest() -> None:
    assert purpose_named("first look") is TrialPurpose.FIRST_LOOK
    with pytest.raises(DefinitionRefused, match="did you mean 'assembly'"):
        purpose_named("asembly")


def test_several_waiting_trials_are_named_in_one_sentence() -> None:
    for tool in ("M2", "M3"):
        ask_for_trial(SLUG, replace(SAID, tool=tool), by="ida")
    found = requests_known(SLUG)
    assert found.headline == "2 trials wait for a press: M2 T4 and M3 T4."
    assert [one.tool for one in found.requests] == ["M2", "M3"]


@pytest.mark.parametrize(("resin", "is_known"), [("XYZ", False), ("", True), ("PC+ABS", True)])
def test_a_resin_that_is_not_known_is_not_taken_in_silence(resin: str, is_known: bool) -> None:
    kept = ask_for_trial(SLUG, replace(SAID, resin=resin), by="ida")
    assert (kept.cautions == ()) == is_known
    assert all(resin in one.text for one in kept.cautions)
