"""What is known of every size, cavity by cavity: its mean, its spread without the gauge, and how surely."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np
from numpy.typing import NDArray

from offtool.core.inspection.spread import CavitySpreads, cavity_spreads
from offtool.core.joints.assembled.results import SizeUsed
from offtool.core.joints.chain import SIGMAS
from offtool.core.joints.evidence import SizeGiven, SizeInCavity
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData

Array = NDArray[np.float64]
MOST_COUNTED = 1000
"""Parts of a cavity beyond which the rule of pooling sees no difference."""
FEW_PARTS = 5


@dataclass(frozen=True, slots=True)
class VaryingSize:
    """One size that varies; arrays hold one value a cavity. `part` is −1 for a size that was given.

    An even size lies anywhere within its mean ± `sd`; all others are normal.
    """

    role: str
    part: int
    mean: Array
    observed_sd: Array
    gauge_sd: Array
    parts: Array
    freedom: Array
    pooled: bool
    even: bool = False

    @property
    def sd(self) -> Array:
        """The spread of the pieces: the gauge's own scatter taken out, never below nothing."""
        return without_gauge(self.observed_sd, self.gauge_sd)

    @property
    def variance(self) -> Array:
        return np.asarray(self.sd**2 / (3 if self.even else 1))


@dataclass(frozen=True, slots=True)
class Part:
    """A part and its cavities, ordered by what was measured in them, so that labels decide nothing."""

    name: str
    cavities: tuple[str, ...]


def without_gauge(observed_sd: Array, gauge_sd: Array) -> Array:
    """The deviation that is left when the gauge's is taken out."""
    return np.sqrt(np.maximum(observed_sd**2 - gauge_sd**2, 0.0))


def natural(name: str) -> list[tuple[int, str]]:
    """Sorts 2 before 10."""
    return [(int(one), "") if one.isdigit() else (-1, one) for one in re.split(r"([0-9]+)", name)]


def parts_of(measured: Sequence[SizeInCavity], roles: Sequence[str]) -> tuple[Part, ...]:
    """The parts in the order of the kind's sizes that they bring; their cavities by content."""
    first = {one.part: min(roles.index(o.role) for o in measured if o.part == one.part) for one in measured}
    names = sorted(first, key=lambda name: first[name])
    return tuple(Part(name, _cavities(measured, name)) for name in names)


def measured_sizes(measured: Sequence[SizeInCavity], parts: Sequence[Part]) -> tuple[VaryingSize, ...]:
    """Every measured size in the order of its name. Raises ImpossibleInput and NotEnoughData by name."""
    for one in measured:
        _refuse_impossible(one)
    found: list[VaryingSize] = []
    for role in sorted({one.role for one in measured}):
        rows = [one for one in measured if one.role == role]
        owners = {one.part for one in rows}
        if len(owners) > 1:
            raise ImpossibleInput(
                "measured", role, "", f"comes from more than one part: {', '.join(sorted(owners))}"
            )
        index = next(i for i, part in enumerate(parts) if part.name == rows[0].part)
        found.append(_varying(role, index, _by_cavity(role, rows, parts[index])))
    return tuple(found)


def given_size(given: SizeGiven) -> VaryingSize:
    """A size that is given with a ±: normal with a third of it, or even."""
    even = given.spread == "even"
    sd = np.array([given.plus_minus if even else given.plus_minus / SIGMAS])
    one, none = np.ones(1), np.zeros(1)
    return VaryingSize(
        given.role, -1, given.value * one, sd, none, none, np.array([inf]), pooled=False, even=even
    )


def sizes_used(sizes: Sequence[VaryingSize], parts: Sequence[Part]) -> tuple[SizeUsed, ...]:
    """The sizes as the result carries them, cavities in natural order."""
    return tuple(
        SizeUsed(
            role=size.role,
            part=parts[size.part].name if size.part >= 0 else "",
            cavity=parts[size.part].cavities[i] if size.part >= 0 else "",
            mean=float(size.mean[i]),
            sd=float(np.sqrt(size.variance[i])),
            observed_sd=float(size.observed_sd[i]) if size.part >= 0 else float(np.sqrt(size.variance[i])),
            gauge_sd=float(size.gauge_sd[i]),
            parts=int(size.parts[i]),
            freedom=float(size.freedom[i]) if isfinite(size.freedom[i]) else None,
            pooled=size.pooled,
        )
        for size in sizes
        for i in _natural_order(size, parts)
    )


