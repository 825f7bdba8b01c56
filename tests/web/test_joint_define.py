"""Defining a joint on its page: kind first, nothing typed is lost, every error at its field."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.test import Client

from offtool.handbook.joint_kinds import JOINT_KINDS, MOST_LINKS
from offtool.handbook.terms import JointKind
from offtool.records.models import Joint, Programme
from offtool.records.operations import NewSize, store_joint
from offtool.steps.as_defined import joint_as_defined
from offtool.steps.joint_places import defining_place
from offtool.web.forms.joint_define import MORE_ROWS, JointForm
from offtool.web.pages.joint_define import joint_define_page, kinds_page
from tests.web import jointed, otter
from tests.web.jointed import JOINT, JOINTS
from tests.web.rendering import Outline, faults, render_page
from tests.web.sent_of_form import sent_of_form

NEW = f"{JOINTS}new/"
GIVEN = {
    "kind": "peg in socket", "rows": "0", "code": "hip", "name": "leg in hip", "note": "",
    "made_by": "tooling",
    "peg_diameter-size": "HO-04 2", "socket_bore-size": "HO-02 13", "socket_outer-value": "7,2",
    "contact_length-value": "4", "contact_length-plus": "0.1", "lower": "0.02", "upper": "",
    "limb_mass_g": "1.35", "lever_mm": "17",
}  # fmt: skip
CHAIN = {
    "kind": "chain of sizes", "rows": "4", "code": "gap", "lower": "0", "upper": "0.4",
    "row0-name": "opening", "row0-size": "HO-02 32", "row0-factor": "1",
    "row1-name": "room", "row1-value": "47.7", "row1-plus": "0.05", "row1-factor": "−1",
}  # fmt: skip


@pytest.fixture
def arm(trial: str) -> None:
    """A record with an arm beside the torso."""
    jointed.make_arm()


def sent(client: Client, given: dict[str, str], *, status: int, address: str = NEW) -> str:
    answer = client.post(address, given)
    assert answer.status_code == status, answer.content.decode()
    html = answer.content.decode()
    if status != 302:
        assert faults(html) == []
    return html


def test_the_kind_comes_first_with_its_meaning(client: Client, arm: None) -> None:
    html = client.get(NEW).content.decode()
    for kind in JOINT_KINDS.values():
        assert kind.meaning[1:] in html
    assert f'href="{NEW}?kind=peg+in+socket"' in html
    assert faults(html) == []


@pytest.mark.parametrize("kind", list(JointKind))
def test_the_form_of_every_kind_asks_for_its_sizes(client: Client, arm: None, kind: JointKind) -> None:
    html = client.get(NEW, {"kind": kind.value}).content.decode()
    for role in JOINT_KINDS[kind].roles:
        assert f'name="{role.name}-value"' in html
    assert JOINT_KINDS[kind].measure in html
    assert ('name="friction_low"' in html) == JOINT_KINDS[kind].uses_friction
    assert ('name="inner_resin"' in html) == JOINT_KINDS[kind].uses_materials
    assert '<textarea name="note"' in html
    assert faults(html) == []


def test_a_joint_is_defined_shown_and_changed(client: Client, arm: None) -> None:
    sent(client, GIVEN, status=302)
    joint = Joint.objects.get()
    sizes = {one.role: one for one in joint.sizes.all()}
    assert (joint.code, joint.lower, joint.upper, joint.limb_mass_g) == ("hip", 0.02, None, 1.35)
    assert str(sizes["peg_diameter"].characteristic.number) == "2"  # type: ignore[union-attr]
    assert (sizes["socket_outer"].value, sizes["contact_length"].plus_minus) == (7.2, 0.1)
    html = client.get(f"{JOINTS}hip/change/").content.decode()
    for typed in ('value="7.2"', 'value="0.1"', 'value="1.35"', '<option value="HO-04 2" selected>'):
        assert typed in html
    assert faults(html) == []
    sent(client, {**GIVEN, "code": "hip-left", "upper": "0.3"}, status=302, address=f"{JOINTS}hip/change/")
    joint.refresh_from_db()
    assert (joint.code, joint.upper) == ("hip-left", 0.3)


def test_a_chain_is_defined_row_by_row(client: Client, arm: None) -> None:
    sent(client, CHAIN, status=302)
    opening, room = Joint.objects.get().sizes.order_by("pk")
    assert (opening.role, opening.factor, room.role, room.factor, room.value) == (
        "opening", 1.0, "room", -1.0, 47.7,
    )  # fmt: skip
    html = client.get(f"{JOINTS}gap/change/").content.decode()
    assert 'value="opening"' in html
    assert 'value="-1"' in html


def as_shown(client: Client, address: str) -> dict[str, str]:
    """What a browser would send of the joint's form as it stands."""
    return sent_of_form(client.get(address).content.decode())


