"""Correct a tool after a trial: which steel to cut, by how much, why, and what the next trial should find."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from datetime import datetime

from django.db import transaction

from offtool.core.correction import MeanExpected, PlannedCut, Standing, expected_after, plan_corrections
from offtool.core.values import OfftoolError
from offtool.handbook.terms import Cause, CorrectionStatus
from offtool.records.models import Cavity, Correction, Trial
from offtool.records.operations import NewCorrection, NewPrediction, keep_corrections, keep_predictions
from offtool.records.queries import find_programme, find_tool, find_trial
from offtool.steps.demanded import demands_on
from offtool.steps.inspect_trial import METHOD
from offtool.steps.plain import as_plain
from offtool.steps.sentences import count, decimals_for
from offtool.steps.shrinkage_found import directions_found
from offtool.steps.steel_changes import KeptCorrection, NotChanged, SizeExpected, SteelChange, ToolCorrection
from offtool.steps.tool_evidence import earlier_trials, tool_evidence
from offtool.steps.trial_evidence import TrialEvidence
from offtool.steps.what_is_asked import size_key


def correct_tool(programme: str, tool: str, trial: str) -> ToolCorrection:
    """The correction that follows from a trial.

    Raises NotInRecord for names that are not there, NotEnoughData where no size in mm was measured.
    """
    return _Correcting(find_trial(find_tool(find_programme(programme), tool), trial)).result()


def keep_changes(
    programme: str,
    tool: str,
    trial: str,
    *,
    chosen: Collection[tuple[str, str]] | None,
    made_at: datetime,
    made_by: str,
) -> ToolCorrection:
    """Decide on changes, (feature, cavity) each, or all of them with None: they and their predictions are
    kept.

    Raises OfftoolError for one that is not proposed, or that was kept from this trial before.
    """
    correcting = _Correcting(find_trial(find_tool(find_programme(programme), tool), trial))
    correcting.keep(chosen, made_at=made_at, made_by=made_by)
    return correcting.result()


class _Correcting:
    """One trial's correction, with the record's own rows at hand."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self.seen = TrialEvidence(trial)
        self.evidence = tool_evidence(self.seen, earlier_trials(trial))
        self.plan = plan_corrections(self.evidence)
        self.features = {one.code: one for one in trial.tool.features.select_related("part")}
        self.sizes = {size_key(one.characteristic): one.characteristic for one in self.seen.sizes}
        self.standing = {(one.size, one.cavity): one for one in self.plan.standing}
        self.demands = demands_on(trial.tool)

    def result(self) -> ToolCorrection:
        tool = self.trial.tool
        changes = tuple(self._change(cut) for cut in self.plan.cuts)
        kept = tuple(_kept(self.trial))
        return ToolCorrection(
            programme=tool.programme.slug,
            programme_title=tool.programme.title,
            tool=tool.code,
            tool_name=tool.name,
            trial=self.trial.name,
            state=self.trial.state.label,
            made_on=self.trial.shot_on,
            headline=_headline(changes, len(self.plan.left_alone), kept),
            changes=changes,
            not_changed=tuple(self._not_changed()),
            directions=tuple(directions_found(self.plan, self.seen)),
            cutting=self.plan.cutting,
            step_mm=tool.step_mm,
            setup_sd=self.plan.setup_sd,
            kept=kept,
            method=METHOD,
            cautions=self.plan.cautions,
        )

    def keep(self, chosen: Collection[tuple[str, str]] | None, *, made_at: datetime, made_by: str) -> None:
        cuts = {(cut.feature, cut.cavity): cut for cut in self.plan.cuts}
        wanted = list(cuts) if chosen is None else list(dict.fromkeys(chosen))
        for place in wanted:
            if place not in cuts:
                raise OfftoolError(
                    f"no cut is proposed for {place[0]} in cavity {place[1]}",
                    remedy="choose from "
                    + (", ".join("/".join(one) for one in cuts) or "none: nothing is proposed"),
                )
        before = {(one.feature.code, one.cavity.label) for one in _standing_corrections(self.trial)}
        if again := before & set(wanted):
            raise OfftoolError(
                f"{', '.join('/'.join(one) for one in sorted(again))} was kept from {self.trial.name} before",
                remedy="leave it out",
            )
        if not wanted:
            raise OfftoolError("nothing was chosen to keep", remedy="choose at least one cut")
        with transaction.atomic():
            kept = keep_corrections(
                self.trial, [self._new(cuts[place]) for place in wanted], made_at=made_at, made_by=made_by
            )
            keep_predictions(self.trial, list(self._foretold([cuts[place] for place in wanted], kept)))

    def _new(self, cut: PlannedCut) -> NewCorrection:
        change = self._change(cut)
        return NewCorrection(
            feature=self.features[cut.feature],
            cavity=self._cavity(self.features[cut.feature].part_id, cut.cavity),
            amount_mm=cut.amount_mm,
            size_before_mm=cut.size_before_mm,
            size_after_mm=cut.size_after_mm,
            allowance_left_mm=cut.allowance_left_mm,
            reason=change.reason,
            cause=_cause_word(cut.cause),
            method=METHOD,
            inputs={"cut": as_plain(cut), "standing": [as_plain(s) for s in self._moved(cut)]},
        )

    def _foretold(self, cuts: list[PlannedCut], kept: list[Correction]) -> Iterator[NewPrediction]:
        """One prediction a size and cavity under the chosen cuts alone, with the first cut that moves it."""
        first: dict[tuple[str, str], Correction] = {}
        for cut, correction in zip(cuts, kept, strict=True):
            for one in cut.expected:
                first.setdefault((one.size, one.cavity), correction)
        for one in expected_after(self.evidence, cuts):
            yield NewPrediction(
                characteristic=self.sizes[one.size],
                cavity=self._cavity(self.sizes[one.size].part_id, one.cavity),
                mean=one.mean,
                low=one.interval.low,
                high=one.interval.high,
                sd=one.sd,
                confidence=one.interval.confidence,
                correction=first[one.size, one.cavity],
            )

    def _cavity(self, part_id: int, label: str) -> Cavity:
        return self.trial.tool.cavities.get(part_id=part_id, label=label)

    def _moved(self, cut: PlannedCut) -> list[Standing]:
        return [self.standing[one.size, one.cavity] for one in cut.expected]

    def _change(self, cut: PlannedCut) -> SteelChange:
        feature = self.features[cut.feature]
        return SteelChange(
            feature=cut.feature,
            feature_name=feature.name,
            part=feature.part.code,
            part_name=feature.part.name,
            half=feature.half,
            cavity=cut.cavity,
            stated=feature.stated,
            amount_mm=cut.amount_mm,
            size_before_mm=cut.size_before_mm,
            size_after_mm=cut.size_after_mm,
            allowance_left_mm=cut.allowance_left_mm,
            by_insert=feature.can_add,
            cause=cut.cause,
            reason=self._reason(cut),
            short_because=str(cut.bound),
            holds_now=cut.holds_now,
            holds_after=cut.holds_after,
            overshoot=cut.overshoot,
            expected=tuple(self._expected(one, self.standing[one.size, one.cavity]) for one in cut.expected),
        )

    def _expected(self, one: MeanExpected, standing: Standing) -> SizeExpected:
        asked = self.sizes[one.size]
        demanded = self.demands.get(asked.pk)
        ends = demanded if demanded and demanded.lower is not None and demanded.upper is not None else asked
        decimals = decimals_for(asked.lower, asked.upper, asked.nominal)
        return SizeExpected(
            number=asked.number,
            name=asked.name,
            part=asked.part.code,
            gets="LARGER" if one.mean > standing.mean_mm else "SMALLER",
            now=standing.mean_mm,
            expected=one.mean,
            interval=one.interval,
            lower=ends.lower,
            upper=ends.upper,
            decimals=decimals,
            asked_by=(
                f"joint {demanded.joint} asks for {demanded.target:.{decimals}f} in the mean"
                if demanded
                else ""
            ),
        )

    def _reason(self, cut: PlannedCut) -> str:
        worst = max(self._moved(cut), key=lambda one: abs(one.split.deviation_mm) if one.split else 0.0)
        asked = self.sizes[worst.size]
        name = f"{asked.number} {asked.name}".strip()
        if worst.split is None:
            return f"{name} does not stand where it holds"
        side = "small" if worst.split.deviation_mm < 0 else "large"
        because = f": {cut.cause}" if cut.cause not in ("noise", "not told apart") else ""
        if demanded := self.demands.get(asked.pk):
            because = f" for what joint {demanded.joint} asks of it{because}"
        return f"{name} is {abs(worst.split.deviation_mm):.3f} mm {side}{because}"

    def _not_changed(self) -> Iterator[NotChanged]:
        """Sizes left alone, those of one reason together."""
        cavities: dict[tuple[str, str, str], list[str]] = defaultdict(list)
        for one in self.plan.left_alone:
            cavities[one.size, one.why, one.remedy].append(one.cavity)
        for (size, why, remedy), labels in cavities.items():
            asked = self.sizes[size]
            yield NotChanged(
                number=asked.number,
                name=asked.name,
                part=asked.part.code,
                cavities=tuple(labels),
                why=why,
                remedy=remedy,
            )