def cautions_of(
    measured: Sequence[SizeInCavity], sizes: Sequence[VaryingSize], parts: Sequence[Part]
) -> list[Caution]:
    """What is thin in the readings: single parts, few parts, a gauge that explains all spread."""
    cautions = []
    single = [one for one in measured if one.parts == 1]
    if single:
        cautions.append(
            Caution(f"one part only of {_listed(single)}: its spread is taken from the other cavities")
        )
    few = [one for one in measured if 1 < one.parts < FEW_PARTS]
    if few:
        fewest = min(one.parts for one in few)
        cautions.append(Caution(f"only {fewest} parts of {_listed(few)}: fewer than {FEW_PARTS} say little"))
    for size in sizes:
        for i in np.flatnonzero((size.gauge_sd > 0) & (size.gauge_sd >= size.observed_sd)):
            part = parts[size.part]
            where = f"{_in_words(size.role)} in cavity {part.cavities[i]} of {part.name}"
            cautions.append(Caution(f"the gauge scatters as much as the parts: no spread is left of {where}"))
    for size in sizes:
        if size.part >= 0 and not size.pooled and size.mean.size > 1:
            cautions.append(
                Caution(
                    f"{_in_words(size.role)}: cavities spread unlike, each is judged by its own few parts"
                )
            )
    return cautions


def _listed(rows: Sequence[SizeInCavity]) -> str:
    names = sorted({_in_words(one.role) for one in rows})
    cavities = sorted({one.cavity for one in rows}, key=natural)
    shown = ", ".join(cavities[:8]) + (" …" if len(cavities) > 8 else "")
    return f"{', '.join(names)} in cavit{'y' if len(cavities) == 1 else 'ies'} {shown}"


def _in_words(role: str) -> str:
    return role.replace("_", " ")


def _natural_order(size: VaryingSize, parts: Sequence[Part]) -> list[int]:
    if size.part < 0:
        return [0]
    labels = parts[size.part].cavities
    return sorted(range(len(labels)), key=lambda i: natural(labels[i]))


def _cavities(measured: Sequence[SizeInCavity], part: str) -> tuple[str, ...]:
    found: dict[str, list[tuple[str, float, float, int, float]]] = {}
    for one in sorted((one for one in measured if one.part == part), key=lambda one: one.role):
        found.setdefault(one.cavity, []).append((one.role, one.mean, one.sd, one.parts, one.gauge_sd))
    return tuple(sorted(found, key=lambda cavity: (found[cavity], natural(cavity))))


def _refuse_impossible(one: SizeInCavity) -> None:
    where = f"{one.role} in cavity {one.cavity} of {one.part}"
    if not isfinite(one.mean):
        raise ImpossibleInput("mean", one.mean, "", f"of {where} must be a finite number")
    if one.parts < 1:
        raise ImpossibleInput("parts", one.parts, "", f"of {where} must be at least 1")
    if one.parts > 1 and not 0 <= one.sd < inf:
        raise ImpossibleInput("sd", one.sd, "", f"of {where} must be at least 0")
    if not 0 <= one.gauge_sd < inf:
        raise ImpossibleInput("gauge_sd", one.gauge_sd, "", f"of {where} must be at least 0")


def _by_cavity(role: str, rows: Sequence[SizeInCavity], part: Part) -> list[SizeInCavity]:
    found: dict[str, SizeInCavity] = {}
    for one in rows:
        if one.cavity in found:
            raise ImpossibleInput("measured", role, "", f"is there twice for cavity {one.cavity}")
        found[one.cavity] = one
    missing = [cavity for cavity in sorted(part.cavities, key=natural) if cavity not in found]
    if missing:
        raise NotEnoughData(
            f"{role} was not measured in cavity {', '.join(missing)} of {part.name}",
            remedy="measure it there, or give one value for all cavities",
        )
    return [found[cavity] for cavity in part.cavities]


def _varying(role: str, part: int, rows: Sequence[SizeInCavity]) -> VaryingSize:
    if all(one.parts == 1 for one in rows):
        raise NotEnoughData(
            f"{role}: one part in each cavity shows no spread", remedy="measure two parts or more in a cavity"
        )
    spreads = _spreads(rows)
    sd, freedom = spreads.sd.copy(), spreads.freedom.astype(float)
    alone = np.array([one.parts == 1 for one in rows])
    if not spreads.pooled and alone.any():
        own = ~alone
        sd[alone] = np.sqrt((freedom[own] @ sd[own] ** 2) / freedom[own].sum())
        freedom[alone] = freedom[own].sum()
    return VaryingSize(
        role=role,
        part=part,
        mean=np.array([one.mean for one in rows]),
        observed_sd=sd,
        gauge_sd=np.array([one.gauge_sd for one in rows]),
        parts=np.array([float(one.parts) for one in rows]),
        freedom=freedom,
        pooled=spreads.pooled,
    )


def _spreads(rows: Sequence[SizeInCavity]) -> CavitySpreads:
    """The house's rule of pooling, on readings that have these very deviations."""
    counts = [min(one.parts, MOST_COUNTED) for one in rows]
    values = np.zeros(sum(counts))
    starts = np.cumsum([0, *counts[:-1]])
    for start, count, one in zip(starts, counts, rows, strict=True):
        if count > 1:
            values[start : start + 2] = one.sd * np.sqrt((count - 1) / 2) * np.array([1.0, -1.0])
    return cavity_spreads(values, [f"{i:06}" for i, count in enumerate(counts) for _ in range(count)])
