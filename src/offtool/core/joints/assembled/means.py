"""The mean of the measure pair by pair, and what each size moves: all that friction is learned from."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from offtool.core.joints.assembled.contributions import fit_contributions
from offtool.core.joints.assembled.draws import pilot_scale, tally
from offtool.core.joints.assembled.known import known_joint
from offtool.core.joints.assembled.results import Contribution, SizeUsed
from offtool.core.joints.assembled.sizes import natural, sizes_used
from offtool.core.joints.evidence import JointEvidence
from offtool.core.joints.models import roles_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PairMean:
    """One cavity of each part (in the order of `JointMeans.parts`), and the mean of what comes of them."""

    cavities: tuple[str, ...]
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMeans:
    """What `assemble_joint` says of means and slopes, without its shares, which take most of the time."""

    parts: tuple[str, ...]
    pairs: tuple[PairMean, ...]
    sizes: tuple[SizeUsed, ...]
    contributions: tuple[Contribution, ...]


def joint_means(evidence: JointEvidence, *, combinations: int, seed: int = 1) -> JointMeans:
    """The mean of every pair of cavities, friction in its middle, drawn as `assemble_joint` draws.

    Returns: JointMeans; infinite where all pieces of a pair lock. Raises: as assemble_joint.

    Holds when: as assemble_joint.
    """
    known = known_joint(evidence)
    counted = tally(known, -(-combinations // len(known.tuples)), seed, pilot_scale(known, seed))
    fitted = fit_contributions(known, {role.name: role.unit for role in roles_of(evidence)}, seed)
    middle = (counted.scale.low + counted.scale.high) / 2
    pairs = []
    for at, row in enumerate(known.tuples):
        real = int(counted.bins[at].sum())
        locks = bool(counted.locked[at]) and not real
        mean = inf if locks else middle + float(counted.total[at]) / max(real, 1)
        cavities = tuple(part.cavities[i] for part, i in zip(known.parts, row, strict=True))
        pairs.append(PairMean(cavities=cavities, mean=mean))
    return JointMeans(
        parts=tuple(part.name for part in known.parts),
        pairs=tuple(sorted(pairs, key=lambda one: [natural(cavity) for cavity in one.cavities])),
        sizes=sizes_used(known.sizes, known.parts),
        contributions=fitted.contributions,
    )
