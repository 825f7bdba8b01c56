"""What a gauge study says, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.inspection.gauge import GaugeJudgement, GaugeStudy, LinearityStudy, ReferenceStudy
from offtool.core.values import Caution, Interval, Verdict
from offtool.steps.findings import Action, Fact
from offtool.steps.gauge_uncertainty import GaugeUncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyLine:
    """One study of a gauge in the list of its studies."""

    name: str
    kind: str
    size: str
    """Part and number of the size that was measured; empty for a reference part."""
    done_on: date | None
    read_by: str
    readings: int
    file: str
    sha256: str
    note: str
    set_aside: str
    """Why it no longer counts; empty while it counts."""
    counts: bool
    """Whether verdicts rest on it: the newest of its sort that is not set aside."""
    study_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWithGauge:
    """What a gauge does to the verdict on one size, in the newest trial that measured it.

    The worst cavity stands for the size. `share` is repeatability over the observed variance; `exact` is the
    index that an exact gauge would show, None where the gauge explains the whole spread.
    """

    part: str
    number: str
    name: str
    unit: str
    decimals: int
    tool: str
    trial: str
    cavity: str
    required_index: float | None
    uncertainty: float | None
    uncertainty_says: str
    guard_band: float | None
    guard_share: float | None
    """Both guard bands over the tolerance."""
    share: float | None
    share_interval: Interval | None
    observed: float | None
    observed_interval: Interval | None
    exact: float | None
    exact_interval: Interval | None
    verdict: Verdict
    verdict_exact: Verdict
    """What an exact gauge would show."""
    hangs_on_gauge: bool
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStudied:
    """A gauge and one of its studies: verdict, what to do, why, what it rests on, what it means."""

    programme: str
    programme_title: str
    invented: bool
    gauge: str
    gauge_name: str
    resolution: float
    unit: str
    decimals: int
    """Of values; a deviation has one more."""
    study: StudyLine | None
    """None where the gauge has no study that counts."""
    headline: str
    judgement: GaugeJudgement | None
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    result: GaugeStudy | ReferenceStudy | LinearityStudy | None
    by_ranges: GaugeStudy | None
    """The same crossed study by average and range."""
    run: tuple[float, ...]
    """The readings of a reference part in the order of the file."""
    uncertainty: GaugeUncertainty | None
    """As verdicts on the size of the study take it."""
    sizes: tuple[SizeWithGauge, ...]
    studies: tuple[StudyLine, ...]
    method: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStanding:
    """One gauge in the list of gauges."""

    code: str
    name: str
    resolution: float
    unit: str
    sizes: int
    studies: int
    judgement: GaugeJudgement | None
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugesStanding:
    """All gauges of a programme and how far each can be trusted."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    gauges: tuple[GaugeStanding, ...]
