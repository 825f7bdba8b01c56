"""Which steel moves a joint: what forms its sizes, what else hangs on them, the ways there are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from offtool.core.joints.assembled import AssembledJoint
from offtool.core.joints.steel import (
    JointSteel,
    JointSteelChoice,
    JointSteelEvidence,
    MeanInCavity,
    OtherJoint,
    SizeAlsoMoved,
    SizeOfJoint,
    choose_joint_steel,
)
from offtool.records.models import Characteristic, Move, SteelSize
from offtool.steps.joint_evidence import JointInRecord
from offtool.steps.joint_standing import StandingOnScale
from offtool.steps.latest_sizes import LatestSize, SizesMeasured
from offtool.steps.what_is_asked import allowed_shrinkage, size_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Another joint of the programme, where it stands, and the keys of its sizes by role."""

    joint: str
    standing: StandingOnScale
    sizes: Mapping[str, str]


def choose_steel(
    told: JointInRecord,
    assembled: AssembledJoint,
    standing: StandingOnScale,
    *,
    friction_known: bool,
    neighbours: Sequence[Neighbour] = (),
    measured: SizesMeasured | None = None,
) -> JointSteelChoice:
    """The ways to bring the joint where most are good, best first."""
    sizes = [one.characteristic for one in told.sizes if one.characteristic is not None]
    steel = _SteelOf(sizes, measured or SizesMeasured())
    return choose_joint_steel(
        JointSteelEvidence(
            measure=standing.mean,
            wanted=standing.wanted,
            measure_sd=standing.sd,
            sizes=tuple(_sizes(told, assembled, standing, steel, neighbours)),
            lower=standing.lower,
            upper=standing.upper,
            loose_is=standing.loose_is,
            measure_uncertainty=standing.uncertainty,
            friction_known=friction_known,
            true_share=standing.true_share,
            unit=standing.unit,
        )
    )


def _sizes(
    told: JointInRecord,
    assembled: AssembledJoint,
    standing: StandingOnScale,
    steel: _SteelOf,
    neighbours: Sequence[Neighbour],
) -> Iterator[SizeOfJoint]:
    for one in told.sizes:
        if one.characteristic is None:
            continue
        used = [each for each in assembled.sizes if each.role == one.role]
        yield SizeOfJoint(
            role=one.role,
            size=size_key(one.characteristic),
            part=one.characteristic.part.code,
            slope=standing.slopes.get(one.role, 0.0),
            means=tuple(MeanInCavity(cavity=each.cavity, mean=each.mean) for each in used),
            sd=max((each.sd for each in used), default=0.0),
            lower=one.characteristic.lower,
            upper=one.characteristic.upper,
            steel=tuple(steel.of(one.characteristic, [each.cavity for each in used])),
            other_joints=tuple(_others(size_key(one.characteristic), neighbours)),
        )


def _others(size: str, neighbours: Sequence[Neighbour]) -> Iterator[OtherJoint]:
    for one in neighbours:
        for role, key in one.sizes.items():
            if key == size:
                yield OtherJoint(
                    joint=one.joint,
                    slope=one.standing.slopes.get(role, 0.0),
                    measure=one.standing.mean,
                    sd=one.standing.sd,
                    lower=one.standing.lower,
                    upper=one.standing.upper,
                )


class _SteelOf:
    """The steel that moves these sizes in today's states, and what else it moves."""

    def __init__(self, characteristics: Sequence[Characteristic], measured: SizesMeasured) -> None:
        keys = [one.pk for one in characteristics]
        moves = Move.objects.filter(characteristic__in=keys).select_related("feature__tool").order_by("pk")
        self.moves = list(moves)
        features = {one.feature_id for one in self.moves}
        self.also = list(
            Move.objects.filter(feature__in=features)
            .exclude(characteristic__in=keys)
            .select_related("characteristic__part__resin", "characteristic__gauge")
        )
        self.latest: dict[int, LatestSize] = measured.latest([one.characteristic for one in self.also])
        states = {one.feature.tool_id: measured.state_now(one.feature.tool) for one in self.moves}
        now = [state.pk for state in states.values() if state is not None]
        self.steel = {
            (one.feature_id, one.cavity.label): one
            for one in SteelSize.objects.filter(feature__in=features, state__in=now).select_related("cavity")
        }

    def of(self, characteristic: Characteristic, cavities: Sequence[str]) -> Iterator[JointSteel]:
        """The features that move a size, cavity by cavity, where their steel was measured."""
        for move in self.moves:
            if move.characteristic_id != characteristic.pk:
                continue
            for cavity in cavities:
                steel = self.steel.get((move.feature_id, cavity))
                if steel is not None:
                    yield JointSteel(
                        feature=move.feature.code,
                        cavity=cavity,
                        factor=move.factor,
                        allowance_mm=steel.allowance_mm,
                        shrinkage=allowed_shrinkage(characteristic),
                        can_add=move.feature.can_add,
                        step_mm=move.feature.tool.step_mm,
                        also=tuple(self._also(move, cavity)),
                    )

    def _also(self, move: Move, cavity: str) -> Iterator[SizeAlsoMoved]:
        for one in self.also:
            latest = self.latest.get(one.characteristic_id)
            if one.feature_id != move.feature_id or latest is None:
                continue
            found = next((c for c in latest.cavities if c.cavity == cavity), None)
            if found is not None:
                yield SizeAlsoMoved(
                    size=size_key(one.characteristic),
                    factor=one.factor,
                    mean=found.mean,
                    lower=one.characteristic.lower,
                    upper=one.characteristic.upper,
                )
