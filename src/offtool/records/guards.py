"""What the database itself refuses beyond checks and unique names: triggers, on SQLite and PostgreSQL alike.

Three sorts. What was measured or decided is never updated. History is only ever added to. And rows that meet
must belong together: a steel size joins a feature, a cavity and a state of one tool.

They hang on Django's migration signals instead of standing in a migration, because SQLite makes a table
anew when a column changes: its triggers are lost without a word, and a trigger elsewhere that names the
table stops the migration. So all are taken down before a migration and put up after it, whoever writes the
next one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

ALWAYS = "1 = 1"


@dataclass(frozen=True, slots=True)
class Guard:
    """A change that is refused: of which table, on which events, when (SQL on NEW and OLD), and why."""

    name: str
    table: str
    events: Sequence[str]
    broken: str
    message: str

    def put_up(self, vendor: str) -> Iterator[str]:
        """The statements that create it; creating it twice does no harm."""
        if vendor == "postgresql":
            yield (
                f"CREATE OR REPLACE FUNCTION {self.name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                f"IF {self.broken} THEN RAISE EXCEPTION '{self.message}' USING ERRCODE = 'check_violation'; "
                "END IF; IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$"
            )
            yield (
                f"CREATE OR REPLACE TRIGGER {self.name} BEFORE {' OR '.join(self.events)} ON {self.table} "
                f"FOR EACH ROW EXECUTE FUNCTION {self.name}()"
            )
            return
        broken = self.broken.replace("IS DISTINCT FROM", "IS NOT")
        for event in self.events:
            yield (
                f"CREATE TRIGGER IF NOT EXISTS {self.name}_{event.lower()} BEFORE {event} ON {self.table} "
                f"WHEN {broken} BEGIN SELECT RAISE(ABORT, '{self.message}'); END"
            )

    def take_down(self, vendor: str) -> Iterator[str]:
        """The statements that remove it; removing what is not there does no harm."""
        if vendor == "postgresql":
            yield f"DROP FUNCTION IF EXISTS {self.name}() CASCADE"
            return
        for event in self.events:
            yield f"DROP TRIGGER IF EXISTS {self.name}_{event.lower()}"


def _never_updated(table: str, what: str) -> Guard:
    return Guard(f"guard_{table}_kept", f"records_{table}", ("UPDATE",), ALWAYS, f"{what} is never changed")


def _only_added(table: str, what: str) -> Guard:
    message = f"{what} is only added to"
    return Guard(f"guard_{table}_kept", f"records_{table}", ("UPDATE", "DELETE"), ALWAYS, message)


def _frozen(table: str, what: str, *columns: str) -> Guard:
    changed = " OR ".join(f"OLD.{column} IS DISTINCT FROM NEW.{column}" for column in columns)
    message = f"{what} is never changed"
    return Guard(f"guard_{table}_frozen", f"records_{table}", ("UPDATE",), changed, message)


def _together(name: str, table: str, broken: str, message: str) -> Guard:
    return Guard(f"guard_{name}", f"records_{table}", ("INSERT", "UPDATE"), broken, message)


def _of(table: str, column: str, key: str) -> str:
    """The value of a column in the row that a foreign key of the new row names."""
    return f"(SELECT {column} FROM records_{table} WHERE id = NEW.{key})"  # noqa: S608 our own names


_TRIAL_PROGRAMME = (
    "(SELECT tool.programme_id FROM records_trial trial JOIN records_tool tool ON tool.id = trial.tool_id "
    "WHERE trial.id = NEW.trial_id)"
)
_TRIAL_TOOL = _of("trial", "tool_id", "trial_id")
_FEATURE_TOOL = _of("steelfeature", "tool_id", "feature_id")
_CAVITY_TOOL = _of("cavity", "tool_id", "cavity_id")
_FEATURE_PART = _of("steelfeature", "part_id", "feature_id")
_CAVITY_PART = _of("cavity", "part_id", "cavity_id")
_CHARACTERISTIC_PART = _of("characteristic", "part_id", "characteristic_id")
_CAVITY_IS_NOT_THE_FEATURES = f"{_CAVITY_TOOL} <> {_FEATURE_TOOL} OR {_CAVITY_PART} <> {_FEATURE_PART}"

GUARDS = (
    _never_updated("sourcefile", "a source file"),
    _never_updated("reading", "a reading"),
    _never_updated("shot", "a shot"),
    _only_added("exclusion", "what was said of a reading"),
    _never_updated("gaugereading", "a reading of a gauge study"),
    _never_updated("flaw", "a flaw that was seen"),
    _never_updated("photograph", "a photograph"),
    _frozen(
        "gaugestudy",
        "what a gauge study measured",
        *("gauge_id", "characteristic_id", "name", "kind", "tolerance", "reference_uncertainty", "done_on"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    _frozen(
        "look",
        "what was looked at",
        *("trial_id", "cavity_id", "shot_number", "pieces", "looked_at", "looked_by"),
    ),
    _frozen(
        "correction",
        "what a correction was decided on",
        *("trial_id", "feature_id", "cavity_id", "amount_mm", "size_before_mm", "size_after_mm"),
        *("allowance_left_mm", "reason", "cause", "method", "inputs", "made_at", "made_by"),
    ),
    _frozen(
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
    _together(
        "part_resin",
        "part",
        f"{_of('resin', 'programme_id', 'resin_id')} <> NEW.programme_id",
        "the resin belongs to another programme",
    ),
    _together(
        "characteristic_gauge",
        "characteristic",
        f"{_of('gauge', 'programme_id', 'gauge_id')} <> {_of('part', 'programme_id', 'part_id')}",
        "the gauge belongs to another programme",
    ),
    _together(
        "cavity_part",
        "cavity",
        f"{_of('part', 'programme_id', 'part_id')} <> {_of('tool', 'programme_id', 'tool_id')}",
        "the part belongs to another programme",
    ),
    _together(
        "feature_part",
        "steelfeature",
        f"{_of('part', 'programme_id', 'part_id')} <> {_of('tool', 'programme_id', 'tool_id')}",
        "the part belongs to another programme",
    ),
    _together(
        "move_part",
        "move",
        f"{_FEATURE_PART} <> {_CHARACTERISTIC_PART}",
        "the feature forms another part than the one that has the characteristic",
    ),
    _together(
        "steel_size_state",
        "steelsize",
        f"{_of('toolstate', 'tool_id', 'state_id')} <> {_FEATURE_TOOL}",
        "the state belongs to another tool",
    ),
    _together(
        "steel_size_cavity",
        "steelsize",
        _CAVITY_IS_NOT_THE_FEATURES,
        "the cavity belongs to another tool or part than the feature",
    ),
    _together(
        "trial_state",
        "trial",
        f"{_of('toolstate', 'tool_id', 'state_id')} <> NEW.tool_id",
        "the state belongs to another tool",
    ),
    _together(
        "source_programme",
        "sourcefile",
        f"{_TRIAL_PROGRAMME} <> NEW.programme_id",
        "the trial belongs to another programme",
    ),
    _together(
        "correction_trial",
        "correction",
        f"{_TRIAL_TOOL} <> {_FEATURE_TOOL}",
        "the feature belongs to another tool than the one that was tried",
    ),
    _together(
        "correction_cavity",
        "correction",
        _CAVITY_IS_NOT_THE_FEATURES,
        "the cavity belongs to another tool or part than the feature",
    ),
    _together(
        "correction_state",
        "correction",
        f"{_of('toolstate', 'tool_id', 'resulting_state_id')} <> {_TRIAL_TOOL}",
        "the resulting state belongs to another tool",
    ),
    _together(
        "prediction_cavity",
        "prediction",
        f"{_CAVITY_TOOL} <> {_TRIAL_TOOL} OR {_CAVITY_PART} <> {_CHARACTERISTIC_PART}",
        "the cavity belongs to another tool or part than was tried and foretold",
    ),
    _together(
        "prediction_correction",
        "prediction",
        f"{_of('correction', 'trial_id', 'correction_id')} <> NEW.trial_id "
        f"OR {_of('correction', 'cavity_id', 'correction_id')} <> NEW.cavity_id",
        "the correction was made from another trial or for another cavity",
    ),
    _together(
        "gauge_study_characteristic",
        "gaugestudy",
        f"{_of('gauge', 'programme_id', 'gauge_id')} <> (SELECT part.programme_id FROM records_part part "  # noqa: S608
        "JOIN records_characteristic size ON size.part_id = part.id WHERE size.id = NEW.characteristic_id)",
        "the characteristic belongs to another programme than the gauge",
    ),
    _together(
        "look_cavity",
        "look",
        f"{_CAVITY_TOOL} <> {_TRIAL_TOOL}",
        "the cavity belongs to another tool than the one that was tried",
    ),
    _together(
        "flaw_defect",
        "flaw",
        f"{_of('defect', 'programme_id', 'defect_id')} <> (SELECT tool.programme_id FROM records_look look "  # noqa: S608
        "JOIN records_trial trial ON trial.id = look.trial_id "
        "JOIN records_tool tool ON tool.id = trial.tool_id WHERE look.id = NEW.look_id)",
        "the defect belongs to another programme",
    ),
    _together(
        "flaw_pieces",
        "flaw",
        f"NEW.pieces > {_of('look', 'pieces', 'look_id')}",
        "a flaw cannot be on more pieces than were looked at",
    ),
    _together(
        "photograph_flaw",
        "photograph",
        f"{_of('flaw', 'look_id', 'flaw_id')} <> NEW.look_id",
        "the flaw was seen in another look",
    ),
    _together(
        "prediction_judged_in",
        "prediction",
        f"{_of('trial', 'tool_id', 'judged_in_id')} <> {_TRIAL_TOOL}",
        "a trial of another tool cannot judge it",
    ),
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
    """Create every guard whose table is there. Runs after each migration."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    _run(
        connection,
        [line for guard in all_guards() if guard.table in tables for line in guard.put_up(connection.vendor)],
    )


def take_down_guards(*, using: str, **_: Any) -> None:
    """Remove every guard. Runs before each migration."""
    connection = connections[using]
    _run(connection, [line for guard in all_guards() for line in guard.take_down(connection.vendor)])


def _run(connection: BaseDatabaseWrapper, statements: Sequence[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
