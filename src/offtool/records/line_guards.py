"""What the database refuses of lines and pilots: changes of what was counted, and rows from elsewhere."""

from __future__ import annotations

from offtool.records.guard_kinds import Guard, frozen, never_updated, together, trial_programme, value_of

_LINE_PROGRAMME = value_of("line", "programme_id", "line_id")
_ELSEWHERE = "belongs to another programme than the line"
_OTHER_LINE = "belongs to another line"


def _own(name: str, table: str, key: str, of: str, what: str) -> Guard:
    """What a row of a line points at is of the line's programme."""
    broken = f"{value_of(of, 'programme_id', key)} <> {_LINE_PROGRAMME}"
    return together(name, table, broken, f"the {what} {_ELSEWHERE}")


def _same_line(name: str, table: str, key: str, of: str, what: str, line: str = "NEW.line_id") -> Guard:
    """What a row points at is of the same line."""
    return together(name, table, f"{value_of(of, 'line_id', key)} <> {line}", f"the {what} {_OTHER_LINE}")


def _task_line(key: str) -> str:
    return value_of("linetask", "line_id", key)


_PILOT_OF_FILE = (
    "(SELECT pilot.line_id FROM records_pilotfile file JOIN records_pilot pilot "
    "ON pilot.id = file.pilot_id WHERE file.id = NEW.file_id)"
)
_PROGRAMME_OF_FILE = (
    "(SELECT line.programme_id FROM records_pilotfile file JOIN records_pilot pilot "
    "ON pilot.id = file.pilot_id JOIN records_line line ON line.id = pilot.line_id "
    "WHERE file.id = NEW.file_id)"
)
_PROGRAMME_OF_PILOT = (
    "(SELECT line.programme_id FROM records_pilot pilot JOIN records_line line "
    "ON line.id = pilot.line_id WHERE pilot.id = NEW.pilot_id)"
)

LINE_GUARDS = (
    _same_line("line_station_rework", "linestation", "rework_to_id", "linestation", "station of its rework"),
    _same_line(
        *("line_station_has", "linestationhas", "equipment_id", "lineequipment", "equipment"),
        line=value_of("linestation", "line_id", "station_id"),
    ),
    _same_line("line_break_station", "linebreak", "station_id", "linestation", "station"),
    _own("line_task_part", "linetask", "part_id", "part", "part"),
    _own("line_task_joint", "linetask", "joint_id", "joint", "joint"),
    _own("line_task_seam", "linetask", "seam_id", "seam", "seam"),
    _same_line("line_task_fixed", "linetask", "fixed_station_id", "linestation", "station"),
    _same_line("line_task_placed", "linetask", "placed_at_id", "linestation", "station"),
    _same_line(
        *("line_task_after", "linetaskafter", "before_id", "linetask", "task before"),
        line=_task_line("task_id"),
    ),
    _same_line(
        *("line_task_needs", "linetaskneeds", "equipment_id", "lineequipment", "equipment"),
        line=_task_line("task_id"),
    ),
    _same_line("line_pair", "linepair", "other_id", "linetask", "other task", line=_task_line("one_id")),
    _own("line_press_tool", "linepress", "tool_id", "tool", "tool"),
    _own("line_press_press", "linepress", "press_id", "press", "press"),
    _same_line("line_press_task", "linepress", "task_id", "linetask", "task"),
    together(
        "pilot_trial",
        "pilottrial",
        f"{trial_programme('trial_id')} <> {_PROGRAMME_OF_PILOT}",
        "the trial belongs to another programme than the pilot",
    ),
    frozen(
        "pilotfile",
        "a sheet of a pilot",
        *("pilot_id", "kind", "name", "done_on", "file_name", "sha256", "content", "read_at", "read_by"),
    ),
    never_updated("pilotcount", "what was counted in a pilot"),
    never_updated("pilotdefect", "a defect of a pilot"),
    never_updated("pilottime", "a time of a pilot"),
    never_updated("pilotaudit", "an audit of a pilot"),
    *(
        _same_line(f"{table}_station", table, "station_id", "linestation", "station", line=_PILOT_OF_FILE)
        for table in ("pilotcount", "pilotdefect", "pilottime")
    ),
    _same_line("pilottime_task", "pilottime", "task_id", "linetask", "task", line=_PILOT_OF_FILE),
    *(
        together(
            f"pilot_audit_{what}",
            "pilotaudit",
            f"{value_of(what, 'programme_id', f'{what}_id')} <> {_PROGRAMME_OF_FILE}",
            f"the {what} belongs to another programme than the pilot",
        )
        for what in ("seam", "joint")
    ),
)
