"""Four ways to decide what to cut, given the same trials: a rule of thumb, a careful hand, offtool, an
oracle."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy import special

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
from offtool.core.inspection import find_settled_shot, judge_size
from tests.virtual_moulder.moulder import Readings, VirtualTool
from tests.virtual_moulder.worlds import CHECK_PARTS


class Decider(Protocol):
    """Reads a trial of a tool, and answers with the steel to remove, [size, cavity]."""

    def decide(self, tool: VirtualTool, trial: Readings) -> NDArray[np.float64]: ...

    def told(self, asked: NDArray[np.float64], removed: NDArray[np.float64]) -> None: ...


def _rounded(amount: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    return np.round(amount / step) * step


def _signs(tool: VirtualTool) -> NDArray[np.float64]:
    return np.array([d.sign for d in tool.drawn], dtype=float)[:, None]


class RuleOfThumb:
    """Cut every size whose mean is out of limits by its deviation from nominal; all shots used."""

    def decide(self, tool: VirtualTool, trial: Readings) -> NDArray[np.float64]:
        mean = trial.value.mean(axis=0)
        lower, upper = (
            np.array([getattr(d, end) for d in tool.drawn])[:, None] for end in ("lower", "upper")
        )
        nominal = np.array([d.nominal for d in tool.drawn])[:, None]
        wanted = _signs(tool) * (nominal - mean)
        return _rounded(np.where((mean < lower) | (mean > upper), wanted, 0.0), tool.world.step_mm)

    def told(self, asked: NDArray[np.float64], removed: NDArray[np.float64]) -> None:
        pass


class CarefulHand:
    """Settled shots; every size whose observed index misses, by deviation / (1 - S), within the allowance."""

    def decide(self, tool: VirtualTool, trial: Readings) -> NDArray[np.float64]:
        value = trial.value[_settled_from(tool, trial) :]
        mean, sd = value.mean(axis=0), value.std(axis=0, ddof=1)
        lower, upper = (
            np.array([getattr(d, end) for d in tool.drawn])[:, None] for end in ("lower", "upper")
        )
        index = np.minimum(mean - lower, upper - mean) / (3 * sd)
        required = np.array([d.required_index for d in tool.drawn])[:, None]
        target = np.array([d.target for d in tool.drawn])[:, None]
        shrinkage = 1 - mean / tool.measured_steel
        wanted = np.where(index < required, _signs(tool) * (target - mean) / (1 - shrinkage), 0.0)
        step = tool.world.step_mm
        left = np.floor(tool.allowance_left / step + 1e-9) * step
        return np.minimum(_rounded(wanted, step), left)

    def told(self, asked: NDArray[np.float64], removed: NDArray[np.float64]) -> None:
        pass


@dataclass(slots=True)
class Oracle:
    """Knows true means, spreads and the toolmaker's habit; suffers only the inaccuracy of cutting and
    set-ups."""

    def decide(self, tool: VirtualTool, trial: Readings) -> NDArray[np.float64]:
        # Observed index at which 50 parts a cavity show the required one: the margin of the release check.
        margin = 1 + 1.645 * np.sqrt(1 / (2 * (CHECK_PARTS - 1) * tool.cavities) + 1 / (9 * CHECK_PARTS))
        low, high = tool.window(margin)
        setup = tool.setup_sd * tool.steel
        move = _signs(tool) * (1 - tool.shrinkage)
        asked = np.zeros_like(tool.steel)

        def holds(centre: NDArray[np.float64], sd: NDArray[np.float64], i: int) -> NDArray[np.float64]:
            return np.asarray(special.ndtr((high[i] - centre) / sd) - special.ndtr((low[i] - centre) / sd))

        # Features that move another's size are settled first, so that no size is corrected twice.
        for i in sorted(range(len(tool.drawn)), key=lambda one: tool.drawn[one].also_moves is None):
            mean = self._mean_after(tool, asked)[i]
            wanted = ((low[i] + high[i]) / 2 - mean) / move[i] - tool.cut_bias
            amount = _rounded(wanted, tool.world.step_mm)
            after = holds(
                mean + move[i] * (amount + tool.cut_bias), np.hypot(setup[i], tool.world.cut_sd_mm), i
            )
            asked[i] = np.where(after > holds(mean, setup[i], i) + 0.01, amount, 0.0)
        return asked

    def _mean_after(self, tool: VirtualTool, asked: NDArray[np.float64]) -> NDArray[np.float64]:
        """True means when the coupled cuts asked so far have been made."""
        shift = np.zeros_like(tool.steel)
        for i, drawn in enumerate(tool.drawn):
            if drawn.also_moves is not None:
                shift[drawn.also_moves] += (
                    0.5 * drawn.sign * np.where(asked[i] != 0, asked[i] + tool.cut_bias, 0.0)
                )
        return tool.true_mean() + shift * (1 - tool.shrinkage)

    def told(self, asked: NDArray[np.float64], removed: NDArray[np.float64]) -> None:
        pass


@dataclass(slots=True)
class Offtool:
    """The program's own decision, from what a user would have recorded."""

    means: list[MeanFound] = field(default_factory=list)
    steel: list[SteelFound] = field(default_factory=list)
    cuts: list[CutMade] = field(default_factory=list)
    trials: int = 0
    states: int = 0
    plan: CorrectionPlan | None = None

    def decide(self, tool: VirtualTool, trial: Readings) -> NDArray[np.float64]:
        self.trials += 1
        self._measure_steel(tool)
        self._judge(tool, trial)
        self.plan = plan_corrections(self._evidence(tool))
        asked = np.zeros_like(tool.measured_steel)
        for cut in self.plan.cuts:
            asked[int(cut.feature), int(cut.cavity)] = cut.amount_mm
        return asked

    def told(self, asked: NDArray[np.float64], removed: NDArray[np.float64]) -> None:
        for place in zip(*np.nonzero(asked), strict=True):
            self.cuts.append(CutMade(asked_mm=float(asked[place]), removed_mm=float(removed[place])))

    def _measure_steel(self, tool: VirtualTool) -> None:
        self.states += 1
        for i in range(len(tool.drawn)):
            for c in range(tool.cavities):
                self.steel.append(
                    SteelFound(
                        feature=str(i),
                        cavity=str(c),
                        state=str(self.states),
                        measured_mm=float(tool.measured_steel[i, c]),
                        uncertainty_mm=tool.world.steel_uncertainty_mm,
                        allowance_mm=float(tool.allowance_left[i, c]),
                    )
                )

    def _judge(self, tool: VirtualTool, trial: Readings) -> None:
        value = trial.value[_settled_from(tool, trial) :]
        cavities = [str(c) for _ in range(len(value)) for c in range(tool.cavities)]
        for i, drawn in enumerate(tool.drawn):
            found = judge_size(
                value[:, i, :].ravel(),
                cavities,
                lower=drawn.lower,
                upper=drawn.upper,
                required_index=drawn.required_index,
                gauge_uncertainty=0.0,
            )
            for cavity in found.cavities:
                self.means.append(
                    MeanFound(
                        size=drawn.name,
                        cavity=cavity.cavity,
                        trial=str(self.trials),
                        state=str(self.states),
                        mean=cavity.mean,
                        parts=cavity.parts,
                        sd=cavity.sd,
                        verdict=cavity.verdict,
                    )
                )

    def _evidence(self, tool: VirtualTool) -> ToolEvidence:
        return ToolEvidence(
            state=str(self.states),
            sizes=tuple(
                SizeAsked(
                    size=d.name,
                    target=d.target,
                    lower=d.lower,
                    upper=d.upper,
                    allowed=d.allowed,
                    required_index=d.required_index,
                    direction=d.direction,
                )
                for d in tool.drawn
            ),
            means=tuple(self.means),
            features=tuple(
                Feature(
                    feature=str(i),
                    drawn_mm=d.drawn_mm,
                    size_change_per_mm=d.sign,
                    can_add=d.can_add,
                    moves=(
                        SizeMoved(size=d.name, factor=d.sign, forms=True),
                        *(
                            [SizeMoved(size=tool.drawn[d.also_moves].name, factor=0.5 * d.sign)]
                            if d.also_moves is not None
                            else []
                        ),
                    ),
                )
                for i, d in enumerate(tool.drawn)
            ),
            steel=tuple(self.steel),
            cuts=tuple(self.cuts),
            step_mm=tool.world.step_mm,
        )


def _settled_from(tool: VirtualTool, trial: Readings) -> int:
    """Place of the first settled shot among those measured."""
    shots, sizes, cavities = trial.value.shape
    number = np.repeat(trial.shots, sizes * cavities)
    names = np.tile(np.repeat([d.name for d in tool.drawn], cavities), shots)
    settled = find_settled_shot(number, trial.value.ravel(), names.tolist())
    return settled.discarded


DECIDERS: dict[str, type[Decider]] = {
    "rule of thumb": RuleOfThumb,
    "careful hand": CarefulHand,
    "offtool": Offtool,
    "oracle": Oracle,
}
