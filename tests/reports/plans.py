"""An invented plan of a trial of the harbour otter, for tests of what is handed over.

planned()                     M3 T4 for sizes, assembly and the archive, its press fixed, in the orange there
planned(press=None)           any field of TrialPlanned given anew
planned(purposes=("welding",))   other purposes, with their shots, steps and bags
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

from offtool.core.planning.shots import press_time, set_up_line, shots_to_run, trial_material
from offtool.core.planning.shots.press_time import minutes_for
from offtool.core.planning.shots.results import TimeOn
from offtool.core.values import Caution, Verdict
from offtool.handbook.defects import AT_THE_PRESS
from offtool.steps.findings import Action, Fact
from offtool.steps.plan_found import (
    ColourPlanned,
    Missing,
    PressPlanned,
    SizeToMeasure,
    ToConfirm,
    TrialAsked,
    TrialPlanned,
)
from offtool.steps.plan_run import bags_of, run_steps, what_to_bring

CAVITIES = tuple(("HO-04", "arm", str(one)) for one in (1, 2, 3, 4))
ORANGE = ColourPlanned(
    what="shoot in the colour on the press",
    colour="rescue orange",
    changes=False,
    says="Nothing is purged: what is asked of it needs no colour.",
    minutes_there=(0.0, 0.0, 0.0),
    minutes_back=(0.0, 0.0, 0.0),
    purge_kg=0.0,
    right_for=("sizes", "assembly", "keep"),
    wrong_for=(),
    others=("purge to the colour of the product: 0.9 kg and 22 min more",),
)
PRESS = PressPlanned(
    press="80 t, no. 9",
    name="",
    verdict=Verdict.HOLDS,
    says="it goes on with 22 % clamp to spare",
    why="its slot is fixed",
    fixed=True,
    starts_at=datetime(2026, 3, 24, 8, 30, tzinfo=UTC),
    job="rescue boat deck in rescue orange, may be interrupted",
    others=("120 t, no. 2: holds, but stands until noon",),
)


def planned(
    *, purposes: Sequence[str] = ("sizes", "assembly", "keep"), cavities: Any = CAVITIES, **given: Any
) -> TrialPlanned:
    """The plan; `given` are fields given anew."""
    shots = shots_to_run(list(purposes), cycle_s=22.0, slowest_cycle_s=28.0, cavities=len(cavities))
    material = trial_material(shots.shots, shot_g=19.0)
    bags = tuple(bags_of(shots, cavities))
    run = minutes_for(TimeOn.SHOTS, shots.minutes, least=shots.minutes_least, most=shots.minutes_most)
    found = TrialPlanned(
        programme="harbour-otter",
        programme_title="Harbour otter (invented)",
        invented=True,
        tool="M3",
        tool_name="arms",
        trial="T4",
        state="d",
        on=date(2026, 3, 23),
        has_run=False,
        headline=f"M3 T4 goes on 80 t, no. 9 in the rescue orange that runs there: {shots.shots} shots.",
        actions=(Action(do="Have it agreed.", because="The slot is fixed.", leads_to=""),),
        rests_on=(Fact(about="Cycle", says="22 s, from the wall"),),
        asked=TrialAsked(
            purposes=tuple(purposes),
            wish="any colour",
            colour="",
            resin="ABS",
            resin_name="invented grade",
            earliest=None,
            due=date(2026, 4, 3),
            hours=None,
            needs_engineer=True,
            asked_by="",
            note="",
        ),
        press=PRESS,
        colour=ORANGE,
        shots=shots,
        time=press_time((set_up_line(45.0), run, minutes_for(TimeOn.WAY_BACK, 45.0))),
        material=material,
        steps=tuple(run_steps(shots, colour=ORANGE, material=material, resin="ABS", job="rescue boat deck")),
        to_measure=(
            SizeToMeasure(
                size="HO-04 3",
                name="pin",
                gauge="MIC-07",
                purpose="capability",
                parts=12,
                because="5 parts show no 1.33",
            ),
        ),
        confirm=(
            ToConfirm(about="HO-04 3, cavity 2", says="4.003 mm (3.997 to 4.009)", kind="foretold"),
            ToConfirm(about="flash, left ear", says="open since T1: 3 of 40", kind="at the press"),
        ),
        confirm_more=0,
        bring=tuple(what_to_bring(shots, len(bags), ["MIC-07"])),
        bags=bags,
        missing=(
            Missing(
                what="margin of the job on 80 t, no. 9",
                spoils="no money is said",
                who_knows="who sells it knows",
            ),
        ),
        method="offtool, invented",
        cautions=(AT_THE_PRESS, Caution("an invented caution", "common practice, no source")),
    )
    return replace(found, **given)
