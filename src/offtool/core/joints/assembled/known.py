"""A joint made ready for calculation: its sizes as arrays over all combinations of cavities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import isfinite, prod

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.joints.assembled.sizes import (
    Array,
    Part,
    VaryingSize,
    cautions_of,
    given_size,
    measured_sizes,
    parts_of,
)
from offtool.core.joints.chain import require_chain
from offtool.core.joints.evidence import JointEvidence, SizesTogether
from offtool.core.joints.loop_links import loop_links, require_loop
from offtool.core.joints.models import model_of, roles_of
from offtool.core.joints.response import JointModel, Materials, Response
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData, OfftoolError, nearest
from offtool.handbook.joint_kinds import JOINT_KINDS, Role
from offtool.handbook.terms import JointKind

MOST_PAIRS = 4096
"""Combinations of cavities that are worked out one by one."""


@dataclass(frozen=True, slots=True)
class KnownJoint:
    """`tuples` holds one row a combination of cavities: the number of the cavity of each part."""

    model: JointModel
    materials: Materials
    friction: tuple[float, float]
    lower: float | None
    upper: float | None
    parts: tuple[Part, ...]
    sizes: tuple[VaryingSize, ...]
    fixed: Mapping[str, float]
    tuples: NDArray[np.int64]
    root: Array | None
    cautions: tuple[Caution, ...]

    @property
    def middle_friction(self) -> float:
        return (self.friction[0] + self.friction[1]) / 2

    def spread_out(self, by_cavity: Sequence[Array]) -> Array:
        """One value of each size a combination, from one a cavity: [..., cavity] to [..., tuple, size]."""
        columns = [
            values[..., self.tuples[:, size.part]] if size.part >= 0
            else np.broadcast_to(values[..., :1], (*values.shape[:-1], len(self.tuples)))
            for size, values in zip(self.sizes, by_cavity, strict=True)
        ]  # fmt: skip
        if not columns:
            return np.zeros((len(self.tuples), 0))
        return np.stack(np.broadcast_arrays(*columns), axis=-1)

    def correlated(self, scores: Array) -> Array:
        """Independent scores [..., size] made to go together as the sizes do."""
        return scores if self.root is None else scores @ self.root.T

    def respond(self, pieces: Sequence[Array], friction: Array | float) -> Response:
        """The joint's answer to pieces, given as one array a size."""
        sizes: dict[str, Array] = {name: np.float64(value) for name, value in self.fixed.items()}  # type: ignore[misc]
        sizes.update({size.role: piece for size, piece in zip(self.sizes, pieces, strict=True)})
        return self.model.respond(sizes, self.materials, np.asarray(friction, dtype=float))

    def piece(self, i: int, mean: Array | float, sd: Array | float, score: Array) -> Array:
        """Pieces of size i at normal scores; the scores are used up."""
        if self.sizes[i].even:
            score = 2 * special.ndtr(score) - 1
        score *= sd
        score += mean
        return score


def known_joint(evidence: JointEvidence) -> KnownJoint:
    """Check the evidence against the kind's sizes, and make arrays of it."""
    kind = JOINT_KINDS[evidence.kind]
    cautions = [*evidence.cautions, *(require_chain(evidence) if evidence.kind is JointKind.CHAIN else ())]
    _require_limits(evidence)
    roles = {role.name: role for role in roles_of(evidence)}
    _require_roles(evidence, roles)
    parts = parts_of(evidence.measured, list(roles))
    count = prod(len(part.cavities) for part in parts)
    if count > MOST_PAIRS:
        raise OfftoolError(
            f"{count:,} combinations of cavities are more than {MOST_PAIRS:,}",
            remedy="take fewer cavities, or pool those that are alike",
        )
    varying = [*measured_sizes(evidence.measured, parts)]
    varying += [given_size(one) for one in sorted(evidence.given, key=lambda g: g.role) if one.plus_minus > 0]
    fixed = {role.name: role.usual for role in roles.values() if role.usual is not None}
    fixed |= {one.role: one.value for one in evidence.given if one.plus_minus == 0}
    sizes = tuple(varying)
    for size in sizes:
        fixed.pop(size.role, None)
    if evidence.kind is JointKind.LOOP:
        middle = {**fixed, **{size.role: float(size.mean.mean()) for size in sizes}}
        require_loop(loop_links(evidence), middle)
    friction = evidence.friction
    known = KnownJoint(
        model=model_of(evidence),
        materials=Materials(inner=evidence.inner, outer=evidence.outer),
        friction=(friction.low, friction.high) if kind.uses_friction and friction else (0.0, 0.0),
        lower=evidence.lower,
        upper=evidence.upper,
        parts=parts,
        sizes=sizes,
        fixed=fixed,
        tuples=np.array(list(product(*(range(len(part.cavities)) for part in parts))), dtype=np.int64),
        root=_root(evidence.correlations, sizes),
        cautions=(*cautions, *cautions_of(evidence.measured, sizes, parts)),
    )
    _require_answers(known, evidence)
    return known


