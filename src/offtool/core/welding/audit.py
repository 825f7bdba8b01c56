"""Seams pulled apart shift by shift: how many, so that a weld that gets weaker is found in time."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from math import ceil, log1p, sqrt
from typing import Literal, TypeAlias

import numpy as np
from scipy import special

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.core.welding.cautions import PULLING
from offtool.core.welding.pulls import REQUIRED

MOST_PULLS = 10**5
CURVE_STEPS = 20

PlanName: TypeAlias = Literal["pull to the requirement", "mean of the pulls"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditPlan:
    """One way to audit. `alarm_below_n` is the pull, or the mean of the pulls, that raises the alarm.

    `found_within` is the probability that the weaker seam raises it within the audits;
    `audits_to_find` and `audits_between_false_alarms` are averages. `pulls` is None where no number in reach
    does it.
    """

    name: PlanName
    pulls: int | None
    alarm_below_n: float | None
    found_each: float | None
    found_within: float | None
    audits_to_find: float | None
    audits_between_false_alarms: float | None
    too_many_false_alarms: bool
    pieces_to_find: float | None
    cost_each: float | None
    curve: tuple[tuple[float, float], ...] = field(repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldAudit:
    """Both plans and the one that costs fewer seams without too many false alarms; None where neither does.

    A plan's `curve` is (drop in N, probability that it is found within the audits), for a drawing.
    """

    chosen: PlanName | None
    plans: tuple[AuditPlan, ...]
    mean_n: float
    sd_n: float
    required_n: float
    drop_n: float
    share_before: float
    share_after: float
    probability: float
    audits: int
    audits_between_false_alarms: float
    cautions: tuple[Caution, ...] = ()

    def plan(self, name: PlanName) -> AuditPlan:
        """One of the plans."""
        return next(one for one in self.plans if one.name == name)


@formula(
    limits={
        "mean_n": Range(meaning="mean strength of the seam as released", unit="N", above=0),
        "sd_n": Range(meaning="its standard deviation, known from the weld study", unit="N", above=0),
        "required_n": REQUIRED,
        "drop_n": Range(
            meaning="drop of the mean that must be found; blank where share_after is given", unit="N", above=0
        ),
        "share_after": Range(
            meaning="share below the requirement that must be found; blank where drop_n is given",
            above=0,
            below=1,
        ),
        "probability": Range(meaning="how surely it must be found", at_least=0.5, below=1),
        "audits": Range(meaning="audits within which it must be found", at_least=1, at_most=10**4),
        "audits_between_false_alarms": Range(
            meaning="audits of an unchanged weld to one false alarm, on average", above=1, at_most=10**6
        ),
        "piece_cost": Range(meaning="cost of one seam pulled apart, work included", unit="money", at_least=0),
    },
    example={"mean_n": 110, "sd_n": 10, "required_n": 70, "drop_n": 20, "audits": 3},
    source="zero-failure sampling (binomial) and the mean chart with known deviation, one side; both exact",
)
def weld_audit(
    mean_n: float,
    sd_n: float,
    required_n: float,
    *,
    drop_n: float | None = None,
    share_after: float | None = None,
    probability: float = 0.9,
    audits: int = 5,
    audits_between_false_alarms: float = 200.0,
    piece_cost: float = 0.0,
) -> WeldAudit:
    """How many seams to pull at each audit, so that a weaker weld is found within so many audits.

    Pulled to the requirement, alarm at any that comes apart: n with 1 - (1 - p)^(n m) >= probability, p the
    share below after the drop, m audits. Mean of n, alarm below mean - z sd / sqrt(n), z from one false alarm
    in so many audits: n with 1 - (1 - Phi(d sqrt(n) / sd - z))^m >= probability, d the drop.

    Returns: WeldAudit. Raises: ImpossibleInput unless one of `drop_n` and `share_after` is given, or where
    the share asked for is no drop.

    Holds when: strengths are normal with the same deviation before and after, and the change stays until it
    is found. A pull stopped at the requirement still counts as a seam used up.

    Example: 5 % weaker, found with 95 % in one audit, takes 59 pulls to the requirement (by hand:
    ln 0.05 / ln 0.95).
    """
    audits = int(audits)
    drop = _drop(mean_n, sd_n, required_n, drop_n, share_after)
    alarm = 1 / audits_between_false_alarms
    asked = _Asked(mean_n, sd_n, required_n, drop, probability, audits, alarm, piece_cost)
    plans = (_to_requirement(asked), _by_mean(asked))
    usable = [one for one in plans if one.pulls is not None and not one.too_many_false_alarms]
    chosen = min(usable, key=lambda one: one.pulls or 0).name if usable else None
    return WeldAudit(
        chosen=chosen,
        plans=plans,
        mean_n=mean_n,
        sd_n=sd_n,
        required_n=required_n,
        drop_n=drop,
        share_before=asked.share(0.0),
        share_after=asked.share(drop),
        probability=probability,
        audits=audits,
        audits_between_false_alarms=audits_between_false_alarms,
        cautions=_cautions(asked, chosen),
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked, as the plans need it."""

    mean: float
    sd: float
    required: float
    drop: float
    probability: float
    audits: int
    alarm: float
    piece_cost: float

    def share(self, drop: float) -> float:
        """Share below the requirement after such a drop."""
        return float(special.ndtr((self.required - self.mean + drop) / self.sd))

    def found(self, each: float) -> float:
        """Probability within the audits, from that of each."""
        return -float(np.expm1(self.audits * log1p(-min(each, 1 - 1e-16))))

    @property
    def drops(self) -> tuple[float, ...]:
        """Drops at which a curve is drawn, from none to twice the one asked for."""
        return tuple(2 * self.drop * i / CURVE_STEPS for i in range(CURVE_STEPS + 1))


