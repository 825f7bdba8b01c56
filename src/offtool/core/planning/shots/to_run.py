"""How many shots a trial takes: short shots, those thrown away, those kept by purpose, each counted once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from offtool.core.formulas import Numbers, Texts, formula
from offtool.core.planning.shots.groups import shots_in_order
from offtool.core.planning.shots.results import PurposeShots, TrialShots
from offtool.core.planning.shots.settling import Settling, shots_to_settle
from offtool.core.values import Caution, ImpossibleInput, Range, nearest
from offtool.handbook.defects import AT_THE_PRESS, PRACTICE
from offtool.handbook.terms import TrialPurpose
from offtool.handbook.trial_purposes import (
    FIRST_LOOK_SHOTS,
    SCRAP_SHARE,
    TRIAL_PURPOSES,
    Counted,
    PurposeWords,
)

MOST_PIECES = 1_000_000
ROUNDING = 1e-9
"""Binary fractions: 40 sets at 0.1 a shot are 400 shots and not 401."""

CYCLE = Range(
    meaning="cycle from shot to shot",
    unit="s",
    above=0,
    at_most=3_600,
    usual=(3, 120),
    source=PRACTICE,
    remedy="time ten shots and divide by ten",
)
QUICKEST, SLOWEST = (
    Range(meaning=f"cycle at its {end}; blank where it is well known", unit="s", above=0, at_most=3_600)
    for end in ("quickest", "slowest")
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """One purpose with its number of pieces."""

    words: PurposeWords
    pieces: int
    shots: int
    is_usual: bool


@formula(
    limits={
        "purposes": Range(
            meaning="what the trial is for: " + ", ".join(one.value for one in TrialPurpose),
        ),
        "cycle_s": CYCLE,
        "quickest_cycle_s": QUICKEST,
        "slowest_cycle_s": SLOWEST,
        "cavities": Range(meaning="parts that one shot gives", at_least=1, at_most=1_000),
        "pieces": Range(
            meaning="pieces, sets or whole shots of each purpose, in their order; 0 or blank as is usual",
            at_least=0,
            at_most=MOST_PIECES,
        ),
        "sets_a_shot": Range(
            meaning="sets that one shot gives; 0.5 where a product takes two of a part and the tool has one",
            above=0,
            at_most=1_000,
        ),
        "settles_after": Range(
            meaning="shots after which this tool has settled before; blank where it is not known",
            at_least=0,
            at_most=MOST_PIECES,
        ),
        "scrap_share": Range(
            meaning="shots more than are needed, as a share",
            at_least=0,
            at_most=1,
            usual=(0, 0.3),
            source=PRACTICE,
        ),
    },
    example={"purposes": ["sizes", "assembly"], "cycle_s": 25.0, "cavities": 4},
    source=PRACTICE,
)
def shots_to_run(
    purposes: Texts,
    *,
    cycle_s: float,
    quickest_cycle_s: float | None = None,
    slowest_cycle_s: float | None = None,
    cavities: int = 1,
    pieces: Numbers | None = None,
    sets_a_shot: float = 1.0,
    settles_after: int | None = None,
    scrap_share: float = SCRAP_SHARE,
) -> TrialShots:
    """What to run, throw away, keep and measure on a trial, by what it is for.

    shots = short shots + those until it has settled + kept (1 + scrap). Pieces that are only looked at,
    measured or put together serve several purposes: of those the largest number counts. Pieces that are
    destroyed or kept whole with the runner come on top.

    Returns: TrialShots, its shots in order. Raises: ImpossibleInput for a purpose that is not on the list or
    is named twice, none at all, cycles out of order, or numbers of pieces that do not go with the purposes.

    Holds when: a shot gives one part from each cavity. Until the weight of consecutive shots stands still it
    has not settled, whatever was planned.

    Example: 5 pieces of each cavity measured and 40 sets at 25 s: 36 shots are thrown away (15 min), the 5
    are among the 40, 4 are spare: 80 shots, 33 min.
    """
    quickest, slowest = _in_order(cycle_s, quickest_cycle_s, slowest_cycle_s)
    wanted = list(_wanted(purposes, pieces, sets_a_shot))
    settling = shots_to_settle(
        cycle_s=cycle_s,
        quickest_cycle_s=quickest,
        slowest_cycle_s=slowest,
        settles_after=settles_after,
        must_settle=any(one.words.settled for one in wanted),
        short_only=all(one.words.purpose is TrialPurpose.SHORT_SHOTS for one in wanted),
    )
    short = sum(one.shots for one in wanted if one.words.purpose is TrialPurpose.SHORT_SHOTS)
    keep = _kept(wanted)
    spare = _spare(wanted, short, settling, keep, scrap_share)
    rest = short + keep + spare
    groups = tuple(shots_in_order([(one.words, one.shots) for one in wanted], settling.shots, spare))
    return TrialShots(
        purposes=tuple(_purpose(one, int(cavities)) for one in wanted),
        groups=groups,
        short=short,
        settle=settling.shots,
        settle_least=settling.least,
        settle_most=settling.most,
        keep=keep,
        spare=spare,
        shots=rest + settling.shots,
        least=short + keep + settling.least,
        most=rest + settling.most,
        parts_kept=keep * int(cavities),
        parts_measured=sum(one.shots for one in groups if one.measured) * int(cavities),
        minutes=(rest + settling.shots) * cycle_s / 60,
        minutes_least=(short + keep + settling.least) * quickest / 60,
        minutes_most=(rest + settling.shots_at_slowest) * slowest / 60,
        parts_a_minute=60 / cycle_s * int(cavities),
        cavities=int(cavities),
        cycle_s=cycle_s,
        settle_says=settling.says,
        cautions=(*_about(wanted), AT_THE_PRESS),
    )


def _in_order(cycle_s: float, quickest: float | None, slowest: float | None) -> tuple[float, float]:
    """Quickest and slowest cycle; refused where the planned one does not lie between them."""
    if quickest is not None and quickest > cycle_s:
        limit = f"must not be above the planned {cycle_s:g} s"
        raise ImpossibleInput("quickest_cycle_s", quickest, "s", limit, "swap them")
    if slowest is not None and slowest < cycle_s:
        limit = f"must not be below the planned {cycle_s:g} s"
        raise ImpossibleInput("slowest_cycle_s", slowest, "s", limit, "swap them")
    return quickest or cycle_s, slowest or cycle_s


def _wanted(purposes: Sequence[str], pieces: Numbers | None, sets_a_shot: float) -> Iterator[Wanted]:
    """The purposes with their numbers, in the order in which they are shot."""
    names = [str(one) for one in purposes]
    numbers = [int(one) for one in pieces] if pieces is not None and len(pieces) else [0] * len(names)
    if not names:
        raise ImpossibleInput("purposes", "none", "", "a trial is for something", "name one")
    if len(numbers) != len(names):
        limit = f"must be one for each of the {len(names)} purposes"
        raise ImpossibleInput("pieces", len(numbers), "numbers", limit, "write 0 where the usual will do")
    known = {one.value: one for one in TrialPurpose}
    for name in names:
        if name not in known:
            raise ImpossibleInput("purposes", name, "", "is not on the list", nearest(name, known))
        if names.count(name) > 1:
            raise ImpossibleInput("purposes", name, "", "is named twice", "name it once")
    asked = dict(zip((known[name] for name in names), numbers, strict=True))
    for purpose, words in TRIAL_PURPOSES.items():
        if purpose in asked:
            number = asked[purpose] or words.usual
            a_shot = sets_a_shot if words.counted is Counted.SETS else 1.0
            yield Wanted(words, number, ceil(number / a_shot - ROUNDING), not asked[purpose])


def _kept(wanted: Sequence[Wanted]) -> int:
    """Full shots that are kept: the largest number of those that share, and all others."""
    full = [one for one in wanted if one.words.purpose is not TrialPurpose.SHORT_SHOTS]
    shared = max((one.shots for one in full if one.words.shared), default=0)
    return shared + sum(one.shots for one in full if not one.words.shared)


def _spare(wanted: Sequence[Wanted], short: int, settling: Settling, keep: int, scrap_share: float) -> int:
    """Spare shots; a first look takes as many as it needs to reach its least number."""
    spare = ceil(keep * scrap_share - ROUNDING)
    is_first = any(one.words.purpose is TrialPurpose.FIRST_LOOK for one in wanted)
    return max(spare, FIRST_LOOK_SHOTS[0] - short - settling.shots - keep) if is_first else spare


def _purpose(one: Wanted, cavities: int) -> PurposeShots:
    words = one.words
    return PurposeShots(
        purpose=words.purpose,
        pieces=one.pieces,
        counted=words.counted.value,
        shots=one.shots,
        measured=one.shots * cavities if words.measured else 0,
        usual=one.is_usual,
        source=words.source if one.is_usual else "as asked",
    )


def _about(wanted: Sequence[Wanted]) -> Iterator[Caution]:
    """Numbers beside what is usual."""
    for one in wanted:
        words = one.words
        if one.pieces < words.least:
            few = f"{words.purpose.value}: {one.pieces} {words.counted.value} are fewer than the usual"
            yield Caution(f"{few} {words.least} to {words.most}", words.source)
