"""What is known of a tool: its steel, where its sizes stand over all trials, how its toolmaker cuts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import hypot, inf, sqrt

from offtool.core.correction.cutting import estimate_cutting
from offtool.core.correction.evidence import (
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
)
from offtool.core.correction.plan import MeanExpected, Standing
from offtool.core.correction.prediction import predicted_interval
from offtool.core.correction.process_mean import (
    SETUP_SD,
    SETUP_WEIGHT,
    ProcessMeans,
    estimate_process_means,
)
from offtool.core.correction.shrinkage import Split, shrinkage, split_deviation
from offtool.core.values import ImpossibleInput, NotEnoughData

PREDICTION_CONFIDENCE = 0.8

Place = tuple[str, str]
"""A steel feature and a cavity, or a size and a cavity."""


class ToolKnowledge:
    """The evidence on a tool with everything that is looked up in it, built once."""

    def __init__(self, evidence: ToolEvidence) -> None:
        self.evidence = evidence
        self.asked = {one.size: one for one in evidence.sizes}
        self.steel = {(one.feature, one.cavity, one.state): one for one in evidence.steel}
        self.first_steel = {(one.feature, one.cavity): one for one in reversed(evidence.steel)}
        self.movers: dict[str, list[tuple[Feature, SizeMoved]]] = defaultdict(list)
        for feature in evidence.features:
            for move in feature.moves:
                self.movers[move.size].append((feature, move))
        self._former: dict[str, tuple[Feature, SizeMoved]] = {
            move.size: (feature, move)
            for feature in evidence.features
            for move in feature.moves
            if move.forms
        }
        self.cutting = estimate_cutting(
            [cut.asked_mm for cut in evidence.cuts],
            [cut.removed_mm for cut in evidence.cuts],
            usual_sd_mm=evidence.cut_sd_mm,
            first_cuts_mm=self._first_cuts(),
        )
        self.process = self._process_means()
        self.standing = {(one.size, one.cavity): one for one in self._standings()}
        if not self.standing:
            raise NotEnoughData(
                f"no size was measured in tool state {evidence.state}", remedy="read a trial first"
            )

    @property
    def cut_sd_mm(self) -> float:
        """How far one cut may fall from what is expected of it."""
        return hypot(self.cutting.sd_mm, self.cutting.bias_uncertainty_mm)

    @property
    def setup_sd(self) -> float:
        """How far shrinkage moves from set-up to set-up, as a fraction."""
        return self.process.setup_sd if self.process else SETUP_SD

    def steel_today(self, feature: Feature, cavity: str) -> SteelFound | None:
        """The steel of a feature in the state of today; None where it was not measured."""
        return self.steel.get((feature.feature, cavity, self.evidence.state))

    def cavities_of(self, feature: Feature) -> list[str]:
        """The cavities in which a size that the feature moves was measured."""
        sizes = {move.size for move in feature.moves}
        return sorted({cavity for size, cavity in self.standing if size in sizes})

    def moved(self, feature: Feature, cavity: str) -> list[tuple[SizeMoved, Standing]]:
        """The measured sizes that the feature moves in a cavity."""
        return [
            (move, standing)
            for move in feature.moves
            if (standing := self.standing.get((move.size, cavity))) is not None
        ]

    def part_change(self, move: SizeMoved, standing: Standing) -> float:
        """mm of part for each mm removed, shrinkage included."""
        allowed = self.asked[standing.size].allowed or 0.0
        return move.factor * (1 - (allowed if standing.shrinkage is None else standing.shrinkage))

    def shift(self, standing: Standing, amounts: Mapping[Place, float], but: str = "") -> float:
        """How far the cuts chosen so far, but for one feature's, move a size."""
        return sum(
            self.part_change(move, standing) * (amount + self.cutting.bias_mm)
            for feature, move in self.movers[standing.size]
            if feature.feature != but
            and (amount := amounts.get((feature.feature, standing.cavity), 0.0)) != 0
        )

    def expected(self, place: Place, amounts: Mapping[Place, float]) -> MeanExpected:
        """The next trial's mean of a size in a cavity once these amounts are cut."""
        standing = self.standing[place]
        cut_by = [
            self.part_change(move, standing)
            for feature, move in self.movers[standing.size]
            if amounts.get((feature.feature, standing.cavity), 0.0) != 0
        ]
        known = standing.sd_mm**2 + (standing.spread_mm or 0.0) ** 2 / standing.parts
        setup = standing.setup_sd_mm**2
        cuts = self.cut_sd_mm**2 * sum(change**2 for change in cut_by)
        mean = standing.mean_mm + self.shift(standing, amounts)
        freedom = self.process.setup_freedom if self.process else SETUP_WEIGHT
        return MeanExpected(
            size=standing.size,
            cavity=standing.cavity,
            mean=mean,
            sd=sqrt(known + setup + cuts),
            interval=predicted_interval(
                mean, [(known, inf), (setup, freedom), (cuts, self.cutting.freedom)], PREDICTION_CONFIDENCE
            ),
        )

    def _steel_of(self, found: MeanFound) -> SteelFound | None:
        """The steel size that formed a size: its forming feature's, moved by what was cut from the others."""
        former = self._former.get(found.size)
        steel = self.steel.get((former[0].feature, found.cavity, found.state)) if former else None
        if steel is None:
            return None
        moved = sum(
            self._removed(feature, found) * move.factor
            for feature, move in self.movers[found.size]
            if not move.forms
        )
        return replace(steel, measured_mm=steel.measured_mm + moved) if moved else steel

    def _removed(self, feature: Feature, found: MeanFound) -> float:
        """What was removed from a feature between its first measured state and the one a size was moulded
        in."""
        now = self.steel.get((feature.feature, found.cavity, found.state))
        first = self.first_steel.get((feature.feature, found.cavity))
        if now is None or first is None:
            return 0.0
        return (now.measured_mm - first.measured_mm) / feature.size_change_per_mm

    def _first_cuts(self) -> list[float]:
        """How far the tool, as first cut, lies from its drawing."""
        drawn = {feature.feature: feature.drawn_mm for feature in self.evidence.features}
        return [
            steel.measured_mm - size
            for (name, _), steel in self.first_steel.items()
            if (size := drawn.get(name)) is not None
        ]

    def _process_means(self) -> ProcessMeans | None:
        known = [(one, steel) for one in self.evidence.means if (steel := self._steel_of(one)) is not None]
        for one, steel in known:
            _refuse_strangers(one, steel)
        if not known:
            return None
        return estimate_process_means(
            [one.mean for one, _ in known],
            [_mean_uncertainty(one, self.asked[one.size]) for one, _ in known],
            [steel.measured_mm for _, steel in known],
            [steel.uncertainty_mm for _, steel in known],
            sizes=[one.size for one, _ in known],
            cavities=[one.cavity for one, _ in known],
            directions=[self.asked[one.size].direction for one, _ in known],
            trials=[one.trial for one, _ in known],
            states=[one.state for one, _ in known],
        )

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
                size=found.size,
                cavity=found.cavity,
                mean_mm=mean,
                sd_mm=sd,
                setup_sd_mm=self.setup_sd * abs(steel.measured_mm if steel else asked.target),
                spread_mm=found.sd,
                parts=found.parts,
                split=split,
                steel_mm=steel.measured_mm if steel else None,
                shrinkage=split.shrinkage_found if split else None,
                verdict=found.verdict,
            )

    def _split(self, mean: float, asked: SizeAsked, steel: SteelFound, place: int) -> Split | None:
        if asked.allowed is None or self.process is None:
            return None
        return split_deviation(
            mean,
            asked.target,
            cavity_mm=steel.measured_mm,
            allowed=asked.allowed,
            drawn_mm=self._former[asked.size][0].drawn_mm,
            direction_shrinkage=float(self.process.direction_shrinkage[place]),
            size_shrinkage=float(self.process.size_shrinkage[place]),
        )


def _mean_uncertainty(found: MeanFound, asked: SizeAsked) -> float:
    """Standard uncertainty of a trial's mean; a single part is taken as a twelfth of the tolerance
    uncertain."""
    if found.sd:
        return found.sd / sqrt(found.parts)
    if asked.lower is not None and asked.upper is not None:
        return (asked.upper - asked.lower) / 12 / sqrt(found.parts)
    return max(asked.gauge_uncertainty, 0.001 * abs(asked.target))


def _refuse_strangers(found: MeanFound, steel: SteelFound) -> None:
    """Raise ImpossibleInput, with the size's name, for steel that cannot have formed the part."""
    try:
        shrinkage(steel.measured_mm, found.mean)
    except ImpossibleInput as error:
        error.where = f"{found.size}, cavity {found.cavity}, steel {steel.feature}"
        raise
