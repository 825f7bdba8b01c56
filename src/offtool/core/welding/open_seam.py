"""Whether a piece was ever welded, from its height, its pull and what is seen of the seam.

A thing seen, a thing looked for and not there, and a thing not looked at are three different findings: the
third says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import erf, exp, log, log2, sqrt
from typing import Literal

from offtool.core.formulas import formula
from offtool.core.values import Caution, ImpossibleInput, Range
from offtool.core.welding.cautions import PULLING
from offtool.handbook.defects import PRACTICE
from offtool.handbook.seam_looks import LOOKS, Look

NOT_LOOKED = "not looked"
RidgeSeen = Literal["not looked", "intact", "partly melted", "melted"]
Seen = Literal["not looked", "seen", "absent"]
CameApart = Literal["not looked", "material torn", "peeled clean", "held"]

SOFT_CAP = 10.0
"""No single thing that is looked at counts for more than ten to one; common practice, no source."""
MEASURED_CAP = 1_000.0
"""A height can be read wrong, or be of another piece; our own."""
SETTLED = 0.95
"""Above it, or below one less it, the seam is called; between them it cannot be told. Our own."""
LIKE_NEITHER = 4.0
"""A height so many standard deviations off both kinds belongs to neither."""
FIRM = 0.5
"""A pull above this share of what welded seams hold is a weld's."""
LOOSE = 0.1
CONTRADICTS = 5.0
"""Findings that count so many to one each way contradict each other: nothing is called. Our own."""


class SeamState(StrEnum):
    """The three answers."""

    OPEN = "open"
    WELDED = "welded"
    UNSURE = "cannot tell"


HEIGHT = "height"
HEIGHT_WHERE = "measure the height over both parts, at the seam"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamEvidence:
    """One piece of evidence: log-odds (natural logarithm) of open over welded; 0 when not looked at."""

    name: str
    found: str
    log_odds: float
    capped: bool
    observed: bool
    source: str

    @property
    def times(self) -> float:
        """How many times likelier on a piece never welded."""
        return exp(self.log_odds)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookNext:
    """What is worth looking at next: bits it is expected to tell, and whether the piece survives."""

    name: str
    where: str
    bits: float
    destroys: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSeam:
    """How probable it is that the piece was never welded, with the prior and each piece of evidence."""

    state: SeamState
    probability_open: float
    prior_open: float
    log_odds: float
    evidence: tuple[SeamEvidence, ...]
    look_next: tuple[LookNext, ...]
    words: str
    cautions: tuple[Caution, ...] = ()


_SD = "standard deviation of those heights, the gauge's share in it"


def _height(meaning: str) -> Range:
    return Range(
        meaning=f"{meaning}; blank where it is not known",
        unit="mm",
        above=0,
        at_most=10_000,
        remedy="give it in mm",
    )


def _seen(meaning: str) -> Range:
    return Range(meaning=f"{meaning}: seen, looked for and absent, or not looked at")


