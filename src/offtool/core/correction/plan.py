"""The correction of a tool: which features to cut in which cavity, by how much, and what to expect."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import hypot, inf, sqrt

import numpy as np

from offtool.core.correction.choice import (
    LEAST_GAIN,
    LOOPS_TO_ADD,
    Bound,
    CutChoice,
    choose_cut,
    further_loops,
)
from offtool.core.correction.cutting import Cutting, estimate_cutting
from offtool.core.correction.evidence import (
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
)
from offtool.core.correction.pooled import PooledShrinkage
from offtool.core.correction.prediction import predicted_interval
from offtool.core.correction.process_mean import SETUP_SD, SETUP_WEIGHT, ProcessMeans, estimate_process_means
from offtool.core.correction.shrinkage import Split, split_deviation
from offtool.core.formulas import formula
from offtool.core.values import Caution, Interval, NotEnoughData, Range, Verdict

PREDICTION_CONFIDENCE = 0.8
MOST_SWEEPS = 8
HOLDING_GAIN = 0.15
"""Loops that a cut must be expected to save where every size it moves holds today."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where one size in one cavity stands, why, and how sure that is."""

    size: str
    cavity: str
    mean_mm: float
    sd_mm: float
    setup_sd_mm: float
    spread_mm: float | None
    parts: int
    shrinkage: float | None
    split: Split | None
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanExpected:
    """What the next trial's mean should be."""

    size: str
    cavity: str
    mean: float
    sd: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCut:
    """One cut: how much, what it leaves, why, and what to expect of every size it moves."""

    feature: str
    cavity: str
    amount_mm: float
    centring_mm: float
    size_before_mm: float
    size_after_mm: float
    allowance_left_mm: float
    cause: str
    bound: Bound
    holds_now: float
    holds_after: float
    overshoot: float
    expected: tuple[MeanExpected, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone:
    """A size that does not hold yet and is not cut, with the reason and what to do instead."""

    size: str
    cavity: str
    why: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionPlan:
    """The cuts, what is left alone and why, and what both rest on."""

    cuts: tuple[PlannedCut, ...]
    left_alone: tuple[LeftAlone, ...]
    standing: tuple[Standing, ...]
    directions: dict[str, PooledShrinkage]
    setup_sd: float
    cutting: Cutting
    state: str
    cautions: tuple[Caution, ...] = ()


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
            "sizes": [{"size": "peg", "target": 4.005, "lower": 3.98, "upper": 4.03, "required_index": 1.33,
                       "direction": "cross", "allowed": 0.005}],
            "means": [{"size": "peg", "cavity": "1", "trial": "T1", "state": "a", "mean": 3.966, "sd": 0.004,
                       "parts": 10, "verdict": "does not hold"}],
            "features": [{"feature": "peg bore", "size_change_per_mm": 1.0,
                          "moves": [{"size": "peg", "factor": 1.0, "forms": True}]}],
            "steel": [{"feature": "peg bore", "cavity": "1", "state": "a", "measured_mm": 3.99,
                       "allowance_mm": 0.1}],
        },
    },
    source="put together from estimate_process_means, split_deviation and choose_cut",
)  # fmt: skip
def plan_corrections(evidence: ToolEvidence, *, overshoot_probability: float = 1e-4) -> CorrectionPlan:
    """Which steel to cut, by how much, so that the sizes that do not hold will, and what the next trial should show.

    Every feature that moves a size not holding is weighed by `choose_cut` on the means of `estimate_process_means`
    (all trials together) with the toolmaker's inaccuracy as `estimate_cutting` finds it. A feature whose sizes all
    hold is left alone. Where no steel size was measured nothing is cut, and the plan says what to measure.

    Returns: CorrectionPlan. Raises: NotEnoughData where no size was measured in today's steel.
    """
    planner = _Planner(evidence, overshoot_probability)
    return planner.plan()


