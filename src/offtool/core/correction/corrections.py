"""The correction of a tool: which features to cut in which cavity, by how much, and what to expect."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from offtool.core.correction.choice import OVERSHOOT_PROBABILITY, Bound, CutChoice
from offtool.core.correction.cut_search import choose_all
from offtool.core.correction.evidence import Feature, SizeMoved, ToolEvidence
from offtool.core.correction.plan import (
    CorrectionPlan,
    LeftAlone,
    MeanExpected,
    PlannedCut,
    Standing,
    WhyLeft,
)
from offtool.core.correction.tool_knowledge import Place, ToolKnowledge
from offtool.core.formulas import formula
from offtool.core.values import Range, Verdict


@formula(
    limits={
        "evidence": Range(meaning="sizes, means of all trials, steel and features of one tool"),
        "overshoot_probability": Range(
            meaning="probability at most that a cut takes a mean past the far limit", above=0, below=0.5
        ),
    },
    example={
        "evidence": {
            "state": "a",
            "sizes": [
                {
                    "size": "peg",
                    "target": 4.005,
                    "lower": 3.98,
                    "upper": 4.03,
                    "required_index": 1.33,
                    "direction": "cross",
                    "allowed": 0.005,
                }
            ],
            "means": [
                {
                    "size": "peg",
                    "cavity": "1",
                    "trial": "T1",
                    "state": "a",
                    "mean": 3.966,
                    "sd": 0.004,
                    "parts": 10,
                    "verdict": "does not hold",
                }
            ],
            "features": [
                {
                    "feature": "peg bore",
                    "size_change_per_mm": 1.0,
                    "moves": [{"size": "peg", "factor": 1.0, "forms": True}],
                }
            ],
            "steel": [
                {"feature": "peg bore", "cavity": "1", "state": "a", "measured_mm": 3.99, "allowance_mm": 0.1}
            ],
        },
    },
    source="put together from estimate_process_means, split_deviation and choose_cut",
)
def plan_corrections(
    evidence: ToolEvidence, *, overshoot_probability: float = OVERSHOOT_PROBABILITY
) -> CorrectionPlan:
    """Which steel to cut, by how much, so that all sizes will hold, and what the next trial should show.

    Every feature that moves a size not holding is weighed by `choose_cut` on the means of
    `estimate_process_means` (all trials together) with the toolmaker's inaccuracy as `estimate_cutting` finds
    it. A feature whose sizes all hold is cut only where much is gained over set-ups. Where no steel size was
    measured nothing is cut, and the plan says what to measure.

    Returns: CorrectionPlan. Raises: NotEnoughData where no size was measured in today's steel.
    """
    known = ToolKnowledge(evidence)
    chosen = choose_all(known, overshoot_probability)
    cuts = tuple(_cuts(known, chosen))
    return CorrectionPlan(
        cuts=cuts,
        left_alone=tuple(_left_alone(known, chosen, cuts)),
        standing=tuple(known.standing.values()),
        directions=known.process.directions if known.process else {},
        setup_sd=known.setup_sd,
        cutting=known.cutting,
        state=evidence.state,
        cautions=known.process.cautions if known.process else (),
    )


def expected_after(evidence: ToolEvidence, cuts: Collection[PlannedCut]) -> tuple[MeanExpected, ...]:
    """What the next trial should show of every size that these cuts move, when they alone are made."""
    known = ToolKnowledge(evidence)
    amounts = {(cut.feature, cut.cavity): cut.amount_mm for cut in cuts}
    moved = dict.fromkeys((one.size, one.cavity) for cut in cuts for one in cut.expected)
    return tuple(known.expected(place, amounts) for place in moved)


def _cuts(known: ToolKnowledge, chosen: Mapping[Place, CutChoice]) -> Iterator[PlannedCut]:
    amounts = {place: choice.amount_mm for place, choice in chosen.items()}
    for feature in known.evidence.features:
        for cavity in known.cavities_of(feature):
            choice = chosen.get((feature.feature, cavity))
            if choice is not None and choice.amount_mm != 0:
                yield _planned(known, feature, cavity, choice, amounts)


def _planned(
    known: ToolKnowledge, feature: Feature, cavity: str, choice: CutChoice, amounts: Mapping[Place, float]
) -> PlannedCut:
    steel = known.steel[feature.feature, cavity, known.evidence.state]
    moved = known.moved(feature, cavity)
    amount = choice.amount_mm
    return PlannedCut(
        feature=feature.feature,
        cavity=cavity,
        amount_mm=amount,
        centring_mm=choice.centring_mm,
        size_before_mm=steel.measured_mm,
        size_after_mm=steel.measured_mm + feature.size_change_per_mm * amount,
        allowance_left_mm=max(steel.allowance_mm - amount, 0.0),
        cause=_cause(moved),
        bound=choice.bound,
        holds_now=choice.holds_now,
        holds_after=choice.holds_after,
        overshoot=choice.overshoot,
        expected=tuple(known.expected((one.size, one.cavity), amounts) for _, one in moved),
    )


def _left_alone(
    known: ToolKnowledge, chosen: Mapping[Place, CutChoice], cuts: tuple[PlannedCut, ...]
) -> Iterator[LeftAlone]:
    """Sizes that do not hold, that no cut moves."""
    moved = {(one.size, one.cavity) for cut in cuts for one in cut.expected}
    for place, standing in known.standing.items():
        if place not in moved and standing.verdict is not Verdict.HOLDS:
            why, remedy = _reason(known, chosen, standing)
            yield LeftAlone(size=standing.size, cavity=standing.cavity, why=why, remedy=remedy)


def _reason(
    known: ToolKnowledge, chosen: Mapping[Place, CutChoice], standing: Standing
) -> tuple[WhyLeft, str]:
    movers = [feature.feature for feature, _ in known.movers[standing.size]]
    choices = [chosen[name, standing.cavity] for name in movers if (name, standing.cavity) in chosen]
    bound = next((choice.bound for choice in choices if choice.bound is not Bound.NONE), Bound.NONE)
    if not movers:
        why = WhyLeft.NO_FEATURE
    elif not choices:
        why = WhyLeft.NO_STEEL
    elif bound is not Bound.NONE:
        why = WhyLeft(bound.value)
    else:
        why = WhyLeft.FEW_PARTS if standing.verdict is Verdict.NOT_SHOWN else WhyLeft.NO_GAIN
    return why, _REMEDY[why].format(steel=", ".join(movers))


_REMEDY = {
    WhyLeft.NO_FEATURE: "say which steel forms it, and which way it moves",
    WhyLeft.NO_STEEL: "measure {steel} in the steel",
    WhyLeft.NEEDS_STEEL: "a new insert, or welding and cutting again: decide with the toolmaker",
    WhyLeft.ALLOWANCE: "a new insert, other settings, or other limits",
    WhyLeft.FAR_LIMIT: "ask the toolmaker for a finer cut, or reduce the spread first",
    WhyLeft.SPREAD: "reduce the spread in the process first, or ask for wider limits",
    WhyLeft.FEW_PARTS: "measure more parts",
    WhyLeft.NO_GAIN: "reduce the spread, or ask for wider limits",
}


def _cause(moved: list[tuple[SizeMoved, Standing]]) -> str:
    """The cause of the size that stands worst."""
    splits = [(standing.split, standing.sd_mm) for _, standing in moved if standing.split]
    if not splits:
        return "not told apart"
    split, noise = max(splits, key=lambda one: abs(one[0].deviation_mm))
    return split.cause(noise)
