"""The story played through offtool's own steps: trials read, corrections decided, tools cut inaccurately."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
from examples.otter_story.at_the_press import looks_of
from examples.otter_story.drawings import HEAD_TAIL_CLAM, TOOLS
from examples.otter_story.gauges import study_the_microscope
from examples.otter_story.hidden import TRUE_JOINTS, OtterTool, make_tool
from examples.otter_story.joints import (
    TESTS,
    TrueSizes,
    Turned,
    define_joints,
    drawing_of,
    keep_torques,
    torque_file,
)
from examples.otter_story.line import lay_out_the_line
from examples.otter_story.measured import Measured, read_off
from examples.otter_story.pilot import run_the_pilot
from examples.otter_story.planning import plan_ahead
from examples.otter_story.programme import SLUG, allowance_left, measured_steel, programme_without_readings
from examples.otter_story.release import gather_for_release
from examples.otter_story.samples import fill_the_drawer
from examples.otter_story.seams import define_seams, keep_weld_runs
from examples.otter_story.trials import LAST_TRIAL, MEASURED_LATE, MISREAD, RUNS, SLIP, Run
from numpy.typing import NDArray

from offtool.exchange.programme import write_folder
from offtool.steps.correct_tool import keep_changes
from offtool.steps.cut_steel import SteelMeasured, record_cut
from offtool.steps.judge_readings import find_reading, leave_out
from offtool.steps.load_programme import load_programme
from offtool.steps.look_at_pieces import look_at_pieces
from offtool.steps.read_readings import TrialAbout, keep_readings
from offtool.steps.steel_changes import SteelChange, ToolCorrection

ENGINEER, GAUGE_ROOM = "product engineer", "gauge room"


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """How a tool truly stood when a trial was run, [size, cavity]."""

    mean: NDArray[np.float64]
    """Over set-ups; `set_up_mean` is that of the trial's own pieces, `spread` their standard deviation."""
    set_up_mean: NDArray[np.float64]
    spread: NDArray[np.float64]
    index: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueCut:
    """One cut: what it truly did to the mean of the size that the feature forms."""

    tool: str
    trial: str
    feature: str
    cavity: str
    asked_mm: float
    mean_before: float
    mean_after: float
    target: float
    lower: float
    upper: float


@dataclass(slots=True, kw_only=True)
class Played:
    """The tools as they ended, the truth at each trial, the files written and the cuts made."""

    tools: dict[str, OtterTool]
    truth: dict[tuple[str, str], Truth] = field(default_factory=dict)
    files: dict[tuple[str, str], bytes] = field(default_factory=dict)
    """By tool and trial; of a joint test by joint and test."""
    measured: dict[tuple[str, str], Measured] = field(default_factory=dict)
    cuts: list[TrueCut] = field(default_factory=list)


def play_story() -> Played:
    """Play it all into the open record, which holds no harbour otter yet; the third trials stay files."""
    played = Played(tools={drawing.code: make_tool(drawing) for drawing in TOOLS})
    with TemporaryDirectory() as folder:
        write_folder(programme_without_readings(played.tools), Path(folder) / SLUG)
        load_programme(Path(folder) / SLUG, loaded_by=ENGINEER)
    study_the_microscope()
    for run in RUNS:
        _run(run, played)
        if run.name != LAST_TRIAL:
            _read(run, played)
            _look(run)
            _correct(run, played)
    _put_together(played)
    fill_the_drawer(
        {key: truth.set_up_mean for key, truth in played.truth.items()},
        {key: truth.spread for key, truth in played.truth.items()},
    )
    plan_ahead()
    lay_out_the_line()
    run_the_pilot()
    gather_for_release()
    return played


def _put_together(played: Played) -> None:
    """Joints and seams: defined, put together and welded by hand, turned and pulled apart."""
    define_joints(ENGINEER)
    define_seams(ENGINEER)
    for test in TESTS:
        played.files[test.joint, test.name] = torque_file(test, true_sizes_of(test, played))
    keep_torques(played.files, GAUGE_ROOM)
    keep_weld_runs(GAUGE_ROOM)


def true_sizes_of(test: Turned, played: Played) -> dict[tuple[str, str], TrueSizes]:
    """The true sizes of the pegs and sockets of a test, in the trials that they are from."""
    joint = TRUE_JOINTS[test.joint]
    return {
        (size, trial): true_size(played, size, trial)
        for size, trial in ((joint.peg, test.peg_trial), (joint.socket, test.socket_trial))
    }


def true_size(played: Played, size: str, trial: str) -> TrueSizes:
    """A size as it truly was in the pieces of a trial, such as "M3 T3"."""
    drawing, truth = drawing_of(size), played.truth[tuple(trial.split())]
    place = drawing.place(size)
    return TrueSizes(cavities=drawing.labels, mean=truth.set_up_mean[place], sd=truth.spread[place])


