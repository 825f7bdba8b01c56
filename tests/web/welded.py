"""The small otter with a second half: a seam between them, and the file of an invented weld study."""

from __future__ import annotations

from typing import Any

import numpy as np

from offtool.records.models import Cavity, Characteristic, Part, Tool
from offtool.steps.define_seam import SeamDefined, define_seam
from offtool.steps.keep_weld_study import WeldStudyAbout, keep_weld_study
from tests.web import otter

SEAMS = f"/p/{otter.SLUG}/seams/"
SEAM = f"{SEAMS}torso/"
READ = f"{SEAM}read/"
FILE = "torso_weld.csv"
WELDED_MM, OPEN_MM = 24.05, 24.43
OPEN_PIECE = "W99"


def make_welded(tool: Tool) -> None:
    """The other half of the torso, from the same tool, with a groove that can be measured."""
    torso = Part.objects.select_related("programme", "resin").get(code="HO-02")
    back = Part.objects.create(programme=torso.programme, code="HO-03", name="Torso, back", resin=torso.resin)
    Cavity.objects.create(tool=tool, part=back, label="5")
    Characteristic.objects.create(
        part=back, number="7", name="Groove, width", kind="length", unit="mm",
        nominal=1.4, lower=1.35, upper=1.45,
    )  # fmt: skip


def seam_defined(**changed: Any) -> SeamDefined:
    """A tongue and groove of plain numbers, with its welder."""
    given: dict[str, Any] = {
        "code": "torso",
        "name": "torso seam",
        "kind": "tongue and groove",
        "top_part": "HO-03",
        "bottom_part": "HO-02",
        "required_n": 60.0,
        "largest_flash_mm": 0.15,
        "frequency_khz": 20.0,
        "converter_um": 20.0,
        "booster_gain": 1.5,
        "horn_gain": 1.5,
        "horn_distance_mm": 5.0,
        "sizes": {
            "joint_width": 1.4,
            "seam_length": 150.0,
            "ridge_height": (0.5, 0.02),
            "tongue_width": (1.25, 0.03),
            "groove_width": (1.41, 0.01),
            "groove_depth": (0.35, 0.05),
            "open_height": OPEN_MM,
        },
    } | changed
    return SeamDefined(**given)


def define(**changed: Any) -> None:
    """Define the seam."""
    define_seam(otter.SLUG, seam_defined(**changed), made_by="tooling")


def study_csv(*, seed: int = 11) -> str:
    """Three times by two pressures, six pieces each; one piece was never welded."""
    random = np.random.default_rng(seed)
    settings, found = (
        "Weld time [s],Pressure [bar],Amplitude peak-to-peak [um]",
        "Strength [N],Failure,Height [mm]",
    )
    rows = [f"Piece,{settings},{found},Flash [mm],Appearance,Ridge"]
    for time in (0.2, 0.3, 0.4):
        for pressure in (2.0, 3.0):
            for _ in range(6):
                strength = 60 + 200 * time + 15 * pressure + random.normal(0, 4)
                height = WELDED_MM + random.normal(0, 0.02)
                rows.append(
                    f"W{len(rows):02d},{time},{pressure},45,{strength:.0f},torn,{height:.2f},0.02,good,melted"
                )
    rows.append(f"{OPEN_PIECE},0.2,2.0,45,4,peeled,{OPEN_MM:.2f},0,good,intact")
    return "\n".join(rows)


def keep_study(name: str = "W1") -> None:
    """Read the study into the record."""
    keep_weld_study(
        study_csv().encode(), FILE, programme=otter.SLUG, seam="torso", study=name,
        about=WeldStudyAbout(done_on=otter.NOW.date()), read_at=otter.NOW, read_by="bench",
    )  # fmt: skip
