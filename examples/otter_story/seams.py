"""The welded seams of the harbour otter, and the study of the welder on its torso. All of it invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from itertools import product

import numpy as np
from examples.otter_story.hidden import TRUE_TORSO_WELD
from examples.otter_story.programme import SLUG
from numpy.random import Generator

from offtool.steps.define_seam import SeamDefined, define_seam
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study

TORSO = SeamDefined(
    code="torso",
    name="torso, back half under the horn",
    kind="tongue and groove",
    top_part="HO-03",
    bottom_part="HO-02",
    sizes={
        "joint_width": 2.4,
        "seam_length": 150.0,
        "ridge_height": "HO-02 7",
        "tongue_width": (1.25, 0.03),
        "groove_width": "HO-03 7",
        "groove_depth": (0.35, 0.05),
        "open_height": TRUE_TORSO_WELD.open_height_mm,
    },
    required_n=220.0,
    largest_flash_mm=0.1,
    frequency_khz=20.0,
    converter_um=20.0,
    booster_gain=1.5,
    horn_gain=1.6667,
    horn_distance_mm=5.0,
)
CLAM = SeamDefined(
    code="clam",
    name="clam, two like shells",
    kind="ridge",
    top_part="HO-07",
    bottom_part="HO-07",
    sizes={"joint_width": "HO-07 4", "seam_length": 58.0, "ridge_height": "HO-07 5"},
    required_n=60.0,
    note="nobody has welded one yet",
)
SEAMS = (TORSO, CLAM)

GAUGE = "PUL-09"
STUDY, STUDY_FILE, STUDIED_ON = "W1", "torso_weld_study.csv", date(2026, 3, 3)
CONFIRMED, CONFIRMED_FILE, CONFIRMED_ON = "W2", "torso_weld_confirmed.csv", date(2026, 3, 5)
STANDING, CONFIRMING_PIECES = (0.32, 1.8, 50.0), 60
"""Where the engineer stood after the study, rounded, and how many were welded there and pulled."""
TIMES_S, PRESSURES_BAR, AMPLITUDES_UM = (0.22, 0.29, 0.36, 0.43), (1.6, 2.2), (45.0, 50.0)
PIECES = 5
STOPPED_AT_N = 420.0
NEVER_WELDED = ("W81", "W82")
"""Two pieces that were laid together and came into the box without a cycle of the welder."""
_HEADS = (
    *("Piece", "HO-03 cavity", "HO-02 cavity", "Weld time [ms]", "Pressure [bar]"),
    *("Amplitude peak-to-peak [µm]", "Hold [s]", "Energy [J]", "Collapse [mm]", "Strength [N]", "Failure"),
    *("Height [mm]", "Flash [mm]", "Appearance", "Ridge"),
)


def study_file() -> bytes:
    """A row a piece, in the order of welding, decimal commas."""
    random = np.random.default_rng(20260303)
    settings = [one for one in product(TIMES_S, PRESSURES_BAR, AMPLITUDES_UM) for _ in range(PIECES)]
    rows = _title("Weld study")
    for number, place in enumerate(random.permutation(len(settings)), 1):
        rows.append(";".join((f"W{number:02d}", *_cavities(number), *_welded(*settings[place], random))))
    rows += [";".join((piece, *_cavities(i), *_open(random))) for i, piece in enumerate(NEVER_WELDED)]
    return "\n".join([*rows, ""]).encode()


def confirmed_file() -> bytes:
    """The pieces that were welded where the engineer stood."""
    random = np.random.default_rng(20260305)
    rows = [
        ";".join((f"C{number:02d}", *_cavities(number), *_welded(*STANDING, random)))
        for number in range(1, CONFIRMING_PIECES + 1)
    ]
    return "\n".join([*_title("Welds at one setting"), *rows, ""]).encode()


def _title(what: str) -> list[str]:
    return [
        f"{what}, otter torso, back half under the horn (an invented example)",
        f"20 kHz; pull tester {GAUGE} stopped at {STOPPED_AT_N:.0f} N",
        "",
        ";".join(_HEADS),
    ]


def _cavities(number: int) -> tuple[str, str]:
    return str(1 + number % 2), str(1 + number // 2 % 2)


def _welded(time_s: float, bar: float, um: float, random: Generator) -> Iterator[str]:
    """What the bench wrote down of a piece that was welded."""
    weld = TRUE_TORSO_WELD
    energy = weld.energy_j(time_s, bar, um) * (1 + weld.energy_sd * random.normal())
    pull = float(weld.strength_n(np.asarray(energy))) * (1 + weld.strength_sd * random.normal())
    flash = max(float(weld.flash_mm(np.asarray(energy))) + weld.flash_sd_mm * random.normal(), 0.0)
    collapse = min(weld.collapse_mm_per_j * energy, weld.most_collapse_mm) + 0.008 * random.normal()
    is_held = pull > STOPPED_AT_N
    yield from (
        f"{1000 * time_s:.0f}",
        _comma(bar, 1),
        f"{um:.0f}",
        "0,5",
        f"{energy:.0f}",
        _comma(collapse, 2),
    )
    yield from (f">{STOPPED_AT_N:.0f}", "held") if is_held else (f"{pull:.0f}", _came_apart(pull))
    yield from (_comma(weld.open_height_mm - collapse, 2), _comma(flash, 2))
    yield from ("bad" if flash > 0.13 else "good", "" if is_held else "melted")


def _came_apart(pull: float) -> str:
    return "torn" if pull > 230 else "peeled"


def _open(random: Generator) -> Iterator[str]:
    """A piece that no welder has touched: nothing was set, it comes apart in the hand, the ridge stands."""
    height = TRUE_TORSO_WELD.open_height_mm + 0.01 * random.normal()
    yield from ("", "", "", "", "", "", f"{random.uniform(1, 4):.0f}", "peeled")
    yield from (_comma(height, 2), "", "", "intact")


def _comma(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".replace(".", ",")


def define_seams(made_by: str) -> None:
    """Define both seams in the open record."""
    for seam in SEAMS:
        define_seam(SLUG, seam, made_by=made_by)


def keep_weld_runs(read_by: str) -> None:
    """Keep both studies of the torso; halves of the second trial were welded."""
    for study, file, content, day in (
        (STUDY, STUDY_FILE, study_file(), STUDIED_ON),
        (CONFIRMED, CONFIRMED_FILE, confirmed_file(), CONFIRMED_ON),
    ):
        keep_weld_study(
            content,
            file,
            programme=SLUG,
            seam=TORSO.code,
            study=study,
            about=WeldStudyAbout(gauge=GAUGE, top_trial="M1 T2", bottom_trial="M1 T2", done_on=day),
            read_at=datetime.combine(day, time(17), UTC),
            read_by=read_by,
        )