def _headline(changes: tuple[SteelChange, ...], left: int, kept: tuple[KeptCorrection, ...]) -> str:
    cut = {(one.feature, one.cavity): one.resulting_state for one in kept if one.resulting_state}
    if changes and all((one.feature, one.cavity) in cut for one in changes):
        return f"All {len(changes)} cuts were made; they led to state {kept[-1].resulting_state}."
    if not changes:
        return "No steel is cut." if not left else "No steel is cut yet: see what is missing."
    features = len({one.feature for one in changes})
    added = sum(not one.removes for one in changes)
    said = f"Cut {count(features, 'steel feature')}, {count(len(changes), 'cut')} over the cavities"
    return said + (
        f"; {added} of them {'adds' if added == 1 else 'add'} steel." if added else "; all remove steel."
    )


def _cause_word(cause: str) -> Cause:
    return Cause(cause) if cause in {one.value for one in Cause} else Cause.MIXED


def _standing_corrections(trial: Trial) -> list[Correction]:
    """Corrections decided on this trial that were not dropped."""
    return list(
        trial.corrections.exclude(status=CorrectionStatus.DROPPED)
        .select_related("feature", "cavity", "resulting_state")
        .order_by("pk")
    )


def _kept(trial: Trial) -> Iterator[KeptCorrection]:
    for one in _standing_corrections(trial):
        yield KeptCorrection(
            correction_id=one.pk,
            feature=one.feature.code,
            cavity=one.cavity.label,
            amount_mm=one.amount_mm,
            size_after_mm=one.size_after_mm,
            status=one.status,
            resulting_state=one.resulting_state.label if one.resulting_state else "",
        )
