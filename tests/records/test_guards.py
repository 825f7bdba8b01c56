"""What triggers refuse: changes of what was measured, and rows that do not belong together."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import OperationalError, connection, models, transaction

from offtool.core.values import OfftoolError
from offtool.records.guard_kinds import Guard
from offtool.records.guards import GUARDS, all_guards, put_up_guards, take_down_guards
from offtool.records.models import (
    Cavity,
    Correction,
    JointDemand,
    Move,
    Part,
    Prediction,
    Reading,
    Resin,
    Shot,
    SourceFile,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.refusals import refusals_in_words
from tests.records import broken_pilot, broken_planning, broken_samples
from tests.records.example import NOON, Example, feature_of, size_of
from tests.records.joined import (
    demand_of,
    joint_of,
    joint_reading_of,
    joint_size_of,
    joint_test_of,
    seam_of,
    seam_size_of,
    weld_run_of,
    weld_study_of,
)


def updated(row: models.Model, **changed: Any) -> None:
    """Write past every model method."""
    type(row)._default_manager.filter(pk=row.pk).update(**changed)


def judged_twice(example: Example) -> None:
    prediction = example.prediction(judged_in=example.trial, outcome="refuted")
    updated(prediction, outcome="confirmed")


def other_trial(example: Example) -> Trial:
    """A trial of the other programme."""
    tool = Tool.objects.create(programme=example.other, code="M9")
    state = ToolState.objects.create(tool=tool, label="a", ordinal=1)
    return Trial.objects.create(tool=tool, name="T1", state=state)


def other_cavity(example: Example) -> Cavity:
    """A cavity of the other programme."""
    return Cavity.objects.create(tool=other_trial(example).tool, part=example.other_part, label="1")


def size_asked_of(example: Example) -> Any:
    """The size of a joint that asks something of it."""
    return demand_of(example).joint.sizes.get()


BROKEN: dict[str, Callable[[Example], object]] = {
    "guard_sourcefile_kept": lambda e: updated(SourceFile.objects.create(**e.source_values()), name="T2.csv"),
    "guard_reading_kept": lambda e: updated(e.reading(), value=4.0001),
    "guard_shot_kept": lambda e: updated(Shot.objects.create(trial=e.trial, number=1), number=2),
    "guard_correction_frozen": lambda e: updated(e.correction(), amount_mm=0.03),
    "guard_prediction_frozen": lambda e: updated(e.prediction(), mean=4.001),
    "guard_prediction_judged_once": judged_twice,
    "guard_part_resin": lambda e: Part.objects.create(programme=e.programme, code="x", resin=e.other_resin),
    "guard_characteristic_gauge": lambda e: size_of(e.body, number="2", gauge=e.other_gauge),
    "guard_cavity_part": lambda e: Cavity.objects.create(tool=e.tool, part=e.other_part, label="9"),
    "guard_feature_part": lambda e: feature_of(e.tool, e.other_part, code="x"),
    "guard_move_part": lambda e: Move.objects.create(feature=e.pin, characteristic=e.limb_length, factor=1),
    "guard_steel_size_state": lambda e: SteelSize.objects.create(
        feature=e.limb_recess, cavity=e.limb_cavity, state=e.state_2, measured_mm=4, allowance_mm=0
    ),
    "guard_steel_size_cavity": lambda e: SteelSize.objects.create(
        feature=e.limb_recess, cavity=e.cavities[0], state=e.state, measured_mm=4, allowance_mm=0
    ),
    "guard_trial_state": lambda e: Trial.objects.create(tool=e.tool, name="T2", state=e.state_2),
    "guard_source_programme": lambda e: SourceFile.objects.create(**e.source_values(programme=e.other)),
    "guard_correction_trial": lambda e: e.correction(trial=e.trial_2),
    "guard_correction_cavity": lambda e: e.correction(cavity=e.limb_cavity),
    "guard_correction_state": lambda e: e.correction(status="cut", resulting_state=e.state_2),
    "guard_prediction_cavity": lambda e: e.prediction(cavity=e.limb_cavity),
    "guard_prediction_correction": lambda e: e.prediction(
        correction=e.correction(cavity=e.cavities[1]), cavity=e.cavities[0]
    ),
    "guard_exclusion_kept": lambda e: updated(e.exclusion(), is_left_out=False),
    "guard_gaugestudy_frozen": lambda e: updated(e.study(), tolerance=0.2),
    "guard_gaugereading_kept": lambda e: updated(e.gauge_reading(), value=4.0101),
    "guard_look_frozen": lambda e: updated(e.look(), pieces=6),
    "guard_flaw_kept": lambda e: updated(e.flaw(), place="right ear"),
    "guard_photograph_kept": lambda e: updated(e.photograph(), note="the ear"),
    "guard_gauge_study_characteristic": lambda e: e.study(characteristic=size_of(e.other_part)),
    "guard_look_cavity": lambda e: e.look(cavity=e.tail_cavity),
    "guard_flaw_defect": lambda e: e.flaw(defect=e.defect(programme=e.other)),
    "guard_flaw_pieces": lambda e: e.flaw(look=e.look(pieces=2), pieces=3),
    "guard_photograph_flaw": lambda e: e.photograph(flaw=e.flaw()),
    "guard_prediction_judged_in": lambda e: e.prediction(judged_in=e.trial_2, outcome="refuted"),
    "guard_jointreading_kept": lambda e: updated(joint_reading_of(e), value=0.0431),
    "guard_jointtest_frozen": lambda e: updated(joint_test_of(e), name="J0"),
    "guard_jointdemand_frozen": lambda e: updated(demand_of(e), target=3.985),
    "guard_joint_size_characteristic": lambda e: joint_size_of(e, characteristic=size_of(e.other_part)),
    "guard_joint_size_asked": lambda e: updated(size_asked_of(e), characteristic=e.limb_length),
    "guard_joint_size_stays": lambda e: size_asked_of(e).delete(),
    "guard_joint_test_gauge": lambda e: joint_test_of(e, gauge=e.other_gauge),
    "guard_joint_test_trials": lambda e: joint_test_of(e, outer_trial=other_trial(e)),
    "guard_joint_reading_programme": lambda e: joint_reading_of(
        e, test=joint_test_of(e, inner_trial=None), inner_cavity=other_cavity(e)
    ),
    "guard_joint_reading_trial": lambda e: joint_reading_of(e, outer_cavity=e.tail_cavity),
    "guard_joint_demand_programme": lambda e: demand_of(
        e, characteristic=size_of(e.other_part), dropped="the wrong size"
    ),
    "guard_joint_demand_size": lambda e: demand_of(e, characteristic=e.limb_length),
    "guard_weldrun_kept": lambda e: updated(weld_run_of(e), strength_n=111),
    "guard_weldstudy_frozen": lambda e: updated(weld_study_of(e), name="W0"),
    "guard_seam_parts": lambda e: seam_of(e, bottom_part=e.other_part),
    "guard_seam_parts_welded": lambda e: updated(weld_study_of(e).seam, top_part=e.tail),
    "guard_seam_size_characteristic": lambda e: seam_size_of(
        e, value=None, characteristic=size_of(e.other_part)
    ),
    "guard_weld_study_gauge": lambda e: weld_study_of(e, gauge=e.other_gauge),
    "guard_weld_study_trials": lambda e: weld_study_of(e, top_trial=other_trial(e)),
    "guard_weld_run_part": lambda e: weld_run_of(e, bottom_cavity=e.cavities[1]),
    "guard_weld_run_trial": lambda e: weld_run_of(
        e, study=weld_study_of(e, seam=seam_of(e, top_part=e.tail)), top_cavity=e.tail_cavity
    ),
    **broken_samples.GUARDED,
    **broken_planning.GUARDED,
    **broken_pilot.GUARDED,
}
"""By guard: a write that it must refuse."""


def refused(example: Example, write: Callable[[Example], object]) -> str:
    with pytest.raises(OfftoolError) as error, refusals_in_words(), transaction.atomic():
        write(example)
    return error.value.what


def named(name: str) -> Guard:
    return next(guard for guard in GUARDS if guard.name == name)


def in_place() -> set[str]:
    """The guards that the database really has."""
    table = (
        "pg_trigger WHERE NOT tgisinternal"
        if connection.vendor == "postgresql"
        else "sqlite_master WHERE type = 'trigger'"
    )
    column = "tgname" if connection.vendor == "postgresql" else "name"
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {column} FROM {table}")
        return {name for (name,) in cursor.fetchall()}


def expected(tables: set[str] | None = None) -> set[str]:
    """The guards that there should be, of some tables only where a migration has not made the others yet."""
    guards = [guard for guard in all_guards() if tables is None or guard.tables <= tables]
    if connection.vendor == "postgresql":
        return {guard.name for guard in guards}
    return {f"{guard.name}_{event.lower()}" for guard in guards for event in guard.events}


@pytest.mark.parametrize("name", BROKEN)
def test_what_a_guard_forbids_is_refused_with_its_reason(name: str, example: Example) -> None:
    assert refused(example, BROKEN[name]) == named(name).message


def test_every_guard_is_tried_here() -> None:
    assert {guard.name for guard in GUARDS} == BROKEN.keys()


@pytest.mark.django_db
def test_all_guards_are_in_place_after_the_migrations() -> None:
    assert expected() == in_place()


OTHER_FILE = {
    "done_on": NOON.date(),
    "file_name": "other.csv",
    "sha256": "f" * 64,
    "content": b"y",
    "read_at": NOON + timedelta(hours=1),
    "read_by": "Bo",
}

FROZEN: dict[str, tuple[Callable[[Example], models.Model], dict[str, Any]]] = {
    "study": (
        lambda e: e.study(),
        {
            "characteristic": None,
            "name": "S0",
            "kind": "nested",
            "tolerance": 0.1,
            "reference_uncertainty": 0.1,
            "done_on": NOON.date(),
            "file_name": "other.csv",
            "sha256": "f" * 64,
            "content": b"y",
            "read_at": NOON + timedelta(hours=1),
            "read_by": "Bo",
        },
    ),
    "look": (
        lambda e: e.look(),
        {
            "cavity": None,
            "shot_number": 3,
            "pieces": 6,
            "looked_at": NOON + timedelta(hours=1),
            "looked_by": "Bo",
        },
    ),
    "joint test": (
        joint_test_of,
        {"gauge": None, "inner_trial": None, "outer_trial": None, "name": "J0", **OTHER_FILE},
    ),
    "weld study": (
        weld_study_of,
        {"gauge": None, "top_trial": None, "bottom_trial": None, "name": "W0", **OTHER_FILE},
    ),
    "joint demand": (
        demand_of,
        {
            "target": 3.97,
            "lower": 3.95,
            "upper": None,
            "reason": "tight",
            "made_at": NOON + timedelta(hours=1),
            "made_by": "Bo",
        },
    ),
    **broken_samples.FROZEN,
    **broken_planning.FROZEN,
    **broken_pilot.FROZEN,
}


@pytest.mark.parametrize(
    ("which", "column"), [(which, column) for which in FROZEN for column in FROZEN[which][1]]
)
def test_nothing_that_was_measured_or_looked_at_is_changed(which: str, column: str, example: Example) -> None:
    make, changed = FROZEN[which]
    row = make(example)
    assert "is never changed" in refused(example, lambda _: updated(row, **{column: changed[column]}))


@pytest.mark.parametrize("which", [which for which in FROZEN if which != "joint demand"])
def test_a_look_a_test_or_what_was_seen_is_set_aside_with_a_reason(which: str, example: Example) -> None:
    row: Any = FROZEN[which][0](example)
    updated(row, set_aside="the wrong part")
    row.refresh_from_db()
    assert row.set_aside == "the wrong part"


@pytest.mark.parametrize("which", ["look", "joint test", "weld study"])
def test_more_may_be_noted_of_a_look_a_test_or_a_study(which: str, example: Example) -> None:
    row: Any = FROZEN[which][0](example)
    updated(row, note="told by the gauge room")
    row.refresh_from_db()
    assert row.note == "told by the gauge room"


def test_a_look_at_pieces_of_any_cavity_and_a_study_of_a_reference_part_hold(example: Example) -> None:
    assert example.look(cavity=None).cavity is None
    assert example.study(characteristic=None, kind="reference part").characteristic is None


def test_a_demand_is_dropped_with_a_reason_and_then_its_size_may_change(example: Example) -> None:
    demand = demand_of(example)
    size = demand.joint.sizes.get()
    updated(demand, dropped="the peg is moved instead")
    updated(size, characteristic=example.limb_length)
    assert JointDemand.objects.get().dropped == "the peg is moved instead"
    with pytest.raises(OfftoolError, match="is no size of the joint"), refusals_in_words():
        updated(demand, dropped="")


def test_a_size_on_which_no_demand_counts_may_go_and_one_that_is_asked_may_get_another_role(
    example: Example,
) -> None:
    joint_size_of(example).delete()
    size = size_asked_of(example)
    updated(size, role="bore_diameter")
    assert type(size).objects.get().role == "bore_diameter"


def test_the_parts_of_a_seam_that_was_not_welded_may_change(example: Example) -> None:
    seam = seam_of(example)
    updated(seam, top_part=example.tail)
    seam.refresh_from_db()
    assert seam.top_part == example.tail


def test_pieces_of_which_no_cavity_or_trial_is_known_hold(example: Example) -> None:
    unknown = joint_test_of(example, gauge=None, inner_trial=None, outer_trial=None)
    joint_reading_of(example, test=unknown, inner_cavity=None, outer_cavity=example.tail_cavity)
    study = weld_study_of(example, gauge=None, top_trial=None, bottom_trial=None)
    weld_run_of(example, study=study, top_cavity=None, bottom_cavity=None)
    assert joint_of(example).limb_mass_g is None


def test_a_photograph_shows_a_flaw_of_its_own_look(example: Example) -> None:
    flaw = example.flaw()
    assert example.photograph(look=flaw.look, flaw=flaw).flaw == flaw


def test_what_was_said_of_a_reading_cannot_be_taken_away(example: Example) -> None:
    said = example.exclusion()
    assert refused(example, lambda _: said.delete()) == "what was said of a reading is only added to"


@pytest.mark.parametrize("change", [lambda row: updated(row, title="Renamed"), lambda row: row.delete()])
def test_history_is_only_added_to(change: Callable[[Any], object], example: Example) -> None:
    row = example.programme.history.get()
    assert refused(example, lambda _: change(row)) == "history is only added to"


def test_how_far_a_correction_came_may_change(example: Example) -> None:
    correction = example.correction()
    correction.status = "dropped"
    correction.save()
    assert Correction.objects.get(pk=correction.pk).status == "dropped"


def test_a_prediction_is_judged_once_and_its_numbers_stay(example: Example) -> None:
    prediction = example.prediction()
    updated(prediction, judged_in=example.trial, outcome="confirmed")
    assert Prediction.objects.get(pk=prediction.pk).outcome == "confirmed"


def test_a_part_may_move_to_another_resin_of_its_programme(example: Example) -> None:
    resin = Resin.objects.create(
        programme=example.programme, code="POM", flow_pct=2, cross_pct=1.8, thickness_pct=1.9
    )
    example.body.resin = resin
    example.body.save()
    assert Part.objects.get(pk=example.body.pk).resin == resin


def make_anew(model: type[models.Model], name: str, other: models.Field[Any, Any]) -> None:
    """Change a column and change it back, as migrations do."""
    field = model._meta.get_field(name)
    assert isinstance(field, models.Field)
    other.set_attributes_from_name(name)
    other.model = model
    with connection.schema_editor() as editor:
        editor.alter_field(model, field, other)
    with connection.schema_editor() as editor:
        editor.alter_field(model, other, field)


@pytest.mark.django_db(transaction=True)
def test_a_table_made_anew_keeps_its_guards() -> None:
    take_down_guards(using="default")
    assert not expected() & in_place()
    make_anew(Reading, "row", models.BigIntegerField())
    make_anew(Cavity, "label", models.TextField())
    put_up_guards(using="default")
    assert in_place() == expected()


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif("DATABASE_URL" in os.environ, reason="SQLite's trap")
def test_left_up_a_guard_would_be_lost_or_in_the_way() -> None:
    """Why guards hang on the signals of migrations and do not stand in one."""
    make_anew(Reading, "row", models.BigIntegerField())
    assert "guard_reading_kept_update" not in in_place()
    with pytest.raises(OperationalError, match="error in trigger"):
        make_anew(Cavity, "label", models.TextField())
    put_up_guards(using="default")
    assert in_place() == expected()


@pytest.mark.django_db(transaction=True)
def test_guards_stand_again_after_django_migrates() -> None:
    take_down_guards(using="default")
    call_command("migrate", verbosity=0, interactive=False)
    assert in_place() == expected()
