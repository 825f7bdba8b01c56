"""When the end of a network of steps is reached, and which of them decide it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.pilot.way.network import DAYS, Floats, Network, network_of
from offtool.core.pilot.way.passes import deciding_path, earliest_starts, latest_ends, sooner_without
from offtool.core.values import Caution, Interval, Range

DRAWS = 4_000
NO_FLOAT = 1e-9
"""A float below this share of the whole way is rounding."""
BY_RANGES = Caution(
    "the band rests on the days that were given, every value between them held equally likely and "
    "independent; what holds up several steps at once makes it wider, to the later side"
)
ENOUGH_HANDS = Caution(
    "steps side by side are taken to have people, presses and gauges of their own: where two share one, "
    "the way is longer"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepOnWay:
    """One step: when it can begin and end, when it must, and how often it decides the end.

    Days count from 0, the beginning; they are those of the middle of the given range. `float_days` is how
    much later the step may end without moving the end. `sooner_days` is how much sooner the end came if the
    step took no time at all; `chance_to_decide` the share of the draws in which it has no float.
    """

    step: str
    low_days: float
    high_days: float
    after: tuple[str, ...]
    not_before: float
    starts: float
    ends: float
    latest_start: float
    latest_end: float
    float_days: float
    decides: bool
    chance_to_decide: float
    ends_between: Interval
    sooner_days: float

    @property
    def waits_for_its_day(self) -> bool:
        """Whether it begins on the day before which it must not, and would begin sooner without it."""
        return self.not_before > 0 and self.starts <= self.not_before


@dataclass(frozen=True, slots=True, kw_only=True)
class WayFound:
    """The end of the way with its band, its steps, and one chain that decides it."""

    steps: tuple[StepOnWay, ...]
    end_days: float
    middle_days: float
    """Half of the draws end sooner; steps side by side make it later than `end_days`."""
    end_between: Interval
    path: tuple[str, ...]
    words: str
    due: float | None
    chance_in_time: float | None
    """Share of the draws that end by the day that is asked; None where none is."""
    confidence: float
    draws: int
    seed: int
    cautions: tuple[Caution, ...] = ()

    def of(self, step: str) -> StepOnWay:
        """The step of that name. Raises KeyError."""
        return {one.step: one for one in self.steps}[step]


@formula(
    limits={
        "steps": Range(meaning="names of the steps, each once"),
        "low_days": DAYS,
        "high_days": DAYS,
        "after": Range(
            meaning="for each step the names of those that it waits for, with | between; - for none"
        ),
        "not_before": Range(
            meaning="for each step the day before which it cannot begin, such as a slot; 0 for none",
            unit="d",
            at_least=0,
            at_most=10_000,
        ),
        "due": Range(meaning="day by which the end is wanted", unit="d", at_least=0, at_most=100_000),
        "confidence": CONFIDENCE,
        "seed": Range(meaning="beginning of the random draws", at_least=0, at_most=2**31),
    },
    example={
        "steps": ["cut steel", "trial", "measure", "masks", "pilot"],
        "low_days": [10.0, 1.0, 2.0, 10.0, 3.0],
        "high_days": [20.0, 2.0, 4.0, 15.0, 5.0],
        "after": ["-", "cut steel", "trial", "trial", "measure | masks"],
        "not_before": [0.0, 16.0, 0.0, 0.0, 0.0],
        "due": 36.0,
    },
    source="Kelley and Walker 1959, Eastern Joint Computer Conference 160; chance to decide by drawing, "
    "after Van Slyke 1963, Operations Research 11:839, both from memory",
)
def way_to_end(
    steps: Texts,
    low_days: Numbers,
    high_days: Numbers,
    *,
    after: Texts,
    not_before: Numbers = (),
    due: float | None = None,
    confidence: float = 0.9,
    seed: int = 1,
) -> WayFound:
    """When the last of several steps is done, which of them decide it, and how much later others may be.

    Earliest start = the latest end of what a step waits for, not before its day; latest end = the earliest
    latest start of what waits for it; float = latest end - earliest end. A step decides where it has none.
    The days of each step are drawn evenly and independently between low and high, 4000 times; the band holds
    the stated share of the ends.

    Returns: WayFound. Raises: ImpossibleInput, naming the step, for steps that wait for each other in a ring
    or for an unknown one, a high below its low, lists of unequal length; NotEnoughData without a step.

    Holds when: a step begins as soon as it can, and has its own people and machines.

    Example: cut 10 to 20 d, trial 1 to 2 d from day 16, masks 10 to 15 d, pilot 3 to 5 d: 34 days, by the
    slot of the trial, the masks and the pilot; measuring may be 9.5 days later.
    """
    network = network_of(steps, low_days, high_days, after, not_before)
    usual = network.middle[None, :]
    starts = earliest_starts(network, usual)
    end = (starts + usual).max(axis=1)
    drawn = np.random.default_rng(int(seed)).random((DRAWS, len(network.names)))
    days = network.low + drawn * (network.high - network.low)
    begins = earliest_starts(network, days)
    ends = begins + days
    drawn_end = ends.max(axis=1)
    no_float = latest_ends(network, days, drawn_end) - ends <= NO_FLOAT * (1 + drawn_end)[:, None]
    path = tuple(network.names[one] for one in deciding_path(network, starts[0], usual[0]))
    between = _band(drawn_end, confidence)
    return WayFound(
        steps=_steps(network, starts[0], latest_ends(network, usual, end)[0], ends, no_float, confidence),
        end_days=float(end[0]),
        middle_days=float(np.median(drawn_end)),
        end_between=between,
        path=path,
        words=f"{end[0]:.3g} days, {between.low:.3g} to {between.high:.3g}; decided by {' → '.join(path)}",
        due=due,
        chance_in_time=None if due is None else float((drawn_end <= due * (1 + NO_FLOAT)).mean()),
        confidence=confidence,
        draws=DRAWS,
        seed=int(seed),
        cautions=(BY_RANGES, ENOUGH_HANDS),
    )


def _steps(
    network: Network, starts: Floats, latest: Floats, ends: Floats, no_float: np.ndarray, confidence: float
) -> tuple[StepOnWay, ...]:
    sooner, usual = sooner_without(network), network.middle
    later = np.maximum(latest - starts - usual, 0.0)
    later[later <= NO_FLOAT * (1 + latest)] = 0.0
    return tuple(
        StepOnWay(
            step=name,
            low_days=float(network.low[at]),
            high_days=float(network.high[at]),
            after=tuple(network.names[one] for one in network.before[at]),
            not_before=float(network.not_before[at]),
            starts=float(starts[at]),
            ends=float(starts[at] + usual[at]),
            latest_start=float(latest[at] - usual[at]),
            latest_end=float(latest[at]),
            float_days=float(later[at]),
            decides=bool(later[at] == 0),
            chance_to_decide=float(no_float[:, at].mean()),
            ends_between=_band(ends[:, at], confidence),
            sooner_days=float(max(sooner[at], 0.0)),
        )
        for at, name in enumerate(network.names)
    )


def _band(drawn: Floats, confidence: float) -> Interval:
    low, high = np.quantile(drawn, [(1 - confidence) / 2, (1 + confidence) / 2])
    return Interval(low=float(low), high=float(high), confidence=confidence)
