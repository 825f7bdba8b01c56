"""The crossed gauge study: every operator measures every part several times."""

from __future__ import annotations

from typing import Literal

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.gauge.design import crossed_design
from offtool.core.inspection.gauge.layout import Layout, cells, crossed_layout
from offtool.core.inspection.gauge.ranges import average_and_range
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
from offtool.core.inspection.gauge.sums import (
    POOL_ABOVE,
    Sums,
    crossed_rows,
    crossed_sums,
    interaction_p,
    mean_squares,
    pooled_sums,
)
from offtool.core.inspection.limits import CONFIDENCE, VALUES
from offtool.core.values import Caution, NotEnoughData, Range

AnalysisOrRange = Literal["analysis of variance", "average and range"]
POOLING_RULE = f"interaction taken as repeatability where its p is above {POOL_ABOVE:g}"
INTERACTION_SHOWN_BELOW = 0.05


@formula(
    limits={
        "values": VALUES,
        "parts": Range(meaning="which part, one name a reading"),
        "operators": OPERATORS,
        "tolerance": TOLERANCE,
        "method": Range(meaning="how the spreads are found; average and range cannot see interaction"),
        "confidence": CONFIDENCE,
    },
    example={
        "values": [4.01, 4.02, 4.02, 4.01, 3.96, 3.97, 3.97, 3.99, 4.05, 4.04, 4.06, 4.06],
        "parts": ["1", "1", "1", "1", "2", "2", "2", "2", "3", "3", "3", "3"],
        "operators": ["A", "A", "B", "B"] * 3,
        "tolerance": 0.3,
    },
    source="two-way random analysis of variance; modified-large-sample intervals (Burdick, Graybill 1992); "
    "ranges: Patnaik 1950, d2 and d2* by quadrature",
)
def crossed_gauge_study(
    values: Numbers,
    parts: Texts,
    operators: Texts,
    *,
    tolerance: float | None = None,
    method: AnalysisOrRange = "analysis of variance",
    confidence: float = 0.95,
) -> GaugeStudy:
    """How much of what is read comes from the gauge, the operators and the parts.

    MS_part = e + r po + o r p, MS_operator = e + r po + p r o, MS_po = e + r po, MS_e = e; the interaction po
    is taken as repeatability where its p is above 0.25. Main effects are tested against the interaction, or
    against what it was pooled into. Intervals never rest on the pooling.

    Returns: GaugeStudy. Raises: NotEnoughData for cells with unequal numbers of readings (named), one part,
    one operator with one repeat, readings all equal; ImpossibleInput for lists of unequal length.

    Holds when: parts and operators stand for all that will come; deviations are normal; by average and range
    also: no interaction. Parts picked alike make every gauge look bad by variation, not by tolerance.

    Example: gauge 0.302373 and parts 1.042327 of 10 parts, 3 operators, 3 repeats give 4 categories (AIAG,
    Measurement Systems Analysis, 4th ed.).
    """
    layout = crossed_layout(values, parts, operators)
    _refuse_too_few(layout)
    sums = crossed_sums(layout)
    if method == "average and range":
        return _by_ranges(layout, sums, tolerance, confidence)
    return _by_analysis(layout, sums, tolerance, confidence)


def _by_analysis(layout: Layout, sums: Sums, tolerance: float | None, confidence: float) -> GaugeStudy:
    p, o, r = layout.readings.shape
    together = interaction_p(sums)
    # Repeats that all agree leave nothing to test the interaction by: it then stands as it is.
    pool = o > 1 and (r == 1 or (together is not None and together > POOL_ABOVE))
    design, full = (crossed_design(p, o, r, interaction=kept and r > 1) for kept in (not pool, True))
    table = {**sums, REPEATABILITY: pooled_sums(sums)} if pool else sums
    squares, full_squares = mean_squares(design, table), mean_squares(full, sums if r > 1 else table)
    variances = estimates(design, squares)
    split = Split(
        design=full,
        mean_squares=full.mean_squares(full_squares),
        variances=variances,
        gauge_freedom=gauge_freedom(design, squares, variances),
        confidence=confidence,
        seen=table[REPEATABILITY][0] > 0,
    )
    return study(
        split,
        method="analysis of variance",
        counts=(p, o, r),
        planned=lambda p, o, r: crossed_design(p, o, r, interaction=r > 1),
        tolerance=tolerance,
        gaps=_gaps(o, r),
        anova=crossed_rows(sums, pool=pool),
        cells=cells(layout, parts_first=True),
        interaction_pooled=pool,
        interaction_p=together if o > 1 else None,
        pooling_rule=POOLING_RULE,
        cautions=_one_repeat() if r == 1 else (),
    )


def _by_ranges(layout: Layout, sums: Sums, tolerance: float | None, confidence: float) -> GaugeStudy:
    p, o, r = layout.readings.shape
    if r == 1:
        raise NotEnoughData(
            "average and range needs repeats",
            remedy="measure every part at least twice, or use the analysis of variance",
        )
    found = average_and_range(layout)
    together = interaction_p(sums) if o > 1 else None
    return study(
        Split(
            design=found.design,
            mean_squares=found.design.mean_squares(found.mean_squares),
            variances=found.variances,
            gauge_freedom=gauge_freedom(found.design, found.mean_squares, found.variances),
            confidence=confidence,
            seen=found.mean_range > 0,
        ),
        method="average and range",
        counts=(p, o, r),
        planned=lambda p, o, r: crossed_design(p, o, r, interaction=False),
        tolerance=tolerance,
        gaps=_gaps(o, r) or (GaugeGap(source=INTERACTION, reason="ranges cannot see it"),),
        anova=(),
        cells=cells(layout, parts_first=True),
        interaction_p=together,
        pooling_rule="interaction taken as absent",
        cautions=_interaction_unseen(together),
    )


def _refuse_too_few(layout: Layout) -> None:
    p, o, r = layout.readings.shape
    if p < 2:
        raise NotEnoughData("one part shows no spread of parts", remedy="measure at least 5 parts, better 10")
    if o == r == 1:
        raise NotEnoughData(
            "one operator read every part once: nothing shows the gauge",
            remedy="let every operator read every part at least twice",
        )


def _gaps(operators: int, repeats: int) -> tuple[GaugeGap, ...]:
    if operators == 1:
        why = "not studied: one operator"
        return tuple(GaugeGap(source=name, reason=why) for name in (OPERATOR, INTERACTION, REPRODUCIBILITY))
    if repeats == 1:
        why = "one repeat: cannot be told from repeatability, which contains it"
        return (GaugeGap(source=INTERACTION, reason=why),)
    return ()


def _one_repeat() -> tuple[Caution, ...]:
    text = "one repeat: repeatability contains what operators and parts do together"
    return (Caution(text, "measure every part at least twice to tell them apart"),)


def _interaction_unseen(p: float | None) -> tuple[Caution, ...]:
    if p is None or p >= INTERACTION_SHOWN_BELOW:
        return ()
    return (Caution(f"operators and parts interact (p {p:.2g}): use the analysis of variance"),)