@pytest.mark.parametrize(
    ("kind", "sizes", "more"),
    [
        (
            "screw in boss",
            {"screw_diameter": 3.0, "screw_core": 2.2, "screw_pitch": 1.3, "boss_bore": "HO-02 13",
             "boss_outer": 6.0, "engagement": 8.0},
            {"inner_resin": "POM", "outer_resin": "OAK", "outer_modulus_mpa": 2100.0,
             "strain_allowed_pct": 1.5},
        ),
        (
            "slip fit",
            {"shaft_diameter": "HO-04 2", "bore_diameter": "HO-02 13"},
            {"limb_mass_g": 1.4, "lever_mm": 17.0, "inner_resin": "ABS", "safety_factor": 3.0},
        ),
        ("peg in socket", jointed.SIZES, {"inner_resin": "ABS", "friction_low": 0.2, "friction_high": 0.3}),
    ],
)  # fmt: skip
def test_a_change_starts_from_what_is_kept_and_loses_nothing_of_it(
    client: Client, arm: None, kind: str, sizes: dict[str, object], more: dict[str, object]
) -> None:
    jointed.a_joint("hip", kind=kind, sizes=sizes, **more)
    before = joint_as_defined(otter.SLUG, "hip")
    address = f"{JOINTS}hip/change/"
    sent(
        client,
        as_shown(client, address) | {"upper": "0.29", "note": "two\nlines"},
        status=302,
        address=address,
    )
    after = joint_as_defined(otter.SLUG, "hip")
    assert after == replace(before, upper=0.29, note=after.note)
    assert after.note.split() == ["two", "lines"]


def test_another_kind_leaves_friction_behind(client: Client, arm: None) -> None:
    jointed.a_joint("hip", friction_low=0.2, friction_high=0.3)
    slip = {
        "kind": "slip fit", "code": "hip", "shaft_diameter-size": "HO-04 2", "bore_diameter-size": "HO-02 13",
    }  # fmt: skip
    sent(client, slip, status=302, address=f"{JOINTS}hip/change/")
    now = joint_as_defined(otter.SLUG, "hip")
    assert (now.kind, now.friction_low, now.friction_high) == ("slip fit", None, None)


def test_a_chain_keeps_every_size_and_their_order(client: Client, arm: None) -> None:
    links = {f"link {i}": 1.0 + i for i in range(MOST_LINKS)}
    jointed.a_chain("gap", sizes=links)
    address = f"{JOINTS}gap/change/"
    typed = as_shown(client, address)
    sent(client, typed, status=302, address=address)
    assert list(joint_as_defined(otter.SLUG, "gap").sizes) == list(links)
    swapped = {
        key.replace("row0-", "row1-") if key.startswith("row0-") else key.replace("row1-", "row0-")
        if key.startswith("row1-") else key: value
        for key, value in typed.items()
    }  # fmt: skip
    sent(client, swapped, status=302, address=address)
    names = list(links)
    assert list(joint_as_defined(otter.SLUG, "gap").sizes) == [names[1], names[0], *names[2:]]


def test_a_chain_longer_than_is_taken_is_shown_whole_and_refused_in_words(client: Client, arm: None) -> None:
    programme = Programme.objects.get(slug=otter.SLUG)
    sizes = [NewSize(role=f"link {i}", value=1.0) for i in range(MOST_LINKS + 1)]
    store_joint(programme, {"code": "gap", "kind": "chain of sizes"}, sizes, made_by="")
    address = f"{JOINTS}gap/change/"
    html = sent(client, as_shown(client, address), status=422, address=address)
    assert "61 sizes, and a chain of sizes has 60 at most." in html
    assert f'value="link {MOST_LINKS}"' in html
    assert Joint.objects.get().sizes.count() == MOST_LINKS + 1