@formula(
    limits={
        "height_mm": _height("height of this piece over both parts"),
        "welded_height_mm": _height("mean height of welded pieces"),
        "open_height_mm": _height("mean height of pieces laid together and not welded"),
        "welded_sd_mm": Range(meaning=_SD, unit="mm", above=0, at_most=100),
        "open_sd_mm": Range(meaning=_SD, unit="mm", above=0, at_most=100),
        "ridge": Range(meaning="what is left of the ridge"),
        "flash": _seen("a bead of melt along the seam"),
        "horn_mark": _seen("a patch where the horn stood"),
        "other_fastening": _seen("glue, tape, screw or band"),
        "came_apart": Range(meaning="how it came apart when it was pulled; held: the pull was stopped"),
        "pull_n": Range(
            meaning="pull reached; blank when it was not pulled", unit="N", at_least=0, at_most=1e6
        ),
        "welded_pull_n": Range(
            meaning="what welded pieces hold on average; blank where it is not known",
            unit="N",
            above=0,
            at_most=1e6,
        ),
        "prior_open": Range(
            meaning="probability that it was never welded, before anything is looked at", above=0, below=1
        ),
    },
    example={
        "height_mm": 24.42,
        "welded_height_mm": 24.05,
        "open_height_mm": 24.43,
        "welded_sd_mm": 0.05,
        "open_sd_mm": 0.03,
        "flash": "absent",
    },
    source=f"Bayes' rule; shares of what is seen: {PRACTICE}",
)
def recognise_open_seam(
    *,
    height_mm: float | None = None,
    welded_height_mm: float | None = None,
    open_height_mm: float | None = None,
    welded_sd_mm: float = 0.05,
    open_sd_mm: float = 0.05,
    ridge: RidgeSeen = "not looked",
    flash: Seen = "not looked",
    horn_mark: Seen = "not looked",
    other_fastening: Seen = "not looked",
    came_apart: CameApart = "not looked",
    pull_n: float | None = None,
    welded_pull_n: float | None = None,
    prior_open: float = 0.5,
) -> OpenSeam:
    """Whether a piece was ever welded: open, welded or cannot tell, with what each finding counts for.

    log-odds = log(prior / (1 - prior)) + sum of log(P(finding, open) / P(finding, welded)); a thing seen
    counts at most ten to one, a height a thousand to one. Of heights that fit either kind, a higher one is
    never less likely open; one that fits neither says nothing.

    Returns: OpenSeam; between 5 and 95 %, or where strong findings contradict each other, it cannot tell, and
    says what to look at. Raises: ImpossibleInput
    for an open height that is not above the welded one.

    Holds when: the findings are independent given the answer. They are not quite (flash and ridge melt
    together), which the caps allow for.

    Example: a ridge seen intact counts ten to one and no more: from even odds 91 %, which settles nothing.
    """
    seen = {"ridge": ridge, "flash": flash, "horn mark": horn_mark, "other fastening": other_fastening}
    pull = _pull(pull_n, welded_pull_n, came_apart)
    apart = NOT_LOOKED if came_apart == "held" and pull != "firm" else came_apart
    heights = _Heights.of(welded_height_mm, open_height_mm, welded_sd_mm, open_sd_mm)
    evidence = (
        _by_height(height_mm, heights),
        *(_by_look(LOOKS[name], found) for name, found in seen.items()),
        _by_look(LOOKS["way apart"], apart, shown=came_apart),
        _by_look(LOOKS["pull"], pull, shown=f"{pull}, {pull_n:g} N" if pull_n is not None else pull),
    )
    odds = log(prior_open / (1 - prior_open)) + sum(one.log_odds for one in evidence)
    probability = 1 / (1 + exp(-odds)) if odds > 0 else exp(odds) / (1 + exp(odds))
    look_next = _look_next(evidence, heights, probability)
    state = SeamState.UNSURE if _contradicting(evidence) else _state(probability)
    return OpenSeam(
        state=state,
        probability_open=probability,
        prior_open=prior_open,
        log_odds=odds,
        evidence=evidence,
        look_next=look_next,
        words=_words(state, probability, look_next),
        cautions=tuple(_cautions(evidence, height_mm, heights, pull_n, welded_pull_n, came_apart)),
    )


@dataclass(frozen=True, slots=True)
class _Heights:
    """The heights of both kinds."""

    welded: float
    open: float
    welded_sd: float
    open_sd: float

    @classmethod
    def of(
        cls, welded: float | None, open_: float | None, welded_sd: float, open_sd: float
    ) -> _Heights | None:
        if welded is None or open_ is None:
            return None
        if open_ <= welded:
            limit = f"must lie above the {welded:g} mm of welded pieces: a weld sinks by its ridge"
            raise ImpossibleInput("open_height_mm", open_, "mm", limit, "swap the two, or measure them again")
        return cls(welded, open_, welded_sd, open_sd)

    def log_ratio(self, height: float) -> float:
        """Normal against normal. Beyond either mean it stays as at the mean: more height is never evidence
        of a weld."""
        h = min(max(height, self.welded), self.open)
        welded, open_ = (h - self.welded) / self.welded_sd, (h - self.open) / self.open_sd
        return log(self.welded_sd / self.open_sd) + (welded**2 - open_**2) / 2

    def is_like_neither(self, height: float) -> bool:
        return (
            abs(height - self.welded) > LIKE_NEITHER * self.welded_sd
            and abs(height - self.open) > LIKE_NEITHER * self.open_sd
        )

    def look(self) -> Look:
        """A height judged as high or low, for what it is expected to tell."""
        far = (self.open - self.welded) / sqrt(2) / (self.welded_sd + self.open_sd)
        right = min(0.5 + 0.5 * erf(far), 1 - 1 / MEASURED_CAP)
        return Look(
            name=HEIGHT,
            where=HEIGHT_WHERE,
            when_open={"high": right, "low": 1 - right},
            when_welded={"high": 1 - right, "low": right},
            destroys=False,
            source="heights of both kinds",
        )


def _by_height(height: float | None, heights: _Heights | None) -> SeamEvidence:
    observed = height is not None and heights is not None and not heights.is_like_neither(height)
    ratio = heights.log_ratio(height) if height is not None and heights is not None and observed else 0.0
    return _evidence(
        HEIGHT,
        NOT_LOOKED if height is None else f"{height:g} mm",
        ratio,
        cap=MEASURED_CAP,
        observed=observed,
        source="heights of both kinds",
    )


def _by_look(look: Look, found: str, *, shown: str = "") -> SeamEvidence:
    observed = found != NOT_LOOKED
    ratio = log(look.when_open[found] / look.when_welded[found]) if observed else 0.0
    return _evidence(look.name, shown or found, ratio, cap=SOFT_CAP, observed=observed, source=look.source)