def _require_limits(evidence: JointEvidence) -> None:
    lower, upper = evidence.lower, evidence.upper
    for name, limit in (("lower", lower), ("upper", upper)):
        if limit is not None and not isfinite(limit):
            raise ImpossibleInput(name, limit, "", "must be a finite number", "leave it blank for no limit")
    if lower is not None and upper is not None and not lower < upper:
        raise ImpossibleInput(
            "lower", lower, "", f"must be below the upper limit {upper:g}", "swap or correct them"
        )
    friction = evidence.friction
    if not JOINT_KINDS[evidence.kind].uses_friction:
        return
    if friction is None:
        raise NotEnoughData(
            f"no friction is known of this {evidence.kind.value}", remedy="give its range for the pair"
        )
    if not 0 <= friction.low <= friction.high < np.inf:
        raise ImpossibleInput(
            "friction", f"{friction.low:g} to {friction.high:g}", "", "must run from 0 or more upwards"
        )


def _require_roles(evidence: JointEvidence, roles: Mapping[str, Role]) -> None:
    """Every size of the kind is there once, and none that it does not have."""
    measured = {one.role for one in evidence.measured}
    given = [one.role for one in evidence.given]
    for name in (*measured, *given):
        if name not in roles:
            raise ImpossibleInput(
                "role", name, "", f"is no size of a {evidence.kind.value}", nearest(name, roles)
            )
        if given.count(name) + (name in measured) > 1:
            raise ImpossibleInput("role", name, "", "is there twice", "measure it or give it, not both")
    for role in roles.values():
        if role.name not in measured and role.name not in given and role.usual is None:
            raise NotEnoughData(
                f"{role.name} ({role.meaning}) is neither measured nor given",
                remedy="measure it in every cavity, or give its value",
            )
    for one in evidence.given:
        if not isfinite(one.value):
            raise ImpossibleInput("value", one.value, roles[one.role].unit, f"of {one.role} is no size")
        if not 0 <= one.plus_minus < np.inf:
            raise ImpossibleInput(
                "plus_minus", one.plus_minus, roles[one.role].unit, f"of {one.role} must be at least 0"
            )


def _root(correlations: Sequence[SizesTogether], sizes: Sequence[VaryingSize]) -> Array | None:
    """The lower root of the correlation matrix; None where sizes go their own ways."""
    if not correlations:
        return None
    place = {size.role: i for i, size in enumerate(sizes)}
    table = np.eye(len(sizes))
    for one in correlations:
        if one.first not in place or one.second not in place or one.first == one.second:
            raise ImpossibleInput(
                "correlations", f"{one.first}, {one.second}", "", "must name two sizes that vary"
            )
        i, j = place[one.first], place[one.second]
        if sizes[i].part != sizes[j].part or sizes[i].part < 0:
            raise ImpossibleInput(
                "correlations", f"{one.first}, {one.second}", "", "must be of one part, measured together"
            )
        if not -1 <= one.correlation <= 1:
            raise ImpossibleInput("correlation", one.correlation, "", "must lie between −1 and 1")
        table[i, j] = table[j, i] = one.correlation
    values, vectors = np.linalg.eigh(table)
    if values.min() < -1e-9:
        raise ImpossibleInput("correlations", len(correlations), "", "contradict each other", "check them")
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def _require_answers(known: KnownJoint, evidence: JointEvidence) -> None:
    """Refuse sizes that cannot be where they stand on average, naming the cavities."""
    means = known.spread_out([size.mean for size in known.sizes])
    with np.errstate(all="ignore"):
        found = known.respond([means[:, i] for i in range(len(known.sizes))], known.middle_friction)
    # A measure without end is an answer: a hook that locks.
    broken = np.broadcast_to(np.isnan(found.measure), (len(known.tuples),))
    if not broken.any():
        return
    row = known.tuples[int(np.flatnonzero(broken)[0])]
    where = ", ".join(f"{part.name} {part.cavities[i]}" for part, i in zip(known.parts, row, strict=True))
    absent = [side for side in ("inner", "outer") if getattr(evidence, side) is None]
    cause = f"; the {' and '.join(absent)} material is not given" if absent and not evidence.links else ""
    raise OfftoolError(
        f"these sizes make no joint ({where or 'as given'}){cause}",
        remedy="give the materials, and check that every wall is thicker than nothing",
    )
