"""What must hold between times, shapes, colour changes, trials asked for, and the rest of the folder."""

from __future__ import annotations

from collections.abc import Mapping, Set

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.ground_checks import (
    refuse_disorder,
    refuse_half_colour,
    refuse_unknown_observer,
)
from offtool.exchange.programme.planning_rows import EngineersRow, MeshRow, PressOffRow, RequestRow
from offtool.exchange.programme.refused import refuse_unknown

Names = tuple[str, ...]


def check_planning(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    for off in told.press_off:
        refuse_unknown(off.place("press"), (off.press,), names["presses"])
        _refuse_no_time(off)
    for there in told.engineers_there:
        _refuse_no_time(there)
    for mesh in told.meshes:
        refuse_unknown(mesh.place("part"), (mesh.part,), names["parts"])
        _refuse_no_direction(mesh)
    _colour_changes(told, names)
    for request in told.trial_requests:
        _request(request, names)
    _wants(told, names)


def _refuse_no_time(row: PressOffRow | EngineersRow) -> None:
    if row.ends_at <= row.begins_at:
        what = f"{row.ends_at} is not after begins_at {row.begins_at}"
        raise row.place("ends_at").refuse(what, "look at the two times")


def _refuse_no_direction(mesh: MeshRow) -> None:
    if mesh.axis_x == mesh.axis_y == mesh.axis_z == 0:
        raise mesh.place("axis_z").refuse("0, 0, 0 is no direction", "write 0, 0, 1, or leave them blank")


def _colour_changes(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """A change names its press, and its tool if any, and has shots; a shot names its change."""
    with_shots = {(shot.press, shot.change) for shot in told.colour_shots}
    for change in told.colour_changes:
        refuse_unknown(change.place("press"), (change.press,), names["presses"])
        if change.tool:
            refuse_unknown(change.place("tool"), (change.tool,), names["tools"])
        refuse_unknown_observer(change.place("observer"), change.observer)
        if change.names not in with_shots:
            what = f"{change.name!r} has no shots"
            raise change.place("name").refuse(what, "give its shots, or take the row out")
    for shot in told.colour_shots:
        refuse_unknown(shot.place("press"), (shot.press,), names["presses"])
        refuse_unknown(shot.place("change"), (shot.press, shot.change), names["colour_changes"])


def _request(request: RequestRow, names: Mapping[str, Set[Names]]) -> None:
    """A request names its tool; its days are in order, its colour is whole, its slot has both or neither."""
    refuse_unknown(request.place("tool"), (request.tool,), names["tools"])
    refuse_disorder(request.place("due"), "earliest", request.earliest, request.due)
    refuse_half_colour(request)
    if bool(request.press) != (request.starts_at is not None):
        what = f"press {request.press!r} with starts_at {request.starts_at or 'blank'}"
        raise request.place("starts_at").refuse(what, "give both for a fixed slot, or neither")
    if request.press:
        refuse_unknown(request.place("press"), (request.press,), names["presses"])


def _wants(told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> None:
    """What is wanted names its request, and every request wants something."""
    wanting = {(want.tool, want.request) for want in told.trial_wants}
    for want in told.trial_wants:
        refuse_unknown(want.place("tool"), (want.tool,), names["tools"])
        refuse_unknown(want.place("request"), (want.tool, want.request), names["trial_requests"])
    for request in told.trial_requests:
        if request.names not in wanting:
            what = f"{request.tool} {request.name} has no purpose"
            raise request.place("name").refuse(what, "say in trial_wants.csv what it is to show")
