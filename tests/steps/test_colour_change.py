"""A change of colour through the record: what runs, what is asked for, what was measured."""

from __future__ import annotations

import pytest

from offtool.core.planning.colour_change import ColourWay, Plastic, colour_change
from offtool.core.values import OfftoolError
from offtool.handbook.terms import ColourWish, Feed, TrialPurpose
from offtool.records.models import ColourChange, Job, Press, Tool
from offtool.records.queries.finding import NotInRecord
from offtool.steps.colour_change import ColourAsked, colour_place, find_change
from offtool.steps.colour_known import (
    plastic_of_job,
    shot_costs,
    shot_taken,
    washout_known,
)
from offtool.steps.colour_plastics import plastic_named, typed_plastic
from offtool.steps.keep_colour_change import keep_colour_change, preview_colour_change, set_change_aside
from offtool.steps.plain import as_plain
from offtool.steps.read_readings import CannotKeep
from tests.steps import coloured
from tests.steps.coloured import BROWN, DAY, HIDDEN, YELLOW
from tests.steps.pressed import Shape, shaped
from tests.web import otter

SLUG = otter.SLUG


@pytest.fixture
def tool(db: None, monkeypatch: pytest.MonkeyPatch) -> Tool:
    """The small otter's tool beside presses that run colours."""
    shaped(monkeypatch, Shape())
    made = otter.make_programme()
    coloured.make_coloured(made)
    return Tool.objects.get(pk=made.pk)


def test_it_begins_with_what_runs_and_the_first_trial_that_waits(tool: Tool) -> None:
    found = find_change(SLUG, ColourAsked(), on=DAY)
    assert (found.press, found.old.plastic.name, found.new.plastic.name) == ("P1", "yellow", "otter brown")
    assert found.request == f"{tool.code} T4"
    assert found.tool == tool.code
    assert "until otter brown is inside ΔE 1; back to yellow takes" in found.headline
    assert found.decision is not None
    assert found.decision.recommended.way is ColourWay.AS_IT_IS


def test_the_numbers_are_those_of_core_with_what_the_record_knows(tool: Tool) -> None:
    press = Press.objects.get(code="P1")
    found = find_change(SLUG, ColourAsked(shot_g=20.0, cycle_s=15.0), on=DAY)
    resin = coloured.resin_of(tool)
    by_core = colour_change(
        Plastic(name="yellow", lab=YELLOW, resin=resin),
        Plastic(name="otter brown", lab=BROWN, resin=resin),
        belief=washout_known(press, tool).belief,
        costs=shot_costs(press, shot_g=20.0, cycle_s=15.0, resin=resin),
    )
    assert found.there.shots == by_core.shots
    assert found.there.money == by_core.money
    assert found.there.money is not None


def test_a_colour_under_another_light_is_brought_to_that_of_plans(tool: Tool) -> None:
    job = Job.objects.get(code="J-7")
    same = plastic_of_job(job)
    job.illuminant, job.observer = "D50", 2
    other = plastic_of_job(job)
    assert same.lab == YELLOW
    assert other.lab is not None
    assert other.lab != pytest.approx(YELLOW, abs=0.5)


def test_soft_pvc_on_the_press_is_refused_first_for_a_trial_in_pom(tool: Tool) -> None:
    coloured.ask(tool, "T5", TrialPurpose.SIZES, resin="POM")
    found = find_change(SLUG, ColourAsked(press="P2", new=f"trial {tool.code} T5"), on=DAY)
    assert found.there.never is not None
    assert found.headline.startswith("POM must not follow PVC-P")
    assert "must never meet" in found.cautions[0].text
    assert found.actions[0].do == "Take another press."
    names = [one.words for one in found.plastics]
    cell = found.table[names.index("teal, PVC-P")][names.index("otter brown, POM")]
    assert cell is not None
    assert cell.never


def test_a_resin_that_is_not_known_does_not_follow_at_once(tool: Tool) -> None:
    coloured.ask(tool, "T5", TrialPurpose.SIZES, resin="XYZ")
    found = find_change(SLUG, ColourAsked(press="P2", new=f"trial {tool.code} T5"), on=DAY)
    assert found.headline.startswith(
        "XYZ is no resin that is known: nobody can say whether it may follow PVC-P"
    )
    assert found.actions[0].do == "Find out the resin first: nothing goes in before it is known."


