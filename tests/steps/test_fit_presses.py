"""Tools of the record against its presses: what is taken from where, what is said, what leads on."""

from __future__ import annotations

import json

import pytest

from offtool.core.planning.cycle import cooling_time_cylinder, cooling_time_plate
from offtool.core.planning.geometry.inspected import FaultKind, MeshFault, Number
from offtool.core.planning.press import FitQuestion
from offtool.core.planning.press.barrel import shot_of
from offtool.core.values import ImpossibleInput, OfftoolError, Verdict
from offtool.handbook.terms import Feed, SizeKind
from offtool.records.models import Cavity, Characteristic, Part, Press, Resin, Tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.cycle_of_tool import cycle_of_tool
from offtool.steps.fit_found import FitFound
from offtool.steps.fit_meshes import MESH
from offtool.steps.fit_presses import fit_presses, fit_tool
from offtool.steps.fit_sentences import BEST, CHECKS, NEW_PRESS, PRESS, TOOL
from offtool.steps.part_wall import PIN_AS_WALL
from offtool.steps.plain import as_plain
from offtool.steps.read_readings import TrialAbout, keep_readings
from offtool.steps.tool_at_press import ToolTyped, press_facts, tool_facts
from tests.labels import independent
from tests.steps.pressed import (
    MIDDLE,
    SMALL,
    Inspected,
    Measured,
    Shape,
    Walls,
    make_presses,
    say_it_holds,
    shaped,
)
from tests.web import otter

SLUG, CODE = otter.SLUG, otter.TOOL


@pytest.fixture
def tool(db: None, monkeypatch: pytest.MonkeyPatch) -> Tool:
    """The tool with three presses; each of its parts weighs 6 g, covers 9 cm² and is 2 mm thick."""
    shaped(monkeypatch, Shape())
    made = otter.make_programme()
    make_presses(made)
    made.refresh_from_db()
    return made


def fitted(typed: ToolTyped | None = None) -> FitFound:
    return fit_tool(SLUG, CODE, typed)


def leads(found: FitFound) -> list[str]:
    return [one.leads_to for one in found.actions]


def test_a_shot_is_the_sum_over_all_cavities(tool: Tool) -> None:
    facts = tool_facts(tool).facts
    cavities = Cavity.objects.filter(tool=tool).count()
    assert facts.cavities == cavities
    assert facts.parts_g == pytest.approx(6.0 * cavities)
    assert facts.projected_cm2 == pytest.approx(9.0 * cavities)
    assert shot_of(facts) == pytest.approx(6.0 * cavities + 5.0)
    assert facts.wall_mm == 2.0


def test_the_press_that_holds_is_named_first_and_the_small_one_is_told_why_not(tool: Tool) -> None:
    found = fitted()
    assert found.verdict is Verdict.HOLDS
    assert found.best is not None
    assert found.best.press == press_facts(Press.objects.get(code="P2"))
    assert found.headline.startswith(f"{CODE} goes on P2 with ")
    assert "P1 has too little room between its tie bars" in found.headline
    assert leads(found) == [CHECKS, f"{PRESS}P3"]


def test_every_number_says_what_it_rests_on(tool: Tool) -> None:
    said = " ".join(f"{one.about}: {one.says}" for one in fitted().rests_on)
    for words in (
        "volume of its mesh in ABS",
        "9 cm² along the opening",
        "walls to 2 mm",
        "5 g, 9 cm² beside",
    ):
        assert words in said
    assert "Cycle: about 1" in said


