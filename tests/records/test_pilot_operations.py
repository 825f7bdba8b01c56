"""What may be done to lines, pilots and a release, and what is refused in words."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from offtool.core.values import NotEnoughData, OfftoolError
from offtool.handbook.release_list import Change
from offtool.handbook.terms import EvidenceSays, LimitKind, Market, PilotFileKind, ReleaseWord, Role
from offtool.records.models import Line, LinePair, Signature
from offtool.records.operations import (
    AlreadyKept,
    FileOfTest,
    NewChange,
    NewConcession,
    NewEvidence,
    NewLimitSample,
    NewLineStation,
    NewLineTable,
    NewLineTask,
    NewPilotCount,
    NewPilotTime,
    NewToyTest,
    NewToyTestPiece,
    adopt_places,
    close_concession,
    define_limit_sample,
    define_line,
    define_market,
    define_pilot,
    define_release_line,
    define_station,
    define_step_days,
    delete_joint,
    drop_station,
    give_concession,
    keep_evidence,
    keep_pilot_file,
    keep_toy_test,
    put_line_table,
    set_evidence_aside,
    set_pilot_file_aside,
    set_toy_test_aside,
    sign,
    tell_change,
    withdraw_limit_sample,
    withdraw_signature,
)
from offtool.records.queries import (
    evidence_of,
    find_line,
    find_pilot,
    pairs_of,
    pilot_counts,
    release_codes,
    stations_of,
    step_days_of,
    tasks_of,
    toy_test_runs_of,
    trials_of_pilot,
)
from offtool.records.queries.finding import NotInRecord
from tests.records.example import NOON, Example
from tests.records.joined import joint_of
from tests.records.sampled import sample_of

DAY = NOON.date()


def task(name: str, **said: Any) -> NewLineTask:
    return NewLineTask(**{"name": name, "time_s": 10.0} | said)


WELD, LOOK, TURN = (
    task("weld", needs=("welder",), fixed_station=1, placed_at=1),
    task("look", after=("weld",), apart=("weld",)),
    task("turn", after=("weld", "look"), together=("look",)),
)
TABLE = NewLineTable(
    tasks=(WELD, LOOK, TURN),
    stations=(
        NewLineStation(number=1, columns={"name": "welding"}, has=("welder",)),
        NewLineStation(number=2, rework_to=1),
    ),
    equipment={"welder": 1},
)


def laid_out(example: Example) -> Line:
    line = define_line(example.programme, "L", {"planned_per_h": 150.0}, made_by="Ada")
    put_line_table(line, TABLE, made_by="Ada")
    return line


def table_of(*tasks: NewLineTask) -> NewLineTable:
    return NewLineTable(tasks=tasks)


def sheet(content: bytes = b"counts", name: str = "1") -> FileOfTest:
    return FileOfTest(name=name, done_on=DAY, note="", file_name="counts.csv", content=content)


def test_a_table_is_put_whole_and_read_back(example: Example) -> None:
    line = laid_out(example)
    weld, look, turn = tasks_of(line)
    assert [one.before.name for one in turn.after.all()] == ["weld", "look"]
    assert [one.equipment.name for one in weld.needs.all()] == ["welder"]
    assert (weld.fixed_station, look.placed_at) == (stations_of(line)[0], None)
    assert {(p.one.name, p.other.name, p.kind) for p in pairs_of(line)} == {
        ("weld", "look", "apart"),
        ("look", "turn", "together"),
    }
    assert stations_of(line)[1].rework_to == stations_of(line)[0]


def test_a_second_table_takes_out_what_it_does_not_name_and_the_same_one_changes_nothing(
    example: Example,
) -> None:
    line = laid_out(example)
    before = [(model.__name__, model.history.count()) for model in (Line, LinePair)]
    put_line_table(line, TABLE, made_by="Bo")
    assert before == [(model.__name__, model.history.count()) for model in (Line, LinePair)]
    put_line_table(line, table_of(task("weld", time_s=9.0)), made_by="Bo")
    (only,) = tasks_of(line)
    assert (only.name, only.time_s, only.needs.count()) == ("weld", 9.0, 0)
    assert [one.history_type for one in only.history.all()] == ["~", "+"]


@pytest.mark.parametrize(
    ("tasks", "said"),
    [
        ((task("a", after=("b",)), task("b", after=("a",))), "tasks wait for each other in a circle: "),
        ((task("a", after=("a",)),), "task 'a' names itself"),
        ((task("a"), task("a")), "task 'a' is there twice"),
        ((task("a", together=("x",)),), "task a names a task 'x', which the table does not have"),
        ((task("a", time_s=0.0),), "task a: time_s must be above 0"),
        ((task("a;b"),), "name must have no semicolon"),
        ((task("a", together=("b",)), task("b", apart=("a",))), "to be at one station and not at one"),
    ],
)
def test_a_table_that_cannot_be_changes_nothing(
    tasks: tuple[NewLineTask, ...], said: str, example: Example
) -> None:
    line = laid_out(example)
    with pytest.raises(OfftoolError) as refused:
        put_line_table(line, table_of(*tasks), made_by="Ada")
    assert said in str(refused.value)
    assert [one.name for one in tasks_of(line)] == ["weld", "look", "turn"]


def test_places_are_adopted_but_for_a_fixed_task(example: Example) -> None:
    line = laid_out(example)
    adopt_places(line, {"look": 3, "turn": 2}, made_by="Ada")
    assert [one.placed_at.number for one in tasks_of(line) if one.placed_at] == [1, 3, 2]
    with pytest.raises(OfftoolError, match="task weld must be done at station 1; leave it there"):
        adopt_places(line, {"weld": 2}, made_by="Ada")
    with pytest.raises(OfftoolError, match="the line has no task 'wled'; did you mean"):
        adopt_places(line, {"wled": 2}, made_by="Ada")


def test_what_a_line_cannot_be_is_named_at_its_column(example: Example) -> None:
    line = laid_out(example)
    with pytest.raises(OfftoolError, match="L: planned_first_yield must be above 0 and at most 1"):
        define_line(example.programme, "L", {"planned_first_yield": 1.2}, made_by="Ada")
    with pytest.raises(OfftoolError, match="station 1: people must be at least 1"):
        define_station(line, 1, {"people": 0}, made_by="Ada")
    with pytest.raises(OfftoolError, match="the line has no station 9; it has 1, 2"):
        define_station(line, 1, {}, rework_to=9, made_by="Ada")
    with pytest.raises(OfftoolError, match="station 1 is used"):
        drop_station(stations_of(line)[0], made_by="Ada")


def test_a_line_is_found_by_its_name_or_alone(example: Example) -> None:
    with pytest.raises(NotInRecord, match="otter has no line"):
        find_line(example.programme)
    line = laid_out(example)
    assert find_line(example.programme) == line
    with pytest.raises(NotInRecord, match="no line 'M'"):
        find_line(example.programme, "M")
    define_line(example.programme, "M", {}, made_by="Ada")
    with pytest.raises(NotInRecord, match="name one of them"):
        find_line(example.programme)


def test_a_sheet_counts_until_it_is_set_aside_and_its_tasks_and_stations_stay(example: Example) -> None:
    line = laid_out(example)
    pilot = define_pilot(line, "P1", {"ran_on": DAY, "hours": 4.0}, trials=[example.trial], made_by="Ada")
    assert (find_pilot(line), trials_of_pilot(pilot)) == (pilot, (example.trial,))
    station = stations_of(line)[1]
    counts = [NewPilotCount(station=station, hour=1, tried=10, good_first=9, row=2)]
    kept = keep_pilot_file(pilot, PilotFileKind.COUNTS, sheet(), counts, read_at=NOON, read_by="Ada")
    with pytest.raises(AlreadyKept, match="the same file is sheet of counts 1 of pilot P1"):
        keep_pilot_file(pilot, PilotFileKind.COUNTS, sheet(), counts, read_at=NOON, read_by="Ada")
    times = [NewPilotTime(station=station, task=tasks_of(line)[2], time_s=11.0, row=2)]
    keep_pilot_file(pilot, PilotFileKind.TIMES, sheet(), times, read_at=NOON, read_by="Ada")
    assert [one.tried for one in pilot_counts(pilot)] == [10]
    set_pilot_file_aside(kept, "the wrong morning", made_by="Ada")
    assert pilot_counts(pilot) == ()
    with pytest.raises(OfftoolError, match="leaves out task turn, which a pilot timed"):
        put_line_table(line, table_of(WELD), made_by="Ada")
    with pytest.raises(NotEnoughData, match="no counts in it"):
        keep_pilot_file(pilot, PilotFileKind.COUNTS, sheet(b"x"), [], read_at=NOON, read_by="Ada")


def test_a_joint_that_a_task_works_on_stays(example: Example) -> None:
    joint = joint_of(example)
    line = laid_out(example)
    put_line_table(line, table_of(task("turn", joint=joint)), made_by="Ada")
    with pytest.raises(OfftoolError, match=r"has tasks of a line \(1\) in the record"):
        delete_joint(joint, made_by="Ada")


def test_markets_and_changes_are_words_of_the_list(example: Example) -> None:
    kept = define_market(example.programme, {"markets": "eu, US", "from_months": 36.0}, made_by="Ada")
    assert (kept.markets, kept.from_months) == ("US EU", 36.0)
    with pytest.raises(OfftoolError, match="no market 'UK'"):
        define_market(example.programme, {"markets": "UK"}, made_by="Ada")
    own = {"fed_by": "open findings", "stale_by": "paint, steel"}
    assert define_release_line(example.programme, "scarf", own, made_by="Ada").stale_by == "steel; paint"
    assert release_codes(example.programme)[-1] == "scarf"
    with pytest.raises(OfftoolError, match="no change 'mood'"):
        define_release_line(example.programme, "scarf", {"stale_by": "mood"}, made_by="Ada")


def test_evidence_answers_a_line_of_the_list_and_is_set_aside_once(example: Example) -> None:
    paper = NewEvidence(code="packaging", says=EvidenceSays.HOLDS, tested_on=DAY, states=(example.state,))
    kept = keep_evidence(example.programme, paper, given_at=NOON, given_by="Ada")
    assert [one.state for one in evidence_of(example.programme)[0].states.all()] == [example.state]
    set_evidence_aside(kept, "another carton", made_by="Ada")
    assert evidence_of(example.programme, counting=True) == ()
    with pytest.raises(OfftoolError, match="counts no longer already: another carton"):
        set_evidence_aside(kept, "once more", made_by="Ada")
    other = NewEvidence(code="parcels", says=EvidenceSays.HOLDS, tested_on=DAY)
    with pytest.raises(OfftoolError, match="the list has no line 'parcels'"):
        keep_evidence(example.programme, other, given_at=NOON, given_by="Ada")
    large = NewEvidence(
        code="packaging",
        says=EvidenceSays.HOLDS,
        tested_on=DAY,
        file_name="a.pdf",
        content=bytes(26 * 1024**2),
    )
    with pytest.raises(OfftoolError, match="the file has 26 MB, and 25 MB are kept"):
        keep_evidence(example.programme, large, given_at=NOON, given_by="Ada")


def test_one_file_of_a_test_of_the_law_is_kept_once_for_each_test(example: Example) -> None:
    def keep(name: str, test: Any) -> None:
        new = NewToyTest(file=sheet(name=name), market=Market.US, test=test)
        piece = NewToyTestPiece(piece="1", held=True, row=2)
        keep_toy_test(example.programme, new, [piece], read_at=NOON, read_by="Ada")

    keep("torque", "torque")
    keep("pull", "tension")
    with pytest.raises(AlreadyKept):
        keep("again", "tension")
    set_toy_test_aside(toy_test_runs_of(example.programme)[0], "wrong gauge", made_by="Ada")
    assert len(toy_test_runs_of(example.programme, counting=True)) == 1


def test_a_concession_has_an_end_and_ends_once(example: Example) -> None:
    said: dict[str, Any] = {"code": "sizes", "amount": "0.05 mm", "reason": "not seen"}
    said |= {"approved_by": "Ada", "given_on": DAY}
    with pytest.raises(OfftoolError, match="say until when it is valid, or for how many pieces"):
        give_concession(example.programme, NewConcession(**said), made_by="Ada")
    kept = give_concession(example.programme, NewConcession(**said, pieces=500), made_by="Ada")
    with pytest.raises(OfftoolError, match="not before it was given"):
        close_concession(kept, DAY - timedelta(days=1), "cut", made_by="Ada")
    close_concession(kept, DAY, "cut", made_by="Ada")
    with pytest.raises(OfftoolError, match="the concession ended on"):
        close_concession(kept, DAY, "cut", made_by="Ada")


def test_a_person_signs_a_review_once_until_it_is_withdrawn(example: Example) -> None:
    def signed(person: str = "Ada") -> Signature:
        return sign(
            example.programme,
            role=Role.TOOLING,
            person=person,
            states=ReleaseWord.RELEASED,
            fingerprint="a" * 64,
            signed_at=NOON + timedelta(minutes=Signature.objects.count()),
        )

    with pytest.raises(OfftoolError, match="nobody signs"):
        signed("  ")
    first = signed()
    with pytest.raises(OfftoolError, match="Ada has signed this review for tooling"):
        signed()
    withdraw_signature(first, "too early", withdrawn_at=NOON, made_by="Ada")
    assert (first.withdrawn, signed().withdrawn) == ("too early", "")


def test_limit_samples_changes_and_days_are_kept(example: Example) -> None:
    new = NewLimitSample(
        sample=sample_of(example), kind=LimitKind.LIMIT, signed_by="Ada", signed_on=date(2026, 3, 2)
    )
    limit = define_limit_sample(example.programme, new, made_by="Ada")
    withdraw_limit_sample(limit, "faded", made_by="Ada")
    assert limit.withdrawn == "faded"
    with pytest.raises(OfftoolError, match="say what was changed"):
        tell_change(
            example.programme, NewChange(what=Change.MASK, on=DAY, words=" "), told_at=NOON, told_by="Ada"
        )
    define_step_days(example.programme, "cut", 8.0, 12.0, made_by="Ada")
    define_step_days(example.programme, "cut", 6.0, 12.0, made_by="Ada")
    assert step_days_of(example.programme)["cut"].low_days == 6.0
