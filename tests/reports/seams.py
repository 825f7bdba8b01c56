"""Invented seams of the harbour otter, worked out by the program, for tests of what is shown.

torso()                      a seam with a weld study, a window, pulls and an audit
torso(name="...")            any field of SeamFound given anew
not_pulled()                 the same before anything was pulled
all_seams()                  both, as the seams of a product
window(required_n=300.0)     the window of runs that are weak where short and ugly where long and hard
weibull()                    ten pulls that came apart and two that were stopped
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

import numpy as np

from offtool.core.joints.evidence import SizeGiven
from offtool.core.values import Verdict
from offtool.core.welding.amplitude import horn_amplitude
from offtool.core.welding.audit import weld_audit
from offtool.core.welding.cautions import AT_THE_WELDER, PULLING
from offtool.core.welding.design import check_seam
from offtool.core.welding.energy import weld_energy
from offtool.core.welding.melt import seam_melt
from offtool.core.welding.open_seam import recognise_open_seam
from offtool.core.welding.seam import SeamSizes
from offtool.core.welding.strength import StrengthFinding, judge_strength
from offtool.core.welding.study import WeldRun, WeldRuns, WeldWindow, weld_window
from offtool.core.welding.weibull import WeibullFit, fit_weibull
from offtool.handbook.terms import Appearance, SeamKind
from offtool.steps import seam_sentences
from offtool.steps.seam_found import PieceNotWelded, SeamFound, SeamsFound, WeldStudySeen

TITLE = "Harbour otter (invented)"
METHOD = "offtool 0.1"


def runs(*, third: bool = False) -> tuple[WeldRun, ...]:
    """Three times by three pressures, five pieces each: weak where short, ugly where long and hard."""
    rng = np.random.default_rng(8)
    found: list[WeldRun] = []
    for time in (0.2, 0.3, 0.4):
        for pressure in (2.0, 2.5, 3.0):
            for _ in range(5):
                score = 5 * (time - 0.3) + 1.0 * (pressure - 2.5)
                strength = 150 + 60 * score - 25 * score**2 + rng.normal(0, 5)
                found.append(
                    WeldRun(
                        time_s=time,
                        pressure_bar=pressure,
                        amplitude_um=(50.0 if len(found) % 2 else 60.0) if third else None,
                        strength_n=round(strength, 1),
                        appearance=Appearance.BAD if score > 0.55 else Appearance.GOOD,
                    )
                )
    return tuple(found)


@cache
def window(*, required_n: float = 90.0, third: bool = False, good_share: float = 0.75) -> WeldWindow:
    """The window of these runs."""
    return weld_window(WeldRuns(runs=runs(third=third)), required_n=required_n, good_share=good_share)


@cache
def window_of_one() -> WeldWindow:
    """Only the time was varied."""
    alone = tuple(replace(one, pressure_bar=2.5) for one in runs() if one.pressure_bar == 2.5)
    return weld_window(WeldRuns(runs=alone), required_n=80.0, good_share=0.6)


PULLS = (112.0, 96.0, 121.0, 104.0, 88.0, 117.0, 109.0, 99.0, 126.0, 130.0, 140.0, 140.0)
STOPPED = (0.0,) * 10 + (1.0, 1.0)


@cache
def strength() -> StrengthFinding:
    """Whether these pulls show that 60 N are held."""
    return judge_strength(PULLS, 60.0, stopped=STOPPED)


@cache
def weibull() -> WeibullFit:
    """Ten pulls that came apart and two that were stopped at 140 N."""
    return fit_weibull(PULLS, stopped=STOPPED, required_n=60.0)


def torso(**fields: Any) -> SeamFound:
    """The torso seam as `offtool.steps.judge_seam` would find it; `fields` are those of SeamFound."""
    drawn = SeamSizes(
        kind=SeamKind.RIDGE,
        sizes=(
            SizeGiven(role="seam_length", value=180.0),
            SizeGiven(role="joint_width", value=2.0, plus_minus=0.05),
            SizeGiven(role="ridge_height", value=0.7, plus_minus=0.03),
        ),
        resin="ABS",
        other_resin="ABS",
    )
    melt, found_window = seam_melt(drawn), window()
    given: dict[str, Any] = {
        "programme": "harbour-otter",
        "programme_title": TITLE,
        "invented": True,
        "seam": "torso",
        "name": "torso, front to back",
        "kind": "ridge",
        "top": "HO-01",
        "bottom": "HO-02",
        "top_resin": "ABS",
        "bottom_resin": "ABS",
        "required_n": 60.0,
        "largest_flash_mm": 0.2,
        "verdict": strength().verdict,
        "headline": "",
        "actions": (),
        "rests_on": (),
        "sizes": (),
        "missing": (),
        "design": check_seam(drawn),
        "melt": melt,
        "energy": weld_energy(melt.volume_mm3.middle, resin="ABS"),
        "amplitude": horn_amplitude(20.0, 1.5, 2.0, stated="peak-to-peak", frequency_khz=20.0, resin="ABS"),
        "window": found_window,
        "setting": found_window.settings[4],
        "strength": strength(),
        "weibull": weibull(),
        "audit": weld_audit(110.0, 12.0, 60.0, drop_n=30.0),
        "not_welded": (
            PieceNotWelded(
                study="1", piece="14", setting="0.2 s, 2 bar", found=recognise_open_seam(ridge="intact")
            ),
        ),
        "studies": (study_seen(),),
        "said": (),
        "method": METHOD,
        "cautions": (*AT_THE_WELDER, PULLING, *strength().cautions),
    }
    found = SeamFound(**(given | fields))
    return replace(
        found,
        headline=seam_sentences.headline(found),
        actions=tuple(seam_sentences.actions(found)),
        rests_on=tuple(seam_sentences.facts(found)),
    )


def study_seen(**fields: Any) -> WeldStudySeen:
    """A weld study of 45 pieces."""
    given: dict[str, Any] = {
        "name": "1",
        "file": "otter_torso_weld.csv",
        "sha256": "cd" * 32,
        "done_on": date(2026, 3, 22),
        "read_by": "bench",
        "runs": 45,
        "gauge": "P-1",
        "gauge_says": "no gauge study",
        "top_trial": "T1 of M1, state a",
        "bottom_trial": "T1 of M1, state a",
        "is_stale": False,
        "note": "",
        "set_aside": "",
        "study_id": 1,
    }
    return WeldStudySeen(**(given | fields))


def not_pulled(**fields: Any) -> SeamFound:
    """The head seam, drawn and never welded."""
    given: dict[str, Any] = {
        "seam": "head",
        "name": "head",
        "verdict": Verdict.NOT_SHOWN,
        "amplitude": None,
        "window": None,
        "setting": None,
        "strength": None,
        "weibull": None,
        "audit": None,
        "not_welded": (),
        "studies": (),
        "cautions": AT_THE_WELDER,
    }
    return torso(**(given | fields))


def all_seams(*seams: SeamFound) -> SeamsFound:
    """The seams of the otter."""
    found = seams or (torso(), not_pulled())
    return SeamsFound(
        programme="harbour-otter",
        programme_title=TITLE,
        invented=True,
        headline=seam_sentences.headline_of_all(found),
        seams=found,
    )
