"""From the record to a seam: its sizes with their spread, and the runs of its weld studies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import isnan

import numpy as np

from offtool.core.joints.evidence import SizeGiven
from offtool.core.values import Caution
from offtool.core.welding.seam import SeamSizes
from offtool.core.welding.study import WeldRun, WeldRuns
from offtool.handbook.joint_kinds import Role
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import Appearance, Failure, Ridge, SeamKind
from offtool.records.models import Seam, SeamSize
from offtool.records.queries import WeldRuns as KeptRuns
from offtool.records.queries.seams import NUMBERS
from offtool.steps.joint_found import JointSizeSeen
from offtool.steps.latest_sizes import LatestSize, latest_sizes
from offtool.steps.sizes_seen import size_seen
from offtool.steps.what_is_asked import size_key

SPREAD_SDS = 3.0
"""A measured size is taken to reach so many standard deviations to either side of its cavities' means."""


class SeamInRecord:
    """A seam of the record with its sizes as measured today."""

    def __init__(self, seam: Seam, latest: Mapping[int, LatestSize] | None = None) -> None:
        self.seam = seam
        self.kind = SeamKind(seam.kind)
        self.roles: dict[str, Role] = {one.name: one for one in SEAM_KINDS[self.kind]}
        loaded = seam.sizes.select_related("characteristic__part__resin", "characteristic__gauge")
        self.sizes: list[SeamSize] = list(loaded.order_by("pk"))
        measured = [one.characteristic for one in self.sizes if one.characteristic is not None]
        self.latest = latest if latest is not None else latest_sizes(measured)

    @property
    def missing(self) -> Iterator[str]:
        """What its design cannot be judged without, in words."""
        given = {one.role for one in self.sizes}
        for role in self.roles.values():
            if role.usual is None and role.name not in given:
                yield f"{role.meaning} ({role.name}) is not given"
        for one in self.sizes:
            if one.characteristic is not None and one.characteristic_id not in self.latest:
                yield f"{size_key(one.characteristic)} {one.characteristic.name} was not measured yet"

    def as_sizes(self) -> SeamSizes:
        """The sizes that are known, each with its spread."""
        return SeamSizes(
            kind=self.kind,
            sizes=tuple(self._given()),
            resin=self.seam.top_part.resin.code,
            other_resin=self.seam.bottom_part.resin.code,
        )

    def value(self, role: str) -> float | None:
        """The middle of a size; None where it is not known, or 0 for not known."""
        found = next((one.value for one in self._given() if one.role == role), None)
        return found or None

    def _given(self) -> Iterator[SizeGiven]:
        given = {one.role for one in self.sizes}
        for one in self.sizes:
            if one.characteristic is None and one.value is not None:
                yield SizeGiven(role=one.role, value=one.value, plus_minus=one.plus_minus)
            elif (latest := self.latest.get(one.characteristic_id or 0)) is not None:
                yield _measured(one.role, latest)
        for role in self.roles.values():
            if role.usual is not None and role.name not in given:
                yield SizeGiven(role=role.name, value=role.usual)

    def seen(self) -> tuple[JointSizeSeen, ...]:
        """The sizes as they are shown."""
        return tuple(self._seen(one) for one in self.sizes)

    def _seen(self, one: SeamSize) -> JointSizeSeen:
        role = self.roles.get(one.role)
        meaning, unit = (role.meaning, role.unit) if role else (one.role, "mm")
        return size_seen(one, self.latest.get(one.characteristic_id or 0), meaning=meaning, unit=unit)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Cavities older than the others, and what else must be known of the sizes."""
        return tuple(caution for one in self.latest_of_sizes for caution in one.cautions)

    @property
    def latest_of_sizes(self) -> list[LatestSize]:
        """The sizes of this seam that were measured."""
        keys = [one.characteristic_id for one in self.sizes]
        return [self.latest[key] for key in keys if key is not None and key in self.latest]


def _measured(role: str, latest: LatestSize) -> SizeGiven:
    """The middle of the cavities' means, and as far either way as their parts reach."""
    cavities = latest.cavities
    low = min(one.mean - SPREAD_SDS * _sd(one.sd) for one in cavities)
    high = max(one.mean + SPREAD_SDS * _sd(one.sd) for one in cavities)
    return SizeGiven(role=role, value=(low + high) / 2, plus_minus=(high - low) / 2)


def _sd(sd: float) -> float:
    return 0.0 if isnan(sd) else sd


def runs_of(kept: KeptRuns) -> tuple[WeldRun, ...]:
    """The runs as the mathematics takes them, in the order of the files."""
    return tuple(
        WeldRun(
            **{name: _number(kept.numbers[name][i]) for name in NUMBERS},
            stopped=kept.failure[i] == Failure.HELD.value,
            appearance=Appearance(kept.appearance[i]),
        )
        for i in range(len(kept))
    )


def welded_heights(kept: KeptRuns) -> list[float]:
    """The heights of pieces that tore, or whose ridge melted."""
    return _of_welded(kept, "height_mm")


def welded_pull(kept: KeptRuns) -> float | None:
    """Mean pull of pieces that tore, or whose ridge melted; None for fewer than three."""
    found = mean_and_sd_of(_of_welded(kept, "strength_n"))
    return found[0] if found is not None and found[0] > 0 else None


def _of_welded(kept: KeptRuns, column: str) -> list[float]:
    welded = (kept.failure == Failure.TORN.value) | (kept.ridge == Ridge.MELTED.value)
    values = kept.numbers[column][welded]
    return [float(one) for one in values[np.isfinite(values)]]


def _number(value: float) -> float | None:
    return None if isnan(value) else float(value)


def pulled(runs: Sequence[WeldRun]) -> WeldRuns | None:
    """The runs as a table; None where none was pulled."""
    return WeldRuns(runs=tuple(runs)) if any(one.strength_n is not None for one in runs) else None


def mean_and_sd_of(values: Sequence[float]) -> tuple[float, float] | None:
    """Mean and standard deviation; None for fewer than three values."""
    if len(values) < 3:
        return None
    return float(np.mean(values)), float(np.std(values, ddof=1))
