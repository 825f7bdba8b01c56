"""Small tools made by hand, with known truth, as `plan_corrections` is told of them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from offtool.core.correction import (
    CorrectionPlan,
    CutMade,
    Feature,
    MeanFound,
    SizeAsked,
    SizeMoved,
    SteelFound,
    ToolEvidence,
    plan_corrections,
)
from offtool.core.values import Verdict


def peg(name: str = "peg", target: float = 4.005, half: float = 0.025, **asked: object) -> SizeAsked:
    """A fit of 3.98 to 4.03, or about another target."""
    told: dict[str, object] = {"required_index": 1.33, "direction": "cross", "allowed": 0.005}
    return SizeAsked(size=name, target=target, lower=target - half, upper=target + half, **{**told, **asked})  # type: ignore[arg-type]


@dataclass
class HandMade:
    """Sizes and features of a tool; what was measured is added state by state."""

    sizes: tuple[SizeAsked, ...] = (peg(),)
    features: tuple[Feature, ...] = (
        Feature(
            feature="peg bore",
            size_change_per_mm=1.0,
            moves=(SizeMoved(size="peg", factor=1.0, forms=True),),
        ),
    )
    means: list[MeanFound] = field(default_factory=list)
    steel: list[SteelFound] = field(default_factory=list)
    cuts: list[CutMade] = field(default_factory=list)
    step_mm: float = 0.01
    cut_sd_mm: float = 0.005
    state: str = "a"

    def found(
        self,
        mean: float,
        size: str = "peg",
        cavity: str = "1",
        *,
        trial: str = "T1",
        sd: float | None = 0.002,
        parts: int = 10,
        verdict: Verdict = Verdict.FAILS,
    ) -> HandMade:
        self.means.append(
            MeanFound(
                size=size,
                cavity=cavity,
                trial=trial,
                state=self.state,
                mean=mean,
                parts=parts,
                sd=sd,
                verdict=verdict,
            )
        )
        return self

    def measured(
        self,
        mm: float,
        feature: str = "peg bore",
        cavity: str = "1",
        *,
        u: float = 0.003,
        allowance: float = 0.2,
    ) -> HandMade:
        self.steel.append(
            SteelFound(
                feature=feature,
                cavity=cavity,
                state=self.state,
                measured_mm=mm,
                uncertainty_mm=u,
                allowance_mm=allowance,
            )
        )
        return self

    @property
    def evidence(self) -> ToolEvidence:
        return ToolEvidence(
            state=self.state,
            sizes=self.sizes,
            means=tuple(self.means),
            features=self.features,
            steel=tuple(self.steel),
            cuts=tuple(self.cuts),
            step_mm=self.step_mm,
            cut_sd_mm=self.cut_sd_mm,
        )

    def plan(self, **how: float) -> CorrectionPlan:
        return plan_corrections(self.evidence, **how)


def coupled(seed: int, *, cross: float = 0.5, allowance: float = 0.2) -> HandMade:
    """Two fits in one cavity: feature A forms a and moves b by `cross` of it; feature B forms b alone.

    Six longer sizes that hold show how the resin shrinks.
    """
    rng = np.random.default_rng(seed)
    calm = [f"calm {i}" for i in range(6)]
    tool = HandMade(
        sizes=(peg("a"), peg("b", 8.0, 0.03), *(peg(name, 20.0, 0.2) for name in calm)),
        features=(
            Feature(
                feature="A",
                size_change_per_mm=1.0,
                moves=(SizeMoved(size="a", factor=1.0, forms=True), SizeMoved(size="b", factor=cross)),
            ),
            Feature(
                feature="B",
                size_change_per_mm=-1.0,
                can_add=bool(seed % 2),
                moves=(SizeMoved(size="b", factor=-1.0, forms=True),),
            ),
            *(
                Feature(
                    feature=name,
                    size_change_per_mm=1.0,
                    moves=(SizeMoved(size=name, factor=1.0, forms=True),),
                )
                for name in calm
            ),
        ),
    )
    off_a, off_b = rng.uniform(-0.05, 0.005), rng.uniform(-0.06, 0.06)
    for name, target, off, feature in (("a", 4.005, off_a, "A"), ("b", 8.0, off_b, "B")):
        tool.found(target + off, name, sd=0.0025)
        tool.measured((target + off) / 0.994, feature, allowance=allowance)
    for name in calm:
        tool.found(20.0 + rng.normal(0, 0.004), name, verdict=Verdict.HOLDS)
        tool.measured(20.0 / 0.994, name)
    return tool


def next_state(tool: HandMade, label: str) -> HandMade:
    """The same tool in a new state: measurements are added from here on."""
    return replace(tool, state=label, means=list(tool.means), steel=list(tool.steel), cuts=list(tool.cuts))