class _Planner:
    """Lookups over the evidence, built once for one plan."""

    def __init__(self, evidence: ToolEvidence, overshoot_probability: float) -> None:
        self.evidence = evidence
        self.overshoot_probability = overshoot_probability
        self.asked = {one.size: one for one in evidence.sizes}
        self.steel = {(one.feature, one.cavity, one.state): one for one in evidence.steel}
        self.first_steel = {(one.feature, one.cavity): one for one in reversed(evidence.steel)}
        self.all_movers: dict[str, list[tuple[Feature, SizeMoved]]] = defaultdict(list)
        for feature in evidence.features:
            for move in feature.moves:
                self.all_movers[move.size].append((feature, move))
        self.former: dict[str, tuple[Feature, SizeMoved]] = {
            move.size: (feature, move)
            for feature in evidence.features
            for move in feature.moves
            if move.forms
        }
        self.cutting = estimate_cutting(
            [cut.asked_mm for cut in evidence.cuts], [cut.removed_mm for cut in evidence.cuts],
            usual_sd_mm=evidence.cut_sd_mm, first_cuts_mm=self._first_cuts(),
        )  # fmt: skip
        self.process = self._process_means()
        self.standing = {(one.size, one.cavity): one for one in self._standings()}
        if not self.standing:
            raise NotEnoughData(
                f"no size was measured in tool state {evidence.state}", remedy="read a trial first"
            )
        self.chosen = self._choose_all()
        self.amounts = {place: choice.amount_mm for place, choice in self.chosen.items()}

    def plan(self) -> CorrectionPlan:
        cuts = tuple(self._cuts())
        return CorrectionPlan(
            cuts=cuts, left_alone=tuple(self._left_alone(cuts)), standing=tuple(self.standing.values()),
            directions=self.process.directions if self.process else {},
            setup_sd=self._setup_sd(), cutting=self.cutting, state=self.evidence.state,
            cautions=self.process.cautions if self.process else (),
        )  # fmt: skip

    def _steel_of(self, found: MeanFound) -> SteelFound | None:
        """The steel size that formed a size: its forming feature's, moved by what was cut from the others."""
        former = self.former.get(found.size)
        steel = self.steel.get((former[0].feature, found.cavity, found.state)) if former else None
        if steel is None:
            return None
        moved = sum(self._removed(feature, found) * move.factor for feature, move in self.all_movers[found.size]
                    if not move.forms)  # fmt: skip
        return replace(steel, measured_mm=steel.measured_mm + moved) if moved else steel

    def _removed(self, feature: Feature, found: MeanFound) -> float:
        """What was removed from a feature between its first measured state and the one a size was moulded in."""
        now = self.steel.get((feature.feature, found.cavity, found.state))
        first = self.first_steel.get((feature.feature, found.cavity))
        if now is None or first is None:
            return 0.0
        return (now.measured_mm - first.measured_mm) / feature.size_change_per_mm

    def _first_cuts(self) -> list[float]:
        """How far the tool, as first cut, lies from its drawing."""
        drawn = {feature.feature: feature.drawn_mm for feature in self.evidence.features}
        return [
            steel.measured_mm - size for (name, _), steel in self.first_steel.items()
            if (size := drawn.get(name)) is not None
        ]  # fmt: skip

    def _process_means(self) -> ProcessMeans | None:
        known = [(one, steel) for one in self.evidence.means if (steel := self._steel_of(one)) is not None]
        if not known:
            return None
        return estimate_process_means(
            [one.mean for one, _ in known], [_mean_uncertainty(one, self.asked[one.size]) for one, _ in known],
            [steel.measured_mm for _, steel in known], [steel.uncertainty_mm for _, steel in known],
            sizes=[one.size for one, _ in known], cavities=[one.cavity for one, _ in known],
            directions=[self.asked[one.size].direction for one, _ in known],
            trials=[one.trial for one, _ in known], states=[one.state for one, _ in known],
        )  # fmt: skip

    def _setup_sd(self) -> float:
        return self.process.setup_sd if self.process else SETUP_SD

    def _setup_freedom(self) -> float:
        return self.process.setup_freedom if self.process else SETUP_WEIGHT

    def _standings(self) -> Iterator[Standing]:
        """Each size and cavity as it stands in today's steel, from the last trial that measured it there."""
        places = {}
        if self.process:
            places = {
                cell: i for i, cell in enumerate(zip(self.process.sizes, self.process.cavities, strict=True))
            }
        last = {
            (one.size, one.cavity): one for one in self.evidence.means if one.state == self.evidence.state
        }
        for cell, found in last.items():
            asked, steel, place = self.asked[found.size], self._steel_of(found), places.get(cell)
            mean, sd = found.mean, _mean_uncertainty(found, asked)
            split = None
            if self.process is not None and place is not None and steel is not None:
                mean, sd = float(self.process.mean_mm[place]), float(self.process.sd_mm[place])
                split = self._split(mean, asked, steel, place)
            yield Standing(
                size=found.size, cavity=found.cavity, mean_mm=mean, sd_mm=sd,
                setup_sd_mm=self._setup_sd() * abs(steel.measured_mm if steel else asked.target),
                spread_mm=found.sd, parts=found.parts, split=split,
                shrinkage=split.shrinkage_found if split else None, verdict=found.verdict,
            )  # fmt: skip

    def _split(self, mean: float, asked: SizeAsked, steel: SteelFound, place: int) -> Split | None:
        if asked.allowed is None or self.process is None:
            return None
        return split_deviation(
            mean, asked.target, cavity_mm=steel.measured_mm, allowed=asked.allowed,
            drawn_mm=self.former[asked.size][0].drawn_mm,
            direction_shrinkage=float(self.process.direction_shrinkage[place]),
            size_shrinkage=float(self.process.size_shrinkage[place]),
        )  # fmt: skip

    def _choose_all(self) -> dict[tuple[str, str], CutChoice]:
        """A choice for each feature and cavity, each given all the others, until none changes.

        Where features share sizes, the search also starts from the cuts that centre every size at once, and the
        better of the two ends is kept: two cuts may help each other that do not help alone.
        """
        chosen: dict[tuple[str, str], CutChoice] = {}
        for group in self._groups():
            ends = [self._settle(group, {})]
            if len(group) > 1:
                ends.append(self._settle(group, self._centred(group)))
            chosen |= min(ends, key=self._loops_expected)
        return chosen

    def _groups(self) -> list[list[tuple[Feature, str]]]:
        """Features with measured steel, gathered where they move a common size, cavity by cavity."""
        groups: list[tuple[set[tuple[str, str]], list[tuple[Feature, str]]]] = []
        for feature in self.evidence.features:
            for cavity in self._cavities_of(feature):
                if (feature.feature, cavity, self.evidence.state) not in self.steel:
                    continue
                cells = {(move.size, cavity) for move in feature.moves}
                joined = [group for group in groups if group[0] & cells]
                groups = [group for group in groups if not group[0] & cells]
                groups.append((
                    cells.union(*(group[0] for group in joined)),
                    [place for group in joined for place in group[1]] + [(feature, cavity)],
                ))  # fmt: skip
        return [places for _, places in groups]

    def _settle(
        self, group: list[tuple[Feature, str]], amounts: dict[tuple[str, str], float]
    ) -> dict[tuple[str, str], CutChoice]:
        chosen: dict[tuple[str, str], CutChoice] = {}
        amounts = dict(amounts)
        for _ in range(MOST_SWEEPS if len(group) > 1 else 1):
            before = dict(amounts)
            for feature, cavity in group:
                choice = self._choose(feature, cavity, amounts)
                chosen[feature.feature, cavity] = choice
                amounts[feature.feature, cavity] = choice.amount_mm
            if amounts == before:
                break
        return chosen

    def _centred(self, group: list[tuple[Feature, str]]) -> dict[tuple[str, str], float]:
        """The amounts that bring every size of a group to its target at once (least squares), in whole steps."""
        cells = sorted(
            {(s.size, s.cavity) for feature, cavity in group for _, s in self._moved(feature, cavity)}
        )
        effect = np.zeros((len(cells), len(group)))
        for column, (feature, cavity) in enumerate(group):
            for move, standing in self._moved(feature, cavity):
                effect[cells.index((standing.size, cavity)), column] = self._part_change(
                    feature, move, standing
                )
        wanted = [self.asked[size].target - self.standing[size, cavity].mean_mm for size, cavity in cells]
        amounts = np.linalg.lstsq(effect, np.array(wanted), rcond=None)[0]
        step = self.evidence.step_mm
        return {
            (feature.feature, cavity): min(
                float(round(amount / step) * step),
                self.steel[feature.feature, cavity, self.evidence.state].allowance_mm,
            )
            for (feature, cavity), amount in zip(group, amounts, strict=True)
        }

    def _loops_expected(self, chosen: Mapping[tuple[str, str], CutChoice]) -> float:
        """Further loops of a group under its choices, with what adding steel costs."""
        can_add = {feature.feature: feature.can_add for feature in self.evidence.features}
        holding = np.array([choice.holds_after for choice in chosen.values()])
        added = sum(LOOPS_TO_ADD[can_add[name]] for (name, _), c in chosen.items() if c.amount_mm < 0)
        return float(further_loops(holding).sum()) + added

    def _cavities_of(self, feature: Feature) -> list[str]:
        sizes = {move.size for move in feature.moves}
        return sorted({cavity for size, cavity in self.standing if size in sizes})

    def _moved(self, feature: Feature, cavity: str) -> list[tuple[SizeMoved, Standing]]:
        return [
            (move, standing) for move in feature.moves
            if (standing := self.standing.get((move.size, cavity))) is not None
        ]  # fmt: skip

    def _part_change(self, feature: Feature, move: SizeMoved, standing: Standing) -> float:
        """mm of part for each mm removed, shrinkage included."""
        allowed = self.asked[standing.size].allowed or 0.0
        return move.factor * (1 - (allowed if standing.shrinkage is None else standing.shrinkage))

    def _shift(self, standing: Standing, amounts: Mapping[tuple[str, str], float], but: str = "") -> float:
        """How far the cuts chosen so far, but for one feature's, move a size."""
        return sum(
            self._part_change(feature, move, standing) * (amount + self.cutting.bias_mm)
            for feature, move in self.all_movers[standing.size]
            if feature.feature != but
            and (amount := amounts.get((feature.feature, standing.cavity), 0.0)) != 0
        )

    def _choose(self, feature: Feature, cavity: str, amounts: Mapping[tuple[str, str], float]) -> CutChoice:
        steel = self.steel[feature.feature, cavity, self.evidence.state]
        moved = self._moved(feature, cavity)
        asked = [self.asked[standing.size] for _, standing in moved]
        return choose_cut(
            [standing.mean_mm + self._shift(standing, amounts, but=feature.feature) for _, standing in moved],
            [hypot(s.sd_mm, a.gauge_uncertainty) for (_, s), a in zip(moved, asked, strict=True)],
            [standing.setup_sd_mm for _, standing in moved],
            [standing.spread_mm or 0.0 for _, standing in moved],
            [-inf if one.lower is None else one.lower for one in asked],
            [inf if one.upper is None else one.upper for one in asked],
            [one.required_index or 1.0 for one in asked],
            [self._part_change(feature, move, standing) for move, standing in moved],
            step_mm=self.evidence.step_mm, allowance_mm=steel.allowance_mm, can_add=feature.can_add,
            cut_sd_mm=hypot(self.cutting.sd_mm, self.cutting.bias_uncertainty_mm), cut_bias_mm=self.cutting.bias_mm,
            overshoot_probability=self.overshoot_probability,
            least_gain=HOLDING_GAIN if all(s.verdict is Verdict.HOLDS for _, s in moved) else LEAST_GAIN,
        )  # fmt: skip

    def _cuts(self) -> Iterator[PlannedCut]:
        for feature in self.evidence.features:
            for cavity in self._cavities_of(feature):
                choice = self.chosen.get((feature.feature, cavity))
                if choice is not None and choice.amount_mm != 0:
                    yield self._planned(feature, cavity, choice)

    def _planned(self, feature: Feature, cavity: str, choice: CutChoice) -> PlannedCut:
        steel = self.steel[feature.feature, cavity, self.evidence.state]
        moved = self._moved(feature, cavity)
        amount = choice.amount_mm
        return PlannedCut(
            feature=feature.feature, cavity=cavity, amount_mm=amount, centring_mm=choice.centring_mm,
            size_before_mm=steel.measured_mm, size_after_mm=steel.measured_mm + feature.size_change_per_mm * amount,
            allowance_left_mm=max(steel.allowance_mm - amount, 0.0), cause=_cause(moved), bound=choice.bound,
            holds_now=choice.holds_now, holds_after=choice.holds_after, overshoot=choice.overshoot,
            expected=tuple(self._expected(standing) for _, standing in moved),
        )  # fmt: skip

    def _expected(self, standing: Standing) -> MeanExpected:
        """The next trial's mean of a size, all chosen cuts taken together."""
        sampling = (standing.spread_mm or 0.0) ** 2 / standing.parts
        cut = self.cutting.sd_mm**2 + self.cutting.bias_uncertainty_mm**2
        cuts = cut * sum(
            self._part_change(feature, move, standing) ** 2
            for feature, move in self.all_movers[standing.size]
            if self.amounts.get((feature.feature, standing.cavity), 0.0) != 0
        )
        mean = standing.mean_mm + self._shift(standing, self.amounts)
        known = standing.sd_mm**2 + sampling
        setup = standing.setup_sd_mm**2
        parts = [(known, inf), (setup, self._setup_freedom()), (cuts, self.cutting.freedom)]
        return MeanExpected(
            size=standing.size, cavity=standing.cavity, mean=mean, sd=sqrt(known + setup + cuts),
            interval=predicted_interval(mean, parts, PREDICTION_CONFIDENCE),
        )  # fmt: skip

    def _left_alone(self, cuts: tuple[PlannedCut, ...]) -> Iterator[LeftAlone]:
        """Sizes that do not hold, that no cut moves."""
        moved = {(one.size, one.cavity) for cut in cuts for one in cut.expected}
        for cell, standing in self.standing.items():
            if cell not in moved and standing.verdict is not Verdict.HOLDS:
                why, remedy = self._reason(standing)
                yield LeftAlone(size=standing.size, cavity=standing.cavity, why=why, remedy=remedy)

    def _reason(self, standing: Standing) -> tuple[str, str]:
        movers = [feature.feature for feature, _ in self.all_movers[standing.size]]
        if not movers:
            return (
                "no steel feature is recorded that moves it",
                "say which steel forms it, and which way it moves",
            )
        choices = [
            self.chosen[name, standing.cavity] for name in movers if (name, standing.cavity) in self.chosen
        ]
        if not choices:
            return (
                "its steel was never measured: steel and shrinkage cannot be told apart",
                f"measure {', '.join(movers)} in the steel",
            )
        bound = next((choice.bound for choice in choices if choice.bound is not Bound.NONE), Bound.NONE)
        if bound is not Bound.NONE:
            return str(bound), _REMEDY[bound]
        if standing.verdict is Verdict.NOT_SHOWN:
            return "it stands well, too few parts show it", "measure more parts"
        return "no cut makes it more likely to hold", "reduce the spread, or ask for wider limits"


_REMEDY = {
    Bound.NEEDS_STEEL: "a new insert, or welding and cutting again: decide with the toolmaker",
    Bound.ALLOWANCE: "the allowance is used up: a new insert, or other limits",
    Bound.FAR_LIMIT: "ask the toolmaker for a finer cut, or reduce the spread first",
    Bound.SPREAD: "reduce the spread in the process first, or ask for wider limits",
}


def _mean_uncertainty(found: MeanFound, asked: SizeAsked) -> float:
    """Standard uncertainty of a trial's mean; a single part is taken as a twelfth of the tolerance uncertain."""
    if found.sd:
        return found.sd / sqrt(found.parts)
    if asked.lower is not None and asked.upper is not None:
        return (asked.upper - asked.lower) / 12 / sqrt(found.parts)
    return max(asked.gauge_uncertainty, 0.001 * abs(asked.target))


def _cause(moved: list[tuple[SizeMoved, Standing]]) -> str:
    """The cause of the size that stands worst."""
    splits = [(standing.split, standing.sd_mm) for _, standing in moved if standing.split]
    if not splits:
        return "not told apart"
    split, noise = max(splits, key=lambda one: abs(one[0].deviation_mm))
    return split.cause(noise)
