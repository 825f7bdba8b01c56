"""A sample against the record: by its details, its sizes, its colours, its tag; part by part."""

from __future__ import annotations

from datetime import date
from math import log

import numpy as np
import pytest
from scipy import stats

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import ColourBy, Stage
from offtool.records.models import Cavity, Detail, Part, Programme, Sample, Tool, ToolState, Trial
from offtool.records.operations import (
    NewColour,
    define_build,
    define_detail,
    define_job,
    define_press,
    say_share,
    say_stage,
)
from offtool.records.queries import sample_ground
from offtool.records.queries.finding import NotInRecord
from offtool.steps.identify_sample import identify_sample, list_samples
from offtool.steps.keep_sample import (
    PartSaid,
    SampleSaid,
    add_sample_part,
    look_for_detail_on,
    look_for_sign_on,
    measure_colour_on,
    measure_on,
    register_sample,
    set_aside,
)
from offtool.steps.plain import as_plain
from offtool.steps.sample_found import SampleFound
from offtool.steps.sample_origins import Origins, stage_of_run
from tests.labels import independent
from tests.steps.clip import LENGTH, NOON, PEG, SLUG, TOOL, keep, trial_file

TOLD = {"at": NOON, "by": "archivist"}
CUT = 0.04
RED, BLUE = (45.0, 60.0, 40.0), (35.0, 10.0, -50.0)


@pytest.fixture
def tried(clip: Programme) -> Programme:
    """Two trials of the clip's tool; between them the peg was cut and a mark engraved."""
    tool = Tool.objects.get(programme=clip)
    first = ToolState.objects.get(tool=tool)
    keep(trial_file(), "T1", "t1.csv")
    second = ToolState.objects.create(tool=tool, label="b", ordinal=2, made_on=date(2026, 3, 10))
    keep(trial_file(PEG + CUT, seed=2), "T2", "t2.csv")
    mark = define_detail(
        Part.objects.get(programme=clip, code="P1"),
        {"code": "mark", "name": "date mark", "where": "inside"},
        {first: False, second: True},
        made_by="x",
    )
    assert mark.in_states.count() == 2
    assert set(Trial.objects.values_list("name", "state__label")) == {("T1", "a"), ("T2", "b")}
    return clip


def registered(*parts: str, **said: object) -> str:
    """A sample with these parts."""
    told = SampleSaid(parts=tuple(PartSaid(part=part) for part in parts), **said)  # type: ignore[arg-type]
    return register_sample(SLUG, told, **TOLD)  # type: ignore[arg-type]


def found(number: str) -> SampleFound:
    return identify_sample(SLUG, number)


def mark(number: str, is_there: bool, **more: object) -> None:
    look_for_detail_on(SLUG, number, "P1", "mark", is_there=is_there, **TOLD, **more)  # type: ignore[arg-type]


def test_a_piece_nobody_looked_at_is_what_usually_turns_up(tried: Programme) -> None:
    shown = found(registered("P1"))
    assert shown.headline.startswith("Nothing was looked at yet")
    stages = dict(shown.identified.stages)
    known = 1 - shown.identified.none_of_these
    for stage in (Stage.EARLY, Stage.LATE, Stage.PRODUCTION):
        assert stages[stage] == independent(known * STAGES[stage].kept, way="the handbook's share")


def test_numbers_go_on_from_the_highest(tried: Programme) -> None:
    assert registered("P1") == "0001"
    assert registered("P1", number="0416") == "0416"
    assert registered("P1") == "0417"


