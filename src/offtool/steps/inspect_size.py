"""Inspect one characteristic of a trial in depth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, ParamSpec, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection import CavityFinding
from offtool.core.inspection.distribution import (
    DistributionFit,
    choose_distribution,
    fraction_outside,
    percentile_index,
    probability_plot,
)
from offtool.core.inspection.distribution.families import CHOSEN, FamilyChoice
from offtool.core.inspection.mix import shipped_mix
from offtool.core.inspection.sample_size import required_observed_index
from offtool.core.inspection.subgroups import subgroup_index
from offtool.core.inspection.tolerance import tolerance_interval
from offtool.core.inspection.variation import cavity_differences, variation_shares
from offtool.core.values import Caution, OfftoolError
from offtool.records.models import Characteristic, Trial
from offtool.records.queries import find_programme, find_tool, find_trial, nearest
from offtool.records.queries.finding import NotInRecord
from offtool.records.reading_arrays import NOT_RECORDED
from offtool.steps.findings import TrialFindings
from offtool.steps.inspect_trial import METHOD, findings_of
from offtool.steps.readings_seen import readings_of, words_on
from offtool.steps.size_in_depth import CavityInDepth, SizeAnalysis, SizeInDepth
from offtool.steps.size_sentences import actions_of_size, facts_of_size, headline_of_size
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import size_key, size_named

SUBGROUP = 5
"""Measured shots of one cavity in a row that make a subgroup; common practice, no source."""
CONTENT = 0.99
"""Share of parts that a tolerance interval is to hold."""

CHOSEN_BY_THE_SAME = Caution("the same readings chose the shape: its bounds do not allow for that")

P = ParamSpec("P")
R = TypeVar("R")
Values = NDArray[np.float64]


def inspect_size(
    programme: str,
    tool: str,
    trial: str,
    size: str,
    *,
    cavity: str | None = None,
    family: FamilyChoice = CHOSEN,
) -> SizeInDepth:
    """All that the readings of one size say.

    `size` is its part and number, such as "P1 4", or the number alone where the trial has it once. `cavity`
    and `family` say what the fit and the probability plot are of: one cavity, or all about their own means.

    Raises NotInRecord for names that are not there, OfftoolError for a family the readings cannot be of.
    """
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    return size_in_depth(found, size, cavity=cavity, family=family)


def size_in_depth(
    trial: Trial, size: str, *, cavity: str | None = None, family: FamilyChoice = CHOSEN
) -> SizeInDepth:
    """`inspect_size` of a trial that is at hand."""
    seen = TrialEvidence(trial)
    asked = size_named([it.characteristic for it in seen.sizes], size)
    one = next(it for it in seen.sizes if it.characteristic == asked)
    return _size_in_depth(seen, findings_of(trial, seen), one, cavity, family)


def inspect_sizes(programme: str, tool: str, trial: str) -> tuple[TrialFindings, tuple[SizeInDepth, ...]]:
    """The findings of a trial and every size of it in depth, in the order of the findings."""
    found = find_trial(find_tool(find_programme(programme), tool), trial)
    seen = TrialEvidence(found)
    findings = findings_of(found, seen)
    by_key = {size_key(one.characteristic): one for one in seen.sizes}
    in_order = [by_key[f"{size.part} {size.number}"] for size in findings.sizes]
    return findings, tuple(_size_in_depth(seen, findings, one, None, CHOSEN) for one in in_order)


def _size_in_depth(
    seen: TrialEvidence, findings: TrialFindings, one: SizeSeen, cavity: str | None, family: FamilyChoice
) -> SizeInDepth:
    judged = next(it for it in findings.sizes if f"{it.part} {it.number}" == size_key(one.characteristic))
    material = _Material(seen, one)
    material.refuse_unknown(cavity)
    tried = _Tried([])
    analysis = _analysed(material, tried, cavity, family)
    return SizeInDepth(
        programme=findings.programme,
        programme_title=findings.programme_title,
        tool=findings.tool,
        trial=findings.trial,
        state=findings.state,
        size=judged,
        headline=headline_of_size(judged),
        actions=tuple(actions_of_size(judged, seen, one, analysis, findings.plan)),
        rests_on=tuple(facts_of_size(seen, one, analysis)),
        settled_from=seen.settled_from,
        said=words_on(seen.trial, one.characteristic),
        analysis=analysis,
        cavity_shown=cavity,
        family=analysis.fit.family if analysis.fit else family,
        method=METHOD,
        cautions=tuple(dict.fromkeys([*one.finding.cautions, *tried.cautions])),
    )


def _analysed(material: _Material, tried: _Tried, cavity: str | None, family: FamilyChoice) -> SizeAnalysis:
    shape, bounded = material.shape(cavity), material.is_bounded
    asked = _Tried([])
    fit = asked(choose_distribution, shape, family=family, bounded_by_zero=bounded)
    refused = ""
    if fit is None and family != CHOSEN:
        refused = asked.cautions[0].text.partition(";")[0]
        fit = tried(choose_distribution, shape, bounded_by_zero=bounded)
    else:
        tried.cautions.extend(asked.cautions)
    if fit is not None and family == CHOSEN and fit.family != "normal":
        tried.cautions.append(CHOSEN_BY_THE_SAME)
    several = len(material.size.finding.cavities) > 1
    values, labels, shots = material.values, material.cavities, material.shots_or_none
    gauge = material.size.gauge
    return SizeAnalysis(
        readings=tuple(readings_of(material.seen, material.size)),
        cavities=_all_in_depth(material, fit, tried),
        mix=tried(shipped_mix, values, labels, lower=material.lower, upper=material.upper)
        if several
        else None,
        differences=tried(cavity_differences, values, labels, shots=shots) if several else None,
        shares=tried(
            variation_shares,
            *material.each_reading,
            gauge_sd=gauge.scatter if gauge else None,
            gauge_freedom=_at_least_one(gauge.scatter_freedom) if gauge else None,
        )
        if shots is not None
        else None,
        fit=fit,
        shape_refused=refused,
        plot=_Tried([])(probability_plot, shape, family=_family(fit)) if fit else None,
        index_needed=_index_needed(material.size),
    )


def _at_least_one(freedom: float | None) -> float | None:
    """Less than one degree of freedom says no less than one does: nothing."""
    return None if freedom is None else max(freedom, 1.0)


def _family(fit: DistributionFit | None) -> FamilyChoice:
    return cast(FamilyChoice, fit.family) if fit else "normal"


@dataclass(frozen=True)
class _Material:
    """The readings of a size that count, as the mathematics takes them."""

    seen: TrialEvidence
    size: SizeSeen

    @property
    def lower(self) -> float | None:
        return self.size.characteristic.lower

    @property
    def upper(self) -> float | None:
        return self.size.characteristic.upper

    @property
    def sides(self) -> Literal["both", "below", "above"]:
        """Where a part can lie outside."""
        if self.lower is None:
            return "above"
        return "below" if self.upper is None else "both"

    @property
    def values(self) -> Values:
        return self.size.parts.value

    @property
    def cavities(self) -> list[str]:
        codes, labels = self.seen.coded_cavities(self.size.parts)
        return [labels[code] for code in codes.tolist()]

    @property
    def shots_or_none(self) -> Values | None:
        """The shot of each part; None where one was not recorded."""
        shots = self.size.parts.shot
        return None if (shots == NOT_RECORDED).any() else shots.astype(float)

    @property
    def each_reading(self) -> tuple[Values, list[str], Values]:
        """Values, cavities and shots of the readings themselves: repeats of a part show the gauge."""
        used, labels = self.size.used, self.seen.cavity_labels
        cavities = [labels.get(one, "") for one in self.seen.readings.cavity_id[used].tolist()]
        return self.seen.readings.value[used], cavities, self.seen.readings.shot[used].astype(float)

    @property
    def is_bounded(self) -> bool:
        """Whether zero is the best there is: nominal 0 and no lower limit above it."""
        one: Characteristic = self.size.characteristic
        return one.nominal == 0 and not one.lower

    def of(self, cavity: str) -> Values:
        """The parts of one cavity in the order of the shots."""
        return np.asarray(self.values[self._rows_of(cavity)])

    def subgroups_of(self, cavity: str) -> list[str]:
        """The subgroup of each of them: so many measured shots in a row."""
        _, place = np.unique(self.size.parts.shot[self._rows_of(cavity)], return_inverse=True)
        return [str(one) for one in (place // SUBGROUP).tolist()]

    def _rows_of(self, cavity: str) -> NDArray[np.intp]:
        mine = np.flatnonzero(np.array([label == cavity for label in self.cavities], dtype=bool))
        return np.asarray(mine[np.argsort(self.size.parts.shot[mine], kind="stable")])

    def shape(self, cavity: str | None) -> Values:
        """What a distribution is fitted to: one cavity, or all of them moved onto the mean of all."""
        if cavity is not None:
            return self.of(cavity)
        if self.is_bounded or len(self.size.finding.cavities) == 1:
            return self.values
        codes, _ = self.seen.coded_cavities(self.size.parts)
        mean = np.bincount(codes, weights=self.values) / np.bincount(codes)
        return np.asarray(self.values - mean[codes] + mean.mean())

    def refuse_unknown(self, cavity: str | None) -> None:
        known = [one.cavity for one in self.size.finding.cavities]
        if cavity is not None and cavity not in known:
            raise NotInRecord(f"no cavity {cavity!r} was measured", remedy=nearest(cavity, known))


@dataclass(frozen=True)
class _Tried:
    """Calls what may have too little to go by; what it says then becomes a caution."""

    cautions: list[Caution]

    def __call__(self, function: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R | None:
        try:
            result = function(*args, **kwargs)
        except OfftoolError as error:
            self.cautions.append(Caution(str(error)))
            return None
        self.cautions.extend(getattr(result, "cautions", ()))
        return result


def _all_in_depth(
    material: _Material, fit: DistributionFit | None, tried: _Tried
) -> tuple[CavityInDepth, ...]:
    """Every cavity; the one with the fewest parts speaks for all in what there is to be careful about."""
    cavities = material.size.finding.cavities
    fewest = min(cavities, key=lambda one: one.parts)
    return tuple(_in_depth(material, one, fit, tried if one is fewest else _Tried([])) for one in cavities)


def _in_depth(
    material: _Material, cavity: CavityFinding, fit: DistributionFit | None, tried: _Tried
) -> CavityInDepth:
    values, lower, upper = material.of(cavity.cavity), material.lower, material.upper
    family, sides = _family(fit), material.sides
    groups = material.subgroups_of(cavity.cavity)
    in_groups = len(set(groups)) > 1 and material.shots_or_none is not None
    return CavityInDepth(
        finding=cavity,
        percentile=tried(percentile_index, values, lower=lower, upper=upper, family=family),
        outside=tried(fraction_outside, values, lower=lower, upper=upper, family=family),
        tolerance=tried(tolerance_interval, values, share=CONTENT, sides=sides),
        # The number of parts it would take stands beside it: that is no caution of the whole size.
        tolerance_free=_Tried([])(
            tolerance_interval, values, share=CONTENT, sides=sides, method="distribution-free"
        ),
        subgroups=tried(subgroup_index, values, groups, lower=lower, upper=upper) if in_groups else None,
    )


def _index_needed(one: SizeSeen) -> float | None:
    """The index that would have to be observed with so many parts."""
    required, found = one.finding.required_index, one.finding
    fewest = min(cavity.parts for cavity in found.cavities)
    if required is None or fewest < 2:
        return None
    cavities = len(found.cavities) if found.spread_pooled else 1
    return required_observed_index(required, fewest, cavities=cavities).observed_index
