"""Two changes of colour that were watched shot by shot, and how the presses truly wash out. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from examples.otter_story.programme import SLUG
from examples.otter_story.samples import BLACK, MINT, ORANGE, TEAL, Lab

from offtool.core.planning.colour_change.mixing import mixed_lab
from offtool.core.planning.colour_change.washout import Washout
from offtool.records.operations import (
    FileOfTest,
    NewColourChange,
    NewColourShot,
    keep_colour_change,
)
from offtool.records.queries import find_press, find_programme


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """A change of colour of which shots were measured, and how the press truly washes out."""

    press: str
    name: str
    done_on: date
    old: tuple[str, Lab]
    new: tuple[str, Lab]
    shot_g: float
    purge_kg: float
    truly: Washout
    strength: float
    """How much more the old colour counts than its share."""
    shots: tuple[int, ...]
    seed: int


WATCHED = (
    Watched(
        press="80 t, no. 9",
        name="black to mint",
        done_on=date(2026, 2, 12),
        old=("black", BLACK),
        new=("mint", MINT),
        shot_g=24.0,
        purge_kg=0.4,
        truly=Washout(contents_g=176.0, plug=0.22, tanks=1.7, slow=0.05, slow_stay=3.4),
        strength=1.15,
        shots=(1, 2, 3, 4, 6, 8, 10, 13, 16, 20, 25, 30, 36, 44, 52, 60),
        seed=312,
    ),
    Watched(
        press="150 t, no. 4",
        name="teal to orange",
        done_on=date(2026, 2, 9),
        old=("teal", TEAL),
        new=("orange", ORANGE),
        shot_g=61.0,
        purge_kg=0.0,
        truly=Washout(contents_g=398.0, plug=0.30, tanks=2.1, slow=0.03, slow_stay=2.8),
        strength=0.9,
        shots=(1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 18, 22, 26, 31, 38),
        seed=324,
    ),
)
INSTRUMENT_SD = 0.35
"""Of one reading, along each of L*, a*, b*; pieces of one shot differ by as much."""


def keep_watched(watched: Watched, at: datetime, by: str) -> None:
    """Keep a change of colour with its file as the instrument wrote it."""
    programme = find_programme(SLUG)
    shots = [(shot, tuple(round(one, 2) for one in lab)) for shot, lab in shots_of(watched)]
    lines = ["shot,L*,a*,b*", *(f"{shot},{lab[0]:.2f},{lab[1]:.2f},{lab[2]:.2f}" for shot, lab in shots)]
    name = watched.name.replace(" ", "_")
    change = NewColourChange(
        file=FileOfTest(
            name=watched.name,
            done_on=watched.done_on,
            note="invented shots",
            file_name=f"{name}.csv",
            content=("\n".join(lines) + "\n").encode(),
        ),
        from_name=watched.old[0],
        from_lab=watched.old[1],
        to_name=watched.new[0],
        to_lab=watched.new[1],
        resin="ABS",
        shot_g=watched.shot_g,
        purge_kg=watched.purge_kg,
    )
    rows = [
        NewColourShot(number=shot, lab=(lab[0], lab[1], lab[2]), row=row)
        for row, (shot, lab) in enumerate(shots, start=2)
    ]
    press = find_press(programme, watched.press)
    keep_colour_change(press, change, rows, read_at=at, read_by=by)


def shots_of(watched: Watched) -> list[tuple[int, Lab]]:
    """The colours that the instrument shows of the shots that were kept."""
    number = np.array(watched.shots)
    old = watched.truly.old_in_shot(number, watched.shot_g, 1000 * watched.purge_kg)
    true = mixed_lab(watched.old[1], watched.new[1], old, watched.strength)
    read = true + np.random.default_rng(watched.seed).normal(0, INSTRUMENT_SD, true.shape)
    return [
        (int(shot), (float(lab[0]), float(lab[1]), float(lab[2])))
        for shot, lab in zip(number, read, strict=True)
    ]