def test_a_missing_mark_is_weighed_as_bayes_does(tried: Programme) -> None:
    number = registered("P1")
    mark(number, False)
    shown = found(number)
    # by hand: T1 has no mark, T2 has it; of stages to come it is known to be there, as in state b
    likely = {"T1": 0.99, "T2": 0.03, "first": 0.99, "later": 0.03, "none": 0.5}
    kept = {stage: STAGES[stage].kept * 0.95 for stage in Stage}
    weights = {
        "T1": kept[Stage.EARLY] * likely["T1"],
        "T2": kept[Stage.LATE] * likely["T2"],
        "first": kept[Stage.FIRST] * likely["first"],
        "none": 0.05 * likely["none"],
    }
    anywhere = shown.identified.elsewhere
    odds = shown.identified.probability("T1") / shown.identified.probability("T2")
    assert odds < weights["T1"] / weights["T2"]  # a part may be from elsewhere, which draws the odds together
    assert odds > (1 - anywhere) * weights["T1"] / (
        (1 - anywhere) * weights["T2"] + anywhere * kept[Stage.LATE]
    )
    (bound,) = shown.bounds
    assert bound.about == "date mark"
    assert not bound.allows[[one.code for one in shown.strip].index("T2")]
    assert bound.allows[[one.code for one in shown.strip].index("T1")]


