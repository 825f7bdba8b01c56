"""What a sample is found to be, as one object: page, command, card and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.samples.colour import InterruptedRun
from offtool.core.samples.identify import Identified
from offtool.core.samples.identify.resin import ResinByWeight
from offtool.core.values import Caution
from offtool.handbook.terms import Stage
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class OriginSeen:
    """One origin on the strip from early to late; its words are those of the programme."""

    code: str
    stage: Stage | None
    engineer: str
    archive: str
    probability: float
    steel: tuple[str, ...]
    """The states of steel that it needs, such as "M2 b"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundSeen:
    """What one detail that stays allows: for each origin of the strip, whether it is still possible."""

    part: str
    about: str
    found: str
    allows: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ObservationSeen:
    """One thing that was seen or measured; `kind` and `key` name it for setting it aside."""

    kind: str
    key: int
    part: str
    about: str
    found: str
    is_sure: bool
    seen_at: datetime
    seen_by: str
    note: str
    set_aside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourSeen:
    """A colour that was measured, with what a screen shows of it."""

    part: str
    place: str
    lightness: float
    a: float
    b: float
    uncertainty_de: float
    by: str
    stated_for: str
    on_screen: str
    """As #rrggbb, near enough to recognise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSeen:
    """A job that a trial may have interrupted, with what a screen shows of its colour."""

    code: str
    press: str
    product: str
    colour: str
    begins: date
    ends: date | None
    on_screen: str
    """As #rrggbb, near enough to recognise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographSeen:
    """A photograph of the sample."""

    key: int
    name: str
    part: str
    note: str
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSeen:
    """A part of the sample, and what its tag says."""

    label: str
    part: str
    part_name: str
    tag: str
    """Tool, trial, state, cavity and shot as the tag names them; empty where there is none."""
    colour: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightSeen:
    """A part that was weighed, and which resin its weight fits."""

    part: str
    found: ResinByWeight


@dataclass(frozen=True, slots=True, kw_only=True)
class InWords:
    """The answer in both tongues, and in which sense a first shot is meant."""

    engineer: str
    archive: str
    sense: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleFound:
    """One sample: what it is, how sure, why, and what would change the answer."""

    programme: str
    programme_title: str
    invented: bool
    number: str
    name: str
    place: str
    holder: str
    purpose: str
    disposition: str
    note: str
    found_on: date | None
    registered_by: str
    headline: str
    actions: tuple[Action, ...]
    in_words: InWords
    rests_on: tuple[Fact, ...]
    strip: tuple[OriginSeen, ...]
    bounds: tuple[BoundSeen, ...]
    identified: Identified
    parts: tuple[PartSeen, ...]
    observations: tuple[ObservationSeen, ...]
    colours: tuple[ColourSeen, ...]
    photographs: tuple[PhotographSeen, ...]
    interrupted: InterruptedRun | None
    method: str
    cautions: tuple[Caution, ...]
    is_mixed: bool = False
    """Its parts are of different runs: no single origin is meant."""
    jobs: tuple[JobSeen, ...] = ()
    """Those that the interrupted run names."""
    build: str = ""
    """The build that its tag names."""
    weights: tuple[WeightSeen, ...] = ()
    """Parts that were weighed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleLine:
    """A sample in the register; the answer stands there once something was seen of it."""

    number: str
    name: str
    place: str
    holder: str
    purpose: str
    parts: str
    tag: str
    observations: int
    photographs: int
    first_photograph: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesFound:
    """The register of a programme, or what a search left of it."""

    programme: str
    programme_title: str
    invented: bool
    searched: str
    headline: str
    samples: tuple[SampleLine, ...]
    untagged: int
    """How many name no trial and no build."""
