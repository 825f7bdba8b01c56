"""How the products of the virtual archive come about: tools, trials, builds and years of production.

All values are common practice without a source. They were fixed before the program's answers were looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator, default_rng
from numpy.typing import NDArray

from offtool.handbook.sample_signs import SIGNS
from offtool.handbook.stages import STAGES
from offtool.handbook.terms import Stage
from tests.virtual_archive.colours import (
    Colour,
    Press,
    an_unlike,
    make_presses,
    mixtures,
)

Array = NDArray[np.float64]
STAGE_LIST = tuple(Stage)
COPY = len(STAGE_LIST)
"""The place of another factory's copies in tables by stage."""
MOVED = 0.4
"""How far a world's shares lie from the handbook's: standard deviation of the log-odds."""
CUT_SHARE = 0.35
"""Sizes that one change of steel moves."""
CUT_MM = (0.02, 0.15)
CUT_WEIGHT = (0.002, 0.010)
"""A cut that shows in a weight, as a share of it."""
RUN_SCALE_SD = 0.0004
"""One set-up of the press beside the next, all sizes of a part together."""
LATE_IN_PRODUCTION_COLOUR = 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size or the weight; it grows with the part by `grows`; a cut moves it to one side."""

    name: str
    unit: str
    nominal: float
    sd: float
    cut: tuple[float, float]
    sign: int
    grows: float
    misread_by: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """One detail; `there` by tool state."""

    name: str
    stays: bool
    there: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """The tool of one part; `mean` by state, cavity and size, `moved` by state and size."""

    label: str
    states: int
    cavities: int
    sizes: tuple[Size, ...]
    base: Array
    moved: Array
    details: tuple[Detail, ...]

    @property
    def mean(self) -> Array:
        """Sizes before the set-up of a run: state × cavity × size."""
        return self.base[None] + self.moved[:, None, :]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The tools run once, all parts of the product; each on a press, in a state, in a colour."""

    name: str
    state: tuple[int, ...]
    scale: tuple[float, ...]
    colour: tuple[Colour, ...]
    if_lost: tuple[Colour, ...]
    """What is known of the colours where the run's own is lost: the jobs that it may have interrupted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """What a piece can come from; parts come from these runs with these shares."""

    code: str
    stage: Stage
    share: float
    runs: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How people look at pieces in this world, and what else is true of it."""

    missed: float
    imagined: float
    unsure_wrong: float
    unsure_any: float
    misread: float
    age_sd: float
    alike: float
    elsewhere: float
    copies: float


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """One product with its whole history; `tables` by sign: stage (copies last) × outcome."""

    seed: int
    tools: tuple[Tool, ...]
    runs: tuple[Run, ...]
    origins: tuple[Origin, ...]
    tables: dict[str, Array]
    habits: Habits
    production: tuple[tuple[Colour, ...], ...]
    """For each colour of production, that of each part."""

    @property
    def makes(self) -> tuple[tuple[int, int], ...]:
        """Origin and run, for every way in which a part can have come into a piece."""
        return tuple((o, run) for o, one in enumerate(self.origins) for run, _ in one.runs)

    @property
    def shares(self) -> Array:
        """How many pieces are from each origin, copies last."""
        return np.array([*(one.share for one in self.origins), self.habits.copies])

    @property
    def stage_shares(self) -> Array:
        """How many pieces are of each stage, copies last."""
        shares = np.zeros(COPY + 1)
        for one in self.origins:
            shares[STAGE_LIST.index(one.stage)] += one.share
        shares[COPY] = self.habits.copies
        return shares


def make_world(seed: int) -> World:
    """The world of a seed, always the same."""
    rng = default_rng([seed, 1])
    parts, trials = int(rng.integers(2, 4)), int(rng.integers(4, 7))
    tools = tuple(_tool(rng, label, trials) for label in ("torso", "arm", "cap")[:parts])
    habits = _habits(rng)
    presses = make_presses(rng)
    production = _production_colours(rng, parts)
    runs = _runs(rng, tools, trials, presses, production)
    return World(
        seed=seed,
        tools=tools,
        runs=runs,
        origins=_origins(rng, trials, len(production), habits.copies),
        tables={code: _moved_table(rng, code) for code in SIGNS},
        habits=habits,
        production=production,
    )