def test_a_size_tells_the_state_that_made_it(tried: Programme) -> None:
    number = registered("P1")
    measure_on(SLUG, number, "P1", "1", PEG + CUT, uncertainty=0.002, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    (part,) = shown.identified.parts
    runs = {one.make.run: one.probability for one in part.makes if one.make is not None}
    assert runs["T2"] > 20 * runs["T1"]
    evidence = next(one for one in shown.identified.answers if one.code == "T2").evidence
    assert any(one.about == "Peg diameter (1)" and one.log_odds > 0 for one in evidence)


def test_without_a_measured_trial_the_steel_and_its_shrinkage_tell_the_size(clip: Programme) -> None:
    tool = Tool.objects.get(programme=clip)
    Trial.objects.create(tool=tool, name="T1", state=ToolState.objects.get(tool=tool))
    number = registered("P1")
    measure_on(SLUG, number, "P1", "1", 3.985 * 0.995, uncertainty=0.002, **TOLD)  # type: ignore[arg-type]
    near = found(number).identified.probability("none of these")
    other = registered("P1")
    measure_on(SLUG, other, "P1", "1", 3.85, uncertainty=0.002, **TOLD)  # type: ignore[arg-type]
    assert found(other).identified.probability("none of these") > near


def test_parts_from_different_runs_get_their_own_answers(tried: Programme) -> None:
    Trial.objects.update(shot_on=date(2026, 3, 12))  # production is yet to come
    both = (PartSaid(part="P1", label="left"), PartSaid(part="P1", label="right"))
    told = SampleSaid(parts=both, found_on=date(2026, 3, 20))
    number = register_sample(SLUG, told, **TOLD)  # type: ignore[arg-type]
    for label, there, peg in (("left", True, PEG + CUT), ("right", False, PEG)):
        look_for_detail_on(SLUG, number, label, "mark", is_there=there, **TOLD)  # type: ignore[arg-type]
        measure_on(SLUG, number, label, "1", peg, uncertainty=0.002, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    best = {part.label: part.makes[0].make for part in shown.identified.parts}
    assert best["left"] is not None
    assert best["right"] is not None
    assert (best["left"].run, best["right"].run) == ("T2", "T1")
    assert min(part.belongs for part in shown.identified.parts) < 0.5
    assert "different runs" in shown.headline


def test_contradicting_findings_of_one_part_are_named(tried: Programme) -> None:
    number = registered("P1")
    mark(number, True)
    measure_on(SLUG, number, "P1", "1", PEG, uncertainty=0.001, **TOLD)  # type: ignore[arg-type]
    measure_on(SLUG, number, "P1", "2", LENGTH, uncertainty=0.001, **TOLD)  # type: ignore[arg-type]
    (clash,) = found(number).identified.clashes
    assert clash.part == "P1"
    assert len(clash.against) == len(clash.for_) == 1


def test_an_observation_that_was_set_aside_does_not_count(tried: Programme) -> None:
    number = registered("P1")
    before = found(number).identified
    mark(number, False)
    seen = found(number).observations[0]
    set_aside(SLUG, number, seen.kind, seen.key, "read by lamplight", by="archivist")
    after = found(number)
    assert after.identified.answers == before.answers
    assert after.observations[0].set_aside == "read by lamplight"


@pytest.mark.parametrize("first", [True, False])
def test_where_two_people_disagree_nothing_is_taken_and_both_are_named(tried: Programme, first: bool) -> None:
    """In either order: the last one to speak is not right for that."""
    number = registered("P1")
    before = found(number).identified.answers
    mark(number, first)
    look_for_detail_on(SLUG, number, "P1", "mark", is_there=not first, at=NOON, by="another")
    shown = found(number)
    assert shown.identified.answers == before
    assert shown.actions[0].because == "Date mark of P1 was seen there, and missing."
    assert any("date mark of P1 was seen there, and missing" in str(one) for one in shown.cautions)


def test_readings_that_contradict_are_named_and_not_averaged(tried: Programme) -> None:
    number = registered("P1")
    measure_on(SLUG, number, "P1", "1", PEG, uncertainty=0.002, at=NOON, by="Ada")  # type: ignore[arg-type]
    measure_on(SLUG, number, "P1", "1", PEG + CUT, uncertainty=0.002, at=NOON, by="Bert")  # type: ignore[arg-type]
    shown = found(number)
    assert any("was measured as 3.965 mm and as 4.005 mm" in str(one) for one in shown.cautions)
    runs = {one.make.run: one.probability for one in shown.identified.parts[0].makes if one.make}
    usual = found(registered("P1")).identified.parts[0].makes
    prior = {one.make.run: one.probability for one in usual if one.make}
    assert runs["T1"] / runs["T2"] == pytest.approx(prior["T1"] / prior["T2"], rel=0.3)


def test_colours_of_two_places_that_lie_apart_are_named(tried: Programme) -> None:
    number = registered("P1")
    for place, (lightness, a, b) in (("back", RED), ("foot", BLUE)):
        colour = NewColour(
            lightness=lightness, a=a, b=b, uncertainty_de=0.5, by=ColourBy.INSTRUMENT, place=place
        )
        measure_colour_on(SLUG, number, "P1", colour, **TOLD)  # type: ignore[arg-type]
    assert any("ΔE00 apart" in str(one) for one in found(number).cautions)


def test_a_size_that_no_such_part_has_is_refused(tried: Programme) -> None:
    number = registered("P1")
    for value in (-3.0, 9999.0):
        with pytest.raises(OfftoolError, match="look at the unit"):
            measure_on(SLUG, number, "P1", "2", value, **TOLD)  # type: ignore[arg-type]
    assert found(number).observations == ()


def test_a_run_after_the_piece_was_found_hardly_made_it(tried: Programme) -> None:
    Trial.objects.filter(name="T1").update(shot_on=date(2026, 3, 2))
    Trial.objects.filter(name="T2").update(shot_on=date(2026, 3, 12))
    before = found(registered("P1", found_on=date(2026, 3, 5))).identified
    after = found(registered("P1", found_on=date(2026, 3, 15))).identified
    assert before.probability("T2") < 0.1 * after.probability("T2")


def test_stages_that_nobody_recorded_may_have_run_on_any_steel_between(clip: Programme) -> None:
    """Three states and no run: a piece with what came last is from a late stage, not from nothing."""
    tool = Tool.objects.get(programme=clip)
    states = [ToolState.objects.get(tool=tool)]
    states += [ToolState.objects.create(tool=tool, label=one, ordinal=k) for k, one in ((2, "b"), (3, "c"))]
    part = Part.objects.get(programme=clip, code="P1")
    for code, came in (("vent", 2), ("mark", 3)):
        shows = {one: one.ordinal >= came for one in states}
        define_detail(part, {"code": code}, shows, made_by="x")  # type: ignore[arg-type]
    number = registered("P1")
    for code in ("vent", "mark"):
        look_for_detail_on(SLUG, number, "P1", code, is_there=True, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    assert shown.identified.top.stage is Stage.PRODUCTION
    assert dict(shown.identified.stages)[None] < 0.06
    assert shown.identified.parts[0].states[0][1] in ("c", "later steel")


@pytest.mark.parametrize(
    ("name", "stage"),
    [("T0a", "first shots"), ("T1a", "early trial"), ("T01", "early trial"), ("T12", "late trial"),
     ("EP1", "engineering build"), ("FEP 2", "final engineering build"), ("PP1", "line pilot"),
     ("PS1", "production"), ("product check", "late trial")],
)  # fmt: skip
def test_the_stage_of_a_run_is_read_from_its_name(name: str, stage: str) -> None:
    assert stage_of_run(Trial(name=name), is_first=False) == stage


def test_a_tag_is_strong_and_not_sure(tried: Programme) -> None:
    tagged = SampleSaid(parts=(PartSaid(part="P1", trial="T2"),))
    number = register_sample(SLUG, tagged, **TOLD)  # type: ignore[arg-type]
    plain = found(registered("P1")).identified.probability("T2")
    told = found(number)
    assert plain < 0.3
    assert 0.5 < told.identified.probability("T2") < 0.97
    assert told.parts[0].tag == "T2 of M1"


def test_colours_of_the_parts_tell_the_run_and_the_job_it_interrupted(tried: Programme) -> None:
    press = define_press(tried, {"code": "P7"}, [], made_by="x")
    for code, product, lab, first, last in (
        ("J1", "tugboat", RED, 1, 8),
        ("J2", "lighthouse", BLUE, 9, 20),
    ):
        lightness, a, b = lab
        columns = {"code": code, "product": product, "lightness": lightness, "a": a, "b": b}
        days = {"begins": date(2026, 3, first), "ends": date(2026, 3, last)}
        define_job(press, columns | days, made_by="x")
    Trial.objects.filter(name="T1").update(shot_on=date(2026, 3, 2), press="P7")
    Trial.objects.filter(name="T2").update(shot_on=date(2026, 3, 12), press="P7")
    number = registered("P1")
    colour = NewColour(lightness=45.3, a=59.6, b=40.2, uncertainty_de=0.6, by=ColourBy.INSTRUMENT)
    measure_colour_on(SLUG, number, "P1", colour, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    assert shown.identified.probability("T1") > 20 * shown.identified.probability("T2")
    assert shown.interrupted is not None
    assert shown.interrupted.best is not None
    assert shown.interrupted.best.products == ("tugboat",)
    assert shown.interrupted.best.probability > 0.9


def test_a_job_that_began_after_the_piece_was_found_says_nothing_of_its_colour(tried: Programme) -> None:
    press = define_press(tried, {"code": "P6"}, made_by="x")
    told = {"lightness": 62.0, "a": 46.0, "b": 58.0}
    define_job(press, {"code": "J1", "begins": date(2026, 2, 20), **told}, made_by="x")
    number = registered("P1", found_on=date(2026, 3, 20))
    seen = NewColour(lightness=61.0, a=45.0, b=57.0, uncertainty_de=0.5, by=ColourBy.INSTRUMENT)
    measure_colour_on(SLUG, number, "P1", seen, **TOLD)  # type: ignore[arg-type]
    before = as_plain(found(number).identified)
    later = {"code": "J2", "begins": date(2026, 3, 21), "lightness": 20.0, "a": 0.0, "b": 0.0}
    define_job(press, later, made_by="x")
    assert as_plain(found(number).identified) == before
    define_job(press, {**later, "code": "J3", "begins": date(2026, 3, 20)}, made_by="x")
    assert as_plain(found(number).identified) != before


def test_a_build_takes_its_parts_from_the_runs_it_names(tried: Programme) -> None:
    columns = {"code": "EP1", "stage": Stage.ENGINEERING.value, "pieces": 10}
    define_build(tried, columns, list(Trial.objects.filter(name="T2")), made_by="x")
    number = registered("P1")
    mark(number, True)
    measure_on(SLUG, number, "P1", "1", PEG + CUT, uncertainty=0.001, **TOLD)  # type: ignore[arg-type]
    for sign, outcome in (("paint", "by hand"), ("seam", "glued, taped or screwed")):
        look_for_sign_on(SLUG, number, sign, outcome, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    assert shown.identified.top.code == "EP1"
    assert shown.identified.parts[0].makes[0].make is not None
    assert shown.identified.parts[0].makes[0].make.run == "T2"
    assert shown.in_words.sense.startswith("a first shot only in the broad sense")


def test_a_programme_says_its_own_words_and_shares(tried: Programme) -> None:
    number = registered("P1")
    look_for_sign_on(SLUG, number, "paint", "by hand", **TOLD)  # type: ignore[arg-type]
    before = dict(found(number).identified.stages)
    say_share(tried, "paint", "by hand", Stage.EARLY, 0.9, made_by="x")
    say_stage(tried, Stage.EARLY, engineer="first off tool", kept=0.5, made_by="x")
    after = found(number)
    assert dict(after.identified.stages)[Stage.EARLY] > before[Stage.EARLY]
    assert any(one.engineer == "first off tool" for one in after.strip if one.stage is Stage.EARLY)


def test_tagged_samples_teach_how_often_a_sign_is_met(tried: Programme) -> None:
    """Ten tagged pieces count as much as the handbook: 0.02 becomes (10 x 0.02 + 10) / 20."""
    number = registered("P1")
    look_for_sign_on(SLUG, number, "paint", "by hand", **TOLD)  # type: ignore[arg-type]
    before = dict(found(number).identified.stages)
    for _ in range(10):
        tagged = SampleSaid(parts=(PartSaid(part="P1", trial="T2"),))
        told = register_sample(SLUG, tagged, **TOLD)  # type: ignore[arg-type]
        look_for_sign_on(SLUG, told, "paint", "by hand", **TOLD)  # type: ignore[arg-type]
    shares = Origins(sample_ground(tried)).shares["paint"]
    share = SIGNS["paint"].at(Stage.LATE)["by hand"]
    assert shares["by hand"][Stage.LATE] == independent((10 * share + 10) / 20, way="by hand")
    assert sum(one[Stage.LATE] for one in shares.values()) == independent(1.0, way="shares of all outcomes")
    assert dict(found(number).identified.stages)[Stage.LATE] > before[Stage.LATE]
    alone = Origins(sample_ground(tried), without=Sample.objects.get(number=told).pk)
    assert alone.tagged["paint", "by hand", Stage.LATE] == 9


def test_a_lost_sheet_says_less_than_a_kept_one(tried: Programme) -> None:
    number = registered("P1")
    mark(number, True)
    kept = found(number).identified
    Detail.objects.get(code="mark").in_states.filter(state__label="b").delete()
    lost = found(number).identified

    def ratio(one: object) -> float:
        return log(one.probability("T2") / one.probability("T1"))  # type: ignore[attr-defined]

    assert 0 < ratio(lost) < ratio(kept)


def test_what_to_look_at_next_is_what_tells_most(tried: Programme) -> None:
    number = registered("P1")
    shown = found(number)
    bits = [one.bits for one in shown.identified.look_next if not one.destroys]
    assert bits == sorted(bits, reverse=True)
    named = {one.about for one in shown.identified.look_next}
    assert {"date mark", "Peg diameter (1)", "paint", "seam"} <= named
    mark(number, True)
    assert "date mark" not in {one.about for one in found(number).identified.look_next}


def test_a_piece_without_parts_is_told_by_its_signs(tried: Programme) -> None:
    number = registered()
    look_for_sign_on(SLUG, number, "writing", "pilot mark", **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    assert shown.actions[0].do == "Say which parts the piece has."
    assert shown.identified.answers[0].stage is Stage.PILOT
    add_sample_part(SLUG, number, PartSaid(part="P1"), by="archivist")
    assert found(number).parts[0].label == "P1"


def test_a_programme_without_any_run_answers_in_stages(db: None) -> None:
    Programme.objects.create(slug="attic", title="From the attic")
    number = register_sample("attic", SampleSaid(name="bear, no tag"), **TOLD)  # type: ignore[arg-type]
    look_for_sign_on("attic", number, "seam", "loose parts", **TOLD)  # type: ignore[arg-type]
    shown = identify_sample("attic", number)
    assert {one.stage for one in shown.strip} == set(Stage)
    assert "the handbook's stages" in " ".join(fact.says for fact in shown.rests_on)


def test_a_stage_yet_to_come_hardly_made_a_piece_that_was_found_before(tried: Programme) -> None:
    Trial.objects.update(shot_on=date(2026, 3, 12))
    soon = found(registered("P1", found_on=date(2026, 3, 20))).identified
    late = found(registered("P1", found_on=date(2029, 3, 20))).identified
    assert dict(soon.stages)[Stage.PRODUCTION] < dict(late.stages)[Stage.PRODUCTION] / 2


def test_names_that_the_record_does_not_know_are_named(tried: Programme) -> None:
    number = registered("P1")
    with pytest.raises(NotInRecord, match="no sample"):
        identify_sample(SLUG, "9999")
    with pytest.raises(NotInRecord, match="detail"):
        look_for_detail_on(SLUG, number, "P1", "marc", is_there=True, **TOLD)  # type: ignore[arg-type]
    with pytest.raises(OfftoolError, match="paint"):
        look_for_sign_on(SLUG, number, "paint", "by machine", **TOLD)  # type: ignore[arg-type]
    with pytest.raises(NotInRecord, match="part"):
        registered("P9")
    with pytest.raises(NotInRecord, match="no cavity '7'"):
        register_sample(SLUG, SampleSaid(parts=(PartSaid(part="P1", cavity="7"),)), **TOLD)  # type: ignore[arg-type]
    empty = registered()
    with pytest.raises(NotEnoughData, match="no part yet"):
        measure_on(SLUG, empty, "", "1", 4.0, **TOLD)  # type: ignore[arg-type]
    assert Sample.objects.count() == 2


def test_the_register_is_searched_in_all_that_is_said(tried: Programme) -> None:
    registered("P1", name="clip in bronze", place="drawer 4")
    registered("P2", name="lid", place="drawer 5")
    assert list_samples(SLUG).headline == "2 samples; no tag names a trial."
    assert [one.name for one in list_samples(SLUG, words="BRONZE drawer").samples] == ["clip in bronze"]
    assert list_samples(SLUG, words="nowhere").samples == ()


def test_the_cavity_that_a_tag_names_is_the_one_compared_with(tried: Programme) -> None:
    """Sizes of the other cavity say nothing then."""
    Cavity.objects.get(part__code="P1", label="1")
    told = SampleSaid(parts=(PartSaid(part="P1", cavity="1"),))
    number = register_sample(SLUG, told, **TOLD)  # type: ignore[arg-type]
    measure_on(SLUG, number, "P1", "1", PEG, uncertainty=0.001, **TOLD)  # type: ignore[arg-type]
    shown = found(number)
    assert shown.parts[0].tag == "M1, cavity 1"
    runs = {one.make.run: one.probability for one in shown.identified.parts[0].makes if one.make}
    assert runs["T1"] > runs["T2"]


def test_the_likelihood_of_a_size_is_the_normal_of_its_run(tried: Programme) -> None:
    """Beside scipy, for two values between both trials, where neither misreading nor the lot counts much."""
    odds = []
    for value in (PEG + CUT / 2 - 0.004, PEG + CUT / 2 + 0.004):
        number = registered("P1")
        measure_on(SLUG, number, "P1", "1", value, uncertainty=0.006, **TOLD)  # type: ignore[arg-type]
        answers = found(number).identified.parts[0].makes
        runs = {one.make.run: one.probability for one in answers if one.make is not None}
        odds.append(log(runs["T2"] / runs["T1"]))
    sd = np.sqrt(0.003**2 * (1 + 1 / 12) + 0.006**2 + (PEG * 0.0007) ** 2)
    normal = [
        stats.norm.logpdf(value, PEG + CUT, sd) - stats.norm.logpdf(value, PEG, sd)
        for value in (PEG + CUT / 2 - 0.004, PEG + CUT / 2 + 0.004)
    ]
    assert odds[1] - odds[0] == pytest.approx(normal[1] - normal[0], rel=0.25)
    assert TOOL == "M1"
