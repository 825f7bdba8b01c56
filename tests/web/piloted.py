"""The small otter with its line, one pilot, and pieces pulled and turned while it ran."""

from __future__ import annotations

from offtool.handbook.terms import PilotFileKind
from tests.steps import piloted
from tests.web import jointed, otter, welded

PILOTS = f"/p/{otter.SLUG}/pilot/"
PILOT = f"{PILOTS}{piloted.PILOT}/"
RAMP = f"{PILOT}ramp/"


def read_of(kind: str) -> str:
    """The address at which a sheet of that kind is read."""
    return f"{PILOT}read/{kind}/"


def audits_csv() -> str:
    """Pulls that get weaker hour by hour, and torques of which one is too low."""
    rows = ["hour,seam or joint,value,unit"]
    for hour in (1, 2, 3, 4):
        rows += [f"{hour},torso,{pull},N" for pull in (158 - 9 * hour, 161 - 9 * hour, 155 - 9 * hour)]
        rows += [f"{hour},shoulder,{torque},N·m" for torque in (0.21, 0.23, 0.19 if hour != 3 else 0.14)]
    return "\n".join(rows) + "\n"


def make_all() -> None:
    """The programme with seam, joint, line and pilot; its sheets are read."""
    tool = otter.make_programme()
    otter.read_trial(otter.readings_csv())  # before the other half: the file says no part
    welded.make_welded(tool)
    welded.define()
    welded.keep_study()
    jointed.make_arm()
    jointed.a_joint(lower=0.15, upper=0.6)
    piloted.make_line()
    piloted.make_pilot(trials=(f"{otter.TOOL} {otter.TRIAL}",))
    piloted.keep_all()
    piloted.keep(PilotFileKind.AUDITS, audits_csv())