def _drop(mean: float, sd: float, required: float, drop_n: float | None, share_after: float | None) -> float:
    if drop_n is not None and share_after is None:
        return drop_n
    if drop_n is not None or share_after is None:
        raise ImpossibleInput(
            "drop_n", drop_n, "N", "give either the drop or the share after it", "one of the two"
        )
    drop = mean - required + sd * float(special.ndtri(share_after))
    if not drop > 0:
        now = float(special.ndtr((required - mean) / sd))
        raise ImpossibleInput(
            "share_after", share_after, "", f"must be above today's {now:.3g}", "that is no drop"
        )
    return drop


def _to_requirement(asked: _Asked) -> AuditPlan:
    """n from the smallest that finds it: false alarms follow."""
    after, before = asked.share(asked.drop), asked.share(0.0)
    each_needed = _each(asked)
    pulls = _pulls_to_find(after, each_needed)

    def each(drop: float, n: int) -> float:
        return -float(np.expm1(n * log1p(-min(asked.share(drop), 1 - 1e-16))))

    if pulls is None:
        return _out_of_reach("pull to the requirement")
    false = each(0.0, pulls) if before > 0 else 0.0
    return _plan(
        asked,
        "pull to the requirement",
        pulls,
        asked.required,
        each(asked.drop, pulls),
        false,
        tuple((drop, asked.found(each(drop, pulls))) for drop in asked.drops),
    )


def _by_mean(asked: _Asked) -> AuditPlan:
    z = -float(special.ndtri(asked.alarm))

    def each(drop: float, n: int) -> float:
        return float(special.ndtr(drop * sqrt(n) / asked.sd - z))

    needed = _each(asked)
    pulls = 1 + bisect_left(range(1, MOST_PULLS + 1), True, key=lambda n: each(asked.drop, n) >= needed)
    if pulls > MOST_PULLS:
        return _out_of_reach("mean of the pulls")
    return _plan(
        asked,
        "mean of the pulls",
        pulls,
        asked.mean - z * asked.sd / sqrt(pulls),
        each(asked.drop, pulls),
        asked.alarm,
        tuple((drop, asked.found(each(drop, pulls))) for drop in asked.drops),
    )


def _each(asked: _Asked) -> float:
    """What each audit must find so that all together find it as surely as asked."""
    return -float(np.expm1(log1p(-asked.probability) / asked.audits))


def _pulls_to_find(share: float, each: float) -> int | None:
    if not share > 0:
        return None
    if share >= 1:
        return 1
    pulls = max(ceil(log1p(-each) / log1p(-share) - 1e-9), 1)
    return pulls if pulls <= MOST_PULLS else None


def _plan(
    asked: _Asked,
    name: PlanName,
    pulls: int,
    limit: float,
    found: float,
    false: float,
    curve: tuple[tuple[float, float], ...],
) -> AuditPlan:
    between = 1 / false if false > 0 else None
    return AuditPlan(
        name=name,
        pulls=pulls,
        alarm_below_n=limit,
        found_each=found,
        found_within=asked.found(found),
        audits_to_find=1 / found,
        audits_between_false_alarms=between,
        too_many_false_alarms=false > asked.alarm * (1 + 1e-9),
        pieces_to_find=pulls / found,
        cost_each=pulls * asked.piece_cost,
        curve=curve,
    )


def _out_of_reach(name: PlanName) -> AuditPlan:
    return AuditPlan(
        name=name,
        pulls=None,
        alarm_below_n=None,
        found_each=None,
        found_within=None,
        audits_to_find=None,
        audits_between_false_alarms=None,
        too_many_false_alarms=False,
        pieces_to_find=None,
        cost_each=None,
        curve=(),
    )


def _cautions(asked: _Asked, chosen: PlanName | None) -> tuple[Caution, ...]:
    said = []
    if chosen is None:
        said.append(
            Caution(
                f"no audit of up to {MOST_PULLS} pulls finds this drop without more false alarms than "
                "allowed: allow more audits, or more false alarms"
            )
        )
    if asked.mean < asked.required:
        said.append(Caution("the mean lies below the requirement already: mend the weld before auditing it"))
    if asked.share(0.0) > asked.alarm:
        said.append(
            Caution(
                f"{100 * asked.share(0.0):.2g} % of unchanged seams lie below the requirement: a pull to the "
                "requirement raises false alarms"
            )
        )
    return (*said, PULLING)
