"""The database itself refuses what cannot be, whoever writes to it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from math import inf, nan

import pytest
from django.apps import apps
from django.db import models, transaction

from offtool.core.values import OfftoolError
from offtool.handbook.terms import LARGEST_NUMBER
from offtool.records.models import (
    Cavity,
    Gauge,
    Move,
    Part,
    Programme,
    Shot,
    SourceFile,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.refusals import refusals_in_words
from tests.records import broken_pilot, broken_planning, broken_samples
from tests.records.example import NOON, Example, feature_of, resin_of, size_of
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

TOO_LARGE = 2 * LARGEST_NUMBER

WRITES: dict[str, Callable[..., object]] = {
    "resin": lambda e, **bad: resin_of(e.programme, **{"code": "X"} | bad),
    "gauge": lambda e, **bad: Gauge.objects.create(
        **{"programme": e.programme, "code": "X", "resolution": 0.001, "uncertainty": 0.002} | bad
    ),
    "characteristic": lambda e, **bad: size_of(e.body, **{"number": "2"} | bad),
    "tool": lambda e, **bad: Tool.objects.create(**{"programme": e.programme, "code": "X"} | bad),
    "tool_state": lambda e, **bad: ToolState.objects.create(
        **{"tool": e.tool, "label": "b", "ordinal": 2} | bad
    ),
    "feature": lambda e, **bad: feature_of(e.tool, e.body, **{"code": "X"} | bad),
    "steel_size": lambda e, **bad: SteelSize.objects.create(
        **{"feature": e.limb_recess, "cavity": e.limb_cavity, "state": e.state}
        | {"measured_mm": 4.0, "allowance_mm": 0.1}
        | bad
    ),
    "move": lambda e, **bad: Move.objects.create(
        **{"feature": e.limb_recess, "characteristic": e.limb_length, "factor": 1.0} | bad
    ),
    "trial": lambda e, **bad: Trial.objects.create(**{"tool": e.tool, "name": "T2", "state": e.state} | bad),
    "correction": lambda e, **bad: e.correction(**bad),
    "prediction": lambda e, **bad: e.prediction(**bad),
    "reading": lambda e, **bad: e.reading(**bad),
    "gauge_study": lambda e, **bad: e.study(**bad),
    "gauge_reading": lambda e, **bad: e.gauge_reading(**bad),
    "look": lambda e, **bad: e.look(**bad),
    "flaw": lambda e, **bad: e.flaw(**bad),
    "joint": lambda e, **bad: joint_of(e, **{"friction_low": 0.2, "friction_high": 0.4} | bad),
    "joint_size": lambda e, **bad: joint_size_of(e, **{"characteristic": None, "value": 4.0} | bad),
    "joint_reading": joint_reading_of,
    "joint_demand": demand_of,
    "seam": seam_of,
    "seam_size": seam_size_of,
    "weld_run": weld_run_of,
    **broken_samples.WRITES,
    **broken_planning.WRITES,
    **broken_pilot.WRITES,
}
"""By table: a write of one row that holds, but for what is given."""

OUTSIDE: dict[str, tuple[float, ...]] = {
    "resin flow_pct": (0.0, 20.0, -0.5),
    "resin cross_pct": (0.0, 20.0, -0.5),
    "resin thickness_pct": (0.0, 20.0, -0.5),
    "resin density_g_cm3": (0.0, -1.0),
    "gauge resolution": (0.0, -0.001),
    "gauge uncertainty": (-0.001,),
    "characteristic nominal": (TOO_LARGE, -TOO_LARGE),
    "characteristic lower": (-TOO_LARGE,),
    "characteristic upper": (TOO_LARGE,),
    "characteristic target": (TOO_LARGE, -TOO_LARGE),
    "characteristic required_index": (0.0, -1.0),
    "tool step_mm": (0.0, -0.01, 1.5),
    "tool cut_sd_mm": (-0.01,),
    "tool_state ordinal": (0,),
    "feature size_change_per_mm": (TOO_LARGE,),
    "feature drawn_mm": (0.0, -4.0),
    "steel_size measured_mm": (0.0, -4.0),
    "steel_size uncertainty_mm": (-0.001,),
    "steel_size allowance_mm": (-0.001,),
    "move factor": (TOO_LARGE,),
    "trial age_h": (-1.0,),
    "correction amount_mm": (TOO_LARGE,),
    "correction size_before_mm": (0.0,),
    "correction size_after_mm": (0.0,),
    "correction allowance_left_mm": (-0.001,),
    "prediction mean": (TOO_LARGE,),
    "prediction low": (-TOO_LARGE,),
    "prediction high": (TOO_LARGE,),
    "prediction confidence": (0.0, 1.0, 80.0),
    "prediction sd": (-0.001,),
    "reading value": (TOO_LARGE, -TOO_LARGE),
    "gauge_study tolerance": (0.0, -0.1),
    "gauge_study reference_uncertainty": (-0.001,),
    "gauge_reading value": (TOO_LARGE, -TOO_LARGE),
    "gauge_reading reference": (TOO_LARGE, -TOO_LARGE),
    "gauge_reading repeat": (0,),
    "look pieces": (0, 1_000_001),
    "flaw pieces": (0,),
    "joint lower": (-TOO_LARGE,),
    "joint upper": (TOO_LARGE,),
    "joint limb_mass_g": (-1.0,),
    "joint lever_mm": (-1.0,),
    "joint safety_factor": (0.0, -1.0),
    "joint friction_low": (0.0, -0.1),
    "joint friction_high": (0.0, -0.1),
    "joint inner_modulus_mpa": (0.0, -1.0),
    "joint outer_modulus_mpa": (0.0, -1.0),
    "joint strain_allowed_pct": (0.0, -1.0),
    "joint_size value": (TOO_LARGE, -TOO_LARGE),
    "joint_size factor": (TOO_LARGE, -TOO_LARGE),
    "joint_size angle_deg": (TOO_LARGE, -TOO_LARGE),
    "joint_size plus_minus": (-0.01,),
    "joint_reading value": (TOO_LARGE, -TOO_LARGE),
    "joint_reading hours": (-1.0,),
    "joint_reading repeat": (0,),
    "joint_demand target": (TOO_LARGE, -TOO_LARGE),
    "joint_demand lower": (-TOO_LARGE,),
    "joint_demand upper": (TOO_LARGE,),
    "seam required_n": (0.0, -1.0),
    "seam largest_flash_mm": (0.0, -1.0),
    "seam frequency_khz": (0.0, -20.0),
    "seam converter_um": (0.0, -20.0),
    "seam booster_gain": (0.0, -1.0),
    "seam horn_gain": (0.0, -1.0),
    "seam amplitude_pct": (0.0, 100.5),
    "seam horn_distance_mm": (-1.0,),
    "seam_size value": (TOO_LARGE, -TOO_LARGE),
    "seam_size plus_minus": (-0.01,),
    "weld_run time_s": (-0.1,),
    "weld_run pressure_bar": (-0.1,),
    "weld_run amplitude_um": (-1.0,),
    "weld_run hold_s": (-0.1,),
    "weld_run energy_j": (-1.0,),
    "weld_run strength_n": (-1.0,),
    "weld_run flash_mm": (-0.1,),
    "weld_run height_mm": (-0.1,),
    "weld_run collapse_mm": (TOO_LARGE, -TOO_LARGE),
    **broken_samples.OUTSIDE,
    **broken_planning.OUTSIDE,
    **broken_pilot.OUTSIDE,
}
"""By table and column: numbers just outside, or far."""

WHOLE = {
    *("tool_state ordinal", "gauge_reading repeat", "look pieces", "flaw pieces"),
    "joint_reading repeat",
    *broken_samples.WHOLE,
    *broken_planning.WHOLE,
    *broken_pilot.WHOLE,
}
"""Whole numbers: an infinite one, or one that is no number, cannot even be asked for."""


def twice(make: Callable[..., object], *of: object, **given: object) -> None:
    make(*of, **given)
    make(*of, **given)


BROKEN: dict[str, Callable[[Example], object]] = {
    "programme_slug_filled": lambda e: Programme.objects.create(slug="", title="x"),
    "programme_title_filled": lambda e: Programme.objects.create(slug="x", title=""),
    "resin_code_once": lambda e: resin_of(e.programme),
    "resin_code_filled": lambda e: resin_of(e.programme, code=""),
    "part_code_once": lambda e: Part.objects.create(programme=e.programme, code="body", resin=e.resin),
    "part_code_filled": lambda e: Part.objects.create(programme=e.programme, code="", resin=e.resin),
    "gauge_code_once": lambda e: Gauge.objects.create(
        programme=e.programme, code="G1", resolution=1, uncertainty=0
    ),
    "gauge_code_filled": lambda e: Gauge.objects.create(
        programme=e.programme, code="", resolution=1, uncertainty=0
    ),
    "characteristic_number_once": lambda e: size_of(e.body),
    "characteristic_number_filled": lambda e: size_of(e.body, number=""),
    "characteristic_unit_filled": lambda e: size_of(e.body, number="2", unit="", kind="other"),
    "characteristic_unit_known": lambda e: size_of(e.body, number="2", unit="inch"),
    "characteristic_kind_word": lambda e: size_of(e.body, number="2", kind="bore"),
    "characteristic_direction_word": lambda e: size_of(e.body, number="2", direction="up"),
    "characteristic_weight_class_word": lambda e: size_of(e.body, number="2", weight_class="heavy"),
    "characteristic_limits_in_order": lambda e: size_of(e.body, number="2", lower=4.1, upper=4.0),
    "characteristic_has_a_limit": lambda e: size_of(e.body, number="2", lower=None, upper=None),
    "tool_code_once": lambda e: Tool.objects.create(programme=e.programme, code="M1"),
    "tool_code_filled": lambda e: Tool.objects.create(programme=e.programme, code=""),
    "cavity_label_once": lambda e: Cavity.objects.create(tool=e.tool, part=e.body, label="1"),
    "cavity_label_filled": lambda e: Cavity.objects.create(tool=e.tool, part=e.body, label=""),
    "tool_state_label_once": lambda e: ToolState.objects.create(tool=e.tool, label="a", ordinal=2),
    "tool_state_ordinal_once": lambda e: ToolState.objects.create(tool=e.tool, label="b", ordinal=1),
    "tool_state_label_filled": lambda e: ToolState.objects.create(tool=e.tool, label="", ordinal=2),
    "feature_code_once": lambda e: feature_of(e.tool, e.body),
    "feature_code_filled": lambda e: feature_of(e.tool, e.body, code=""),
    "feature_half_word": lambda e: feature_of(e.tool, e.body, code="x", half="left half"),
    "feature_stated_word": lambda e: feature_of(e.tool, e.body, code="x", stated="radius"),
    "feature_size_change_per_mm_not_zero": lambda e: feature_of(
        e.tool, e.body, code="x", size_change_per_mm=0
    ),
    "steel_size_once": lambda e: SteelSize.objects.create(
        feature=e.pin, cavity=e.cavities[0], state=e.state, measured_mm=4, allowance_mm=0
    ),
    "move_once": lambda e: Move.objects.create(feature=e.pin, characteristic=e.bore, factor=1),
    "move_one_forming_feature": lambda e: Move.objects.create(
        feature=feature_of(e.tool, e.body, code="x"), characteristic=e.bore, factor=1, forms=True
    ),
    "move_factor_not_zero": lambda e: Move.objects.create(
        feature=feature_of(e.tool, e.body, code="x"), characteristic=e.bore, factor=0
    ),
    "trial_name_once": lambda e: Trial.objects.create(tool=e.tool, name="T1", state=e.state),
    "trial_name_filled": lambda e: Trial.objects.create(tool=e.tool, name="", state=e.state),
    "trial_measured_after_moulding": lambda e: Trial.objects.create(
        tool=e.tool, name="T2", state=e.state, moulded_at=NOON, measured_at=NOON - timedelta(seconds=1)
    ),
    "source_file_once": lambda e: [
        SourceFile.objects.create(**e.source_values(sha256="f" * 64, sheet="Maße")) for _ in (1, 2)
    ],
    "source_file_name_filled": lambda e: SourceFile.objects.create(**e.source_values(name="")),
    "source_file_layout_filled": lambda e: SourceFile.objects.create(**e.source_values(layout="")),
    "shot_number_once": lambda e: [Shot.objects.create(trial=e.trial, number=7) for _ in (1, 2)],
    "correction_once": lambda e: [e.correction() for _ in (1, 2)],
    "correction_amount_mm_not_zero": lambda e: e.correction(amount_mm=0),
    "correction_cause_word": lambda e: e.correction(cause="bad luck"),
    "correction_status_word": lambda e: e.correction(status="lost"),
    "correction_cut_has_state": lambda e: e.correction(status="cut"),
    "prediction_outcome_word": lambda e: e.prediction(outcome="maybe", judged_in=e.trial),
    "prediction_in_its_interval": lambda e: e.prediction(mean=5.0),
    "prediction_judged_by_a_trial": lambda e: e.prediction(outcome="confirmed"),
    "exclusion_reason_filled": lambda e: e.exclusion(reason=""),
    "defect_code_once": lambda e: [e.defect(code="flash") for _ in (1, 2)],
    "defect_code_filled": lambda e: e.defect(code=""),
    "defect_name_filled": lambda e: e.defect(name=""),
    "defect_weight_class_word": lambda e: e.defect(weight_class="heavy"),
    "flaw_once": lambda e: twice(e.flaw, look=e.look(), defect=e.defect()),
    "photograph_once": lambda e: twice(e.photograph, look=e.look(), sha256="f" * 64),
    "photograph_name_filled": lambda e: e.photograph(name=""),
    "photograph_media_type_word": lambda e: e.photograph(media_type="image/tiff"),
    "photograph_has_pixels": lambda e: e.photograph(height=0),
    "gauge_study_once": lambda e: [e.study(name="S") for _ in (1, 2)],
    "gauge_study_name_filled": lambda e: e.study(name=""),
    "gauge_study_file_name_filled": lambda e: e.study(file_name=""),
    "gauge_study_kind_word": lambda e: e.study(kind="round robin"),
    "gauge_reading_once": lambda e: twice(e.gauge_reading, study=e.study()),
    "gauge_reading_part_filled": lambda e: e.gauge_reading(part=""),
    "joint_code_once": lambda e: [joint_of(e, code="hip") for _ in (1, 2)],
    "joint_code_filled": lambda e: joint_of(e, code=""),
    "joint_kind_word": lambda e: joint_of(e, kind="hinge"),
    "joint_limits_in_order": lambda e: joint_of(e, lower=0.1, upper=0.1),
    "joint_friction_in_order": lambda e: joint_of(e, friction_low=0.3, friction_high=0.2),
    "joint_size_role_once": lambda e: twice(joint_size_of, e, joint=joint_of(e)),
    "joint_size_role_filled": lambda e: joint_size_of(e, role=""),
    "joint_size_one_source": lambda e: joint_size_of(e, value=4.0),
    "joint_size_factor_not_zero": lambda e: joint_size_of(e, factor=0),
    "joint_test_once": lambda e: twice(joint_test_of, e, joint=joint_of(e), name="J"),
    "joint_test_name_filled": lambda e: joint_test_of(e, name=""),
    "joint_test_file_name_filled": lambda e: joint_test_of(e, file_name=""),
    "joint_reading_once": lambda e: twice(joint_reading_of, e, test=joint_test_of(e)),
    "joint_reading_piece_filled": lambda e: joint_reading_of(e, piece=""),
    "joint_reading_what_word": lambda e: joint_reading_of(e, what="feel"),
    "joint_reading_condition_word": lambda e: joint_reading_of(e, condition="old"),
    "joint_demand_reason_filled": lambda e: demand_of(e, reason=""),
    "joint_demand_once": lambda e: twice(demand_of, e, joint=joint_size_of(e).joint, dropped="no"),
    "joint_demand_one_that_counts": lambda e: [demand_of(e) for _ in (1, 2)],
    "joint_demand_target_inside": lambda e: demand_of(e, target=4.01),
    "seam_code_once": lambda e: [seam_of(e, code="torso") for _ in (1, 2)],
    "seam_code_filled": lambda e: seam_of(e, code=""),
    "seam_kind_word": lambda e: seam_of(e, kind="glue"),
    "seam_size_role_once": lambda e: twice(seam_size_of, e, seam=seam_of(e)),
    "seam_size_role_filled": lambda e: seam_size_of(e, role=""),
    "seam_size_one_source": lambda e: seam_size_of(e, characteristic=e.bore),
    "weld_study_once": lambda e: twice(weld_study_of, e, seam=seam_of(e), name="W"),
    "weld_study_name_filled": lambda e: weld_study_of(e, name=""),
    "weld_study_file_name_filled": lambda e: weld_study_of(e, file_name=""),
    "weld_run_once": lambda e: twice(weld_run_of, e, study=weld_study_of(e)),
    "weld_run_piece_filled": lambda e: weld_run_of(e, piece=""),
    "weld_run_failure_word": lambda e: weld_run_of(e, failure="broken"),
    "weld_run_appearance_word": lambda e: weld_run_of(e, appearance="fine"),
    "weld_run_ridge_word": lambda e: weld_run_of(e, ridge="gone"),
    **broken_samples.BROKEN,
    **broken_planning.BROKEN,
    **broken_pilot.BROKEN,
}
"""By constraint: a write that breaks it and no other."""


def _models() -> Iterator[type[models.Model]]:
    yield from apps.get_app_config("records").get_models()


def _constraint(name: str) -> models.BaseConstraint:
    return next(one for model in _models() for one in model._meta.constraints if one.name == name)


@pytest.mark.parametrize("name", BROKEN)
def test_a_write_that_breaks_a_constraint_is_refused_in_words(name: str, example: Example) -> None:
    with pytest.raises(OfftoolError) as refused, refusals_in_words("here"), transaction.atomic():
        BROKEN[name](example)
    assert refused.value.what == _constraint(name).get_violation_error_message()
    assert refused.value.where == "here"


@pytest.mark.parametrize("column", OUTSIDE)
@pytest.mark.parametrize("which", ["outside", "infinite", "huge"])
def test_a_number_outside_its_range_is_refused(column: str, which: str, example: Example) -> None:
    table, name = column.split()
    values = (
        OUTSIDE[column]
        if which == "outside" or column in WHOLE
        else {"infinite": (inf, -inf), "huge": (1e308,)}[which]
    )
    for value in values:
        with pytest.raises(OfftoolError), refusals_in_words(), transaction.atomic():
            WRITES[table](example, **{name: value})


@pytest.mark.parametrize("column", [column for column in OUTSIDE if column not in WHOLE])
def test_nan_is_refused_or_is_a_blank(column: str, example: Example) -> None:
    table, name = column.split()
    try:
        with refusals_in_words(), transaction.atomic():
            row = WRITES[table](example, **{name: nan})
    except OfftoolError:
        return
    assert isinstance(row, models.Model)
    row.refresh_from_db()
    assert getattr(row, name) is None
    assert row._meta.get_field(name).null


def test_the_writes_that_the_refused_ones_are_made_from_hold(example: Example) -> None:
    for write in WRITES.values():
        with transaction.atomic():
            assert isinstance(write(example), models.Model)
            transaction.set_rollback(True)


@pytest.mark.parametrize("end", ["friction_low", "friction_high"])
def test_friction_has_both_ends_or_none(end: str, example: Example) -> None:
    with pytest.raises(OfftoolError, match="both ends"), refusals_in_words(), transaction.atomic():
        joint_of(example, **{end: 0.3})


def test_every_constraint_is_broken_here_once() -> None:
    ranges = {f"{column.replace(' ', '_')}_range" for column in OUTSIDE}
    assert {one.name for model in _models() for one in model._meta.constraints} == ranges | BROKEN.keys()