def _run(run: Run, played: Played) -> None:
    """Run a trial on the hidden tool and write its file."""
    tool, place = played.tools[run.drawing.code], (run.drawing.code, run.name)
    tool.world = replace(tool.world, shots_measured=(run.shots, run.every))
    mean, index = tool.true_mean(), tool.true_index()
    trial = tool.trial()
    played.truth[place] = Truth(
        mean=mean, set_up_mean=tool.set_up_mean, spread=tool.spread.copy(), index=index
    )
    played.measured[place] = Measured(
        drawing=run.drawing,
        trial=run.name,
        shot_on=run.shot_on,
        shots=trial.shots,
        value=read_off(trial.value, run.drawing.sizes),
        by_hand=run.by_hand,
    )
    played.files[place] = run.write(played.measured[place])


def _read(run: Run, played: Played) -> None:
    keep_readings(
        played.files[run.drawing.code, run.name],
        run.file,
        programme=SLUG,
        tool=run.drawing.code,
        trial=run.name,
        read_at=run.read_at,
        read_by=GAUGE_ROOM,
        about=TrialAbout(
            shot_on=run.shot_on, press=run.press, colour=run.colour, resin_lot=run.resin_lot, **_times(run)
        ),
    )
    if SLIP in run.by_hand:
        _leave_out(run)


def _times(run: Run) -> dict[str, Any]:
    if run.times_noted:
        return {"moulded_at": run.moulded_at, "measured_at": run.measured_at}
    return {"age_h": run.age_h}


def _leave_out(run: Run) -> None:
    """The slip of the pen: it was pointed at, and the sheet was looked at again."""
    shot, cavity, size = SLIP
    place = (SLUG, run.drawing.code, run.name)
    slip = find_reading(*place, size=size, cavity=cavity, shot=shot)
    leave_out(
        *place,
        readings=[slip.reading_id],
        reason="digits crossed: the part measures 5.003",
        made_at=run.read_at + timedelta(hours=1),
        made_by=ENGINEER,
    )


def _look(run: Run) -> None:
    """Pieces of the head, tail and clam tool were looked at beside the press."""
    if run.drawing is HEAD_TAIL_CLAM:
        when = run.moulded_at + timedelta(minutes=20)
        look_at_pieces(SLUG, run.drawing.code, run.name, looks_of(run), looked_at=when, looked_by=ENGINEER)


def _correct(run: Run, played: Played) -> None:
    """Decide on every proposed cut, have it made, and record the steel as measured again."""
    tool, made_at = run.drawing.code, run.read_at + timedelta(hours=6)
    correction = keep_changes(SLUG, tool, run.name, chosen=None, made_at=made_at, made_by=ENGINEER)
    _cut(run, correction, played)
    steel = _measured_again(run, correction, played)
    record_cut(SLUG, tool, remeasured=steel, made_on=run.cut_on, note=f"cut after {run.name}")


def _cut(run: Run, correction: ToolCorrection, played: Played) -> None:
    tool = played.tools[run.drawing.code]
    asked = np.zeros_like(tool.steel)
    for change in correction.changes:
        _, steel = run.drawing.steel_of(change.feature)
        asked[_place(run, change)] = change.amount_mm * steel.per_stated
        if (run.drawing.code, run.name, change.feature, change.cavity) == MISREAD:
            asked[_place(run, change)] /= 2
    before = tool.true_mean()
    tool.cut(asked)
    after = tool.true_mean()
    for change in correction.changes:
        place = _place(run, change)
        drawn = tool.drawn[place[0]]
        played.cuts.append(
            TrueCut(
                tool=run.drawing.code,
                trial=run.name,
                feature=change.feature,
                cavity=change.cavity,
                asked_mm=change.amount_mm,
                mean_before=float(before[place]),
                mean_after=float(after[place]),
                target=drawn.target,
                lower=drawn.lower,
                upper=drawn.upper,
            )
        )


def _measured_again(
    run: Run, correction: ToolCorrection, played: Played
) -> Mapping[tuple[str, str], SteelMeasured]:
    tool = played.tools[run.drawing.code]
    again = {
        (change.feature, change.cavity): SteelMeasured(measured_mm=measured_steel(tool, *_place(run, change)))
        for change in correction.changes
    }
    if (run.drawing.code, run.name) == MEASURED_LATE[:2]:
        size, steel = run.drawing.steel_of(MEASURED_LATE[2])
        for c, label in enumerate(run.drawing.labels):
            again[steel.code, label] = SteelMeasured(
                measured_mm=measured_steel(tool, size, c), allowance_mm=allowance_left(steel)
            )
    return again


def _place(run: Run, change: SteelChange) -> tuple[int, int]:
    return run.drawing.steel_of(change.feature)[0], run.drawing.labels.index(change.cavity)