def _habits(rng: Generator) -> Habits:
    def about(usual: float, spread: float = 0.3) -> float:
        return float(usual * np.exp(rng.normal(0, spread)))

    return Habits(
        missed=about(0.03),
        imagined=about(0.01),
        unsure_wrong=min(about(0.2), 0.45),
        unsure_any=min(about(0.5), 0.9),
        misread=about(0.02),
        age_sd=about(0.0006),
        alike=float(rng.uniform(0.3, 0.7)),
        elsewhere=about(0.03),
        copies=about(0.05),
    )


def _tool(rng: Generator, label: str, trials: int) -> Tool:
    states, cavities = (
        int(rng.integers(3, min(trials, 6) + 1)),
        int(rng.choice([1, 2, 4])),
    )
    sizes = (*(_length(rng, k) for k in range(int(rng.integers(4, 9)))), _weight(rng))
    nominal = np.array([one.nominal for one in sizes])
    grows = np.array([one.grows for one in sizes])
    cut = rng.random((states, len(sizes))) < CUT_SHARE
    cut[0] = False
    low, high = np.array([one.cut for one in sizes]).T
    signs = np.array([one.sign for one in sizes])
    return Tool(
        label=label,
        states=states,
        cavities=cavities,
        sizes=sizes,
        base=nominal * (1 + grows * rng.normal(0, 0.0003, (cavities, 1)))
        + rng.normal(0, 0.5, (cavities, len(sizes))) * np.array([one.sd for one in sizes]),
        moved=np.cumsum(np.where(cut, signs * rng.uniform(low, high, cut.shape), 0.0), axis=0),
        details=tuple(_details(rng, states)),
    )


def _length(rng: Generator, number: int) -> Size:
    nominal = float(np.exp(rng.uniform(np.log(3.0), np.log(60.0))))
    return Size(
        name=f"size {number + 1}",
        unit="mm",
        nominal=nominal,
        sd=float((0.003 + 0.0002 * nominal) * np.exp(rng.normal(0, 0.3))),
        cut=CUT_MM,
        sign=int(rng.choice([-1, 1])),
        grows=1.0,
        misread_by=1.0,
    )


def _weight(rng: Generator) -> Size:
    nominal = float(rng.uniform(3.0, 25.0))
    return Size(
        name="weight",
        unit="g",
        nominal=nominal,
        sd=float(0.0025 * nominal * np.exp(rng.normal(0, 0.3))),
        cut=(CUT_WEIGHT[0] * nominal, CUT_WEIGHT[1] * nominal),
        sign=int(rng.choice([-1, 1])),
        grows=3.0,
        misread_by=0.1 * nominal,
    )


def _details(rng: Generator, states: int) -> list[Detail]:
    """A date mark, a texture, vents and peg holes that stay, and an insert or two that come and go."""
    stay = [
        "date mark",
        "texture",
        *(f"vent {k + 1}" for k in range(int(rng.integers(1, 4)))),
    ]
    stay += [f"peg hole {k + 1}" for k in range(int(rng.integers(0, 3)))]
    found = [Detail(name=one, stays=True, there=np.arange(states) >= rng.integers(1, states)) for one in stay]
    for k in range(int(rng.integers(0, 3))):
        turned = rng.random(states) < np.where(np.arange(states) == 0, 0.5, TURNS)
        found.append(Detail(name=f"insert {k + 1}", stays=False, there=np.cumsum(turned) % 2 == 1))
    return found


TURNS = 0.4
"""How often an insert is changed between two states."""


def _production_colours(rng: Generator, parts: int) -> tuple[tuple[Colour, ...], ...]:
    found: list[tuple[Colour, ...]] = []
    for _ in range(int(rng.integers(1, 4))):
        found.append(tuple(an_unlike(rng, [one[j] for one in found]) for j in range(parts)))
    return tuple(found)


def _runs(
    rng: Generator,
    tools: tuple[Tool, ...],
    trials: int,
    presses: tuple[Press, ...],
    production: tuple[tuple[Colour, ...], ...],
) -> tuple[Run, ...]:
    """The trials, then the run for the final build, the pilot, each colour of production, its changes."""
    state_at = np.stack([_states_by_trial(rng, one.states, trials) for one in tools], axis=1)
    own = [presses[int(rng.integers(len(presses)))] for _ in tools]
    first = production[0]
    last = tuple(one.states - 1 for one in tools)
    runs = [
        _trial(
            rng,
            f"T{k}",
            tuple(state_at[k]),
            own,
            first,
            is_late=stage_of_trial(k, trials) is Stage.LATE,
        )
        for k in range(trials)
    ]
    runs += [_made(rng, name, last, first) for name in ("FEP run", "PP run")]
    runs += [_made(rng, f"PS{k + 1}", last, one) for k, one in enumerate(production)]
    for k, one in enumerate(production):
        before = production[k - 1] if k else None
        mixed = tuple(
            mixtures([before[j]] if before else list(own[j].jobs), one[j]) for j in range(len(tools))
        )
        runs.append(_made(rng, f"change {k + 1}", last, mixed))
    return tuple(runs)


