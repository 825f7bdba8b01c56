"""Welds and joints pulled and turned while a pilot ran: against what is asked of them and the release."""

from __future__ import annotations

import pytest

from offtool.core.values import Verdict
from offtool.handbook.terms import PilotFileKind
from offtool.records.models import Seam
from offtool.steps.judge_pilot import judge_pilot
from offtool.steps.judge_seam import judge_seam
from offtool.steps.pilot_found import AuditSeen, PilotFound
from tests.labels import independent
from tests.steps import piloted
from tests.web import otter
from tests.web import piloted as whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(db: None) -> PilotFound:
    whole.make_all()
    return judge_pilot(otter.SLUG, piloted.PILOT)


def named(found: PilotFound, code: str) -> AuditSeen:
    return next(one for one in found.audits if one.code == code)


def test_pulls_are_held_against_the_requirement_and_the_release(found: PilotFound) -> None:
    torso, strength = named(found, "torso"), judge_seam(otter.SLUG, "torso").strength
    assert torso.judged is not None
    assert strength is not None
    assert (torso.judged.lower, torso.judged.upper) == (60.0, None)
    assert (torso.judged.released_mean, torso.judged.released_sd) == (strength.mean_n, strength.sd_n)
    assert torso.judged.drift is not None
    assert torso.judged.drift.per_hour == independent(-9.0, way="every pull falls by 9 N an hour")
    assert torso.judged.verdict is Verdict.NOT_SHOWN


def test_torques_are_held_against_the_limits_of_their_joint(found: PilotFound) -> None:
    shoulder = named(found, "shoulder")
    assert shoulder.judged is not None
    assert (shoulder.judged.lower, shoulder.judged.upper, shoulder.unit) == (0.15, 0.6, "N·m")
    assert (shoulder.judged.outside.seen, shoulder.judged.verdict) == (1, Verdict.FAILS)
    assert found.audits_verdict is Verdict.FAILS
    assert found.actions[0].do == "Stop and find why shoulder was outside its limits."
    assert "readings from 0.14 N·m to 0.23 N·m" in found.actions[0].because
    assert found.headline.endswith("Shoulder was outside the limits while it ran.")


def test_a_weld_that_gets_weaker_points_to_the_horn(found: PilotFound) -> None:
    do = next(one for one in found.actions if one.do.startswith("Look at horn"))
    assert do.because.startswith(
        "9.0 N an hour; going on so, its mean meets the limit 7 h after the last audit"
    )


def test_who_pulls_is_warned(found: PilotFound) -> None:
    assert any("lets go under load" in one.text for one in found.cautions)


def test_a_seam_of_which_nothing_is_asked_is_not_judged() -> None:
    whole.make_all()
    Seam.objects.filter(code="torso").update(required_n=None)
    torso = named(judge_pilot(otter.SLUG, piloted.PILOT), "torso")
    assert (torso.judged, torso.why_not) == (None, "say what pull the seam must hold")


def test_hours_that_are_not_said_tell_no_drift() -> None:
    whole.make_all()
    rows = "seam or joint,value,unit\n" + "torso,140,N\n" * 10
    piloted.keep(PilotFileKind.AUDITS, rows, name="more.csv")
    torso = named(judge_pilot(otter.SLUG, piloted.PILOT), "torso")
    assert torso.judged is not None
    assert torso.judged.drift is None
