"""How every run of the record makes the sizes of a sample's parts, and how well they were measured."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import hypot, nan, sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify import MeasuredSize, SizeRecord, pool_runs
from offtool.core.samples.identify.sizes import FINEST
from offtool.core.values import ImpossibleInput
from offtool.handbook.terms import Direction, SizeKind
from offtool.records.models import Cavity, Characteristic, SamplePart, SampleSize
from offtool.records.queries import SampleGround, SizeInTrial, sizes_in_trials
from offtool.steps.sample_origins import RunMade

FROM_STEEL = 0.001
"""How far off a size is that only steel and shrinkage tell, as a share; common practice, no source."""
CALIPERS_MM = 0.02
"""Standard uncertainty of a size whose gauge nobody named: calipers; common practice, no source."""
UNKNOWN_SHARE = 0.005
"""The same of a weight, a force or a torque, as a share of it; common practice, no source."""
GROWS = {SizeKind.WEIGHT.value: 3.0, SizeKind.ANGLE.value: 0.0}
WITHOUT_SIZE = (SizeKind.FORCE.value, SizeKind.TORQUE.value, SizeKind.OTHER.value)

ANGLE_DEG = 0.2
"""The same of an angle; common practice, no source."""
APART = 4.0
"""Readings of one size so many of their uncertainties off their mean contradict each other. Our own."""
ABSURD = 3.0
"""A size so many times as large as drawn, or as small, is another size or in another unit. Our own."""

LOOKABLE_KINDS = (SizeKind.DIAMETER.value, SizeKind.LENGTH.value, SizeKind.WALL.value, SizeKind.WEIGHT.value)
"""Sizes that are worth measuring on a piece that must not be used up."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeOfPart:
    """One characteristic of a sample's part: what was measured, its uncertainty, and what every run makes."""

    characteristic: Characteristic
    measured: MeasuredSize | None
    record: SizeRecord
    uncertainty: float
    says: str
    differs: str = ""
    """Readings that lie farther apart than their uncertainty allows, in words."""


