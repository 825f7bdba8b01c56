"""What the database refuses of samples: changes of what was seen, and rows that do not belong together."""

from __future__ import annotations

from offtool.records.guard_kinds import (
    Guard,
    frozen,
    never_updated,
    together,
    trial_programme,
    value_of,
)

_OBSERVED = ("seen_at", "seen_by", "note")


def _part_of_piece(column: str, key: str = "sample_part_id") -> str:
    """A column of the part of a sample that the new row names."""
    return value_of("samplepart", column, key)


def _programme_of_piece(key: str = "sample_id") -> str:
    return value_of("sample", "programme_id", key)


_TOOL_PROGRAMME = value_of("tool", "programme_id", "tool_id")
_TOOL_OF_STATE = value_of("toolstate", "tool_id", "state_id")
_JOB_PROGRAMME = (
    "(SELECT press.programme_id FROM records_job job JOIN records_press press "
    "ON press.id = job.press_id WHERE job.id = NEW.interrupted_id)"
)


def _tool_makes(tool: str, part: str) -> str:
    """Whether a tool has a cavity of a part."""
    return (
        "EXISTS (SELECT 1 FROM records_cavity cavity "  # noqa: S608 our own names
        f"WHERE cavity.tool_id = {tool} AND cavity.part_id = {part})"
    )


_LOOKED_AT = (
    "(EXISTS (SELECT 1 FROM records_seendetail seen WHERE seen.sample_part_id = OLD.id) "
    "OR EXISTS (SELECT 1 FROM records_samplesize size WHERE size.sample_part_id = OLD.id))"
)

_GROUND_GUARDS = (
    together(
        "press_holds_programme",
        "pressholds",
        f"{value_of('press', 'programme_id', 'press_id')} <> {_TOOL_PROGRAMME}",
        "the tool belongs to another programme than the press",
    ),
    together(
        "trial_interrupted",
        "trial",
        f"{_JOB_PROGRAMME} <> {_TOOL_PROGRAMME}",
        "the job belongs to another programme than the tool",
    ),
    together(
        "build_part_programme",
        "buildpart",
        f"{trial_programme('trial_id')} <> {value_of('build', 'programme_id', 'build_id')}",
        "the trial belongs to another programme than the build",
    ),
    frozen("detail", "the part that a detail is on", "part_id"),
    together(
        "detail_in_state_tool",
        "detailinstate",
        f"NOT {_tool_makes(_TOOL_OF_STATE, value_of('detail', 'part_id', 'detail_id'))}",
        "the tool of this state does not make the part that the detail is on",
    ),
)

_PIECE_GUARDS = (
    together(
        "sample_build",
        "sample",
        f"{value_of('build', 'programme_id', 'build_id')} <> NEW.programme_id",
        "the build belongs to another programme than the sample",
    ),
    frozen("samplepart", "the piece that a part belongs to", "sample_id"),
    together(
        "sample_part_programme",
        "samplepart",
        f"{value_of('part', 'programme_id', 'part_id')} <> {_programme_of_piece()}",
        "the part belongs to another programme than the sample",
    ),
    together(
        "sample_part_tool",
        "samplepart",
        f"NEW.tool_id IS NOT NULL AND NOT {_tool_makes('NEW.tool_id', 'NEW.part_id')}",
        "the tool does not make this part",
    ),
    together(
        "sample_part_cavity",
        "samplepart",
        f"{value_of('cavity', 'tool_id', 'cavity_id')} <> NEW.tool_id "
        f"OR {value_of('cavity', 'part_id', 'cavity_id')} <> NEW.part_id",
        "the cavity belongs to another tool or part",
    ),
    together(
        "sample_part_state",
        "samplepart",
        f"{_TOOL_OF_STATE} <> NEW.tool_id",
        "the state belongs to another tool",
    ),
    together(
        "sample_part_trial",
        "samplepart",
        f"{value_of('trial', 'tool_id', 'trial_id')} <> NEW.tool_id",
        "the trial belongs to another tool",
    ),
    Guard(
        "guard_sample_part_looked_at",
        "records_samplepart",
        ("UPDATE",),
        f"OLD.part_id <> NEW.part_id AND {_LOOKED_AT}",
        "what was seen or measured on it is of this part: set it aside and add another part",
    ),
    never_updated("samplephotograph", "a photograph of a sample"),
    together(
        "sample_photograph_part",
        "samplephotograph",
        f"{_part_of_piece('sample_id')} <> NEW.sample_id",
        "the part belongs to another sample than the photograph",
    ),
)

_SEEN_GUARDS = (
    frozen(
        "seendetail",
        "what was seen of a detail",
        *("sample_part_id", "detail_id", "is_there", "is_sure", *_OBSERVED),
    ),
    together(
        "seen_detail_part",
        "seendetail",
        f"{value_of('detail', 'part_id', 'detail_id')} <> {_part_of_piece('part_id')}",
        "the detail is on another part",
    ),
    frozen(
        "seensign",
        "what a sign showed",
        *("sample_id", "sample_part_id", "sign", "outcome", "is_sure", *_OBSERVED),
    ),
    together(
        "seen_sign_part",
        "seensign",
        f"{_part_of_piece('sample_id')} <> NEW.sample_id",
        "the part belongs to another sample",
    ),
    frozen(
        "samplesize",
        "what was measured on a sample",
        *("sample_part_id", "characteristic_id", "value", "uncertainty", "repeat", *_OBSERVED),
    ),
    together(
        "sample_size_part",
        "samplesize",
        f"{value_of('characteristic', 'part_id', 'characteristic_id')} <> {_part_of_piece('part_id')}",
        "the characteristic is of another part",
    ),
    frozen(
        "samplecolour",
        "the colour that was measured",
        *("sample_part_id", "place", "lightness", "a", "b", "uncertainty_de", "by"),
        *("illuminant", "observer", "clipped_share", "repeat", *_OBSERVED),
    ),
)

SAMPLE_GUARDS = (*_GROUND_GUARDS, *_PIECE_GUARDS, *_SEEN_GUARDS)
