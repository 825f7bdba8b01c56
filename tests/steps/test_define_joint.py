"""Joints and seams are defined and changed as a whole; what cannot be is refused by field, with a remedy."""

from __future__ import annotations

from typing import Any

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint, Part, Programme, Resin, Seam
from offtool.records.queries import find_joint, find_seam
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_of_size import ask_of_size
from offtool.steps.define_joint import change_joint, define_joint, parts_of_sides, remove_joint
from offtool.steps.define_seam import change_seam, define_seam, remove_seam
from offtool.steps.keep_joint_test import JointTestAbout, keep_joint_test
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study
from offtool.steps.sizes_given import DefinitionRefused, Said, SizeSaid
from tests.steps.clip import NOON
from tests.steps.jointed import PEG_SIZES, a_joint, a_seam, defined, seam_defined, with_bore


@pytest.fixture
def hinged(clip: Programme) -> Programme:
    """The clip with a bore in its lid."""
    return with_bore(clip)


def refused(**changed: Any) -> DefinitionRefused:
    with pytest.raises(DefinitionRefused) as found:
        a_joint(**changed)
    assert found.value.remedy
    assert Joint.objects.count() == 0
    return found.value


def sizes(**changed: Said) -> dict[str, Said]:
    return PEG_SIZES | changed


def test_a_joint_is_defined_by_sizes_and_numbers(hinged: Programme) -> None:
    assert (
        a_joint(name="Hinge", friction_low=0.2, friction_high=0.3, limb_mass_g=2.0, lever_mm=15.0) == "hinge"
    )
    joint = find_joint(hinged, "hinge")
    assert (joint.name, joint.friction_low, joint.safety_factor) == ("Hinge", 0.2, 2.0)
    by_role = {one.role: one for one in joint.sizes.all()}
    assert by_role.keys() == PEG_SIZES.keys()
    assert str(by_role["peg_diameter"].characteristic) == "1 Peg diameter"
    assert (by_role["contact_length"].value, by_role["contact_length"].plus_minus) == (6.0, 0.1)
    inner, outer = parts_of_sides(JointKind.PEG, list(joint.sizes.all()))
    assert (str(inner), str(outer)) == ("P1", "P2")


