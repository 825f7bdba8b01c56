"""The report on a pilot: verdict, what to do, numbers and cautions on two pages; the same bytes each time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.core.values import Caution
from offtool.reports.pilot_report import pilot_report
from offtool.steps.judge_pilot import ON_THE_LINE, judge_pilot
from offtool.steps.pilot_found import PilotFound
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of
from tests.steps import piloted
from tests.web import otter
from tests.web import piloted as whole

pytestmark = pytest.mark.django_db


def test_the_report_says_what_the_page_says(tmp_path: Path) -> None:
    whole.make_all()
    found = judge_pilot(otter.SLUG, piloted.PILOT)
    said = text_of(pilot_report(found, made_by="production"), tmp_path)
    flat = " ".join(said.split())
    assert found.headline in flat
    for words in (
        *("Bring paint from 210.0 s", "Line, the first time", "overspray at paint", "torso seam, pull"),
        *("First hour against last", "SHA-256 begins", "Made by production"),
    ):
        assert words in flat, words
    assert ON_THE_LINE.text[:24] in flat
    assert pilot_report(found) == pilot_report(found)
    assert said.count("page 1 of 3") + said.count("page 1 of 2") == 1


def test_a_pilot_without_sheets_is_a_page(tmp_path: Path) -> None:
    otter.make_programme()
    piloted.make_line()
    piloted.make_pilot()
    said = text_of(pilot_report(judge_pilot(otter.SLUG, piloted.PILOT)), tmp_path)
    assert "P1 says nothing yet" in said
    assert "page 1 of 1" in said


def test_what_users_write_stays_text(tmp_path: Path) -> None:
    otter.make_programme()
    piloted.make_line()
    piloted.make_pilot()
    found: PilotFound = judge_pilot(otter.SLUG, piloted.PILOT)
    odd = replace(found, headline=HOSTILE, cautions=(Caution(HOSTILE),), line=HOSTILE)
    assert pilot_report(odd)[:5] == b"%PDF-"