def test_a_weight_from_the_scale_goes_before_that_of_the_mesh(tool: Tool) -> None:
    part = Part.objects.get(cavities__tool=tool, cavities__label="1")
    Characteristic.objects.create(
        part=part,
        number="90",
        name="weight",
        kind=SizeKind.WEIGHT,
        unit="g",
        nominal=5.5,
        lower=5.0,
        upper=6.0,
    )
    assert tool_facts(tool).facts.parts_g == pytest.approx(24.0)
    rows = "".join(f"{shot},{cavity},{5.4 + shot / 10}\n" for cavity in "1234" for shot in (1, 2, 3))
    keep_readings(
        ("Shot,Cavity,90 weight\n" + rows).encode(), "weights.csv", programme=SLUG, tool=CODE, trial="T1",
        about=TrialAbout(), read_at=otter.NOW, read_by="tester",
    )  # fmt: skip
    known = tool_facts(tool)
    assert known.facts.parts_g == pytest.approx(4 * 5.6)
    assert known.parts[0].weight_from == f"weighed at T1 of {CODE}"


def test_without_a_mesh_it_asks_for_one_and_judges_what_it_can(
    tool: Tool, monkeypatch: pytest.MonkeyPatch
) -> None:
    shaped(monkeypatch, None)
    found = fitted()
    assert found.verdict is Verdict.NOT_SHOWN
    assert found.best is not None
    assert found.best.check(FitQuestion.TIE_BARS).verdict is Verdict.HOLDS
    assert found.best.check(FitQuestion.CLAMP).verdict is Verdict.NOT_SHOWN
    assert leads(found)[0].startswith(MESH)
    assert "read in the mesh of" in found.cycle.why_not
    assert found.cooling is None
    assert any("no mesh of" in str(one) for one in found.cautions)


def test_numbers_that_are_typed_are_tried_said_and_not_kept(
    tool: Tool, monkeypatch: pytest.MonkeyPatch
) -> None:
    shaped(monkeypatch, None)
    found = fitted(ToolTyped(parts_g=24.0, projected_cm2=36.0, wall_mm=2.0))
    assert found.verdict is Verdict.HOLDS
    assert any(one.about == "Typed" and "36 cm²" in one.says for one in found.rests_on)
    assert any("they are not kept" in str(one) for one in found.cautions)
    assert fitted().verdict is Verdict.NOT_SHOWN
    with pytest.raises(ImpossibleInput, match="wall_mm"):
        fitted(ToolTyped(wall_mm=-1.0))


def test_an_open_mesh_is_to_be_closed_and_not_the_parts_to_be_weighed(
    tool: Tool, monkeypatch: pytest.MonkeyPatch
) -> None:
    spoils = (Number.VOLUME, Number.WEIGHT, Number.WALL)
    hole = MeshFault(
        kind=FaultKind.OPEN, count=3, where_mm=None, spoils=spoils, words="3 edges", remedy="close it"
    )
    open_ = Shape(weight_g=None, thickest_mm=None, geometry=Measured(walls=None), findings=Inspected((hole,)))
    shaped(monkeypatch, open_)
    found = fitted()
    assert found.actions[0].do == "The mesh of P1 is open: close it and read it again."
    assert "hickest wall" in found.actions[0].because
    assert not any("Weigh the parts" in one.do or "Read in" in one.do for one in found.actions)
    assert "is open: close it" in found.cycle.why_not
    assert "is open: close it" in fit_presses(SLUG).actions[0].do


def test_a_mesh_of_a_size_no_part_has_stands_before_the_press(
    tool: Tool, monkeypatch: pytest.MonkeyPatch
) -> None:
    shaped(monkeypatch, Shape(geometry=Measured(box_mm=(0.9, 0.4, 0.4))))
    found = fitted()
    says = "The mesh of P1 is doubted. 0.9 × 0.4 × 0.4 mm is hardly a moulded part."
    assert found.headline.startswith(says.replace("P1", found.parts[0].part))
    assert found.actions[0].leads_to.startswith(MESH)
    assert any("hardly a moulded part" in str(one) for one in found.cautions)
    assert fit_presses(SLUG).headline.startswith(found.headline[:20])