@pytest.mark.parametrize(
    ("changed", "field", "what"),
    [
        ({"code": " "}, "code", "the joint has no code"),
        ({"code": "New"}, "code", "no joint can be called New"),
        ({"kind": "peg in soket"}, "kind", "no kind of joint is called 'peg in soket'"),
        ({"sizes": sizes(peg_diametre=4.0)}, "peg_diametre", "has no size of that name"),
        ({"sizes": {"peg_diameter": "P1 1"}}, "socket_bore", "needs its bore of the socket"),
        ({"sizes": sizes(socket_bore="P2 9")}, "socket_bore", "no size 'P2 9' in clip"),
        ({"sizes": sizes(socket_bore="P2 3")}, "socket_bore", "P2 3 is in deg, and this size is in mm"),
        (
            {"sizes": sizes(socket_bore=SizeSaid(size="P2 2", value=4.0))},
            "socket_bore",
            "both the size P2 2 and",
        ),
        ({"sizes": sizes(socket_bore=float("nan"))}, "socket_bore", "number nan is no size"),
        ({"sizes": sizes(socket_bore=(4.0, -0.1))}, "socket_bore", "plus_minus -0.1 is below 0"),
        ({"sizes": sizes(socket_bore=-4.0)}, "socket_bore", "-4 mm is no bore of the socket"),
        ({"sizes": sizes(socket_bore=SizeSaid(value=4.0, factor=-1.0))}, "socket_bore", "belong to chains"),
        ({"sizes": sizes(socket_bore=8.0)}, "socket_outer", "8 mm is not above socket_bore, 8 mm"),
        (
            {"sizes": sizes(peg_diameter=4.0, peg_bore=4.5)},
            "peg_diameter",
            "4 mm is not above peg_bore, 4.5 mm",
        ),
        ({"lower": 0.2, "upper": 0.1}, "lower", "0.2 is not below upper, 0.1"),
        ({"friction_low": 0.4, "friction_high": 0.2}, "friction_low", "0.4 is above friction_high, 0.2"),
        ({"friction_low": 0.4}, "friction_high", "only one end of the friction is given"),
        ({"friction_low": 0.0, "friction_high": 0.2}, "friction_low", "0 is not above 0"),
        ({"limb_mass_g": 4.0}, "lever_mm", "weight and lever go together"),
        ({"lever_mm": -1.0, "limb_mass_g": 4.0}, "lever_mm", "-1 is below 0"),
        ({"upper": float("inf")}, "upper", "inf is no such number"),
        ({"safety_factor": 0.0}, "safety_factor", "0 is not above 0"),
        ({"outer_resin": "porridge"}, "outer_modulus_mpa", "porridge is not in the handbook"),
        (
            {"outer_resin": "porridge", "outer_modulus_mpa": 900.0},
            "strain_allowed_pct",
            "may bear is not known",
        ),
        ({"sizes": sizes(socket_bore=4.0)}, "outer_modulus_mpa", "no part and no resin say"),
        (
            {
                "kind": "slip fit",
                "sizes": {"shaft_diameter": "P1 1", "bore_diameter": "P2 2"},
                "friction_low": 0.2,
            },
            "friction_low",
            "a slip fit does not rest on friction",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    hinged: Programme, changed: dict[str, Any], field: str, what: str
) -> None:
    error = refused(**changed)
    assert error.field == field
    assert what in error.what


def test_a_material_that_is_given_needs_no_handbook(hinged: Programme) -> None:
    porridge = Resin.objects.create(
        programme=hinged, code="porridge", flow_pct=0.5, cross_pct=0.5, thickness_pct=0.5
    )
    Part.objects.filter(code="P2").update(resin=porridge)
    with pytest.raises(DefinitionRefused, match="outer side has no modulus"):
        a_joint()
    assert a_joint(outer_modulus_mpa=900.0, strain_allowed_pct=1.0) == "hinge"
    assert a_joint(code="other", outer_resin="ABS") == "other"


LOOP: dict[str, Said] = {
    "base": SizeSaid(size="P1 2", angle_deg=0.0),
    "wall": SizeSaid(value=10.0, angle_role="slope"),
    "slope": "P2 3",
    "gap": SizeSaid(),
}


def test_a_chain_keeps_its_factors_and_a_loop_its_angles(hinged: Programme) -> None:
    chain: dict[str, Said] = {"box": "P1 2", "lid": SizeSaid(size="P2 1", factor=-1.0)}
    a_joint(code="chain", kind="chain of sizes", sizes=chain)
    a_joint(code="loop", kind="loop of sizes", sizes=LOOP)
    assert {one.role: one.factor for one in find_joint(hinged, "chain").sizes.all()} == {
        "box": 1.0,
        "lid": -1.0,
    }
    kept = {one.role: (one.angle_deg, one.angle_role) for one in find_joint(hinged, "loop").sizes.all()}
    assert kept == {"base": (0.0, ""), "wall": (None, "slope"), "slope": (None, ""), "gap": (None, "")}


@pytest.mark.parametrize(
    ("kind", "links", "field", "what"),
    [
        ("chain of sizes", {"a": "P1 2"}, "sizes", "two sizes at least"),
        ("chain of sizes", {"a": "P1 2", "b": SizeSaid(value=1.0, factor=0.0)}, "b", "factor 0"),
        ("chain of sizes", {"a": "P1 2", "b": SizeSaid(value=1.0, angle_deg=90.0)}, "b", "has no angles"),
        ("chain of sizes", {"a": "P1 2", "b": SizeSaid()}, "b", "it says no size"),
        ("chain of sizes", {"a": "P1 2", "b": "P2 3"}, "b", "P2 3 is in deg, and this size is in mm"),
        ("loop of sizes", LOOP | {"gap": SizeSaid(value=1.0, angle_deg=90.0)}, "sizes", "no size is the gap"),
        ("loop of sizes", LOOP | {"base": SizeSaid(angle_deg=0.0)}, "gap", "2 sizes have neither"),
        ("loop of sizes", LOOP | {"base": "P1 2"}, "base", "it has no direction"),
        ("loop of sizes", LOOP | {"wall": SizeSaid(value=10.0, angle_role="slop")}, "wall", "no size 'slop'"),
        ("loop of sizes", LOOP | {"slope": "P1 2"}, "slope", "P1 2 is in mm, and this size is in deg"),
    ],
)
def test_links_that_cannot_be_are_refused_by_name(
    hinged: Programme, kind: str, links: dict[str, Said], field: str, what: str
) -> None:
    error = refused(kind=kind, sizes=links)
    assert error.field == field
    assert what in error.what


def test_a_code_is_taken_once_and_programmes_are_found(hinged: Programme) -> None:
    a_joint()
    with pytest.raises(DefinitionRefused, match="there is a joint hinge already"):
        a_joint()
    with pytest.raises(NotInRecord, match="no programme 'clop'"):
        define_joint("clop", defined(), made_by="")


def test_a_joint_is_changed_as_a_whole(hinged: Programme) -> None:
    a_joint(name="Hinge", lower=0.02)
    assert (
        change_joint("clip", "hinge", defined(code="pivot", sizes=sizes(peg_bore=1.0)), made_by="Bo")
        == "pivot"
    )
    joint = find_joint(hinged, "pivot")
    assert (joint.name, joint.lower) == ("", None)
    assert {one.role for one in joint.sizes.all()} == {*PEG_SIZES, "peg_bore"}
    assert joint.history.latest().history_user_id == "Bo"


def keep_one_test() -> None:
    keep_joint_test(
        b"piece,P1 cavity,breakaway torque [N.m]\n1,1,0.06\n", "t.csv", programme="clip", joint="hinge",
        test="1", about=JointTestAbout(), read_at=NOON, read_by="",
    )  # fmt: skip


def test_a_joint_with_tests_keeps_its_kind_and_its_parts(hinged: Programme) -> None:
    a_joint()
    keep_one_test()
    with pytest.raises(DefinitionRefused, match="tests of joint hinge as a peg in socket are kept"):
        change_joint("clip", "hinge", defined(kind="peg in clip"), made_by="")
    with pytest.raises(DefinitionRefused, match="with P1 as its inner part are kept"):
        change_joint(
            "clip", "hinge", defined(sizes=sizes(peg_diameter="P2 1", contact_length=5.0)), made_by=""
        )
    change_joint("clip", "hinge", defined(sizes=sizes(contact_length=5.0)), made_by="")
    with pytest.raises(OfftoolError, match="joint hinge has tests"):
        remove_joint("clip", "hinge", made_by="")


def test_a_size_that_something_is_asked_of_stays_in_the_joint(hinged: Programme) -> None:
    a_joint()
    ask_of_size(
        "clip", "hinge", "P1 1", target=4.0, lower=None, upper=None, reason="loose", made_at=NOON, made_by=""
    )
    with pytest.raises(OfftoolError, match="drop that demand first"):
        change_joint("clip", "hinge", defined(sizes=sizes(peg_diameter=4.0), inner_resin="ABS"), made_by="")
    assert find_joint(hinged, "hinge").sizes.get(role="peg_diameter").characteristic is not None


def test_a_joint_that_nothing_hangs_on_can_go(hinged: Programme) -> None:
    a_joint()
    remove_joint("clip", "hinge", made_by="")
    assert Joint.objects.count() == 0
    with pytest.raises(NotInRecord, match="no joint 'hinge'"):
        remove_joint("clip", "hinge", made_by="")


def test_a_seam_is_defined_changed_and_removed(hinged: Programme) -> None:
    a_seam(required_n=100.0)
    assert find_seam(hinged, "rim").required_n == 100.0
    change_seam("clip", "rim", seam_defined(code="edge", booster_gain=1.5), made_by="Bo")
    seam = find_seam(hinged, "edge")
    assert (seam.required_n, seam.booster_gain) == (None, 1.5)
    assert seam.history.latest().history_user_id == "Bo"
    remove_seam("clip", "edge", made_by="Bo")
    assert Seam.objects.count() == 0


SEAM_SIZES: dict[str, Said] = {"joint_width": 1.6, "seam_length": 100.0, "ridge_height": 0.5}


@pytest.mark.parametrize(
    ("changed", "field", "what"),
    [
        ({"code": ""}, "code", "the seam has no code"),
        ({"code": "new"}, "code", "no seam can be called new"),
        ({"kind": "rigde"}, "kind", "no kind of seam is called 'rigde'"),
        ({"top_part": "P9"}, "top_part", "no part 'P9' in clip"),
        (
            {"sizes": {"joint_width": 1.6, "seam_length": 100.0}},
            "ridge_height",
            "needs its height of the ridge",
        ),
        ({"sizes": SEAM_SIZES | {"groove_width": 1.0}}, "groove_width", "has no size of that name"),
        (
            {"sizes": SEAM_SIZES | {"ridge_height": "P2 3"}},
            "ridge_height",
            "P2 3 is in deg, and this size is in mm",
        ),
        (
            {"bottom_part": "P1", "sizes": SEAM_SIZES | {"joint_width": "P2 2"}},
            "joint_width",
            "P2 2 is no size of",
        ),
        ({"amplitude_pct": 120.0}, "amplitude_pct", "120 % is above the full amplitude"),
        ({"required_n": 0.0}, "required_n", "0 is not above 0"),
        ({"horn_distance_mm": -1.0}, "horn_distance_mm", "-1 is below 0"),
    ],
)
def test_what_a_seam_cannot_be_is_refused_by_field(
    hinged: Programme, changed: dict[str, Any], field: str, what: str
) -> None:
    with pytest.raises(DefinitionRefused) as found:
        a_seam(**changed)
    assert found.value.field == field
    assert what in found.value.what
    assert found.value.remedy
    assert Seam.objects.count() == 0


def test_a_seam_with_studies_keeps_its_kind_and_its_parts(hinged: Programme) -> None:
    a_seam()
    keep_weld_study(
        b"piece,strength [N]\n1,100\n", "w.csv", programme="clip", seam="rim", study="1",
        about=WeldStudyAbout(), read_at=NOON, read_by="",
    )  # fmt: skip
    with pytest.raises(DefinitionRefused, match="weld studies of seam rim with P1 are kept"):
        change_seam("clip", "rim", seam_defined(top_part="P2"), made_by="")
    with pytest.raises(OfftoolError, match="has weld studies"):
        remove_seam("clip", "rim", made_by="")
    with pytest.raises(DefinitionRefused, match="there is a seam rim already"):
        define_seam("clip", seam_defined(), made_by="")