def test_what_nobody_has_said_is_named_and_the_rest_stands(tool: Tool) -> None:
    Job.objects.create(press=Press.objects.get(code="P3"), code="J-1", colour="grey", begins=DAY)
    Tool.objects.filter(pk=tool.pk).update(feed="")
    found = find_change(SLUG, ColourAsked(press="P3"), on=DAY)
    said = "; ".join(found.missing)
    assert "the largest shot of P3" in said
    assert f"the feed of {tool.code}" in said
    assert any("not measured" in one.text for one in found.cautions)
    assert any("resin is not said" in one.text for one in found.cautions)
    assert found.there.shots.high > 2 * found.there.shots.low
    assert found.there.share_seen is None


def test_without_a_resin_on_either_side_it_is_asked_for(tool: Tool) -> None:
    asked = ColourAsked(
        press="P1",
        typed_old=typed_plastic("", YELLOW, ""),
        typed_new=typed_plastic("", BROWN, ""),
        shot_g=20.0,
    )
    assert "resin is not said" in find_change(SLUG, asked, on=DAY).cautions[0].text


def test_measured_shots_narrow_what_is_believed_and_find_the_press(tool: Tool) -> None:
    before = find_change(SLUG, ColourAsked(), on=DAY)
    coloured.keep(SLUG)
    after = find_change(SLUG, ColourAsked(), on=DAY)
    assert before.fit is None
    assert after.fit is not None
    held = after.fit.belief.of("contents_g")
    assert held.low <= float(HIDDEN.contents_g) <= held.high
    assert after.back.shots.high - after.back.shots.low < before.back.shots.high - before.back.shots.low
    assert "fitted to 16 measured shots" in after.washout_says
    assert [one.name for one in after.observed] == ["change 1"]
    assert after.observed[0].fit is not None


def test_a_change_that_is_set_aside_counts_no_longer_and_stays(tool: Tool) -> None:
    coloured.keep(SLUG)
    set_change_aside(SLUG, "P1", "change 1", reason="the press stood between", made_by="press hall")
    found = find_change(SLUG, ColourAsked(), on=DAY)
    assert found.fit is None
    assert found.observed[0].set_aside == "the press stood between"
    with pytest.raises(OfftoolError, match="set aside already"):
        set_change_aside(SLUG, "P1", "change 1", reason="again", made_by="press hall")


def test_a_change_with_a_hot_runner_says_nothing_of_a_cold_one(tool: Tool) -> None:
    hot = Tool.objects.create(programme=tool.programme, code="M9", feed=Feed.HOT_RUNNER.value)
    coloured.keep(SLUG, tool=hot.code)
    assert find_change(SLUG, ColourAsked(), on=DAY).fit is None
    assert find_change(SLUG, ColourAsked(tool=hot.code, shot_g=20.0), on=DAY).fit is not None


def test_a_trial_of_its_colour_is_purged_for_and_a_wish_is_followed(tool: Tool) -> None:
    coloured.ask(tool, "T5", TrialPurpose.SIZES, TrialPurpose.COLOUR)
    coloured.ask(tool, "T6", TrialPurpose.SIZES, wish=ColourWish.THIS.value)
    for name in ("T5", "T6"):
        found = find_change(SLUG, ColourAsked(new=f"trial {tool.code} {name}"), on=DAY)
        assert found.decision is not None
        assert found.decision.recommended.way is ColourWay.PRODUCT


def test_the_shot_is_that_of_the_tool_as_given_or_a_guess_that_is_said(tool: Tool) -> None:
    press = Press.objects.get(code="P1")
    cavities = tool.cavities.count()
    assert shot_taken(press, tool).shot_g == pytest.approx(6.0 * cavities + 4.0)
    assert shot_taken(press, tool, shot_g=11.0).shot_says == "11 g, as given"
    guess = shot_taken(press)
    assert guess.shot_g == pytest.approx(0.4 * 112)
    assert "nobody weighed" in guess.shot_says
    assert any("what one shot weighs" in one for one in guess.missing)


