"""Seams: how they are drawn, what the welder gives them, how strong they are, whether they were welded."""

from offtool.core.welding.amplitude import HornAmplitude, horn_amplitude
from offtool.core.welding.audit import WeldAudit, weld_audit
from offtool.core.welding.design import (
    SeamDesign,
    check_groove,
    check_ridge,
    check_seam,
    check_shear,
    check_step,
)
from offtool.core.welding.energy import WeldEnergy, weld_energy
from offtool.core.welding.melt import SeamMelt, groove_melt, ridge_melt, seam_melt, shear_melt, step_melt
from offtool.core.welding.open_seam import OpenSeam, recognise_open_seam
from offtool.core.welding.seam import SeamSizes
from offtool.core.welding.strength import StrengthFinding, judge_strength
from offtool.core.welding.study.results import WeldWindow
from offtool.core.welding.study.runs import WeldRun, WeldRuns
from offtool.core.welding.study.window import weld_window
from offtool.core.welding.weibull import WeibullFit, fit_weibull

__all__ = [
    "HornAmplitude",
    "OpenSeam",
    "SeamDesign",
    "SeamMelt",
    "SeamSizes",
    "StrengthFinding",
    "WeibullFit",
    "WeldAudit",
    "WeldEnergy",
    "WeldRun",
    "WeldRuns",
    "WeldWindow",
    "check_groove",
    "check_ridge",
    "check_seam",
    "check_shear",
    "check_step",
    "fit_weibull",
    "groove_melt",
    "horn_amplitude",
    "judge_strength",
    "recognise_open_seam",
    "ridge_melt",
    "seam_melt",
    "shear_melt",
    "step_melt",
    "weld_audit",
    "weld_energy",
    "weld_window",
]
