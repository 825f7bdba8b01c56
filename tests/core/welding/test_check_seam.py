"""Seams against the rules they are drawn by."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

from offtool.core.joints.evidence import SizeGiven, Span
from offtool.core.values import ImpossibleInput, Verdict
from offtool.core.welding.design import (
    SeamDesign,
    SeamRow,
    check_groove,
    check_ridge,
    check_seam,
    check_shear,
    check_step,
    judge,
)
from offtool.core.welding.rules import RULES
from offtool.core.welding.seam import LIMITS, SeamSizes
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.handbook.weld_resins import Pairing
from tests.core.laws import law
from tests.labels import independent, practice, published, remembered

GUIDE = "a public guide to joints for ultrasonic assembly, butt joint with ridge"
TABLE = "a horn maker's table of shear joints"


def row(found: SeamDesign, what: str) -> SeamRow:
    return next(one for one in found.rows if one.what == what)


def height_wanted(resin: str) -> Span:
    return row(check_ridge(2.0, 0.4, resin=resin), "height of the ridge").wanted


def shear(
    overlap: float = 0.35, *, largest: float = 25.0, plus_minus: float = 0.0, depth: float = 2.0
) -> SeamDesign:
    return check_shear(
        overlap,
        depth,
        wall_mm=1.5,
        largest_dimension_mm=largest,
        resin="ABS",
        plus_minus_mm=plus_minus,
    )


def groove(
    tongue: float = 1.85, *, height: float = 0.4, depth: float = 0.2, plus_minus: float = 0.0
) -> SeamDesign:
    return check_groove(
        1.85,
        height,
        tongue_width_mm=tongue,
        groove_width_mm=2.0,
        groove_depth_mm=depth,
        resin="ABS",
        plus_minus_mm=plus_minus,
    )


def test_ridges_of_easy_resins_have_the_heights_of_the_guide() -> None:
    wanted = height_wanted("ABS")
    assert wanted.low == published("0.2", source=f"{GUIDE}, amorphous resins")
    assert wanted.high == published("0.6", source=f"{GUIDE}, amorphous resins")


@pytest.mark.parametrize("resin", ["POM", "PP", "PA6", "PC", "PSU"])
def test_ridges_of_hard_resins_start_at_the_guide_and_reach_as_far_as_practice(resin: str) -> None:
    wanted = height_wanted(resin)
    assert wanted.low == published("0.4", source=f"{GUIDE}, crystalline resins and polycarbonate, 60 degrees")
    assert wanted.high == practice("0.8")
    assert wanted.low <= published("0.5", source=f"{GUIDE}, the same").value <= wanted.high


def test_the_ridge_of_the_textbook_holds_on_a_usual_joint() -> None:
    """0.015 inch at 90 degrees, as a public page on joints prints it."""
    height = published("0.015", source="a public page on joints: butt joint, 90 degrees, inches").value * 25.4
    assert check_ridge(2.0, height, resin="ABS").verdict is Verdict.HOLDS


@pytest.mark.parametrize(("height", "verdict"), [(0.30, Verdict.HOLDS), (0.29, Verdict.FAILS)])
def test_a_ridge_is_at_least_a_tenth_of_the_joint_high_and_a_fifth_wide(
    height: float, verdict: Verdict
) -> None:
    found = check_ridge(3.0, height, resin="ABS")
    share, base = (row(found, f"{name} of the ridge over the joint width") for name in ("height", "base"))
    assert share.wanted.low == published("0.10", source=f"{GUIDE}, 10 % of the joint width")
    assert base.wanted.low == published("0.20", source=f"{GUIDE}, 20 % of the joint width")
    assert (share.verdict, base.verdict) == (verdict, verdict)


@law(height=st.floats(0.1, 1.0), width=st.floats(1, 6))
def test_at_a_right_angle_both_rules_are_one(height: float, width: float) -> None:
    found = check_ridge(width, height)
    share, base = (row(found, f"{name} of the ridge over the joint width") for name in ("height", "base"))
    assert base.found.low == pytest.approx(2 * share.found.low, rel=1e-12)


def test_a_ridge_wider_than_its_face_does_not_hold() -> None:
    found = row(check_ridge(0.9, 0.5, resin="ABS"), "base of the ridge over the joint width")
    assert found.verdict is Verdict.FAILS
    assert "wider than the face" in found.advice


@pytest.mark.parametrize(
    ("largest", "low", "high", "plus_minus"),
    [(10, "0.2", "0.3", "0.025"), (25, "0.3", "0.4", "0.05"), (50, "0.4", "0.5", "0.075")],
)
def test_the_overlap_goes_by_the_size_of_the_part(
    largest: float, low: str, high: str, plus_minus: str
) -> None:
    found = shear(largest=largest, plus_minus=0.01)
    overlap = row(found, "overlap, each side").wanted
    assert (overlap.low, overlap.high) == (
        remembered(low, source=TABLE),
        remembered(high, source=TABLE),
    )
    assert row(found, "spread of the overlap, either way").wanted.high == remembered(plus_minus, source=TABLE)


def test_the_overlap_grows_with_the_part() -> None:
    found = [row(shear(largest=one), "overlap, each side").wanted for one in (5, 17.9, 18, 34.9, 35, 200)]
    assert [one.low for one in found] == sorted(one.low for one in found)
    assert found[1].low < found[2].low < found[4].low


def test_a_shear_weld_is_one_and_a_quarter_to_one_and_a_half_walls_deep() -> None:
    wanted = row(shear(), "depth of the weld over the wall").wanted
    assert (wanted.low, wanted.high) == (practice("1.25"), practice("1.5"))
    assert row(shear(depth=1.5), "depth of the weld over the wall").verdict is Verdict.FAILS


def test_clearance_where_overlap_is_needed_is_an_answer() -> None:
    found = row(shear(-0.05), "overlap, each side")
    assert found.verdict is Verdict.FAILS
    assert "clearance" in found.advice


def test_parts_that_scatter_too_much_for_a_shear_joint_are_told() -> None:
    found = row(shear(plus_minus=0.08), "spread of the overlap, either way")
    assert (found.verdict, found.found.low) == (Verdict.FAILS, pytest.approx(0.08))
    assert "spread of the overlap, either way" not in {one.what for one in shear().rows}


def test_the_tongue_has_its_gap_each_side() -> None:
    found = row(groove(), "gap beside the tongue, each side")
    assert found.found.low == independent(0.075, way="(2.00 - 1.85) / 2, by hand")
    assert found.wanted.low == remembered("0.05", source="a bulletin of a horn maker")
    assert found.wanted.high == remembered("0.10", source="a bulletin of a horn maker")
    assert groove().verdict is Verdict.HOLDS


def test_a_tongue_wider_than_its_groove_is_an_answer() -> None:
    found = row(groove(2.1), "gap beside the tongue, each side")
    assert found.verdict is Verdict.FAILS
    assert "binds" in found.advice


def test_a_ridge_that_never_reaches_the_floor_and_one_that_fills_the_groove_do_not_hold() -> None:
    assert row(groove(depth=0.4), "ridge beyond the room under the tongue").verdict is Verdict.FAILS
    assert row(groove(height=0.8), "melt over the room under the tongue").verdict is Verdict.FAILS


def test_a_shadow_gap_is_looked_at_where_there_is_one() -> None:
    def step(gap: float) -> SeamDesign:
        return check_step(1.2, 0.4, side_gap_mm=0.08, shadow_gap_mm=gap, resin="ABS")

    assert "shadow gap" not in {one.what for one in step(0.0).rows}
    assert row(step(0.1), "shadow gap").verdict is Verdict.FAILS
    assert row(step(0.25), "shadow gap").wanted.low == practice("0.25")
    assert step(0.3).verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("plus_minus", "verdict"), [(0.0, Verdict.HOLDS), (0.05, Verdict.NOT_SHOWN), (0.01, Verdict.HOLDS)]
)
def test_a_spread_across_an_end_is_not_shown(plus_minus: float, verdict: Verdict) -> None:
    found = check_ridge(2.0, 0.58, resin="ABS", plus_minus_mm=plus_minus)
    assert found.verdict is verdict
    assert bool(found.to_do) is (verdict is not Verdict.HOLDS)


@law(low=st.floats(-2, 2), width=st.floats(0, 2), move=st.floats(0, 1), length=st.floats(0.01, 1))
def test_a_span_holds_fails_or_straddles(low: float, width: float, move: float, length: float) -> None:
    wanted, found = Span(low=low, high=low + width), Span(low=low + move, high=low + move + length)
    said = judge(found, wanted)
    assert (said is Verdict.HOLDS) is (found.high <= wanted.high + 1e-9)
    assert (said is Verdict.FAILS) is (found.low > wanted.high + 1e-9)
    mirrored = judge(Span(low=-found.high, high=-found.low), Span(low=-wanted.high, high=-wanted.low))
    assert mirrored is said


def test_a_spread_past_both_ends_is_work_for_the_press() -> None:
    found = row(check_ridge(2.0, 0.4, resin="ABS", plus_minus_mm=0.3), "height of the ridge")
    assert found.verdict is Verdict.NOT_SHOWN
    assert "settle the press" in found.advice


def test_the_harder_of_two_resins_governs_and_an_unknown_one_widens() -> None:
    both = check_ridge(2.0, 0.3, resin="ABS", other_resin="PC")
    assert row(both, "height of the ridge").verdict is Verdict.FAILS
    unknown = check_ridge(2.0, 0.7, resin="ABX")
    assert row(unknown, "height of the ridge").verdict is Verdict.HOLDS
    assert "did you mean 'ABS'" in str(unknown.cautions[0])


def test_soft_pvc_is_not_welded_and_acetal_only_to_itself() -> None:
    assert check_ridge(2.0, 0.4, resin="PVC-P").verdict is Verdict.FAILS
    found = check_ridge(2.0, 0.45, ridge_angle_deg=60, resin="POM", other_resin="ABS")
    assert found.pairing is Pairing.NO
    assert found.verdict is not Verdict.HOLDS
    assert check_ridge(2.0, 0.45, ridge_angle_deg=60, resin="POM").verdict is Verdict.HOLDS


def test_a_size_that_is_not_given_is_named_and_nothing_is_shown_without_it() -> None:
    seam = SeamSizes(kind=SeamKind.RIDGE, sizes=(SizeGiven(role="ridge_height", value=0.4),), resin="ABS")
    found = check_seam(seam)
    assert found.missing == ("joint_width",)
    assert found.verdict is Verdict.NOT_SHOWN
    assert "width of the faces that meet" in " ".join(str(one) for one in found.cautions)


def test_each_size_of_a_table_has_a_spread_of_its_own() -> None:
    sizes = (
        SizeGiven(role="joint_width", value=2.0, plus_minus=0.1),
        SizeGiven(role="ridge_height", value=0.4, plus_minus=0.02),
    )
    found = row(
        check_seam(SeamSizes(kind=SeamKind.RIDGE, sizes=sizes, resin="ABS")),
        "height of the ridge over the joint width",
    )
    assert found.found.low == independent(0.38 / 2.1, way="least over most, by hand")
    assert found.found.high == independent(0.42 / 1.9, way="most over least, by hand")


@pytest.mark.parametrize(
    ("height", "width", "said"),
    [(400.0, 2.0, "ridge_height_mm"), (0.4, 0.0, "joint_width_mm"), (0.4, -2.0, "joint_width_mm")],
)
def test_a_wrong_unit_or_a_size_that_cannot_be_is_refused(height: float, width: float, said: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        check_ridge(width, height)
    assert refused.value.argument == said


def test_a_negative_gap_is_refused_by_name() -> None:
    with pytest.raises(ImpossibleInput, match=r"side_gap_mm = -0\.1 mm: must be at least 0"):
        check_step(1.2, 0.4, side_gap_mm=-0.1)


def test_a_size_in_inches_is_cautioned_against() -> None:
    found = check_ridge(0.08, 0.015, resin="ABS")
    assert any("joint_width_mm" in str(one) for one in found.cautions)


@pytest.mark.parametrize("kind", SeamKind)
def test_every_kind_has_rules_on_its_own_sizes_and_every_size_a_range(kind: SeamKind) -> None:
    roles = {role.name for role in SEAM_KINDS[kind]}
    assert RULES[kind]
    for rule in RULES[kind]:
        assert set(rule.needs) <= roles
        assert rule.source
    assert roles <= set(LIMITS)


def test_a_design_says_that_rules_are_practice_and_that_welders_are_loud() -> None:
    said = " ".join(str(one) for one in groove().cautions)
    assert "Only seams that were welded" in said
    assert "hearing protection" in said
