"""The pages of the joints: what they answer, how steel is asked for and dropped, how tests are set aside."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from offtool.core.values import Caution
from offtool.records.models import JointDemand, JointTest
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.judge_joint import judge_joint, judge_joints
from offtool.steps.plain import as_plain
from offtool.web.pages.joint import joint_page
from offtool.web.pages.joint_matrix import COMBINATIONS_SHOWN, combinations_of, matrix_of
from offtool.web.pages.joints import joints_page, measure_asked
from tests.web import jointed, otter
from tests.web.jointed import JOINT, JOINTS
from tests.web.rendering import Outline, faults, render_page


@pytest.fixture
def arm(trial: str) -> None:
    """A record with an arm beside the torso."""
    jointed.make_arm()


@pytest.fixture
def shoulder(arm: None) -> str:
    """The arm's peg in the torso."""
    return jointed.a_joint()


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def test_without_a_joint_the_page_says_what_to_do_first(client: Client, trial: str) -> None:
    html = page(client, JOINTS)
    assert "No joint is named yet" in html
    assert f'href="{JOINTS}new/"' in html
    assert faults(html) == []
    assert f'href="{JOINTS}"' in page(client, f"/p/{otter.SLUG}/")


def test_all_joints_stand_with_their_verdict_their_pairs_and_what_is_next(
    client: Client, shoulder: str
) -> None:
    jointed.a_chain()
    html = page(client, JOINTS)
    found = judge_joints(otter.SLUG)
    text = Outline(html).text
    for joint in found.joints:
        assert joint.headline in text
        assert f'href="{JOINTS}{joint.joint}/"' in html
    assert found.joints[0].actions[0].do in text
    assert html.count('class="grade-bar"') == 4 + 2 * 8  # the key, and two joints of eight pairs each
    assert faults(html) == []


def test_one_joint_shows_why_what_moves_it_and_which_steel(client: Client, shoulder: str) -> None:
    html = page(client, JOINT)
    text = Outline(html).text
    found = judge_joint(otter.SLUG, "shoulder")
    assert found.headline in text
    for words in ("What it rests on", "Pair by pair", "What moves it", "Which steel moves it",
                  "HO-04 2 LARGER", "REMOVE 0.02 mm", "steel-safe"):  # fmt: skip
        assert words in text
    assert f'href="/p/{otter.SLUG}/M3/T1/size/HO-04/2/"' in html
    assert faults(html) == []


def test_json_is_the_result_of_the_step(client: Client, shoulder: str) -> None:
    assert client.get(f"{JOINTS}?format=json").json() == as_plain(judge_joints(otter.SLUG))
    assert client.get(f"{JOINT}?format=json").json() == as_plain(judge_joint(otter.SLUG, "shoulder"))
    missing = client.get(f"{JOINTS}shulder/?format=json")
    assert missing.status_code == 404
    assert "shoulder" in missing.json()["remedy"]


def test_a_joint_whose_part_was_not_measured_says_what_is_missing(client: Client, trial: str) -> None:
    jointed.make_arm(parts=1)
    from offtool.records.models import Characteristic, Part

    arm = Part.objects.get(code="HO-04")
    Characteristic.objects.create(
        part=arm, number="3", name="Elbow peg", kind="diameter", unit="mm", nominal=4.1, lower=4.0, upper=4.2
    )
    jointed.a_joint(sizes={**jointed.SIZES, "peg_diameter": "HO-04 3"})
    html = page(client, JOINT)
    assert "cannot be judged yet" in html
    assert "HO-04 3 Elbow peg was not measured yet" in Outline(html).text
    assert faults(html) == []
    assert faults(page(client, JOINTS)) == []


def test_the_matrix_holds_every_pair_once_with_more_cavities_down(shoulder: str) -> None:
    assembled = judge_joint(otter.SLUG, "shoulder").assembled
    assert assembled is not None
    matrix = matrix_of(assembled)
    assert matrix is not None
    assert (matrix.down, matrix.across) == ("HO-02", "HO-04")
    assert [row.cavity for row in matrix.rows] == ["1", "2", "3", "4"]
    assert matrix.columns == ("1", "2")
    shown = {cell.cavities: cell for row in matrix.rows for cell in row.cells}
    assert set(shown) == {one.cavities for one in assembled.pairs}
    assert all(row.cavity == cell.cavities[1] for row in matrix.rows for cell in row.cells)


