"""What the database refuses of a release: changes of what was shown or signed, and rows from elsewhere."""

from __future__ import annotations

from offtool.records.guard_kinds import ALWAYS, Guard, frozen, never_updated, together, value_of

_STATE_PROGRAMME = (
    "(SELECT tool.programme_id FROM records_toolstate state JOIN records_tool tool "
    "ON tool.id = state.tool_id WHERE state.id = NEW.state_id)"
)
_STATION_PROGRAMME = (
    "(SELECT line.programme_id FROM records_linestation station JOIN records_line line "
    "ON line.id = station.line_id WHERE station.id = NEW.station_id)"
)


def _stays(table: str, what: str) -> Guard:
    """No row of the table goes."""
    return Guard(
        f"guard_{table}_stays", f"records_{table}", ("DELETE",), ALWAYS, f"{what} stays in the record"
    )


RELEASE_GUARDS = (
    frozen(
        "evidence",
        "evidence",
        *("programme_id", "code", "says", "tested_on", "lab", "number", "accredited"),
        *("file_name", "sha256", "content", "note", "given_by", "given_at"),
    ),
    _stays("evidence", "evidence"),
    never_updated("evidencestate", "a state that evidence hangs on"),
    together(
        "evidence_state",
        "evidencestate",
        f"{_STATE_PROGRAMME} <> {value_of('evidence', 'programme_id', 'evidence_id')}",
        "the state belongs to a tool of another programme",
    ),
    frozen(
        "toytestrun",
        "what a test of the law showed",
        *("programme_id", "name", "market", "test", "done_on"),
        *("file_name", "sha256", "content", "read_at", "read_by"),
    ),
    never_updated("toytestpiece", "a piece of a test of the law"),
    together(
        "toy_test_part",
        "toytestpiece",
        f"{value_of('toytestrun', 'programme_id', 'run_id')} <> "
        f"{value_of('part', 'programme_id', 'part_id')}",
        "the part belongs to another programme than the test",
    ),
    frozen(
        "changemade",
        "a change that was told",
        *("programme_id", "what", "on", "words", "tool_id", "part_id", "joint_id", "seam_id"),
        *("told_by", "told_at"),
    ),
    *(
        together(
            f"change_{what}",
            "changemade",
            f"{value_of(what, 'programme_id', f'{what}_id')} <> NEW.programme_id",
            f"the {what} belongs to another programme",
        )
        for what in ("tool", "part", "joint", "seam")
    ),
    frozen(
        "concession",
        "a concession",
        *("programme_id", "code", "item", "amount", "until", "pieces", "reason", "risk"),
        *("approved_by", "given_on"),
    ),
    frozen(
        "limitsample",
        "a limit sample",
        *("programme_id", "sample_id", "station_id", "kind", "area", "accepts"),
        *("signed_by", "signed_on", "valid_until"),
    ),
    together(
        "limit_sample_sample",
        "limitsample",
        f"{value_of('sample', 'programme_id', 'sample_id')} <> NEW.programme_id",
        "the sample belongs to another programme",
    ),
    together(
        "limit_sample_station",
        "limitsample",
        f"{_STATION_PROGRAMME} <> NEW.programme_id",
        "the station belongs to another programme",
    ),
    frozen(
        "signature",
        "a signature",
        *("programme_id", "role", "person", "states", "signed_at", "fingerprint", "stood", "note"),
    ),
    _stays("signature", "a signature"),
)
