"""What measured sizes and weights say: which of the recorded states makes parts like this one.

All sizes of a part grow and shrink together with its age and with the lot of resin, so that one scale factor
is shared and summed out. Any single value may be misread, or be of a damaged place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify.capping import MEASURED_CAP, capped
from offtool.core.samples.identify.hypotheses import Finding, Make, Weight
from offtool.core.samples.identify.unmeasured import Places, places_of
from offtool.core.values import ImpossibleInput

SCALE_SD = 0.0007
"""How far all sizes of a part go together with age, resin lot and set-up, as a share of the size; common
practice, no source (shrinkage of 0.5 % that varies by a seventh)."""
MISREAD = 0.02
"""How often one value is misread or is of a damaged place; common practice, no source."""
STANDS_ALONE = 5.0
"""A misread value lies anywhere within so many standard deviations of what all makes together make."""
LEAST_NODES, MOST_NODES = 9, 701
FINEST = 1e-6
"""No spread is smaller than this in mm, g, N or degrees: nothing is measured so well."""
REACH = 4.0
"""Standard deviations of the scale factor that are summed over."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRecord:
    """One characteristic of one part, as every make has it: arrays of makes × cavities, NaN where not
    recorded.

    `grows` is how the value follows the size of the part: 1 a length, 3 a weight, 0 an angle or a torque.
    """

    name: str
    unit: str
    means: Array
    sds: Array
    grows: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSize:
    """One value that was measured on the part, with the standard uncertainty of that reading."""

    record: SizeRecord
    value: float
    uncertainty: float


def size_finding(
    measured: Sequence[MeasuredSize],
    makes: Sequence[Make],
    *,
    cavity: int | None = None,
    scale_sd: float = SCALE_SD,
    misread: float = MISREAD,
) -> Finding:
    """What all measured values of one part say together of the makes, and of none of these.

    L = mean over cavities of the integral over the shared scale s of
    prod_i [(1 - e) N(x_i; mean_i (1 + g_i s), sd_i^2 + u_i^2) + e B_i]; B_i is a wide normal around what all
    makes together make, which is also what none of these makes. Where a state was never measured, its size
    can stand in several places (`places_of`).

    Returns: Finding, ten thousand to one at most. Raises: ImpossibleInput for a value or uncertainty that
    cannot be.

    Holds when: the sizes of the makes are those of settled shots; a first shot of a run lies off.
    """
    _refuse_impossible(measured)
    parts = [_Size.of(one, makes, scale_sd) for one in measured]
    nodes, weights = _scale_nodes(parts, scale_sd)
    cavities = parts[0].places.centres[0].shape[1]
    total = np.zeros((len(makes), cavities, nodes.size))
    for one in parts:
        total += one.logs(nodes, misread)
    by_cavity = np.logaddexp.reduce(total + np.log(weights), axis=2)
    if cavity is None:
        logs = np.logaddexp.reduce(by_cavity, axis=1) - np.log(cavities)
    else:
        logs = by_cavity[:, cavity]
    none = sum(one.log_wide for one in parts)
    limited, was_capped = capped(np.append(logs, none), MEASURED_CAP)
    return Finding(
        about=", ".join(one.record.name for one in measured),
        found=", ".join(f"{one.value:g} {one.record.unit}" for one in measured),
        weight=Weight.MEASURED,
        log_likelihood=limited,
        capped=was_capped,
    )


@dataclass(frozen=True, slots=True)
class _Size:
    """One value against every make: where its size stands, or where it can have stood."""

    value: float
    grows: float
    places: Places
    sd: Array
    wide_mean: float
    wide_sd: float

    @classmethod
    def of(cls, one: MeasuredSize, makes: Sequence[Make], scale_sd: float) -> _Size:
        record = one.record
        usual = float(np.nanmedian(record.sds)) if np.isfinite(record.sds).any() else abs(one.value) * 1e-3
        usual = max(usual, FINEST)
        sd = np.sqrt(np.where(np.isnan(record.sds), usual, record.sds) ** 2 + one.uncertainty**2)
        sd = np.maximum(sd, FINEST)
        known = record.means[np.isfinite(record.means)]
        mean = float(known.mean()) if known.size else one.value
        spread = float(known.std()) if known.size else 0.0
        apart = record.grows * mean * scale_sd
        wide = STANDS_ALONE * sqrt(spread**2 + usual**2 + one.uncertainty**2 + apart**2)
        return cls(one.value, record.grows, places_of(record.means, makes, usual), sd, mean, wide)

    @property
    def log_wide(self) -> float:
        return float(_log_normal(np.array(self.value), np.array(self.wide_mean), np.array(self.wide_sd)))

    def logs(self, scale: Array, misread: float) -> Array:
        """Makes × cavities × nodes."""
        good = np.array(-np.inf)
        for centre, spread, share in zip(
            self.places.centres, self.places.spreads, self.places.shares, strict=True
        ):
            at, sd = centre[..., None] * (1 + self.grows * scale), np.hypot(self.sd, spread)[..., None]
            with np.errstate(divide="ignore", invalid="ignore"):
                good = np.logaddexp(
                    good, np.log(share)[..., None] + _log_normal(np.array(self.value), at, sd)
                )
        good = np.where(np.isnan(good), self.log_wide, good)
        return np.asarray(np.logaddexp(np.log1p(-misread) + good, np.log(misread) + self.log_wide))


def _scale_nodes(parts: Sequence[_Size], scale_sd: float) -> tuple[Array, Array]:
    """Evenly spaced nodes of the scale factor, close enough for the finest size, and their weights."""
    if scale_sd == 0 or all(one.grows == 0 for one in parts):
        return np.zeros(1), np.ones(1)
    finest = min(
        float(np.nanmin(one.sd) / max(abs(one.grows * one.wide_mean), 1e-12)) for one in parts if one.grows
    )
    together = finest / sqrt(len(parts))
    count = int(np.clip(2 * REACH * scale_sd / together + 1, LEAST_NODES, MOST_NODES)) | 1
    z = np.linspace(-REACH, REACH, count)
    weights = np.exp(-(z**2) / 2)
    return z * scale_sd, weights / weights.sum()


def _log_normal(x: Array, mean: Array, sd: Array) -> Array:
    z = (x - mean) / sd
    return np.asarray(-0.5 * z * z - np.log(sd) - 0.9189385332046727)


def _refuse_impossible(measured: Sequence[MeasuredSize]) -> None:
    if not measured:
        raise ImpossibleInput(
            "measured", 0, "", "must be at least one value", "measure a size, or leave it out"
        )
    for one in measured:
        if not np.isfinite(one.value):
            raise ImpossibleInput(one.record.name, one.value, one.record.unit, "must be a finite number")
        if not (np.isfinite(one.uncertainty) and one.uncertainty >= 0):
            raise ImpossibleInput(
                f"uncertainty of {one.record.name}",
                one.uncertainty,
                one.record.unit,
                "must be at least 0",
                "give the standard uncertainty of one reading",
            )