def test_combinations_stand_worst_first_and_the_others_are_counted(shoulder: str) -> None:
    assembled = judge_joint(otter.SLUG, "shoulder").assembled
    assert assembled is not None
    bores = tuple(replace(one, cavities=one.cavities[1:]) for one in assembled.pairs * 3)
    one_part = replace(assembled, parts=("HO-02",), pairs=bores)
    assert matrix_of(one_part) is None
    listed = combinations_of(one_part)
    assert len(listed.rows) == COMBINATIONS_SHOWN
    assert listed.more == 3 * 8 - COMBINATIONS_SHOWN
    worst = min(assembled.pairs, key=lambda one: one.shares.good.share)
    assert listed.rows[0].good == per_cent_of(worst.shares.good.share)


def test_steel_is_asked_for_named_to_the_correction_and_dropped_with_a_reason(
    client: Client, shoulder: str
) -> None:
    answer = client.post(JOINT, {"way": "1", "made_by": "tooling"})
    assert answer.status_code == 302, answer.content
    html = page(client, JOINT)
    assert "Asked for HO-04 2 at 4.125 mm" in html
    assert f'href="/p/{otter.SLUG}/M3/T1/correction/"' in html
    assert "The joint asks for HO-04 2 already" in html
    assert faults(html) == []
    assert JointDemand.objects.get().made_by == "tooling"
    twice = client.post(JOINT, {"way": "1", "made_by": ""})
    assert twice.status_code == 422
    assert "drop that demand first" in twice.content.decode()
    assert faults(twice.content.decode()) == []
    refused = client.post(JOINT, {"size": "HO-04 2", "reason": " ", "made_by": ""})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert faults(refused.content.decode()) == []
    dropped = client.post(JOINT, {"size": "HO-04 2", "reason": "the <arm> is new", "made_by": ""})
    assert dropped.status_code == 302
    html = page(client, JOINT)
    assert "dropped: the &lt;arm&gt; is new" in html
    assert "ask the correction for it" in html


def test_a_size_whose_number_holds_a_space_is_linked_by_its_part_and_number(shoulder: str) -> None:
    found = judge_joint(otter.SLUG, "shoulder")
    spaced = [
        replace(one, size="HO-04 2 a", number="2 a") if one.part == "HO-04" else one for one in found.sizes
    ]
    shown = joint_page(replace(found, sizes=tuple(spaced)))
    assert f"/p/{otter.SLUG}/M3/T1/size/HO-04/2%20a/" in [one.href for one in shown.sizes]


def test_a_way_is_asked_for_as_it_was_shown_or_not_at_all(client: Client, shoulder: str) -> None:
    shown = 'name="shown" value="HO-04 2=4.125"'
    assert shown in page(client, JOINT)
    other = client.post(JOINT, {"way": "1", "shown": "HO-04 2=4.126", "made_by": ""})
    assert other.status_code == 422
    assert "the ways have changed since" in other.content.decode()
    assert not JointDemand.objects.exists()
    assert client.post(JOINT, {"way": "1", "shown": "HO-04 2=4.125", "made_by": ""}).status_code == 302


@pytest.mark.parametrize("way", ["9", "0", "x", "", "9" * 30])
def test_a_way_that_was_not_found_is_refused_above_the_ways(client: Client, shoulder: str, way: str) -> None:
    answer = client.post(JOINT, {"way": way, "made_by": ""})
    assert answer.status_code == 422
    assert "there are 2" in answer.content.decode()
    assert not JointDemand.objects.exists()


def test_what_is_not_asked_cannot_be_dropped(client: Client, shoulder: str) -> None:
    answer = client.post(JOINT, {"size": "HO-02 99", "reason": "x", "made_by": ""})
    assert answer.status_code == 404


