"""Small pieces made by hand and at random, whose answer can be counted out."""

from __future__ import annotations

from itertools import product
from math import exp

import numpy as np
from numpy.typing import NDArray

from offtool.core.samples.identify import Finding, Make, Occasion, PartCase, PieceCase, Weight
from offtool.handbook.terms import Stage

STAGES = tuple(Stage)
Array = NDArray[np.float64]


def finding(logs: list[float] | Array, about: str = "colour", weight: Weight = Weight.SOFT) -> Finding:
    """Something found, with its logarithms given."""
    return Finding(about=about, found="so", weight=weight, log_likelihood=np.array(logs, dtype=float))


def make(run: str, ordinal: int = 0, stage: Stage = Stage.EARLY, tool: str = "tool") -> Make:
    """One make of a part."""
    return Make(run=run, stage=stage, tool=tool, state=f"state {ordinal}", ordinal=ordinal)


def states(count: int, tool: str = "tool") -> tuple[Make, ...]:
    """One run in each state of a tool."""
    return tuple(make(f"T{k}", k, tool=tool) for k in range(count))


def one_to_one(
    labels: list[str], count: int, findings: dict[str, list[Finding]] | None = None, **shares: float
) -> PieceCase:
    """As many occasions as makes; every part of occasion k is make k."""
    given = findings or {}
    return PieceCase(
        parts=tuple(
            PartCase(label=label, makes=states(count, label), findings=tuple(given.get(label, [])))
            for label in labels
        ),
        occasions=tuple(
            Occasion(code=f"T{k}", stage=STAGES[k % 8], kept=1.0, made={label: {k: 1.0} for label in labels})
            for k in range(count)
        ),
        findings=tuple(given.get("", [])),
        **shares,
    )


def random_case(seed: int) -> PieceCase:
    """One to three parts, two to four makes each, two to four occasions that mix them."""
    rng = np.random.default_rng(seed)
    counts = [int(rng.integers(2, 5)) for _ in range(int(rng.integers(1, 4)))]
    occasions = int(rng.integers(2, 5))
    return PieceCase(
        parts=tuple(
            PartCase(
                label=f"part {j}",
                makes=states(count, f"tool {j}"),
                findings=tuple(
                    finding(rng.normal(0, 1.5, count + 1)) for _ in range(int(rng.integers(0, 4)))
                ),
            )
            for j, count in enumerate(counts)
        ),
        occasions=tuple(
            Occasion(
                code=f"occasion {o}",
                stage=STAGES[int(rng.integers(8))],
                kept=float(rng.uniform(0.1, 3)),
                made={
                    f"part {j}": {
                        int(k): float(rng.uniform(0.1, 1))
                        for k in rng.choice(count, int(rng.integers(1, count + 1)), replace=False)
                    }
                    for j, count in enumerate(counts)
                },
            )
            for o in range(occasions)
        ),
        findings=tuple(finding(rng.normal(0, 1.5, occasions + 1)) for _ in range(int(rng.integers(0, 3)))),
        elsewhere=float(rng.uniform(0.01, 0.3)),
        none_of_these=float(rng.uniform(0.01, 0.3)),
    )


def counted_out(case: PieceCase) -> dict[tuple[int, tuple[tuple[bool, int], ...]], float]:
    """The probability of every assignment: an origin, and for each part whether it is from elsewhere, and
    its make; the number of makes or origins stands for none of these."""
    nothing = len(case.occasions)
    kept = sum(one.kept for one in case.occasions)
    prior = [one.kept / kept * (1 - case.none_of_these) for one in case.occasions] + [case.none_of_these]
    said = [[_made(case, o, j) for j in range(len(case.parts))] for o in range(nothing + 1)]
    weights: dict[tuple[int, tuple[tuple[bool, int], ...]], float] = {}
    for o in range(nothing + 1):
        whole = prior[o] * exp(sum(one.log_likelihood[o] for one in case.findings))
        choices = [
            [(away, m) for away in (False, True) for m in range(len(part.makes) + 1)] for part in case.parts
        ]
        for chosen in product(*choices):
            weight = whole
            for j, (away, m) in enumerate(chosen):
                anywhere = sum(prior[other] * said[other][j].get(m, 0.0) for other in range(nothing + 1))
                share = case.elsewhere * anywhere if away else (1 - case.elsewhere) * said[o][j].get(m, 0.0)
                weight *= share * exp(sum(one.log_likelihood[m] for one in case.parts[j].findings))
            weights[o, chosen] = weight
    total = sum(weights.values())
    return {key: weight / total for key, weight in weights.items()}


def _made(case: PieceCase, origin: int, part: int) -> dict[int, float]:
    if origin == len(case.occasions):
        return {len(case.parts[part].makes): 1.0}
    made = case.occasions[origin].made[case.parts[part].label]
    return {m: share / sum(made.values()) for m, share in made.items()}
