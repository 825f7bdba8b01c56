"""What a weld study says."""

from __future__ import annotations

from dataclasses import dataclass, field

from offtool.core.inspection.attributes import ShareFinding
from offtool.core.values import Caution, Verdict
from offtool.core.welding.study.runs import NAMES, UNIT_STEPS, VARIED

Grid = tuple[tuple[float, ...], ...]
STEP_SLACK = 1e-9
"""A step times a whole number is off by the rounding of the machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """A column at one setting: how many, mean, deviation, smallest, largest."""

    count: int
    mean: float
    sd: float | None
    smallest: float
    largest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingFinding:
    """One setting: what its own runs show. Bounds are None where there are too few of them.

    `strength_low_n` and `looks_low` are those that the verdict rests on, with `WeldWindow.each_confidence`;
    the intervals of looks and flash are the setting's own, with the confidence asked for.
    """

    time_s: float | None
    pressure_bar: float | None
    amplitude_um: float | None
    runs: int
    pulls: int
    stopped: int
    strength: Summary | None
    strength_low_n: float | None
    looks: ShareFinding | None
    looks_low: float | None
    flash: Summary | None
    flash_high_mm: float | None
    height: Summary | None
    collapse: Summary | None
    energy: Summary | None
    strength_verdict: Verdict
    looks_verdict: Verdict
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowSetting:
    """One axis of the window: where to stand, and how far it reaches from there either way."""

    name: str
    unit: str
    stand_at: float | None
    low: float | None
    high: float | None
    values: tuple[float, ...] = field(repr=False)

    @property
    def set_to(self) -> float | None:
        """Where to stand, to the step that a welder can be set to; unrounded where that leaves the window."""
        step = UNIT_STEPS.get(self.unit.split(" ")[0])
        if self.stand_at is None or step is None:
            return self.stand_at
        set_to = round(self.stand_at / step) * step
        low = self.low if self.low is not None else set_to
        high = self.high if self.high is not None else set_to
        return set_to if low - STEP_SLACK <= set_to <= high + STEP_SLACK else self.stand_at


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowGrid:
    """The window over its settings, for a drawing: rows over the second axis, columns over the first.

    `strength_low` is the bound that the share of seams exceeds, `looks_low` the bound of the probability of a
    good look; at each place one-sided with the confidence. `held` is what the third setting is held at.
    `room` is the distance from where to stand to the nearest edge, as a share of the range tried.
    """

    axes: tuple[WindowSetting, ...]
    held: tuple[tuple[str, float], ...]
    holds: tuple[tuple[bool, ...], ...] = field(repr=False)
    strength_mean: Grid = field(repr=False)
    strength_low: Grid = field(repr=False)
    looks_mean: Grid = field(repr=False)
    looks_low: Grid = field(repr=False)
    room: float | None
    share_of_range: float

    @property
    def stand_words(self) -> str:
        """Where to stand, as a person sets it: "0.32 s, 1.8 bar, 50 µm"; empty without a window."""
        if any(one.set_to is None for one in self.axes):
            return ""
        units = {NAMES[name]: unit for name, unit in VARIED.items()}
        said = [f"{one.set_to:.3g} {one.unit}" for one in self.axes]
        return ", ".join(
            [*said, *(f"{value:.3g} {units.get(name, '')}".rstrip() for name, value in self.held)]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedStrength:
    """The polynomial in settings that run from -1 to 1 over the range tried; `terms` name their products."""

    terms: tuple[str, ...]
    coefficients: tuple[float, ...]
    sd_n: float
    degrees_of_freedom: int
    lack_of_fit_p: float | None
    pure_degrees_of_freedom: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedLooks:
    """Logarithm of the odds of a good look, in the same settings."""

    terms: tuple[str, ...]
    coefficients: tuple[float, ...]
    good: int
    looked_at: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenQuestion:
    """What the runs cannot say, and the runs that would settle it."""

    question: str
    runs: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldWindow:
    """The settings, those that hold, the window between them, and what is open.

    Whoever looks at many places finds one that looks good by luck. The risk is shared evenly by `claims`: the
    settings that have a bound, and the terms of the fitted strength. The bounds of the settings and those of
    the place where to stand are taken with `each_confidence`, so that the verdict holds with `confidence`
    over all of them; the window is drawn place by place, each with `confidence` by itself.
    """

    verdict: Verdict
    settings: tuple[SettingFinding, ...]
    grid: WindowGrid | None
    strength: FittedStrength | None
    looks: FittedLooks | None
    spread_pooled: bool
    open: tuple[OpenQuestion, ...]
    required_n: float
    largest_flash_mm: float | None
    share: float
    good_share: float
    confidence: float
    claims: int
    each_confidence: float
    runs: int
    cautions: tuple[Caution, ...] = ()

    @property
    def holding(self) -> tuple[SettingFinding, ...]:
        """The settings at which strength and look both hold by their own runs."""
        return tuple(one for one in self.settings if one.verdict is Verdict.HOLDS)
