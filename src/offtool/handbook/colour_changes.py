"""From one colour to the next on one press: how the old leaves, what it costs in time, what must not meet.

Ranges are what a moulder would expect before any shot was measured; nine of ten presses lie within, by common
practice without a source. They were set so that the shop's rule comes out: 2 to 4 contents of the barrel from
light to dark, 6 to 12 from dark to light.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Feed, TrialPurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A number that is expected in a range before anything was measured; nine of ten lie within."""

    meaning: str
    low: float
    high: float
    unit: str = ""
    source: str = PRACTICE

    @property
    def middle(self) -> float:
        """The middle of the range by ratio."""
        return float((self.low * self.high) ** 0.5)


WASHOUT: Mapping[str, Expected] = MappingProxyType(
    {
        "plug": Expected(meaning="share of the contents that moves without mixing", low=0.1, high=0.4),
        "tanks": Expected(meaning="stirred volumes in series", low=1.0, high=2.0),
        "slow": Expected(meaning="share of the contents in slow corners", low=0.1, high=0.3),
        "slow_stay": Expected(
            meaning="contents that go through until slow corners are down to 37 %", low=1.6, high=2.4
        ),
    }
)

SCREW_HOLDS = Expected(meaning="melt in the screw over the largest shot", low=1.2, high=1.8)
"""Largest shots in the screw; 1.4 is the usual figure for the screw's contents."""
HOT_RUNNER_MORE = Expected(meaning="times as much with a hot runner", low=1.5, high=2.0)
"""A hot runner asks for half as much again to twice as much."""
MATERIAL_MORE = Expected(meaning="times as much where the resin changes too", low=1.5, high=2.0)
RESIN_LEFT = 0.01
"""The share of another resin that parts may still hold: above it they peel and break. Common practice, no
source; a part that is loaded asks for less."""
STRENGTH = Expected(meaning="how much more the old colour tells than by its mass", low=0.6, high=1 / 0.6)
"""Two plastics do not scatter alike, and smooth spectra stand for true ones."""
READY_MIN = Expected(
    meaning="minutes to empty and clean hopper and loader, and to fill them", low=3.0, high=15.0, unit="min"
)
"""A planned change with a cold runner and no dryer is done in 3 to 7 minutes; a dryer takes longer."""

FULL_PURGE_MIN = Expected(
    meaning="minutes to draw the hopper empty, set the zones, take the nozzle off, look, and set them again",
    low=60.0,
    high=180.0,
    unit="min",
)
"""Beside the shots, where two resins must never meet: PE takes the old out, then the new takes the PE out.
From memory; the shop's own instruction goes before it."""

POLYSTYRENE_G_CM3 = 1.05
"""The barrel's rating is in grams of polystyrene of this density."""

FEED_FACTOR: Mapping[Feed, Expected | None] = MappingProxyType(
    {Feed.COLD_RUNNER: None, Feed.DIRECT: None, Feed.HOT_RUNNER: HOT_RUNNER_MORE}
)