def test_more_rows_and_another_kind_lose_nothing_that_was_typed(client: Client, arm: None) -> None:
    html = sent(client, {**CHAIN, "more": "1", "lower": "abc"}, status=200)
    for typed in ('value="opening"', 'value="47.7"', 'value="abc"', f'name="rows" value="{4 + MORE_ROWS}"'):
        assert typed in html
    assert not Joint.objects.exists()
    html = sent(client, {**GIVEN, "kind": "peg in clip", "show": "1"}, status=200)
    for typed in ('value="hip"', 'value="7,2"', 'value="17"', 'name="opening_deg-value"'):
        assert typed in html


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"code": ""}, "code", "Give a name."),
        ({"code": "new"}, "code", "No joint can be called new."),
        ({"socket_bore-size": ""}, "socket_bore-size", "needs its bore of the socket"),
        ({"socket_bore-value": "4.0"}, "socket_bore-size", "Give one of the two."),
        ({"socket_outer-value": "seven"}, "socket_outer-value", "Give a number, such as 4.02."),
        ({"socket_outer-value": "-7"}, "socket_outer-size", "Give a number above 0."),
        ({"lower": "0.5", "upper": "0.1"}, "lower", "Give the smaller limit as the lower."),
        ({"lever_mm": ""}, "lever_mm", "Give both, or none."),
        ({"lever_mm": "-1"}, "lever_mm", "Give 0 or more, or leave it blank."),
        ({"upper": "1e300"}, "upper", "No size is as large as that"),
        ({"friction_low": "0.3"}, "friction_high", "Give both ends, or none."),
        ({"peg_diameter-size": "HO-09 1"}, "peg_diameter-size", "This size is not in the programme"),
        ({"inner_resin": "OAK"}, "inner_modulus_mpa", "OAK is not in the handbook"),
    ],
)
def test_an_error_stands_at_its_field_with_all_that_was_typed(
    client: Client, arm: None, changed: dict[str, str], field: str, said: str
) -> None:
    html = sent(client, {**GIVEN, **changed}, status=422)
    at_field = html[html.index(f'id="id_{field}_error"') :][:400]
    assert said in at_field
    assert 'value="leg in hip"' in html
    assert not Joint.objects.exists()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"row1-name": ""}, "Name this size."),
        ({"row1-name": "opening"}, "This name stands above already."),
        ({"row1-value": ""}, "It says no size."),
        ({"row1-factor": "0"}, "the size moves nothing"),
        ({"row1-name": "", "row1-value": "", "row1-plus": "", "row1-factor": ""}, "two sizes at least"),
    ],
)
def test_an_error_of_a_chain_is_said(client: Client, arm: None, changed: dict[str, str], said: str) -> None:
    assert said in sent(client, {**CHAIN, **changed}, status=422)
    assert not Joint.objects.exists()


def test_a_loop_has_one_gap(client: Client, arm: None) -> None:
    loop = {
        **{key: value for key, value in CHAIN.items() if "factor" not in key},
        "kind": "loop of sizes", "row0-angle": "0", "row1-angle": "180", "row2-name": "gap",
    }  # fmt: skip
    without = {**loop, "row2-name": ""}
    assert "three sizes at least" in sent(client, without, status=422)
    sent(client, loop, status=302)
    assert Joint.objects.get().sizes.count() == 3


@pytest.mark.parametrize("rows", ["", "x", "-1", "999", "9999"])
def test_any_count_of_rows_is_answered(client: Client, arm: None, rows: str) -> None:
    assert client.post(NEW, {**CHAIN, "rows": rows, "more": "1"}).status_code == 200


def test_an_unknown_kind_is_answered_with_the_kinds(client: Client, arm: None) -> None:
    assert "Which kind of joint is it?" in client.get(NEW, {"kind": "glue"}).content.decode()
    assert "Which kind of joint is it?" in sent(client, {**GIVEN, "kind": "glue"}, status=422)


def test_a_code_that_is_taken_is_said(client: Client, arm: None) -> None:
    jointed.a_joint("hip")
    assert "There is a joint hip already." in sent(client, GIVEN, status=422)


def test_a_joint_is_taken_out_unless_a_test_hangs_on_it(client: Client, arm: None) -> None:
    jointed.a_joint()
    jointed.keep_test()
    html = sent(client, {"remove": "1", "made_by": ""}, status=422, address=f"{JOINT}change/")
    assert "1 test hangs on it" in html
    jointed.a_chain()
    sent(client, {"remove": "1", "made_by": "me"}, status=302, address=f"{JOINTS}stack/change/")
    assert [one.code for one in Joint.objects.all()] == ["shoulder"]
    assert "Joint stack is taken out." in client.get(JOINTS).content.decode()


def test_another_kind_is_refused_where_tests_hang_on_it(client: Client, arm: None) -> None:
    jointed.a_joint("hip")
    jointed.keep_test(joint="hip")
    html = sent(client, {**GIVEN, "kind": "peg in clip"}, status=422, address=f"{JOINTS}hip/change/")
    assert "Define another joint beside it." in html


def test_the_templates_render_from_filled_pages(arm: None) -> None:
    place = defining_place(otter.SLUG)
    assert faults(render_page("joint_define.html", kinds_page(place))) == []
    for kind in (JointKind.PEG, JointKind.CHAIN, JointKind.LOOP):
        html = render_page("joint_define.html", joint_define_page(place, JointForm(kind, place.sizes)))
        assert faults(html) == []
    none = JointForm(JointKind.PEG, ())
    text = Outline(render_page("joint_define.html", joint_define_page(place, none))).text
    assert "Diameter of the peg" in text