def test_plastics_are_found_by_key_by_name_and_by_part_of_the_key(tool: Tool) -> None:
    for name in ("job P1 J-7", "yellow", "J-7", "p1 j-7"):
        assert plastic_named(SLUG, name, on=DAY).key == "job P1 J-7"
    assert plastic_named(SLUG, f"{tool.code} T4", on=DAY).plastic.name == "otter brown"
    with pytest.raises(OfftoolError, match="did you mean 'yellow'"):
        plastic_named(SLUG, "yelow", on=DAY)


def test_the_same_colour_and_resin_stands_once_in_the_table(tool: Tool) -> None:
    coloured.ask(tool, "T5", TrialPurpose.SIZES)
    names = [one.words for one in find_change(SLUG, ColourAsked(), on=DAY).plastics]
    assert len(names) == len(set(names))


def test_unknown_names_and_a_shop_without_presses_are_refused(tool: Tool) -> None:
    with pytest.raises(NotInRecord):
        find_change(SLUG, ColourAsked(press="P77"), on=DAY)
    with pytest.raises(OfftoolError, match="nothing is known to have run on P3"):
        find_change(SLUG, ColourAsked(press="P3"), on=DAY)
    Job.objects.all().delete()
    Press.objects.all().delete()
    with pytest.raises(OfftoolError, match="no press is written down"):
        find_change(SLUG, ColourAsked(), on=DAY)
    assert colour_place(SLUG, on=DAY).presses == ()


def test_a_preview_keeps_nothing_and_says_what_the_shots_would_tell(tool: Tool) -> None:
    seen = preview_colour_change(
        coloured.shots_csv().encode(), coloured.FILE, programme=SLUG, press="P1", about=coloured.about()
    )
    assert (seen.shots, seen.first, seen.last) == (16, 1, 50)
    assert seen.fit_words.startswith("16 shots of 1 change tell")
    assert seen.can_be_kept
    assert not ColourChange.objects.exists()
    bare = preview_colour_change(
        coloured.shots_csv().encode(), coloured.FILE, programme=SLUG, press="P1", about=None
    )
    assert not bare.can_be_kept
    assert bare.first_difference is None


def test_shots_that_end_before_the_colour_is_there_are_asked_about(tool: Tool) -> None:
    head = "\n".join(coloured.shots_csv().splitlines()[:7]) + "\n"
    seen = preview_colour_change(
        head.encode(), coloured.FILE, programme=SLUG, press="P1", about=coloured.about()
    )
    assert any("not measured to the end" in one.text for one in seen.cautions)
    turned = preview_colour_change(
        coloured.shots_csv().encode(),
        coloured.FILE,
        programme=SLUG,
        press="P1",
        about=coloured.about(old_lab=YELLOW, new_lab=YELLOW),
    )
    assert any("beyond the old colour" in one.text for one in turned.cautions)


def test_refused_cells_are_left_out_only_by_hand_and_a_file_counts_once(tool: Tool) -> None:
    odd = coloured.shots_csv().replace("\n8,", "\n8,x", 1).encode()
    given = {"programme": SLUG, "press": "P1", "about": coloured.about(), "read_at": coloured.NOW}
    with pytest.raises(CannotKeep):
        keep_colour_change(odd, coloured.FILE, change="1", read_by="", **given)  # type: ignore[arg-type]
    kept = keep_colour_change(odd, coloured.FILE, change="1", read_by="", leave_out=True, **given)  # type: ignore[arg-type]
    assert (kept.shots, kept.left_out) == (15, 1)
    with pytest.raises(OfftoolError, match="the same file"):
        keep_colour_change(odd, coloured.FILE, change="2", read_by="", leave_out=True, **given)  # type: ignore[arg-type]


def test_a_colour_that_no_surface_has_is_refused_at_its_field(tool: Tool) -> None:
    with pytest.raises(OfftoolError, match=r"old_lightness.*no surface"):
        preview_colour_change(
            coloured.shots_csv().encode(),
            coloured.FILE,
            programme=SLUG,
            press="P1",
            about=coloured.about(old_lab=(100.0, 0.0, 0.0)),
        )


def test_the_result_is_plain_data(tool: Tool) -> None:
    coloured.keep(SLUG)
    plain = as_plain(find_change(SLUG, ColourAsked(), on=DAY))
    assert plain["there"]["shots"]["value"] > 0
    assert plain["decision"]["options"][0]["way"] == "the colour on the press"
