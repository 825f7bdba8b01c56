"""Presses with jobs in colours, trials that ask for theirs, shots that were measured; invented."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import numpy as np

from offtool.core.colour.difference import axis_scales
from offtool.core.planning.colour_change import Washout
from offtool.core.planning.colour_change.mixing import mixed_lab
from offtool.handbook.terms import Feed, TrialPurpose
from offtool.records.models import Job, Press, Programme, Resin, Tool, TrialRequest
from offtool.records.operations import ask_trial
from offtool.steps.keep_colour_change import ChangeAbout, ChangeKept, keep_colour_change

DAY = date(2026, 3, 23)
NOW = datetime(2026, 3, 23, 9, tzinfo=UTC)
YELLOW, BROWN, TEAL = (81.0, 6.0, 74.0), (38.0, 14.0, 20.0), (55.0, -22.0, -6.0)
FILE = "brown_to_yellow.csv"
SHOTS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 50)
SHOT_G = 22.0
HIDDEN = Washout(contents_g=150.0, plug=0.22, tanks=1.4, slow=0.16, slow_stay=2.1)
"""The press as it is, which nobody sees."""


def make_coloured(tool: Tool) -> Programme:
    """P1 runs yellow, P2 soft PVC in teal, P3 has no job; the tool's next trial is brown."""
    programme = tool.programme
    Tool.objects.filter(pk=tool.pk).update(feed=Feed.COLD_RUNNER.value, runner_g=4.0)
    Programme.objects.filter(pk=programme.pk).update(currency="USD")
    Resin.objects.filter(programme=programme).update(price_per_kg=2.4)
    for code, barrel in (("P1", 112.0), ("P2", 230.0), ("P3", None)):
        Press.objects.create(programme=programme, code=code, barrel_g=barrel, per_hour=32.0)
    _job(programme, "P1", "J-7", "yellow", YELLOW, resin_of(tool), product="sand scoop")
    _job(programme, "P2", "J-9", "teal", TEAL, "PVC-P", product="bath tugboat")
    ask(tool, "T4", TrialPurpose.SIZES)
    return Programme.objects.get(pk=programme.pk)


def resin_of(tool: Tool) -> str:
    """The resin of the tool's parts."""
    return str(tool.cavities.values_list("part__resin__code", flat=True).first())


def ask(tool: Tool, name: str, *purposes: TrialPurpose, **columns: Any) -> TrialRequest:
    """A trial in brown."""
    brown = {"colour": "otter brown", "lightness": BROWN[0], "a": BROWN[1], "b": BROWN[2]}
    return ask_trial(tool, {"name": name, **brown, **columns}, dict.fromkeys(purposes), made_by="tooling")


def _job(
    programme: Programme,
    press: str,
    code: str,
    colour: str,
    lab: tuple[float, float, float],
    resin: str,
    *,
    product: str,
) -> None:
    Job.objects.create(
        press=Press.objects.get(programme=programme, code=press),
        code=code,
        product=product,
        colour=colour,
        lightness=lab[0],
        a=lab[1],
        b=lab[2],
        resin=resin,
        begins=date(2026, 3, 16),
        may_stop=True,
        margin_per_h=24.0,
        restart_min=10.0,
    )


def shots_csv(*, seed: int = 4) -> str:
    """Shots of the hidden press from brown to yellow, with the scatter of pieces and instrument."""
    rng = np.random.default_rng(seed)
    lab = mixed_lab(BROWN, YELLOW, HIDDEN.old_in_shot(np.array(SHOTS), SHOT_G))
    lab = lab + 0.5 * rng.standard_normal(lab.shape) * axis_scales(lab)
    rows = (f"{n},{x:.2f},{y:.2f},{z:.2f}" for n, (x, y, z) in zip(SHOTS, lab, strict=True))
    return "\n".join(["shot,L,a,b", *rows]) + "\n"


def about(**changed: Any) -> ChangeAbout:
    """What is said beside the file."""
    given: dict[str, Any] = {
        "old_lab": BROWN,
        "new_lab": YELLOW,
        "shot_g": SHOT_G,
        "old_name": "brown",
        "new_name": "yellow",
        "done_on": date(2026, 3, 2),
    }
    return ChangeAbout(**{**given, **changed})


def keep(programme: str, *, change: str = "change 1", seed: int = 4, **changed: Any) -> ChangeKept:
    """The measured change, kept on P1."""
    return keep_colour_change(
        shots_csv(seed=seed).encode(),
        FILE,
        programme=programme,
        press="P1",
        change=change,
        about=about(**changed),
        read_at=NOW,
        read_by="press hall",
    )
