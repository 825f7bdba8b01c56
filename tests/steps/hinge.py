"""The clip's peg in its lid's bore, measured: a joint whose truth is known."""

from __future__ import annotations

import numpy as np

from offtool.records.models import Cavity, Characteristic, Move, Programme, SteelFeature
from tests.steps.clip import csv_of, keep
from tests.steps.jointed import a_joint, with_bore

BORE, SPREAD = 4.0, 0.003
LOWER, UPPER = 0.10, 0.45
"""What is asked of the torque, N·m."""


def measured_file(peg: float, bore: float = BORE, *, shots: int = 12, seed: int = 3) -> bytes:
    """Shots from both cavities of the clip and of the lid, about the given means."""
    rng = np.random.default_rng(seed)
    rows: list[tuple[object, ...]] = []
    for shot in range(30, 30 + shots):
        for cavity in (1, 2):
            peg_read, bore_read = peg + rng.normal(0, SPREAD), bore + rng.normal(0, SPREAD)
            length = 20 + rng.normal(0, 0.006)
            rows.append((shot, cavity, f"{peg_read:.4f}", f"{length:.3f}", f"{bore_read:.4f}"))
    return csv_of(["Shot", "Cavity", "P1 1", "P1 2", "P2 2"], rows)


def make_hinge(clip: Programme, peg: float, **joint: object) -> Programme:
    """Peg and bore measured in T1, and the joint between them with its limits."""
    with_bore(clip)
    lid = clip.parts.get(code="P2")
    Cavity.objects.create(tool=clip.tools.get(code="M1"), part=lid, label="2")
    given = {"lower": LOWER, "upper": UPPER} | joint
    a_joint(**given)
    keep(measured_file(peg))
    return clip


def name_bore_pin(clip: Programme) -> SteelFeature:
    """The core pin of the bore, without any steel measured yet."""
    bore = Characteristic.objects.get(part__programme=clip, part__code="P2", number="2")
    feature = SteelFeature.objects.create(
        tool=clip.tools.get(code="M1"), part=bore.part, code="CP9", half="core half", stated="diameter",
        size_change_per_mm=-1.0,
    )  # fmt: skip
    Move.objects.create(feature=feature, characteristic=bore, factor=-1.0, forms=True)
    return feature