class SizesRecorded:
    """What trials measured of some characteristics, read from the record once."""

    def __init__(self, ground: SampleGround, characteristics: Sequence[Characteristic]) -> None:
        self.ground = ground
        self.characteristics = {one.pk: one for one in characteristics}

    @cached_property
    def _measured(self) -> Mapping[tuple[int, int], list[SizeInTrial]]:
        """By trial and characteristic."""
        found: dict[tuple[int, int], list[SizeInTrial]] = defaultdict(list)
        if self.characteristics:
            for one in sizes_in_trials(self.ground.programme, tuple(self.characteristics.values())):
                found[one.trial_id, one.characteristic_id].append(one)
        return found

    @cached_property
    def _steel(self) -> Mapping[tuple[int, int, int], float]:
        """Steel as measured, by feature, cavity and state."""
        return {(one.feature_id, one.cavity_id, one.state_id): one.measured_mm for one in self.ground.steel}

    def of_part(
        self, part: SamplePart, makes: Sequence[RunMade], readings: Sequence[SampleSize]
    ) -> tuple[SizeOfPart, ...]:
        """Every characteristic of this part, measured on it or not."""
        values: dict[int, list[SampleSize]] = defaultdict(list)
        for one in readings:
            values[one.characteristic_id].append(one)
        own = [one for one in self.characteristics.values() if one.part_id == part.part_id]
        records = self._records(own, makes)
        return tuple(
            self._size(one, record, values.get(one.pk, [])) for one, record in zip(own, records, strict=True)
        )

    def _records(self, own: Sequence[Characteristic], makes: Sequence[RunMade]) -> Iterator[SizeRecord]:
        """As measured, runs in one state steadying each other; else as the measured steel makes it."""
        if not own or not makes:
            yield from (self._as_measured(one, makes) for one in own)
            return
        counts = [size.n for sizes in self._measured.values() for size in sizes]
        shots = max(int(np.median(counts)), 1) if counts else 1
        measured = tuple(self._as_measured(one, makes) for one in own)
        steadied = pool_runs(measured, [one.make for one in makes], shots)
        for one, record in zip(own, steadied, strict=True):
            yield self._with_steel(one, record, makes)

    def cavities(self, part_id: int, makes: Sequence[RunMade]) -> list[list[Cavity]]:
        """For each make, the cavities of its tool that make this part, as often as the tool with most has."""
        of_tool: dict[str, list[Cavity]] = defaultdict(list)
        for cavity in self.ground.cavities:
            if cavity.part_id == part_id:
                of_tool[cavity.tool.code].append(cavity)
        most = max((len(found) for found in of_tool.values()), default=1)
        rows = []
        for one in makes:
            found = of_tool.get(one.make.tool, [])
            rows.append([found[i % len(found)] for i in range(most)] if found else [])
        return rows

    def _size(self, one: Characteristic, record: SizeRecord, readings: Sequence[SampleSize]) -> SizeOfPart:
        usual, says = usual_uncertainty(one)
        if not readings:
            return SizeOfPart(characteristic=one, measured=None, record=record, uncertainty=usual, says=says)
        values = np.array([reading.value for reading in readings])
        own = np.array(
            [usual if reading.uncertainty is None else reading.uncertainty for reading in readings]
        )
        if all(reading.uncertainty is not None for reading in readings):
            says = "as given"
        weights = 1 / np.maximum(own, FINEST) ** 2
        mean = float((values * weights).sum() / weights.sum())
        differ = bool((np.abs(values - mean) > APART * np.maximum(own, FINEST)).any())
        spread = float(np.ptp(values) / 2)
        uncertainty = max(float(own.min()), spread) if differ else float(own.min())
        return SizeOfPart(
            characteristic=one,
            measured=MeasuredSize(record=record, value=mean, uncertainty=uncertainty),
            record=record,
            uncertainty=uncertainty,
            says=says,
            differs=" and as ".join(f"{value:g} {one.unit}" for value in values) if differ else "",
        )

    def _as_measured(self, one: Characteristic, makes: Sequence[RunMade]) -> SizeRecord:
        """The means that the runs themselves showed."""
        rows = self.cavities(one.part_id, makes)
        means = np.full((len(makes), max((len(row) for row in rows), default=0) or 1), nan)
        for i, (made, row) in enumerate(zip(makes, rows, strict=True)):
            for j, cavity in enumerate(row):
                found = self._in_run(one, made, cavity)
                means[i, j] = nan if found is None else found.mean
        return SizeRecord(
            name=f"{one.name or 'size'} ({one.number})",
            unit=one.unit,
            means=means,
            sds=np.where(np.isnan(means), nan, self._pooled_sd(one)),
            grows=GROWS.get(one.kind, 0.0 if one.kind in WITHOUT_SIZE else 1.0),
        )

    def _with_steel(self, one: Characteristic, record: SizeRecord, makes: Sequence[RunMade]) -> SizeRecord:
        """Where no run in a state was measured: what its steel makes with the shrinkage allowed for."""
        means, sds = record.means.copy(), record.sds.copy()
        states = [(made.make.tool, made.make.state) for made in makes]
        measured = {state for state, row in zip(states, means, strict=True) if np.isfinite(row).any()}
        for i, (made, row) in enumerate(zip(makes, self.cavities(one.part_id, makes), strict=True)):
            for j, cavity in enumerate(row if states[i] not in measured else ()):
                steel = self._from_steel(one, made, cavity)
                if steel is not None:
                    means[i, j], sds[i, j] = steel, hypot(self._pooled_sd(one), FROM_STEEL * abs(steel))
        return replace(record, means=means, sds=sds)

    def _in_run(self, one: Characteristic, made: RunMade, cavity: Cavity) -> SizeInTrial | None:
        if made.trial is None:
            return None
        found = self._measured.get((made.trial.pk, one.pk), [])
        own = [size for size in found if size.cavity_id == cavity.pk]
        unnamed = [size for size in found if size.cavity_id is None]
        return next(iter(own or unnamed), None)

    def _from_steel(self, one: Characteristic, made: RunMade, cavity: Cavity) -> float | None:
        """The size that the measured steel makes, with the shrinkage that was allowed for."""
        feature = self.ground.forming.get(one.pk)
        state = made.state or made.after
        if feature is None or state is None or one.unit != "mm":
            return None
        steel = self._steel.get((feature, cavity.pk, state.pk))
        return None if steel is None else steel * (1 - _shrinkage(one, cavity) / 100)

    def _pooled_sd(self, one: Characteristic) -> float:
        """How far parts of one run and cavity lie about their mean, over all runs that measured it."""
        found = [size for (_, key), sizes in self._measured.items() if key == one.pk for size in sizes]
        freedom = sum(size.n - 1 for size in found)
        if freedom > 0:
            squares = sum((size.n - 1) * size.sd**2 for size in found if size.n > 1)
            if squares > 0:
                return sqrt(squares / freedom)
        return usual_uncertainty(one)[0]


def usual_uncertainty(one: Characteristic) -> tuple[float, str]:
    """The standard uncertainty of a reading that nobody said anything of, and where it is from."""
    if one.gauge is not None and one.gauge.uncertainty > 0:
        return one.gauge.uncertainty, f"as of gauge {one.gauge.code}"
    if one.unit == "mm":
        return CALIPERS_MM, "as calipers usually read"
    if one.kind == SizeKind.ANGLE.value:
        return ANGLE_DEG, "as angles are usually read"
    limits = abs(one.upper - one.lower) if one.upper is not None and one.lower is not None else 0.0
    return max(UNKNOWN_SHARE * abs(one.nominal), limits / 20, FINEST), "half a per cent, as is usual"


def refuse_absurd(one: Characteristic, value: float) -> None:
    """Raise ImpossibleInput for a size, a wall or a weight that no such part can have."""
    if (
        one.kind in LOOKABLE_KINDS
        and one.nominal > 0
        and not (one.nominal / ABSURD <= value <= one.nominal * ABSURD)
    ):
        limit = f"is drawn with {one.nominal:g} {one.unit}"
        name = f"{one.part.code} {one.number}"
        raise ImpossibleInput(name, value, one.unit, limit, "look at the unit, the decimal mark and the size")


def _shrinkage(one: Characteristic, cavity: Cavity) -> float:
    resin = cavity.part.resin
    return {
        Direction.FLOW.value: resin.flow_pct,
        Direction.CROSS.value: resin.cross_pct,
        Direction.THICKNESS.value: resin.thickness_pct,
    }.get(one.direction, (resin.flow_pct + resin.cross_pct) / 2)


def sizes_asked(ground: SampleGround, parts: Sequence[SamplePart]) -> Iterator[Characteristic]:
    """The characteristics of these parts, in the order of the drawing."""
    wanted = {one.part_id for one in parts}
    found = Characteristic.objects.filter(part_id__in=wanted).select_related("part", "gauge")
    yield from found.order_by("part__code", "pk")
