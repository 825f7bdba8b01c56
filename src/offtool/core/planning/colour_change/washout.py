"""How the old material leaves barrel and hot runner: plug, stirred volumes in series, slow corners, a bypass.

The flow is split into paths. The main path is a plug, which delays, and some stirred volumes in series. A
small share of the flow creeps through slow corners, one stirred volume of its own. Another may slip past all
of it. What is in the paths at the start is all old, so the old that comes out in all is what was in them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.handbook.colour_changes import WASHOUT
from offtool.handbook.defects import PRACTICE

Shares = NDArray[np.float64]

MOST_SHOTS = 100_000
"""So many shots are looked through; beyond it the old never leaves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Washout:
    """The paths of one press with one feed.

    `contents_g` is all the melt between hopper and gate; `plug` the share of the main path that moves without
    mixing; `tanks` the number of stirred volumes of the rest, not always whole; `slow` the share of the
    contents that stands in slow corners, and `slow_stay` how many contents of melt must go through until what
    stood there is down to 37 %; `bypass` the share of the flow that slips past.

    The numbers may be arrays that broadcast against each other: many washouts at once.
    """

    contents_g: float | Shares
    plug: float | Shares
    tanks: float | Shares
    slow: float | Shares = 0.0
    slow_stay: float | Shares = 3.0
    bypass: float | Shares = 0.0

    @property
    def slow_flow(self) -> Shares:
        """The share of the flow that creeps through the slow corners."""
        return np.asarray(self.slow, dtype=float) / self.slow_stay

    @property
    def main_flow(self) -> Shares:
        return np.asarray(1 - self.slow_flow - self.bypass)

    def old_left(self, through_g: ArrayLike) -> Shares:
        """The share of old in the melt that comes out after so many grams went through."""
        from scipy.special import gammaincc

        main = gammaincc(self._tanks, np.maximum(self._turns(through_g), 0))
        slow = np.exp(-np.asarray(through_g, dtype=float) / self._slow_g)
        return np.asarray(self.main_flow * main + self.slow_flow * slow)

    def old_out_g(self, through_g: ArrayLike) -> Shares:
        """How many grams of old came out while so many grams went through: the integral of `old_left`."""
        from scipy.special import gammainc, gammaincc

        x = np.maximum(self._turns(through_g), 0)
        # the integral of Q(n, t) from 0 to x is x Q(n, x) + n P(n + 1, x)
        stirred = x * gammaincc(self._tanks, x) + self._tanks * gammainc(self._tanks + 1, x)
        passed = np.minimum(np.asarray(through_g, dtype=float), self._plug_g)
        main = self.main_flow * (passed + self._tank_g * stirred)
        slow = -self.slow_flow * self._slow_g * np.expm1(-np.asarray(through_g, dtype=float) / self._slow_g)
        return np.asarray(main + slow)

    def old_in_shot(self, number: ArrayLike, shot_g: ArrayLike, purged_g: ArrayLike = 0.0) -> Shares:
        """The share of old in shot `number`, counted from 1: the mean over the melt of that shot."""
        begins = np.asarray(purged_g) + (np.asarray(number, dtype=float) - 1) * shot_g
        shot = np.asarray(shot_g, dtype=float)
        taken = self.old_out_g(begins + shot) - self.old_out_g(begins)
        return np.asarray(np.clip(taken / shot, 0.0, 1.0))

    def shots_until(self, share: ArrayLike, shot_g: ArrayLike, purged_g: ArrayLike = 0.0) -> Shares:
        """How many shots hold more old than a share, whole; infinite beyond MOST_SHOTS."""
        wanted = np.asarray(share, dtype=float)
        low = np.zeros(np.broadcast(wanted, self.old_in_shot(1, shot_g, purged_g)).shape)
        high = np.full_like(low, float(MOST_SHOTS))
        never = self.old_in_shot(high + 1, shot_g, purged_g) > wanted
        while np.any(high - low > 0):
            middle = np.floor((low + high) / 2)
            clean = self.old_in_shot(middle + 1, shot_g, purged_g) <= wanted
            high, low = np.where(clean, middle, high), np.where(clean, low, np.minimum(middle + 1, high))
        return np.where(never, np.inf, high)

    def in_columns(self) -> Washout:
        """The same washouts, one a row, so that shots can run along the columns."""
        contents, plug, tanks, slow, stay, bypass = (
            np.atleast_1d(np.asarray(one, dtype=float))[:, None]
            for one in (self.contents_g, self.plug, self.tanks, self.slow, self.slow_stay, self.bypass)
        )
        return Washout(contents_g=contents, plug=plug, tanks=tanks, slow=slow, slow_stay=stay, bypass=bypass)

    def larger(self, times: float | Shares) -> Washout:
        """The same paths with so many times the contents."""
        return Washout(
            contents_g=self.contents_g * times,
            plug=self.plug,
            tanks=self.tanks,
            slow=self.slow,
            slow_stay=self.slow_stay,
            bypass=self.bypass,
        )

    @property
    def _tanks(self) -> Shares:
        return np.asarray(self.tanks, dtype=float)

    @property
    def _main_g(self) -> Shares:
        """Melt that goes through in all while the main path is filled once."""
        return np.asarray(np.asarray(self.contents_g) * (1 - np.asarray(self.slow)) / self.main_flow)

    @property
    def _plug_g(self) -> Shares:
        return np.asarray(self._main_g * self.plug)

    @property
    def _tank_g(self) -> Shares:
        return np.asarray(self._main_g * (1 - np.asarray(self.plug)) / self._tanks)

    @property
    def _slow_g(self) -> Shares:
        return np.asarray(np.asarray(self.contents_g) * np.asarray(self.slow_stay, dtype=float))

    def _turns(self, through_g: ArrayLike) -> Shares:
        """Tanks filled after the plug has left; below 0 while it leaves."""
        tank = np.maximum(self._tank_g, 1e-12 * self._main_g)
        return np.asarray((np.asarray(through_g, dtype=float) - self._plug_g) / tank)


