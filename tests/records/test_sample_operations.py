"""The register of samples: entered whole or not at all, searched, and what was seen kept as it was."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from offtool.core.values import OfftoolError
from offtool.handbook.terms import ColourBy, Stage
from offtool.records.models import Sample, SamplePart, SamplePhotograph, SignShare, StageName
from offtool.records.operations import (
    OBSERVATIONS,
    NewColour,
    NewSample,
    NewSamplePart,
    NewSamplePhotograph,
    add_part,
    change_part,
    change_sample,
    define_build,
    define_detail,
    define_job,
    define_press,
    keep_sample_photograph,
    leave_out_readings,
    measure_colour,
    measure_size,
    register_samples,
    say_share,
    say_stage,
    see_detail,
    see_sign,
    set_observation_aside,
)
from offtool.records.queries import (
    as_counted,
    find_sample,
    find_sample_part,
    load_readings,
    sample_ground,
    sample_whole,
    samples_of,
    sizes_in_trials,
)
from tests.labels import independent
from tests.records.example import NOON, Example
from tests.records.sampled import colour_of, detail_of, measured_of, piece_of, seen_detail_of, seen_sign_of

SEEN: dict[str, Any] = {"seen_at": NOON, "seen_by": "Ada"}
PICTURE = NewSamplePhotograph(name="back.png", content=b"x", media_type="image/png", width=4, height=3)


def registered(e: Example, *samples: NewSample) -> list[Sample]:
    return register_samples(e.programme, samples, registered_at=NOON, registered_by="Ada")


def numbers(e: Example, words: str = "") -> list[str]:
    return [one.sample.number for one in samples_of(e.programme, words=words)]


def test_samples_come_into_the_register_with_their_parts_and_history(example: Example) -> None:
    tagged = NewSamplePart(part=example.body, cavity=example.cavities[1], trial=example.trial, shot=14)
    first, second = registered(
        example,
        NewSample(
            number=" S1 ", name="otter", parts=[tagged, NewSamplePart(part=example.limb, label="left")]
        ),
        NewSample(number="S2"),
    )
    torso, left = first.parts.order_by("pk")
    assert (first.number, torso.label, torso.tool, torso.shot) == ("S1", "body", example.tool, 14)
    assert (left.label, left.tool, second.parts.count()) == ("left", None, 0)
    for kept in (Sample, SamplePart):
        assert set(kept.history.values_list("history_user_id", "history_type")) == {("Ada", "+")}


REFUSED: dict[str, tuple[list[dict[str, Any]], str]] = {
    "a number that is taken": ([{"number": "S1"}], "there is a sample S1 already"),
    "a number given twice": ([{"number": "S3"}, {"number": "S3"}], "there is a sample S3 already"),
    "no number": ([{"number": " "}], "a sample has no number"),
    "two parts of one name": ([{"number": "S3", "parts": 2}], "two parts are called body"),
    "a name that is too long": ([{"number": "x" * 101}], "has 101 signs, and 100 are kept"),
}


@pytest.mark.parametrize("why", REFUSED)
def test_nothing_is_entered_where_one_sample_is_refused(why: str, example: Example) -> None:
    registered(example, NewSample(number="S1"))
    asked, said = REFUSED[why]
    parts = [NewSamplePart(part=example.body)]
    samples = [NewSample(**one | {"parts": parts * one.get("parts", 0)}) for one in asked]
    with pytest.raises(OfftoolError) as refused:
        registered(example, NewSample(number="S2"), *samples)
    assert said in str(refused.value)
    assert refused.value.remedy
    assert numbers(example) == ["S1"]


def test_a_tag_that_cannot_be_leaves_nothing_behind(example: Example) -> None:
    wrong = NewSamplePart(part=example.body, cavity=example.limb_cavity)
    with pytest.raises(OfftoolError, match="the cavity belongs to another tool or part"):
        registered(example, NewSample(number="S1", parts=[wrong]))
    assert numbers(example) == []


def test_what_is_said_of_a_sample_and_its_parts_changes_and_the_history_keeps_it(example: Example) -> None:
    (sample,) = registered(example, NewSample(number="S1", place="drawer 3"))
    change_sample(sample, {"place": " drawer 4 "}, made_by="Bo", reason="moved")
    change_sample(sample, {"place": "drawer 4"}, made_by="Bo")
    now, before = Sample.history.filter(number="S1")
    assert (now.place, before.place) == ("drawer 4", "drawer 3")
    assert (now.history_user_id, now.history_change_reason) == ("Bo", "moved")
    part = add_part(sample, NewSamplePart(part=example.body), made_by="Bo")
    assert change_part(part, {"shot": 3, "label": "torso"}, made_by="Bo").shot == 3
    assert find_sample_part(sample, "torso").pk == part.pk
    with pytest.raises(OfftoolError, match="registered_by is not changed here"):
        change_sample(sample, {"registered_by": "Bo"}, made_by="Bo")


def test_a_part_that_was_measured_stays_the_part_it_is(example: Example) -> None:
    piece = measured_of(example).sample_part
    with pytest.raises(OfftoolError, match="what was seen or measured on it is of this part"):
        change_part(piece, {"part": example.limb}, made_by="Bo")


def test_what_was_seen_is_kept_by_whom_and_when(example: Example) -> None:
    piece = piece_of(example)
    detail = detail_of(example)
    assert not see_detail(piece, detail, is_there=False, **SEEN).is_there
    sign = see_sign(piece.sample, "paint", "none", sample_part=piece, is_sure=False, **SEEN)
    assert (sign.outcome, sign.is_sure, sign.history.get().history_user_id) == ("none", False, "Ada")
    colour = NewColour(lightness=50, a=1, b=2, uncertainty_de=0.5, by=ColourBy.INSTRUMENT)
    sizes = [measure_size(piece, example.bore, 4.0 + i / 100, **SEEN) for i in range(3)]
    colours = [measure_colour(piece, colour, **SEEN) for _ in range(2)]
    assert [one.repeat for one in sizes] == [1, 2, 3]
    assert [one.repeat for one in colours] == [1, 2]
    later = measure_size(piece, example.bore, 4.0, seen_at=NOON + timedelta(hours=1), seen_by="Ada")
    assert later.repeat == 1
    with pytest.raises(OfftoolError, match="there is one already"):
        see_detail(piece, detail, is_there=True, **SEEN)


@pytest.mark.parametrize(
    ("sign", "outcome", "said"),
    [
        ("seem", "welded", "sign: there is no sign 'seem'; did you mean 'seam'?"),
        ("seam", "weldet", "outcome: seam does not show 'weldet'; did you mean 'welded'?"),
    ],
)
def test_a_sign_that_the_handbook_does_not_have_is_answered_with_the_nearest(
    sign: str, outcome: str, said: str, example: Example
) -> None:
    sample = piece_of(example).sample
    for refuses in (
        lambda: see_sign(sample, sign, outcome, **SEEN),
        lambda: say_share(example.programme, sign, outcome, Stage.FIRST, 0.5, made_by="Ada"),
    ):
        with pytest.raises(OfftoolError) as refused:
            refuses()
        assert str(refused.value) == said


@pytest.mark.parametrize(
    ("kind", "make"),
    [
        ("detail", seen_detail_of),
        ("sign", seen_sign_of),
        ("size", measured_of),
        ("colour", colour_of),
    ],
)
def test_an_observation_is_set_aside_once_and_for_a_reason(kind: str, make: Any, example: Example) -> None:
    row = make(example)
    sample = row.sample if kind == "sign" else row.sample_part.sample
    other = piece_of(example).sample

    def aside(reason: str, of: Sample = sample) -> None:
        set_observation_aside(kind, row.pk, reason, sample=of, made_by="Bo")

    with pytest.raises(OfftoolError, match="no reason is given"):
        aside(" ")
    with pytest.raises(OfftoolError, match=f"has no such {kind}"):
        aside("wrong", other)
    aside("the wrong piece")
    row.refresh_from_db()
    assert (row.set_aside, row.history.latest().history_user_id) == ("the wrong piece", "Bo")
    with pytest.raises(OfftoolError, match="it was set aside before: the wrong piece"):
        aside("again")
    assert OBSERVATIONS[kind] is type(row)


def test_a_photograph_is_kept_once_and_comes_without_its_bytes(example: Example) -> None:
    sample = piece_of(example).sample
    first = keep_sample_photograph(sample, PICTURE, added_at=NOON, added_by="Ada")
    again = keep_sample_photograph(sample, PICTURE, added_at=NOON + timedelta(hours=1), added_by="Bo")
    assert first.pk == again.pk
    (shown,) = sample_whole(sample).photographs
    assert "content" in shown.get_deferred_fields()
    assert bytes(SamplePhotograph.objects.get().content) == b"x"
    (listed,) = samples_of(example.programme)
    assert (listed.photographs, listed.first_photograph) == (1, first.pk)


def test_the_search_takes_every_word_in_large_letters_or_small_wherever_it_stands(example: Example) -> None:
    tagged = NewSamplePart(part=example.body, trial=example.trial, label="Torso")
    registered(
        example,
        NewSample(number="S10", name="Ötter ohne Farbe", place="Drawer 3", holder="Ada", parts=[tagged]),
        NewSample(number="S2", note="from the fair", place="drawer 4"),
    )
    assert numbers(example) == ["S2", "S10"]
    assert numbers(example, "öTTER drawer") == ["S10"]
    assert numbers(example, "DRAWER") == ["S2", "S10"]
    assert [numbers(example, one) for one in ("torso", "t1", "fair", "m1 ada", "nothing")] == [
        ["S10"], ["S10"], ["S2"], ["S10"], [],
    ]  # fmt: skip


def test_numbers_stand_as_people_count() -> None:
    given = ["S10", "S2", "S", "", "10", "2", "s1", "S2b", "S02"]
    assert sorted(given, key=as_counted) == ["", "S", "S02", "S2", "S2b", "S10", "s1", "2", "10"]


def test_a_list_counts_what_counts_and_asks_as_much_for_many_samples_as_for_one(example: Example) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            samples_of(example.programme)
        return len(queries)

    piece = seen_detail_of(example).sample_part
    seen_sign_of(example, sample=piece.sample, set_aside="wrong")
    few = asked()
    for _ in range(5):
        measured_of(example)
    assert asked() == few
    listed = {one.sample.pk: one for one in samples_of(example.programme)}[piece.sample.pk]
    assert (listed.details, listed.signs, listed.sizes, listed.observations) == (1, 0, 0, 1)


def test_one_sample_is_whole_with_what_was_set_aside_and_nothing_of_another(example: Example) -> None:
    piece = seen_detail_of(example).sample_part
    seen_sign_of(example, sample=piece.sample, set_aside="wrong")
    measured_of(example, sample_part=piece)
    colour_of(example)
    whole = sample_whole(find_sample(example.programme, piece.sample.number))
    assert [len(rows) for rows in (whole.parts, whole.details, whole.signs, whole.sizes, whole.colours)] == [
        1, 1, 1, 1, 0,
    ]  # fmt: skip
    with pytest.raises(OfftoolError, match="no sample 'S'"):
        find_sample(example.programme, "S")


def test_what_samples_are_told_apart_by_is_written_and_found_together(example: Example) -> None:
    e = example
    press = define_press(e.programme, {"code": "P3"}, [e.tool, e.tool_2], made_by="Ada")
    define_press(e.programme, {"code": "P3", "name": "80 t"}, [e.tool_2], made_by="Ada", press=press)
    job = define_job(press, {"code": "J1", "begins": date(2026, 2, 1)}, made_by="Ada")
    build = define_build(e.programme, {"code": "EP1", "stage": "engineering build"}, [e.trial], made_by="Ada")
    define_build(e.programme, {"code": "EP1"}, [e.trial_2], made_by="Ada", build=build)
    detail = define_detail(e.body, {"code": "vent", "where": "x" * 300}, {e.state: True}, made_by="Ada")
    silent = define_detail(e.body, {"code": "mark"}, {e.state: True}, made_by="Ada")
    define_detail(e.body, {"code": "mark"}, {e.state: None}, made_by="Ada", detail=silent)
    found = sample_ground(e.programme)
    assert found.holds == {e.tool_2.pk: frozenset({press.pk})}
    assert (found.jobs, found.jobs[0].press.name) == ((job,), "80 t")
    assert [(one.build.code, one.runs) for one in found.builds] == [("EP1", (e.trial_2,))]
    assert {one.detail.code: one.in_state for one in found.details} == {
        detail.code: {e.state.pk: True},
        "mark": {},
    }
    assert found.forming == {e.bore.pk: e.pin.pk}
    assert found.runs == (e.trial, e.trial_2)
    assert sample_ground(e.other).runs == ()


def test_a_programme_says_its_own_words_and_shares_and_goes_back_to_the_handbooks(example: Example) -> None:
    say_stage(example.programme, Stage.FIRST, engineer="T0", kept=0.2, made_by="Ada")
    say_stage(example.programme, Stage.FIRST, engineer="first pull", made_by="Ada")
    named = StageName.objects.get()
    assert (named.engineer, named.kept, named.history.count()) == ("first pull", None, 2)
    for share in (0.1, 0.3):
        say_share(example.programme, "seam", "welded", Stage.FIRST, share, made_by="Ada")
    assert SignShare.objects.get().share == 0.3
    assert say_share(example.programme, "seam", "welded", Stage.FIRST, None, made_by="Ada") is None
    assert not SignShare.objects.exists()
    assert SignShare.history.count() == 3
    with pytest.raises(OfftoolError, match="must be from 0 to 1"):
        say_share(example.programme, "seam", "welded", Stage.FIRST, 30, made_by="Ada")


def test_sizes_of_a_trial_are_those_of_its_readings_without_the_ones_left_out(example: Example) -> None:
    """Against numpy on the same readings, in a file each; a spread far below the size keeps its digits."""
    values = [4.01, 4.02, 4.03, 4.0400001]
    example.stored(value=values)
    example.stored(content=b"second", value=[4.0, 4.05, 4.06, 4.07], row=[12, 13, 14, 15])
    kept = load_readings(example.trial)
    out = int(kept.reading_id[kept.value == 4.07][0])
    leave_out_readings(example.trial, [out], reason="it fell", made_at=NOON, made_by="Ada")
    found = {one.cavity_id: one for one in sizes_in_trials(example.programme, [example.bore])}
    for cavity in example.cavities:
        own = kept.value[(kept.cavity_id == cavity.pk) & (kept.reading_id != out)]
        one = found[cavity.pk]
        assert (one.n, one.trial_id) == (len(own), example.trial.pk)
        assert one.mean == independent(np.mean(own), way="numpy", rel=1e-12)
        assert one.sd == independent(np.std(own, ddof=1), way="numpy")
    assert sizes_in_trials(example.programme, [example.limb_length]) == ()


def test_one_reading_has_no_spread(example: Example) -> None:
    reading = example.reading()
    (one,) = sizes_in_trials(example.programme)
    assert (one.n, one.mean) == (1, reading.value)
    assert math.isnan(one.sd)
