"""The nested gauge study: each operator tests pieces of batches of their own, for tests that destroy."""

from __future__ import annotations

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.gauge.design import nested_design
from offtool.core.inspection.gauge.layout import Layout, cells, nested_layout
from offtool.core.inspection.gauge.results import (
    INTERACTION,
    OPERATOR,
    REPEATABILITY,
    REPRODUCIBILITY,
    GaugeGap,
    GaugeStudy,
)
from offtool.core.inspection.gauge.shares import Split, estimates, gauge_freedom
from offtool.core.inspection.gauge.study import OPERATORS, TOLERANCE, study
from offtool.core.inspection.gauge.sums import mean_squares, nested_rows, nested_sums
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.values import Caution, NotEnoughData, Range

ALIKE = (
    "pieces of one batch are taken as alike: repeatability contains what differs between them, and the gauge "
    "looks worse than it is by that much"
)


@formula(
    limits={
        "values": VALUES,
        "operators": OPERATORS,
        "parts": Range(meaning="which part, or batch of like pieces, one name a reading"),
        "tolerance": TOLERANCE,
        "confidence": CONFIDENCE,
    },
    example={
        "values": [61.0, 60.2, 66.1, 65.2, 58.3, 59.1, 63.0, 62.1, 57.2, 58.4, 65.0, 63.9],
        "operators": ["A"] * 6 + ["B"] * 6,
        "parts": ["1", "1", "2", "2", "3", "3", "4", "4", "5", "5", "6", "6"],
        "tolerance": 40.0,
    },
    source="nested random analysis of variance; modified-large-sample intervals (Burdick and Graybill 1992)",
)
def nested_gauge_study(
    values: Numbers,
    operators: Texts,
    parts: Texts,
    *,
    tolerance: float | None = None,
    confidence: float = 0.95,
) -> GaugeStudy:
    """How much comes from gauge, operators and parts, where no part can be tested by two operators.

    MS_operator = e + r p(o) + p r o, MS_part = e + r p(o), MS_e = e. Weld pull, torque to failure: a part is
    a batch of pieces as alike as can be had, tested by one operator.

    Returns: GaugeStudy; interaction is not separated. Raises: NotEnoughData for unequal numbers of parts or
    of readings (named), one part for an operator, one repeat, readings all equal.

    Holds when: pieces of a batch are alike, and batches were given to operators by lot.

    Example: 10 batches, 3 casks of each, 2 tests give cask 2.904, batch 1.287, test 0.823 (Davies
    and Goldsmith, Statistical Methods in Research and Production).
    """
    layout = nested_layout(values, operators, parts)
    _refuse_too_few(layout)
    o, p, r = layout.readings.shape
    sums = nested_sums(layout)
    design = nested_design(p, o, r)
    squares = mean_squares(design, sums)
    variances = estimates(design, squares)
    split = Split(
        design=design,
        mean_squares=design.mean_squares(squares),
        variances=variances,
        gauge_freedom=gauge_freedom(design, squares, variances),
        confidence=confidence,
        seen=sums[REPEATABILITY][0] > 0,
    )
    return study(
        split,
        method="nested analysis of variance",
        counts=(p, o, r),
        planned=nested_design,
        tolerance=tolerance,
        gaps=_gaps(o),
        anova=nested_rows(sums),
        cells=cells(layout, parts_first=False),
        cautions=(Caution(ALIKE),),
    )


def _refuse_too_few(layout: Layout) -> None:
    _, p, r = layout.readings.shape
    if p < 2:
        raise NotEnoughData(
            "one part for each operator: parts cannot be told from operators",
            remedy="give every operator at least five parts",
        )
    if r < 2:
        raise NotEnoughData(
            "one reading of each part: repeatability cannot be told from parts",
            remedy="test at least two like pieces of every part",
        )


def _gaps(operators: int) -> tuple[GaugeGap, ...]:
    if operators == 1:
        why = "not studied: one operator"
        return tuple(GaugeGap(source=name, reason=why) for name in (OPERATOR, INTERACTION, REPRODUCIBILITY))
    return (GaugeGap(source=INTERACTION, reason="no part was measured by two operators"),)
