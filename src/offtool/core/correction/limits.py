"""Ranges that the correction formulas share."""

from __future__ import annotations

from offtool.core.values import Range

SHRINKAGE_SOURCE = "ranges of public shrinkage tables, soft PVC and PE included"

PART = Range(meaning="size of the part after conditioning", unit="mm", above=0)
CAVITY = Range(meaning="steel size of the cavity at 23 degrees", unit="mm", above=0)
ALLOWED = Range(
    meaning="shrinkage allowed for when the steel was drawn, as a fraction (0.005 is 0.5 %)",
    above=-0.05,
    below=0.2,
    usual=(0.001, 0.05),
    source=SHRINKAGE_SOURCE,
    remedy="give a fraction, not per cent",
)
SHRINKAGE = Range(
    meaning="shrinkage found, as a fraction (0.005 is 0.5 %)",
    above=-0.2,
    below=0.2,
    usual=(0.0, 0.05),
    source=SHRINKAGE_SOURCE,
    remedy="give a fraction, not per cent",
)
TARGET = Range(meaning="where the mean of the part should stand", unit="mm")
FACTOR = Range(
    meaning="mm of part for each mm of steel removed in the stated measure, before shrinkage; negative "
    "when the part gets smaller (a core pin stated per side: -2)",
    unit="mm/mm",
    usual=(-2.0, 2.0),
    source="geometry",
)
STEP = Range(meaning="smallest amount the toolmaker works to", unit="mm", above=0)
ALLOWANCE = Range(meaning="steel that may still be removed, in the stated measure", unit="mm", at_least=0)
CUT_SD = Range(
    meaning="standard deviation of what is cut about what was asked",
    unit="mm",
    at_least=0,
    usual=(0.0, 0.03),
    source="common practice, no source",
)
CUT_BIAS = Range(meaning="how much more (or, negative, less) is removed than asked, on average", unit="mm")