def _evidence(
    name: str, found: str, ratio: float, *, cap: float, observed: bool, source: str
) -> SeamEvidence:
    most = log(cap)
    return SeamEvidence(
        name=name,
        found=found,
        log_odds=min(max(ratio, -most), most),
        capped=abs(ratio) > most,
        observed=observed,
        source=source,
    )


def _pull(pull_n: float | None, welded_n: float | None, came_apart: CameApart) -> str:
    """Loose, between or firm; a pull that was stopped early has shown nothing."""
    if pull_n is None or welded_n is None:
        return NOT_LOOKED
    share = pull_n / welded_n
    if share > FIRM:
        return "firm"
    if came_apart == "held":
        return NOT_LOOKED
    return "between" if share > LOOSE else "loose"


def _state(probability: float) -> SeamState:
    if probability >= SETTLED:
        return SeamState.OPEN
    return SeamState.WELDED if probability <= 1 - SETTLED else SeamState.UNSURE


def _contradicting(evidence: tuple[SeamEvidence, ...]) -> tuple[SeamEvidence, ...]:
    """The strongest finding on each side, where both are strong."""
    ends = (
        max(evidence, key=lambda one: one.log_odds),
        min(evidence, key=lambda one: one.log_odds),
    )
    is_strong = ends[0].log_odds >= log(CONTRADICTS) and ends[1].log_odds <= -log(CONTRADICTS)
    return ends if is_strong else ()


def _look_next(
    evidence: tuple[SeamEvidence, ...], heights: _Heights | None, probability: float
) -> tuple[LookNext, ...]:
    """What was not looked at, the most telling first; what destroys the piece comes last."""
    left = [LOOKS[one.name] for one in evidence if one.name in LOOKS and not one.observed]
    if heights is not None and evidence[0].found == NOT_LOOKED:
        left.append(heights.look())
    found = [
        LookNext(
            name=look.name, where=look.where, bits=expected_bits(look, probability), destroys=look.destroys
        )
        for look in left
    ]
    return tuple(sorted(found, key=lambda one: (one.destroys, -one.bits)))


def expected_bits(look: Look, probability: float) -> float:
    """What a look is expected to tell about open or welded, in bits."""
    told = _entropy(probability)
    for finding, when_open in look.when_open.items():
        both = probability * when_open + (1 - probability) * look.when_welded[finding]
        if both > 0:
            told -= both * _entropy(probability * when_open / both)
    return max(told, 0.0)


def _entropy(probability: float) -> float:
    return -sum(p * log2(p) for p in (probability, 1 - probability) if p > 0)


def _percent(probability: float) -> str:
    """Never 0 or 100 %: no finding is worth that."""
    if not 0.001 <= probability <= 0.999:
        return "over 99.9 %" if probability > 0.5 else "under 0.1 %"
    return f"{100 * probability:.3g} %"


def _words(state: SeamState, probability: float, look_next: tuple[LookNext, ...]) -> str:
    percent = f"{_percent(probability)} that it was never welded"
    if state is SeamState.UNSURE:
        best = f"; look next: {look_next[0].where}" if look_next else ""
        return f"cannot tell: {percent}{best}"
    return f"{state}: {percent}"


def _cautions(
    evidence: tuple[SeamEvidence, ...],
    height: float | None,
    heights: _Heights | None,
    pull_n: float | None,
    welded_pull_n: float | None,
    came_apart: CameApart,
) -> Iterator[Caution]:
    if height is not None and heights is None:
        yield Caution("a height tells nothing without those of welded pieces and of pieces laid together")
    if height is not None and heights is not None and heights.is_like_neither(height):
        yield Caution(f"{height:g} mm fits neither kind: another tool state, a wrong reading, or half a weld")
    if pull_n is not None and welded_pull_n is None:
        yield Caution("a pull tells little without what welded pieces hold")
    if not any(one.observed for one in evidence):
        yield Caution("nothing was looked at: the answer is the prior")
    if both := _contradicting(evidence):
        yield Caution(
            f"{both[0].name} ({both[0].found}) speaks for open, {both[1].name} ({both[1].found}) for welded: "
            "check both, and that they are of this piece, before either is believed"
        )
    if any(one.capped for one in evidence):
        yield Caution(f"what is seen counts at most {SOFT_CAP:g} to one, a height {MEASURED_CAP:g} to one")
    yield Caution("the shares of what is seen are practice: learn them from your own tagged pieces", PRACTICE)
    if pull_n is not None or came_apart != NOT_LOOKED:
        yield PULLING
    else:
        yield Caution(f"opening or pulling a piece uses it up. {PULLING.text}", PRACTICE)