def stage_of_trial(k: int, trials: int) -> Stage:
    """T0 is the first; the first half of the others are early."""
    return Stage.FIRST if k == 0 else Stage.EARLY if k <= (trials - 1) // 2 else Stage.LATE


def _states_by_trial(rng: Generator, states: int, trials: int) -> NDArray[np.int64]:
    """Steel is changed between some of the trials, or after the last."""
    changed = rng.choice(np.arange(1, trials + 1), states - 1, replace=False)
    return np.array([int((changed <= k).sum()) for k in range(trials)])


def _trial(
    rng: Generator,
    name: str,
    state: tuple[int, ...],
    presses: list[Press],
    production: tuple[Colour, ...],
    *,
    is_late: bool,
) -> Run:
    share = LATE_IN_PRODUCTION_COLOUR if is_late else 0.0
    colours, lost = [], []
    for press, own in zip(presses, production, strict=True):
        may = press.running_about(rng)
        in_own = rng.random() < share
        colours.append(own if in_own else may[int(rng.integers(len(may)))])
        lost.append(Colour.any_of([own, *may], [share, *[(1 - share) / len(may)] * len(may)]))
    return Run(
        name=name,
        state=state,
        scale=tuple(rng.normal(0, RUN_SCALE_SD, len(state))),
        colour=tuple(colours),
        if_lost=tuple(lost),
    )


def _made(rng: Generator, name: str, state: tuple[int, ...], colours: tuple[Colour, ...]) -> Run:
    scale = tuple(rng.normal(0, RUN_SCALE_SD, len(state)))
    return Run(name=name, state=state, scale=scale, colour=colours, if_lost=colours)


def _origins(rng: Generator, trials: int, colours: int, copies: float) -> tuple[Origin, ...]:
    """Trials, three builds, production by colour and the change to each; with the world's own shares."""
    plan: list[tuple[str, Stage, tuple[tuple[int, float], ...]]] = [
        (f"T{k}", stage_of_trial(k, trials), ((k, 1.0),)) for k in range(trials)
    ]
    plan.append(("EP", Stage.ENGINEERING, ((trials - 2, 0.4), (trials - 1, 0.6))))
    plan.append(("FEP", Stage.FINAL, ((trials - 1, 0.15), (trials, 0.85))))
    plan.append(("PP", Stage.PILOT, ((trials + 1, 1.0),)))
    first = trials + 2
    plan += [(f"PS{k + 1}", Stage.PRODUCTION, ((first + k, 1.0),)) for k in range(colours)]
    first += colours
    plan += [(f"change {k + 1}", Stage.CHANGE, ((first + k, 1.0),)) for k in range(colours)]
    kept = np.array([STAGES[one].kept for one in STAGE_LIST]) * np.exp(rng.normal(0, MOVED, COPY))
    within = rng.gamma(4.0, size=len(plan))
    total = {stage: sum(w for w, one in zip(within, plan, strict=True) if one[1] is stage) for stage in Stage}
    share = [kept[STAGE_LIST.index(p[1])] * w / total[p[1]] for p, w in zip(plan, within, strict=True)]
    whole = sum(share) / (1 - copies)
    return tuple(
        Origin(code=code, stage=stage, share=float(s / whole), runs=runs)
        for (code, stage, runs), s in zip(plan, share, strict=True)
    )


def _moved_table(rng: Generator, code: str) -> Array:
    """The handbook's shares moved; copies look like anything, each world's in their own way."""
    sign = SIGNS[code]
    flat = np.full((1, len(sign.outcomes)), 1 / len(sign.outcomes))
    usual = np.vstack([np.array([[*sign.at(one).values()] for one in STAGE_LIST]), flat])
    spread = np.where(np.arange(COPY + 1) == COPY, 1.0, MOVED)[:, None]
    moved = usual * np.exp(rng.normal(0, 1, usual.shape) * spread)
    return np.asarray(moved / moved.sum(axis=1, keepdims=True))
