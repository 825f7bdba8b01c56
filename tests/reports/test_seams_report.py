"""The report of seams: every seam with its verdict, window, strength and the welder's cautions."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from offtool.core.values import Caution
from offtool.core.welding.cautions import AT_THE_WELDER
from offtool.reports.seam_words import setting_of, strength_in_words
from offtool.reports.seams_report import seams_report
from offtool.steps.seam_found import SeamsFound
from tests.reports import seams
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of


def read(found: SeamsFound, tmp_path: Path) -> str:
    return text_of(seams_report(found), tmp_path)


def test_the_first_page_has_the_verdict_every_seam_and_the_cautions_of_the_welder(tmp_path: Path) -> None:
    found = seams.all_seams()
    first = read(found, tmp_path).split("page 1 of")[0]
    assert found.headline in first
    for one in found.seams:
        assert one.name in first
        assert str(one.verdict) in first
    for caution in AT_THE_WELDER:
        assert caution.text in first


def test_every_seam_carries_the_cautions_of_the_welder_even_where_it_was_given_none(tmp_path: Path) -> None:
    found = seams.all_seams(seams.torso(cautions=()), seams.not_pulled(cautions=()))
    said = read(found, tmp_path)
    # once on the first page, once a seam; a column breaks the lines, so its first words are looked for
    for caution in AT_THE_WELDER:
        assert said.count(caution.text[:24]) == 3


def test_each_seam_has_a_page_with_what_to_do_and_what_it_rests_on(tmp_path: Path) -> None:
    found = seams.all_seams()
    said = read(found, tmp_path)
    for one in found.seams:
        assert one.headline in said
        for fact in one.rests_on:
            assert fact.about in said
    for chapter in (
        "As it is drawn",
        "Melt and welder",
        "Settings of the welder",
        "Strength",
        "Audit",
        "Pieces that may be open",
        "Sizes and studies",
    ):
        assert chapter in said


def test_rules_settings_strength_and_audit_are_worded(tmp_path: Path) -> None:
    torso = seams.torso()
    said = read(seams.all_seams(torso), tmp_path)
    assert torso.design is not None
    assert torso.strength is not None
    assert torso.window is not None
    for row in torso.design.rows:
        assert row.what in said
    assert "32.7 to 37.4 %" in said  # 0.67 over 2.05 and 0.73 over 1.95 mm
    assert strength_in_words(torso.strength) in said
    for one in torso.window.settings:
        assert setting_of(one) in said
    assert "Stand at weld time" in said
    assert "pull to the requirement: pull" in said
    assert "piece 14 of study 1 (0.2 s, 2 bar)" in said
    assert "otter_torso_weld.csv, 22 March 2026" in said


def test_a_seam_that_was_never_pulled_says_so_and_has_no_empty_chapters(tmp_path: Path) -> None:
    said = read(seams.all_seams(seams.not_pulled()), tmp_path)
    assert "no piece has been pulled yet" in said
    for chapter in ("Settings of the welder", "Audit", "Pieces that may be open"):
        assert chapter not in said


def test_no_seam_makes_a_report_that_says_so(tmp_path: Path) -> None:
    empty = replace(seams.all_seams(), seams=(), headline="No seam is named yet: name the first.")
    assert "No seam is named yet" in read(empty, tmp_path)


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "躯干 焊缝", "x" * 200])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    found = seams.torso(
        name=name,
        top=name,
        cautions=(Caution(name, name),),
        studies=(seams.study_seen(file=name, note=name, set_aside=name),),
    )
    said = read(replace(seams.all_seams(found), programme_title=name), tmp_path)
    if name == HOSTILE:
        assert '#panic("x") *bold* <script>alert(1)</script> $x^2$ @cite' in said
    assert "Sizes and studies" in said


def test_who_made_it_stands_in_the_footer_and_the_same_seams_give_the_same_bytes(tmp_path: Path) -> None:
    found = seams.all_seams()
    pdf = seams_report(found, made_by="the bench")
    assert "Made by the bench" in text_of(pdf, tmp_path)
    assert pdf == seams_report(found, made_by="the bench")
    assert b"CreationDate" not in pdf  # the clock is not asked: equal bytes are no luck of the second