USUAL_LIMIT_DE = 1.0
"""Usually called a good match; 0.5 is tight, 1.5 is to be agreed. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NeverTogether:
    """Two families of resin that must never be in a barrel together; both ways round."""

    one: frozenset[str]
    other: frozenset[str]
    why: str
    do: str
    source: str = PRACTICE


_POM, _PVC = frozenset({"POM"}), frozenset({"PVC"})
_HOT = frozenset({"PA", "PC", "PBT", "PET", "PPA", "PPS", "PSU", "PES", "PEI", "PEEK", "LCP"})
"""Families that are run hotter than PVC bears."""

TENDER = frozenset({"POM", "PVC"})
"""Families that break down not far above the temperatures they are run at."""

NEVER_TOGETHER: tuple[NeverTogether, ...] = (
    NeverTogether(
        one=_POM,
        other=_PVC,
        why=(
            "POM and PVC must never meet in a barrel: the acid of one breaks down the other at once, into "
            "gas that is poisonous and can throw melt out of nozzle and hopper"
        ),
        do=(
            "Empty the barrel, purge all of it through with PE until nothing of the old comes, take the "
            "nozzle off and look. Better: run the trial on another press. Only trained people, with the "
            "air drawn off; what the resins' makers write goes before this."
        ),
        source="safety rule of the trade, as resin makers' processing guides print it; common practice",
    ),
    NeverTogether(
        one=_PVC,
        other=_HOT,
        why=(
            "PVC breaks down at the temperatures that the other resin needs, and the acid gas of it hurts "
            "people and steel"
        ),
        do=(
            "Purge all PVC out with PE at the temperatures of PVC before any zone is heated up, and let the "
            "barrel cool to them before PVC goes in. Only trained people, with the air drawn off; what the "
            "resins' makers write goes before this."
        ),
    ),
)

BETWEEN = "PE-HD"
"""What is run through between two resins that do not melt alike."""


_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "VINYL": "PVC",
        "POLYVINYL": "PVC",
        "NYLON": "PA",
        "POLYAMIDE": "PA",
        "POLYAMID": "PA",
        "POLYCARBONATE": "PC",
        "POLYCARBONAT": "PC",
        "POLYPROPYLENE": "PP",
        "POLYPROPYLEN": "PP",
        "POLYETHYLENE": "PE",
        "POLYETHYLEN": "PE",
        "POLYSTYRENE": "PS",
        "POLYSTYROL": "PS",
        "HDPE": "PE",
        "LDPE": "PE",
        "LLDPE": "PE",
        "HIPS": "PS",
        "GPPS": "PS",
        "ACRYLIC": "PMMA",
        "聚丙烯": "PP",
        "聚乙烯": "PE",
        "聚苯乙烯": "PS",
    }
)
"""Whole words, in capitals."""
_HOLDS: Mapping[str, str] = MappingProxyType(
    {
        "POM": "POM",
        "ACETAL": "POM",
        "POLYOXYMETHYLEN": "POM",
        "聚甲醛": "POM",
        "赛钢": "POM",
        "塑钢": "POM",
        "PVC": "PVC",
        "POLYVINYLCHLORID": "PVC",
        "聚氯乙烯": "PVC",
        "PBT": "PBT",
        "PET": "PET",
        "聚碳酸酯": "PC",
        "聚酰胺": "PA",
        "尼龙": "PA",
    }
)
"""Anywhere in a word: UPVC, RPET, PVC30, Acetalharz."""
_CODE = re.compile(r"R?([A-Z]+)(?:\d.*)?")
"""A code with what is often written to it: rABS, PA66, PP30."""
_KNOWN = frozenset(
    {
        *("ABS", "ASA", "SAN", "PS", "PMMA", "PE", "PP", "COC", "COP", "CA", "CAB", "CAP", "EVA", "PLA"),
        *("TPE", "TPU", "TPS", "TPV", "TPC", "TPO", "SEBS", "SBS", "PPE", "PPO", "PEI", "PES", "PESU"),
        *("PA", "PC", "PBT", "PET", "PPA", "PPS", "PSU", "PPSU", "PEEK", "LCP", "POM", "PVC"),
        *("MABS", "SB", "SMA", "PVDF", "PFA", "FEP", "PARA", "PEBA", "PCTG", "PETG"),
    }
)
"""Families that are known by their code, as in ISO 1043-1 and in common use; from memory."""


def families(resin: str) -> frozenset[str]:
    """The families that a resin's name or code speaks of, such as POM for "acetal" or "POM-C"."""
    found = set()
    for word in filter(None, re.split(r"[\W_]+", unicodedata.normalize("NFKC", resin).upper())):
        held = next((family for part, family in _HOLDS.items() if part in word), "")
        code = _CODE.fullmatch(word)
        found.add(_WORDS.get(word) or held or (code[1] if code and code[1] in _KNOWN else word))
    return frozenset(found)


def is_known_resin(resin: str) -> bool:
    """Whether a name speaks of any family that is known; nothing can be said of what another may follow."""
    return bool(families(resin) & _KNOWN)


def unknown_resins(*resins: str) -> tuple[str, ...]:
    """Those that are said and not known, each once."""
    said = dict.fromkeys(one.strip() for one in resins)
    return tuple(one for one in said if one and not is_known_resin(one))


def same_resin(one: str, other: str) -> bool:
    """Whether two names are of one resin; a blank one is not said and taken as the same."""
    return not one.strip() or not other.strip() or one.strip().upper() == other.strip().upper()


def never_together(one: str, other: str) -> NeverTogether | None:
    """The rule that two resins break, or None."""
    first, second = families(one), families(other)
    for rule in NEVER_TOGETHER:
        if (first & rule.one and second & rule.other) or (second & rule.one and first & rule.other):
            return rule
    return None


LIGHT_FROM = 60.0
"""L* from which sinks, flow lines and flash are well seen; common practice, no source for the number."""
NATURAL_LAB = (88.0, -1.0, 10.0)
"""Uncoloured ABS and its like are cream; common practice, no source. Measure the shop's own."""
SEEN_ON_LIGHT = frozenset({TrialPurpose.FIRST_LOOK, TrialPurpose.SHORT_SHOTS})
"""Purposes for which somebody looks at the surface."""
ANY_RESIN = frozenset({TrialPurpose.FIRST_LOOK, TrialPurpose.SHORT_SHOTS})
"""Purposes that another resin still serves, roughly; sizes, joints and seams of it say nothing."""

CONTENTS_UNSAID = Expected(
    meaning="melt between hopper and gate of a press of which nothing is said", low=60.0, high=600.0, unit="g"
)
"""Presses of some 50 to 200 t; a guess that only the press's sheet can end."""
USUAL_SHARE_OF_BARREL = 0.4
"""Taken for a shot that nobody weighed, as a share of the barrel's largest shot."""
USUAL_CYCLE_S = 20.0
"""Taken for a cycle that nobody gave; small parts are quicker, thick ones slower."""
