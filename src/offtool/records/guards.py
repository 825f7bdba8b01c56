"""What the database itself refuses beyond checks and unique names: triggers, on SQLite and PostgreSQL alike.

Three sorts. What was measured or decided is never updated. History is only ever added to. And rows that meet
must belong together: a steel size joins a feature, a cavity and a state of one tool.

They hang on Django's migration signals instead of standing in a migration, because SQLite makes a table
anew when a column changes: its triggers are lost without a word, and a trigger elsewhere that names the
table stops the migration. So all are taken down before a migration and put up after it, whoever writes the
next one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from offtool.records.guard_kinds import (
    ALWAYS,
    SIZE_PROGRAMME,
    Guard,
    frozen,
    never_updated,
    only_added,
    together,
    trial_programme,
    value_of,
)
from offtool.records.joint_guards import JOINT_GUARDS
from offtool.records.line_guards import LINE_GUARDS
from offtool.records.planning_guards import PLANNING_GUARDS
from offtool.records.release_guards import RELEASE_GUARDS
from offtool.records.sample_guards import SAMPLE_GUARDS
from offtool.records.seam_guards import SEAM_GUARDS

_TRIAL_PROGRAMME = trial_programme("trial_id")
_TRIAL_TOOL = value_of("trial", "tool_id", "trial_id")
_FEATURE_TOOL = value_of("steelfeature", "tool_id", "feature_id")
_CAVITY_TOOL = value_of("cavity", "tool_id", "cavity_id")
_FEATURE_PART = value_of("steelfeature", "part_id", "feature_id")
_CAVITY_PART = value_of("cavity", "part_id", "cavity_id")
_CHARACTERISTIC_PART = value_of("characteristic", "part_id", "characteristic_id")
_CAVITY_IS_NOT_THE_FEATURES = f"{_CAVITY_TOOL} <> {_FEATURE_TOOL} OR {_CAVITY_PART} <> {_FEATURE_PART}"

GUARDS = (
    never_updated("sourcefile", "a source file"),
    never_updated("reading", "a reading"),
    never_updated("shot", "a shot"),
    only_added("exclusion", "what was said of a reading"),
    never_updated("gaugereading", "a reading of a gauge study"),
    never_updated("flaw", "a flaw that was seen"),
    never_updated("photograph", "a photograph"),
    frozen(
        "gaugestudy",
        "what a gauge study measured",
        *("gauge_id", "characteristic_id", "name", "kind", "tolerance", "reference_uncertainty", "done_on"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    frozen(
        "look",
        "what was looked at",
        *("trial_id", "cavity_id", "shot_number", "pieces", "looked_at", "looked_by"),
    ),
    frozen(
        "correction",
        "what a correction was decided on",
        *("trial_id", "feature_id", "cavity_id", "amount_mm", "size_before_mm", "size_after_mm"),
        *("allowance_left_mm", "reason", "cause", "method", "inputs", "made_at", "made_by"),
    ),
    frozen(
        "prediction",
        "a prediction",
        *("trial_id", "correction_id", "characteristic_id", "cavity_id"),
        *("mean", "low", "high", "confidence", "sd"),
    ),
    Guard(
        "guard_prediction_judged_once",
        "records_prediction",
        ("UPDATE",),
        "OLD.judged_in_id IS NOT NULL",
        "a prediction is judged once",
    ),
    together(
        "part_resin",
        "part",
        f"{value_of('resin', 'programme_id', 'resin_id')} <> NEW.programme_id",
        "the resin belongs to another programme",
    ),
    together(
        "characteristic_gauge",
        "characteristic",
        f"{value_of('gauge', 'programme_id', 'gauge_id')} <> {value_of('part', 'programme_id', 'part_id')}",
        "the gauge belongs to another programme",
    ),
    together(
        "cavity_part",
        "cavity",
        f"{value_of('part', 'programme_id', 'part_id')} <> {value_of('tool', 'programme_id', 'tool_id')}",
        "the part belongs to another programme",
    ),
    together(
        "feature_part",
        "steelfeature",
        f"{value_of('part', 'programme_id', 'part_id')} <> {value_of('tool', 'programme_id', 'tool_id')}",
        "the part belongs to another programme",
    ),
    together(
        "move_part",
        "move",
        f"{_FEATURE_PART} <> {_CHARACTERISTIC_PART}",
        "the feature forms another part than the one that has the characteristic",
    ),
    together(
        "steel_size_state",
        "steelsize",
        f"{value_of('toolstate', 'tool_id', 'state_id')} <> {_FEATURE_TOOL}",
        "the state belongs to another tool",
    ),
    together(
        "steel_size_cavity",
        "steelsize",
        _CAVITY_IS_NOT_THE_FEATURES,
        "the cavity belongs to another tool or part than the feature",
    ),
    together(
        "trial_state",
        "trial",
        f"{value_of('toolstate', 'tool_id', 'state_id')} <> NEW.tool_id",
        "the state belongs to another tool",
    ),
    together(
        "source_programme",
        "sourcefile",
        f"{_TRIAL_PROGRAMME} <> NEW.programme_id",
        "the trial belongs to another programme",
    ),
    together(
        "correction_trial",
        "correction",
        f"{_TRIAL_TOOL} <> {_FEATURE_TOOL}",
        "the feature belongs to another tool than the one that was tried",
    ),
    together(
        "correction_cavity",
        "correction",
        _CAVITY_IS_NOT_THE_FEATURES,
        "the cavity belongs to another tool or part than the feature",
    ),
    together(
        "correction_state",
        "correction",
        f"{value_of('toolstate', 'tool_id', 'resulting_state_id')} <> {_TRIAL_TOOL}",
        "the resulting state belongs to another tool",
    ),
    together(
        "prediction_cavity",
        "prediction",
        f"{_CAVITY_TOOL} <> {_TRIAL_TOOL} OR {_CAVITY_PART} <> {_CHARACTERISTIC_PART}",
        "the cavity belongs to another tool or part than was tried and foretold",
    ),
    together(
        "prediction_correction",
        "prediction",
        f"{value_of('correction', 'trial_id', 'correction_id')} <> NEW.trial_id "
        f"OR {value_of('correction', 'cavity_id', 'correction_id')} <> NEW.cavity_id",
        "the correction was made from another trial or for another cavity",
    ),
    together(
        "gauge_study_characteristic",
        "gaugestudy",
        f"{value_of('gauge', 'programme_id', 'gauge_id')} <> {SIZE_PROGRAMME}",
        "the characteristic belongs to another programme than the gauge",
    ),
    together(
        "look_cavity",
        "look",
        f"{_CAVITY_TOOL} <> {_TRIAL_TOOL}",
        "the cavity belongs to another tool than the one that was tried",
    ),
    together(
        "flaw_defect",
        "flaw",
        f"{value_of('defect', 'programme_id', 'defect_id')} <> "  # noqa: S608
        "(SELECT tool.programme_id FROM records_look look "
        "JOIN records_trial trial ON trial.id = look.trial_id "
        "JOIN records_tool tool ON tool.id = trial.tool_id WHERE look.id = NEW.look_id)",
        "the defect belongs to another programme",
    ),
    together(
        "flaw_pieces",
        "flaw",
        f"NEW.pieces > {value_of('look', 'pieces', 'look_id')}",
        "a flaw cannot be on more pieces than were looked at",
    ),
    together(
        "photograph_flaw",
        "photograph",
        f"{value_of('flaw', 'look_id', 'flaw_id')} <> NEW.look_id",
        "the flaw was seen in another look",
    ),
    together(
        "prediction_judged_in",
        "prediction",
        f"{value_of('trial', 'tool_id', 'judged_in_id')} <> {_TRIAL_TOOL}",
        "a trial of another tool cannot judge it",
    ),
    *JOINT_GUARDS,
    *SEAM_GUARDS,
    *SAMPLE_GUARDS,
    *PLANNING_GUARDS,
    *LINE_GUARDS,
    *RELEASE_GUARDS,
)


def all_guards() -> tuple[Guard, ...]:
    """The guards above and one for each table of history, whichever models keep one."""
    histories = [
        model._meta.db_table
        for model in apps.get_app_config("records").get_models()
        if hasattr(model, "history_type")
    ]
    return GUARDS + tuple(
        Guard(f"guard_{table}_kept", table, ("UPDATE", "DELETE"), ALWAYS, "history is only added to")
        for table in histories
    )


def put_up_guards(*, using: str, **_: Any) -> None:
    """Create every guard whose tables are there. Runs after each migration."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    possible = [guard for guard in all_guards() if guard.tables <= tables]
    _run(connection, [line for guard in possible for line in guard.put_up(connection.vendor)])


def take_down_guards(*, using: str, **_: Any) -> None:
    """Remove every guard. Runs before each migration."""
    connection = connections[using]
    _run(connection, [line for guard in all_guards() for line in guard.take_down(connection.vendor)])


def _run(connection: BaseDatabaseWrapper, statements: Sequence[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