def test_of_one_tool_that_no_press_holds_it_is_said_in_plain_words(tool: Tool) -> None:
    Press.objects.exclude(code="P3").delete()
    assert fit_presses(SLUG).headline == "No press is shown yet to hold the one tool."
    Press.objects.all().delete()
    Press.objects.create(programme=tool.programme, code="P1", **SMALL)
    assert fit_presses(SLUG).headline == f"{CODE} goes on no press here."
    Tool.objects.create(programme=tool.programme, code="Z9")
    assert fit_presses(SLUG).headline.startswith("None of 2 tools has a press that is shown to hold it;")


def test_a_thick_place_is_said_and_the_wall_decides(tool: Tool, monkeypatch: pytest.MonkeyPatch) -> None:
    shaped(monkeypatch, Shape(thickest_mm=5.0))
    known = tool_facts(tool)
    assert known.facts.wall_mm == 2.0
    (said,) = (str(one) for one in known.cautions if "thick at one place" in str(one))
    assert "6 times as long" in said
    assert "5 mm at one place" in " ".join(one.says for one in known.sources)


def test_a_solid_round_part_cools_as_a_thinner_wall(tool: Tool, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pin of 5 mm: 4 V / A is its diameter; the factor is that of the closed forms."""
    pin = Measured(volume_mm3=19.63 * 60, surface_mm2=15.71 * 60, walls=Walls(5.0))
    shaped(monkeypatch, Shape(thickest_mm=5.4, median_mm=5.0, geometry=pin))
    known = tool_facts(tool)
    assert known.parts[0].is_round
    assert known.facts.wall_mm == pytest.approx(3.5)
    assert not any("thick at one place" in str(one) for one in known.cautions)
    for eject in (70.0, 90.0, 120.0):
        told = {"melt_c": 230.0, "mould_c": 50.0, "eject_c": eject, "diffusivity_mm2_s": 0.085}
        wall, round_ = cooling_time_plate(PIN_AS_WALL, **told), cooling_time_cylinder(1.0, **told)
        assert round_.time_s == independent(wall.time_s, way="a plate of 0.7 of the diameter", rel=0.08)


def test_a_mesh_that_cannot_be_measured_here_is_said(tool: Tool, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(part: Part) -> None:
        raise OfftoolError("trimesh is not installed", remedy="install offtool[geometry]")

    monkeypatch.setattr("offtool.steps.tool_at_press.geometry_of_part", fails)
    known = tool_facts(tool)
    assert known.facts.wall_mm is None
    assert any("install offtool[geometry]" in str(one) for one in known.cautions)


def test_a_press_that_is_said_to_hold_it_and_does_not_is_questioned(tool: Tool) -> None:
    say_it_holds(tool, "P1")
    found = fitted()
    assert found.said_to_hold == ("P1",)
    doubts = [one for one in found.actions if one.leads_to == f"{PRESS}P1"]
    assert "said to go on it" in doubts[0].because
    assert "nobody has written down that it holds" in found.actions[0].because


def test_parts_of_two_resins_are_not_judged_by_either(tool: Tool) -> None:
    part = Part.objects.filter(cavities__tool=tool).first()
    assert part is not None
    pom = Resin.objects.create(
        programme=tool.programme, code="POM", flow_pct=2.0, cross_pct=2.0, thickness_pct=2.0
    )
    other = Part.objects.create(programme=tool.programme, code="other", resin=pom)
    Cavity.objects.create(tool=tool, part=other, label="9")
    found = fitted()
    assert any("one shot has one resin" in str(one) for one in found.cautions)
    assert found.cycle.cycle is None
    assert "more than one resin" in found.cycle.why_not


def test_a_hot_runner_needs_no_numbers_of_a_cold_one(tool: Tool) -> None:
    Tool.objects.filter(pk=tool.pk).update(feed=Feed.HOT_RUNNER.value, runner_g=None, runner_cm2=None)
    assert fitted().verdict is Verdict.HOLDS
    Tool.objects.filter(pk=tool.pk).update(feed="")
    found = fitted()
    assert found.verdict is Verdict.NOT_SHOWN
    assert TOOL in leads(found)


def test_no_press_and_no_fit_each_say_what_to_do_first(tool: Tool) -> None:
    Press.objects.filter(code__in=("P2", "P3")).delete()
    found = fitted()
    assert found.verdict is Verdict.FAILS
    assert found.best is None
    assert found.headline.startswith(f"{CODE} goes on no press here")
    assert found.actions[0].do.startswith("Look for another press")
    Press.objects.all().delete()
    found = fitted()
    assert leads(found)[0] == NEW_PRESS
    assert "No press is written down" in found.headline
    assert "begin with the first" in fit_presses(SLUG).headline


def test_all_tools_stand_against_all_presses_in_the_order_of_the_presses(tool: Tool) -> None:
    found = fit_presses(SLUG)
    assert [one.code for one in found.presses] == ["P1", "P2", "P3"]
    (row,) = (one for one in found.tools if one.tool == CODE)
    verdicts = (Verdict.FAILS, Verdict.HOLDS, Verdict.NOT_SHOWN)
    assert [(one.press, one.verdict) for one in row.on] == list(
        zip(("P1", "P2", "P3"), verdicts, strict=True)
    )
    assert row.headline == fitted().headline
    assert found.headline == "The one tool has a press."
    assert [one.leads_to for one in found.actions] == [f"{PRESS}P3"]


def test_a_tool_whose_numbers_are_all_there_and_do_not_settle_it_is_to_be_settled(tool: Tool) -> None:
    """A mould that stands behind the bars of the one press there is."""
    Press.objects.exclude(code="P2").delete()
    Press.objects.update(tie_bars_high_mm=200.0)
    found = fit_presses(SLUG)
    assert [one.verdict for one in found.tools] == [Verdict.NOT_SHOWN]
    assert [(one.do, one.leads_to) for one in found.actions] == [
        (f"Settle what stays open for {CODE}: see why.", BEST)
    ]


def test_the_cycle_is_that_of_the_press_and_of_the_thickest_wall(tool: Tool) -> None:
    on_press, anywhere = cycle_of_tool(tool, Press.objects.get(code="P2")), cycle_of_tool(tool)
    assert on_press.cycle is not None
    assert anywhere.cycle is not None
    assert on_press.wall_mm == 2.0
    assert on_press.cycle.shares[2].rests_on == f"dry cycle {MIDDLE['dry_cycle_s']:g} s"
    assert "no dry cycle is written down" in anywhere.cycle.shares[2].rests_on
    assert on_press.cycle.cavities == Cavity.objects.filter(tool=tool).count()


def test_the_thickest_wall_is_cooled_four_ways_that_agree(tool: Tool) -> None:
    cooled = fitted().cooling
    assert cooled is not None
    assert cooled.by_mean.time_s < cooled.by_middle.time_s
    assert cooled.in_steps.time_s == pytest.approx(cooled.by_middle.time_s, rel=0.25)
    assert cooled.with_warm_core.time_s > cooled.in_steps.time_s


def test_the_answer_is_plain_enough_for_json(tool: Tool) -> None:
    assert json.loads(json.dumps(as_plain(fitted())))["headline"] == fitted().headline
    assert json.loads(json.dumps(as_plain(fit_presses(SLUG))))["tools"][0]["tool"] == CODE


def test_a_tool_that_is_not_there_is_said(tool: Tool) -> None:
    with pytest.raises(NotInRecord):
        fit_tool(SLUG, "M77")
    with pytest.raises(NotInRecord):
        fit_presses("nowhere")


def test_what_can_hurt_stands_first_among_the_cautions(tool: Tool) -> None:
    said = [str(one) for one in fitted().cautions]
    assert "crane" in said[0]
    assert "only trained people" in said[1]