def test_a_test_shows_friction_ageing_and_relaxation_and_is_set_aside(client: Client, shoulder: str) -> None:
    jointed.keep_test()
    html = page(client, JOINT)
    text = Outline(html).text
    for words in ("Measured over predicted", "What time leaves of the torque", "Aged beside fresh",
                  "From 16 readings of this joint", "By the handbook", "torque.csv"):  # fmt: skip
        assert words in text, words
    assert faults(html) == []
    refused = client.post(JOINT, {"test": "torque 1", "reason": "", "made_by": ""})
    assert refused.status_code == 422
    assert "Say why in a few words." in refused.content.decode()
    assert faults(refused.content.decode()) == []
    assert client.post(JOINT, {"test": "torque 1", "reason": "wet", "made_by": "lab"}).status_code == 302
    html = page(client, JOINT)
    assert "set aside: wet" in html
    assert "Measured over predicted" not in html
    for name, reason in (("torque 9", "wet"), ("torque 9", ""), ("torque 1", "again")):
        assert client.post(JOINT, {"test": name, "reason": reason, "made_by": ""}).status_code == 404


def test_the_file_of_a_test_comes_back_as_it_was_sent(client: Client, shoulder: str) -> None:
    jointed.keep_test()
    kept = JointTest.objects.get()
    answer = client.get(f"{JOINT}tests/{kept.pk}/")
    assert io.BytesIO(b"".join(answer.streaming_content)).read() == jointed.torque_csv().encode()  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == 'attachment; filename="torque.csv"'
    assert client.get(f"{JOINTS}other/tests/{kept.pk}/").status_code == 404
    assert client.get(f"{JOINT}tests/999/").status_code == 404


def test_the_report_is_handed_out_as_a_file(client: Client, shoulder: str) -> None:
    answer = client.get(f"{JOINTS}report.pdf")
    assert answer["Content-Disposition"] == f'attachment; filename="{otter.SLUG}_joints.pdf"'
    assert b"".join(answer.streaming_content).startswith(b"%PDF")  # type: ignore[attr-defined]


def test_a_form_without_its_token_is_refused(shoulder: str) -> None:
    strict = Client(enforce_csrf_checks=True, headers={"host": "localhost"})
    for address in (JOINT, f"{JOINTS}new/", f"{JOINT}change/", f"{JOINT}read/"):
        assert strict.post(address, {"way": "1"}).status_code == 403
    assert not JointDemand.objects.exists()


def test_a_joints_page_asks_little_of_the_record(
    client: Client, shoulder: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    jointed.a_chain()
    with django_assert_max_num_queries(90):
        client.get(JOINTS)


@pytest.mark.parametrize(
    ("lower", "upper", "said"),
    [
        (0.08, 0.3, "breakaway torque 0.08 to 0.3 N·m"),
        (0.000824123, None, "breakaway torque at least 0.000824 N·m"),
        (None, 0.235794, "breakaway torque at most 0.236 N·m"),
        (None, None, "breakaway torque, nothing is asked of it"),
    ],
)
def test_what_is_asked_is_said_with_three_digits(
    shoulder: str, lower: float | None, upper: float | None, said: str
) -> None:
    found = judge_joint(otter.SLUG, "shoulder")
    asked = replace(found, lower=replace(found.lower, value=lower), upper=replace(found.upper, value=upper))
    assert measure_asked(asked) == said


def test_the_templates_render_from_filled_pages(shoulder: str) -> None:
    jointed.keep_test()
    found = judge_joint(otter.SLUG, "shoulder")
    assert faults(render_page("joint.html", joint_page(found))) == []
    warned = replace(
        found, cautions=(Caution("mind <this>", "a source"),), tests=(), actions=(), assembled=None,
        steel=None, learned=None, compared=None, relaxed=None, relaxation=None,
    )  # fmt: skip
    html = render_page("joint.html", joint_page(warned))
    assert "mind &lt;this&gt;" in html
    assert "Nothing is asked for." in html
    assert faults(html) == []
    all_of = judge_joints(otter.SLUG)
    wicked = replace(found, name="<script>", headline="<script>")
    html = render_page("joints.html", joints_page(replace(all_of, joints=(wicked, warned))))
    assert html.count("<script") == 1, "the page's own, from a file"
    # the same joint stands there twice, and with it its mark
    assert [one for one in faults(html) if "twice" not in one] == []
