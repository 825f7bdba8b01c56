"""Writes of lines, pilots and releases that the database must refuse; the tests beside try them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import models

from offtool.records.models import Joint, Programme, Sample, Seam, Tool, ToolState, Trial
from tests.records.broken_samples import Write, twice, updated
from tests.records.example import NOON, Example
from tests.records.joined import joint_of, seam_of
from tests.records.piloted import (
    after_of,
    audit_of,
    break_of,
    change_made_of,
    concession_of,
    count_of,
    defect_of,
    equipment_of,
    evidence_of,
    evidence_state_of,
    feeds_of,
    has_of,
    limit_sample_of,
    line_of,
    needs_of,
    pair_of,
    pilot_of,
    pilot_trial_of,
    release_line_of,
    sheet_of,
    signature_of,
    station_of,
    step_days_of,
    task_of,
    time_of,
    toy_piece_of,
    toy_test_of,
)
from tests.records.sampled import press_of, sample_of


def _other_state(e: Example) -> ToolState:
    tool = Tool.objects.create(programme=e.other, code="M9")
    return ToolState.objects.create(tool=tool, label="a", ordinal=1)


def _other_trial(e: Example) -> Trial:
    state = _other_state(e)
    return Trial.objects.create(tool=state.tool, name="T1", state=state)


def _other_joint(e: Example) -> Joint:
    return joint_of(e, programme=e.other)


def _other_seam(e: Example) -> Seam:
    return seam_of(e, programme=e.other, top_part=e.other_part, bottom_part=e.other_part)


def _other_sample(e: Example) -> Sample:
    return sample_of(e, programme=e.other)


GUARDED: dict[str, Write] = {
    "guard_line_station_rework": lambda e: station_of(e, rework_to=station_of(e)),
    "guard_line_station_has": lambda e: has_of(e, equipment=equipment_of(e)),
    "guard_line_break_station": lambda e: break_of(e, station=station_of(e)),
    "guard_line_task_part": lambda e: task_of(e, part=e.other_part),
    "guard_line_task_joint": lambda e: task_of(e, joint=_other_joint(e)),
    "guard_line_task_seam": lambda e: task_of(e, seam=_other_seam(e)),
    "guard_line_task_fixed": lambda e: task_of(e, fixed_station=station_of(e)),
    "guard_line_task_placed": lambda e: task_of(e, placed_at=station_of(e)),
    "guard_line_task_after": lambda e: after_of(e, before=task_of(e)),
    "guard_line_task_needs": lambda e: needs_of(e, equipment=equipment_of(e)),
    "guard_line_pair": lambda e: pair_of(e, other=task_of(e)),
    "guard_line_press_tool": lambda e: feeds_of(e, tool=_other_state(e).tool),
    "guard_line_press_press": lambda e: feeds_of(e, press=press_of(e, programme=e.other)),
    "guard_line_press_task": lambda e: feeds_of(e, task=task_of(e)),
    "guard_pilot_trial": lambda e: pilot_trial_of(e, trial=_other_trial(e)),
    "guard_pilotfile_frozen": lambda e: updated(sheet_of(e), name="S0"),
    "guard_pilotcount_kept": lambda e: updated(count_of(e), tried=101),
    "guard_pilotdefect_kept": lambda e: updated(defect_of(e), count=5),
    "guard_pilottime_kept": lambda e: updated(time_of(e), time_s=20.0),
    "guard_pilotaudit_kept": lambda e: updated(audit_of(e), value=0.06),
    "guard_pilotcount_station": lambda e: count_of(e, station=station_of(e)),
    "guard_pilotdefect_station": lambda e: defect_of(e, station=station_of(e)),
    "guard_pilottime_station": lambda e: time_of(e, station=station_of(e)),
    "guard_pilottime_task": lambda e: time_of(e, task=task_of(e)),
    "guard_pilot_audit_seam": lambda e: audit_of(e, joint=None, seam=_other_seam(e)),
    "guard_pilot_audit_joint": lambda e: audit_of(e, joint=_other_joint(e)),
    "guard_evidence_frozen": lambda e: updated(evidence_of(e), says="does not hold"),
    "guard_evidence_stays": lambda e: evidence_of(e).delete(),
    "guard_evidencestate_kept": lambda e: updated(evidence_state_of(e), state=e.state_2),
    "guard_evidence_state": lambda e: evidence_state_of(e, state=_other_state(e)),
    "guard_toytestrun_frozen": lambda e: updated(toy_test_of(e), market="EU"),
    "guard_toytestpiece_kept": lambda e: updated(toy_piece_of(e), held=False),
    "guard_toy_test_part": lambda e: toy_piece_of(e, part=e.other_part),
    "guard_changemade_frozen": lambda e: updated(change_made_of(e), words="old mask"),
    "guard_change_tool": lambda e: change_made_of(e, tool=_other_state(e).tool),
    "guard_change_part": lambda e: change_made_of(e, part=e.other_part),
    "guard_change_joint": lambda e: change_made_of(e, joint=_other_joint(e)),
    "guard_change_seam": lambda e: change_made_of(e, seam=_other_seam(e)),
    "guard_concession_frozen": lambda e: updated(concession_of(e), amount="0.1 mm"),
    "guard_limitsample_frozen": lambda e: updated(limit_sample_of(e), kind="good"),
    "guard_limit_sample_sample": lambda e: limit_sample_of(e, sample=_other_sample(e)),
    "guard_limit_sample_station": lambda e: limit_sample_of(
        e, station=station_of(e, line=line_of(e, programme=e.other))
    ),
    "guard_signature_frozen": lambda e: updated(signature_of(e), states="not released"),
    "guard_signature_stays": lambda e: signature_of(e).delete(),
}
"""By guard: a write that it must refuse."""

_LATER = NOON + timedelta(hours=1)
_OTHER_DAY = NOON.date() + timedelta(days=1)
_OTHER_FILE = {"file_name": "other.csv", "sha256": "f" * 64, "content": b"y"}
_READ_LATER = {**_OTHER_FILE, "read_at": _LATER, "read_by": "Bo", "done_on": NOON.date()}

FROZEN: dict[str, tuple[Callable[[Example], models.Model], dict[str, Any]]] = {
    "sheet of a pilot": (sheet_of, {"kind": "times", "name": "S0", **_READ_LATER}),
    "test of the law": (toy_test_of, {"name": "T0", "market": "EU", "test": "tension", **_READ_LATER}),
    "evidence": (
        evidence_of,
        {
            **_OTHER_FILE,
            "code": "decoration",
            "says": "does not hold",
            "tested_on": _OTHER_DAY,
            "lab": "another",
            "number": "7",
            "accredited": True,
            "note": "more",
            "given_by": "Bo",
            "given_at": _LATER,
        },
    ),
    "change made": (
        change_made_of,
        {"what": "paint", "on": _OTHER_DAY, "words": "old mask", "told_by": "Bo", "told_at": _LATER},
    ),
}
"""What may only be set aside, and other values of the columns that must stay."""

WRITES: dict[str, Callable[..., object]] = {
    "programme": lambda e, **bad: Programme.objects.create(**{"slug": "third", "title": "Third"} | bad),
    "line": line_of,
    "line_equipment": equipment_of,
    "line_station": lambda e, **bad: station_of(e, **{"works_s": 3600.0, "stands_s": 60.0} | bad),
    "line_break": break_of,
    "line_task": task_of,
    "line_press": lambda e, **bad: feeds_of(e, **{"works_s": 3600.0, "stands_s": 60.0} | bad),
    "pilot": pilot_of,
    "pilot_count": count_of,
    "pilot_defect": defect_of,
    "pilot_time": time_of,
    "pilot_audit": audit_of,
    "release_line": release_line_of,
    "step_days": lambda e, **bad: step_days_of(e, **{"low_days": 2.0, "high_days": 4.0} | bad),
    "concession": concession_of,
    "toy_test_piece": toy_piece_of,
}
"""By table: a write of one row that holds, but for what is given."""

_ABOVE_0, _FROM_0 = (0.0, -1.0), (-0.5,)
_YIELD, _SHARE, _LEARNING = (0.0, 1.01), (-0.01, 1.0), (0.49, 1.01)
_PEOPLE, _ONE = (0, 10_001), (0,)

OUTSIDE: dict[str, tuple[float, ...]] = {
    "programme from_months": (-0.5, 1201.0),
    "programme to_months": (-0.5, 1201.0),
    "programme mass_kg": _ABOVE_0,
    "line planned_per_h": _ABOVE_0,
    "line quantity": _ONE,
    "line people": _PEOPLE,
    "line hours_per_day": (0.0, 24.5),
    "line piece_cost": _FROM_0,
    "line minute_cost": _FROM_0,
    "line planned_first_yield": _YIELD,
    "line planned_final_yield": _YIELD,
    "line learning_low": _LEARNING,
    "line learning_high": _LEARNING,
    "line_equipment at_most": _ONE,
    "line_station number": _ONE,
    "line_station people": _PEOPLE,
    "line_station works_s": _ABOVE_0,
    "line_station stands_s": _ABOVE_0,
    "line_station fixtures": _ONE,
    "line_station places": (-1,),
    "line_station cure_s": _FROM_0,
    "line_station rounds": (-1,),
    "line_station made_before": (-1,),
    "line_station fails": _SHARE,
    "line_station learning": _LEARNING,
    "line_break begins_h": (-0.5, 24.5),
    "line_break ends_h": (24.5,),
    "line_break people": (-1,),
    "line_task time_s": _ABOVE_0,
    "line_task spread_s": _FROM_0,
    "line_task readings": (-1,),
    "line_press cycle_s": _ABOVE_0,
    "line_press works_s": _ABOVE_0,
    "line_press stands_s": _ABOVE_0,
    "line_press cycle_spread_s": _FROM_0,
    "line_press rejects": _SHARE,
    "pilot pieces": _ONE,
    "pilot hours": _ABOVE_0,
    "pilot people": _PEOPLE,
    "pilot_count hour": _ONE,
    "pilot_defect hour": _ONE,
    "pilot_defect rework_minutes": _FROM_0,
    "pilot_time hour": _ONE,
    "pilot_time time_s": _ABOVE_0,
    "pilot_audit hour": _ONE,
    "pilot_audit value": (2e9, -2e9),
    "release_line stale_after_days": _ONE,
    "step_days low_days": _FROM_0,
    "step_days high_days": _FROM_0,
    "concession pieces": _ONE,
    "toy_test_piece value": _FROM_0,
    "toy_test_piece drops": _ONE,
    "toy_test_piece height_m": _ABOVE_0,
    "toy_test_piece came_off_mm": _ABOVE_0,
}
"""By table and column: numbers just outside, or far."""

WHOLE = {
    *("line quantity", "line people", "line_equipment at_most", "line_station number", "line_station people"),
    *("line_station fixtures", "line_station places", "line_station rounds", "line_station made_before"),
    *("line_break people", "line_task readings", "pilot pieces", "pilot people", "pilot_count hour"),
    *("pilot_defect hour", "pilot_time hour", "pilot_audit hour", "release_line stale_after_days"),
    *("concession pieces", "toy_test_piece drops"),
}

_OF_LINE: dict[str, Write] = {
    "programme_ages_in_order": lambda e: updated(e.programme, from_months=36.0, to_months=36.0),
    "line_name_once": lambda e: twice(line_of, e, name="L"),
    "line_name_filled": lambda e: line_of(e, name=""),
    "line_learning_in_order": lambda e: line_of(e, learning_low=0.9, learning_high=0.8),
    "line_yields_in_order": lambda e: line_of(e, planned_first_yield=0.9, planned_final_yield=0.8),
    "line_equipment_once": lambda e: twice(equipment_of, e, line=line_of(e), name="welder"),
    "line_equipment_name_filled": lambda e: equipment_of(e, name=""),
    "line_equipment_name_listed": lambda e: equipment_of(e, name="welder; booth"),
    "line_station_once": lambda e: twice(station_of, e, line=line_of(e), number=1),
    "line_station_name_once": lambda e: _two_stations(e, name="welder"),
    "line_station_stoppage_whole": lambda e: station_of(e, works_s=3600.0),
    "line_station_has_once": lambda e: _again(has_of(e)),
    "line_break_once": lambda e: _two_breaks(e, at_station=True),
    "line_break_of_line_once": lambda e: _two_breaks(e, at_station=False),
    "line_break_hours_in_order": lambda e: break_of(e, ends_h=2.0),
    "line_task_once": lambda e: twice(task_of, e, line=line_of(e), name="weld"),
    "line_task_name_filled": lambda e: task_of(e, name=""),
    "line_task_name_listed": lambda e: task_of(e, name="weld; look"),
    "line_task_side_word": lambda e: task_of(e, side="above"),
    "line_task_after_once": lambda e: _again(after_of(e)),
    "line_task_after_another": lambda e: updated(after_of(e), before=models.F("task")),
    "line_task_needs_once": lambda e: _again(needs_of(e)),
    "line_pair_once": lambda e: _again(pair_of(e)),
    "line_pair_kind_word": lambda e: pair_of(e, kind="near"),
    "line_pair_of_two": lambda e: updated(pair_of(e), other=models.F("one")),
    "line_press_once": lambda e: twice(feeds_of, e, line=line_of(e)),
    "line_press_stoppage_whole": lambda e: feeds_of(e, stands_s=60.0),
}

_OF_PILOT: dict[str, Write] = {
    "pilot_name_once": lambda e: twice(pilot_of, e, line=line_of(e), name="P1"),
    "pilot_name_filled": lambda e: pilot_of(e, name=""),
    "pilot_trial_once": lambda e: twice(pilot_trial_of, e, pilot=pilot_of(e)),
    "pilot_file_once": lambda e: twice(sheet_of, e, pilot=pilot_of(e), name="1"),
    "pilot_file_bytes_once": lambda e: twice(sheet_of, e, pilot=pilot_of(e), sha256="5" * 64),
    "pilot_file_name_filled": lambda e: sheet_of(e, name=""),
    "pilot_file_file_name_filled": lambda e: sheet_of(e, file_name=""),
    "pilot_file_kind_word": lambda e: sheet_of(e, kind="songs"),
    "pilot_count_once": lambda e: twice(count_of, e, file=sheet_of(e)),
    "pilot_count_good_of_tried": lambda e: count_of(e, tried=95),
    "pilot_count_all_of_tried": lambda e: count_of(e, scrapped=5),
    "pilot_defect_once": lambda e: twice(defect_of, e, file=sheet_of(e)),
    "pilot_defect_defect_filled": lambda e: defect_of(e, defect=""),
    "pilot_defect_scrapped_of_count": lambda e: defect_of(e, scrapped=5),
    "pilot_time_once": lambda e: twice(time_of, e, file=sheet_of(e)),
    "pilot_audit_once": lambda e: twice(audit_of, e, file=sheet_of(e), joint=joint_of(e)),
    "pilot_audit_of_one": lambda e: audit_of(e, joint=None),
}

_OF_RELEASE: dict[str, Write] = {
    "release_line_once": lambda e: twice(release_line_of, e, code="own"),
    "release_line_code_filled": lambda e: release_line_of(e, code=""),
    "release_line_fed_by_word": lambda e: release_line_of(e, fed_by="hope"),
    "evidence_once": lambda e: twice(evidence_of, e, given_at=NOON),
    "evidence_code_filled": lambda e: evidence_of(e, code=""),
    "evidence_says_word": lambda e: evidence_of(e, says="perhaps"),
    "evidence_file_whole": lambda e: evidence_of(e, sha256=""),
    "evidence_state_once": lambda e: twice(evidence_state_of, e, evidence=evidence_of(e)),
    "change_made_once": lambda e: twice(change_made_of, e, told_at=NOON),
    "change_made_words_filled": lambda e: change_made_of(e, words=""),
    "change_made_what_word": lambda e: change_made_of(e, what="mood"),
    "step_days_once": lambda e: twice(step_days_of, e, step="cut"),
    "step_days_step_filled": lambda e: step_days_of(e, step=""),
    "step_days_in_order": lambda e: step_days_of(e, high_days=1.0),
    "concession_once": lambda e: twice(concession_of, e, item="all"),
    **{
        f"concession_{column}_filled": lambda e, column=column: concession_of(e, **{column: ""})
        for column in ("code", "amount", "reason", "approved_by")
    },
    "concession_has_an_end": lambda e: concession_of(e, pieces=None),
    "concession_days_in_order": lambda e: concession_of(e, until=NOON.date() - timedelta(days=1)),
    "concession_closed_whole": lambda e: concession_of(e, closed_on=_OTHER_DAY),
    "limit_sample_once": lambda e: twice(limit_sample_of, e, sample=sample_of(e), area="ear"),
    "limit_sample_signed_by_filled": lambda e: limit_sample_of(e, signed_by=""),
    "limit_sample_kind_word": lambda e: limit_sample_of(e, kind="fine"),
    "limit_sample_days_in_order": lambda e: limit_sample_of(e, valid_until=NOON.date() - timedelta(days=1)),
    "signature_once": lambda e: twice(signature_of, e, signed_at=NOON),
    "signature_person_filled": lambda e: signature_of(e, person=""),
    "signature_fingerprint_filled": lambda e: signature_of(e, fingerprint=""),
    "signature_role_word": lambda e: signature_of(e, role="neighbour"),
    "signature_states_word": lambda e: signature_of(e, states="maybe"),
    "signature_withdrawn_whole": lambda e: signature_of(e, withdrawn="too early"),
    "toy_test_once": lambda e: twice(toy_test_of, e, name="torque"),
    "toy_test_name_filled": lambda e: toy_test_of(e, name=""),
    "toy_test_file_name_filled": lambda e: toy_test_of(e, file_name=""),
    "toy_test_market_word": lambda e: toy_test_of(e, market="Mars"),
    "toy_test_test_word": lambda e: toy_test_of(e, test="tickling"),
    "toy_test_piece_once": lambda e: twice(toy_piece_of, e, run=toy_test_of(e)),
    "toy_test_piece_piece_filled": lambda e: toy_piece_of(e, piece=""),
}

BROKEN: dict[str, Write] = {**_OF_LINE, **_OF_PILOT, **_OF_RELEASE}
"""By constraint: a write that breaks it and no other."""


def _again(row: models.Model) -> None:
    """The same row once more."""
    row.pk = None
    row._state.adding = True
    row.save()


def _two_stations(e: Example, **same: Any) -> None:
    line = line_of(e)
    station_of(e, line=line, **same)
    station_of(e, line=line, **same)


def _two_breaks(e: Example, *, at_station: bool) -> None:
    line = line_of(e)
    twice(break_of, e, line=line, station=station_of(e, line=line) if at_station else None)