@dataclass(frozen=True, slots=True, kw_only=True)
class OldLeft:
    """What of the old is left, as it comes out and as the mean of a shot, and what came out until then."""

    old_left: float
    in_shot: float
    old_out_g: float
    contents_g: float
    through_g: float
    plug: float
    tanks: float
    slow: float
    slow_stay: float
    shot_g: float
    cautions: tuple[Caution, ...] = ()


def _usual(name: str) -> tuple[float, float]:
    """The handbook's range of a parameter, widened to what is not yet odd."""
    row = WASHOUT[name]
    return row.low / 3, row.high * 3


@formula(
    limits={
        "through_g": Range(
            meaning="melt that went through since the change", unit="g", at_least=0, at_most=1e9
        ),
        "contents_g": Range(
            meaning="all melt between hopper and gate",
            unit="g",
            above=0,
            at_most=1e7,
            usual=(5, 20_000),
            source=PRACTICE,
            remedy="give the screw's contents, and those of the hot runner",
        ),
        "plug": Range(meaning="share of the main path that does not mix", at_least=0, below=1),
        "tanks": Range(
            meaning="stirred volumes in series; 1 is one stirred tank, many are a plug",
            at_least=0.2,
            at_most=10_000,
            usual=_usual("tanks"),
            source=PRACTICE,
        ),
        "slow": Range(
            meaning="share of the contents in slow corners",
            at_least=0,
            at_most=0.9,
            usual=(0, _usual("slow")[1]),
            source=PRACTICE,
        ),
        "slow_stay": Range(
            meaning="contents that go through until slow corners are down to 37 %",
            above=0,
            at_most=1000,
            usual=(1, _usual("slow_stay")[1]),
            source=PRACTICE,
        ),
        "shot_g": Range(meaning="one shot, runner and all", unit="g", above=0, at_most=1e6),
    },
    example={"through_g": 300.0, "contents_g": 100.0, "plug": 0.0, "tanks": 1.0, "shot_g": 25.0},
    source="residence times of tanks in series with dead volume: Levenspiel, Chemical Reaction Engineering, "
    "from memory",
)
def old_left(
    through_g: float,
    *,
    contents_g: float,
    plug: float,
    tanks: float,
    shot_g: float,
    slow: float = 0.0,
    slow_stay: float = 3.0,
) -> OldLeft:
    """How much of the old material is left in what comes out, after so much went through.

    old = (1 - f) Q(n, (m - m_plug) / m_tank) + f exp(-m / m_slow), f = slow / slow_stay the share of the flow
    through the slow corners, Q the upper incomplete gamma function. A shot holds the mean over its melt.

    Returns: OldLeft; `in_shot` is of the shot that begins there. Raises: ImpossibleInput for corners through
    which more flows than through the press.

    Holds when: melt and old mix alike, and pushing is steady. It is a model of paths, not of flow: fit it to
    measured shots of the press.

    Example: one stirred volume of 100 g holds 36.79 % of the old after 100 g, 13.53 % after 200, 4.98 % after
    300.
    """
    refuse_impossible_corners(slow, slow_stay)
    paths = Washout(contents_g=contents_g, plug=plug, tanks=tanks, slow=slow, slow_stay=slow_stay)
    return OldLeft(
        old_left=float(paths.old_left(through_g)),
        in_shot=float(paths.old_in_shot(1, shot_g, through_g)),
        old_out_g=float(paths.old_out_g(through_g)),
        contents_g=contents_g,
        through_g=through_g,
        plug=plug,
        tanks=tanks,
        slow=slow,
        slow_stay=slow_stay,
        shot_g=shot_g,
    )


def refuse_impossible_corners(slow: float, slow_stay: float) -> None:
    """Raise ImpossibleInput where slow corners would take the whole flow."""
    if slow >= slow_stay:
        raise ImpossibleInput(
            "slow_stay", slow_stay, "", f"must be above the share in slow corners, {slow:g}", "3 is usual"
        )
