"""What a moulded toy is usually asked to show before its release: the list from which every programme starts.

A list to be edited: another product, market or customer asks for more, or for less. Each line says what of
the record feeds it, and what makes it stale: a change after which the evidence is not of what will be sold.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from offtool.handbook.defects import PRACTICE
from offtool.handbook.toy_law import Market

ANYWHERE: tuple[Market, ...] = ("US", "EU", "other")
AGES = (0.0, 1200.0)
UNDER_THREE = (0.0, 36.0)
ONE_YEAR = 365


class Fed(StrEnum):
    """What of the record answers a requirement."""

    SIZES = "sizes of all cavities against the drawing"
    CAPABILITY = "capability of the critical sizes"
    GAUGE = "gauge studies"
    WEIGHT = "weights of the parts"
    MATERIAL = "papers of resin and colourant"
    COLOUR = "colour readings"
    JOINT_FRESH = "joint readings, fresh"
    JOINT_AGED = "joint readings, aged"
    SEAM = "seam pulls and weld audits"
    DECORATION = "decoration checks"
    TOY_TESTS = "safety tests of the law"
    SMALL_PARTS = "small-parts checks"
    CERTIFICATE = "papers of an accredited laboratory"
    PACKAGING = "packing and transit tests"
    RATE = "line rate of the pilot"
    YIELD = "yields of the pilot"
    FINDINGS = "open findings"
    LIMIT_SAMPLES = "limit samples"
    PLAN = "control plan and work instructions"
    TOOL_BOOK = "steel as built, spares"
    SIGNATURES = "signatures"


class Change(StrEnum):
    """What may change after evidence was taken."""

    STEEL = "steel"
    RESIN = "resin"
    COLOUR = "colour"
    PAINT = "paint"
    MASK = "mask"
    JOINT = "joint"
    SEAM = "seam"
    PACK = "pack"
    LINE = "line"
    GAUGE = "gauge"
    DRAWING = "drawing"


EVERY_CHANGE = tuple(Change)


def changes_named(words: str) -> tuple[Change, ...]:
    """The changes that a text names, such as "steel; paint", in the order of the list; none for a blank one.

    Raises ValueError with the first word that is none.
    """
    named = [word.strip().lower() for word in words.replace(",", ";").split(";") if word.strip()]
    for word in named:
        if word not in EVERY_CHANGE:
            raise ValueError(word)
    return tuple(one for one in Change if one in named)


_SHAPE = (Change.STEEL, Change.RESIN, Change.DRAWING)
_LAW = (Change.STEEL, Change.RESIN, Change.COLOUR, Change.PAINT, Change.JOINT, Change.SEAM)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseRequirement:
    """One line of the list.

    `asks` is what must stand in the record for the line to hold. `stale_by` are the changes after which it is
    stale, `stale_after_days` the age of the evidence at which it is; None: age alone does not. Where
    `accredited`, only the paper of an accredited laboratory answers it.
    """

    code: str
    title: str
    asks: str
    fed_by: Fed
    stale_by: tuple[Change, ...]
    stale_after_days: int | None = None
    markets: tuple[Market, ...] = ANYWHERE
    ages_months: tuple[float, float] = AGES
    source: str = PRACTICE
    accredited: bool = False

    def applies(self, market: Market, *, from_months: float) -> bool:
        """Whether it is asked of a toy for that market and from that age on."""
        return market in self.markets and self.ages_months[0] <= from_months < self.ages_months[1]


RELEASE_LIST: tuple[ReleaseRequirement, ...] = (
    ReleaseRequirement(
        code="sizes",
        title="Sizes as drawn",
        asks="every size measured in every cavity, none outside its limits, none failing what its class asks",
        fed_by=Fed.SIZES,
        stale_by=_SHAPE,
    ),
    ReleaseRequirement(
        code="capability",
        title="Capability of the critical sizes",
        asks="the required index shown for every critical size, cavity by cavity",
        fed_by=Fed.CAPABILITY,
        stale_by=_SHAPE,
    ),
    ReleaseRequirement(
        code="gauges",
        title="Gauges fit for their sizes",
        asks="a gauge study within its limit for every gauge that a critical size was measured with",
        fed_by=Fed.GAUGE,
        stale_by=(Change.GAUGE, Change.DRAWING),
        stale_after_days=ONE_YEAR,
    ),
    ReleaseRequirement(
        code="weight",
        title="Part weights",
        asks="the weight of every part from every cavity, settled at the press",
        fed_by=Fed.WEIGHT,
        stale_by=(Change.STEEL, Change.RESIN),
    ),
    ReleaseRequirement(
        code="material",
        title="Resin and colourant",
        asks="papers of every resin, colourant, paint and ink as they will be used",
        fed_by=Fed.MATERIAL,
        stale_by=(Change.RESIN, Change.COLOUR, Change.PAINT),
    ),
    ReleaseRequirement(
        code="colour",
        title="Colour",
        asks="every moulded and painted colour within its limit of the signed sample",
        fed_by=Fed.COLOUR,
        stale_by=(Change.RESIN, Change.COLOUR, Change.PAINT),
    ),
    ReleaseRequirement(
        code="joints-fresh",
        title="Joints, fresh",
        asks="every joint's hold or torque within its limits, from every pair of cavities that may meet",
        fed_by=Fed.JOINT_FRESH,
        stale_by=(*_SHAPE, Change.JOINT, Change.PAINT),
    ),
    ReleaseRequirement(
        code="joints-aged",
        title="Joints, aged",
        asks="the same after the agreed heat, cold and cycles",
        fed_by=Fed.JOINT_AGED,
        stale_by=(*_SHAPE, Change.JOINT, Change.PAINT),
    ),
    ReleaseRequirement(
        code="seams",
        title="Welded seams",
        asks="the strength of every seam shown at the frozen setting, and the audits of the pilot in order",
        fed_by=Fed.SEAM,
        stale_by=(*_SHAPE, Change.COLOUR, Change.SEAM),
    ),
    ReleaseRequirement(
        code="decoration",
        title="Paint and print",
        asks="place, cover, adhesion and rub of every paint and print, with the masks of production",
        fed_by=Fed.DECORATION,
        stale_by=(Change.STEEL, Change.RESIN, Change.COLOUR, Change.PAINT, Change.MASK),
    ),
    ReleaseRequirement(
        code="toy-tests",
        title="Safety tests of the law, own pieces",
        asks="torque, tension, drop and the other tests for the age, on pieces of production, none failed",
        fed_by=Fed.TOY_TESTS,
        stale_by=_LAW,
        markets=("US", "EU"),
        source="16 CFR 1500.50 to 1500.53; EN 71-1",
    ),
    ReleaseRequirement(
        code="toy-tests-elsewhere",
        title="Safety tests of the market",
        asks="the laboratory of the market has said which tests it makes, and they are in order",
        fed_by=Fed.TOY_TESTS,
        stale_by=_LAW,
        markets=("other",),
    ),
    ReleaseRequirement(
        code="small-parts",
        title="No small parts",
        asks="neither the toy nor a piece that came off in the tests fits into the small-parts cylinder",
        fed_by=Fed.SMALL_PARTS,
        stale_by=_LAW,
        markets=("US", "EU"),
        ages_months=UNDER_THREE,
        source="16 CFR 1501.4, read in a copy of the current code; EN 71-1, 8.2, from memory",
    ),
    ReleaseRequirement(
        code="certificate-us",
        title="Children's product certificate, United States",
        asks="third-party tests on pieces of this tool, resin, colour and paint, and the certificate",
        fed_by=Fed.CERTIFICATE,
        stale_by=_LAW,
        stale_after_days=ONE_YEAR,
        markets=("US",),
        accredited=True,
        ages_months=(0.0, 156.0),
        source="16 CFR 1107.21 (at least once a year) and 1107.23 (material change), both read; children of "
        "12 years or younger: 16 CFR 1107.2, from memory",
    ),
    ReleaseRequirement(
        code="certificate-eu",
        title="Declaration and technical file, European Union",
        asks="the tests, the safety assessment, the declaration and the mark, for the toy as it will be sold",
        fed_by=Fed.CERTIFICATE,
        stale_by=_LAW,
        markets=("EU",),
        ages_months=(0.0, 168.0),
        source="Directive 2009/48/EC, from memory; Regulation (EU) 2025/2509 follows it, from 1 August 2030",
    ),
    ReleaseRequirement(
        code="packaging",
        title="Packing and transit",
        asks="the packed carton dropped as agreed, toy and pack whole; warnings and date code as asked",
        fed_by=Fed.PACKAGING,
        stale_by=(Change.STEEL, Change.PACK, Change.PAINT),
    ),
    ReleaseRequirement(
        code="line-rate",
        title="Line rate",
        asks="the planned rate reached in the pilot with the people, tools and instructions of production",
        fed_by=Fed.RATE,
        stale_by=(Change.LINE, Change.JOINT, Change.SEAM, Change.PAINT, Change.MASK),
    ),
    ReleaseRequirement(
        code="yield",
        title="Yield of the line",
        asks="the planned yield shown over all stations, before rework and after it",
        fed_by=Fed.YIELD,
        stale_by=(*_LAW, Change.MASK, Change.LINE),
    ),
    ReleaseRequirement(
        code="findings",
        title="Open findings",
        asks="every finding closed, or under a concession with its amount, date and reason",
        fed_by=Fed.FINDINGS,
        stale_by=(),
    ),
    ReleaseRequirement(
        code="limit-samples",
        title="Limit samples and the signed sample",
        asks="good, limit and refused pieces at the stations, each with the area and the condition accepted",
        fed_by=Fed.LIMIT_SAMPLES,
        stale_by=(Change.STEEL, Change.RESIN, Change.COLOUR, Change.PAINT, Change.MASK),
        stale_after_days=ONE_YEAR,
    ),
    ReleaseRequirement(
        code="control-plan",
        title="Control plan and work instructions",
        asks="what is checked, how often and with what, and how each station works, as the pilot ran",
        fed_by=Fed.PLAN,
        stale_by=(Change.LINE, Change.JOINT, Change.SEAM, Change.PAINT, Change.MASK, Change.DRAWING),
    ),
    ReleaseRequirement(
        code="tool-book",
        title="Steel as built",
        asks="the steel sizes of every cavity as they are, the spares, and what was welded or inserted",
        fed_by=Fed.TOOL_BOOK,
        stale_by=(Change.STEEL,),
    ),
    ReleaseRequirement(
        code="signatures",
        title="Signatures",
        asks="tooling, product, quality and production have signed, after the last line of this list was met",
        fed_by=Fed.SIGNATURES,
        stale_by=EVERY_CHANGE,
    ),
)
"""In the order of a review: parts, joints, looks, safety, packing, line, papers."""


def requirements_for(market: Market, *, from_months: float) -> tuple[ReleaseRequirement, ...]:
    """The lines that are asked of a toy for that market and from that age on."""
    return tuple(one for one in RELEASE_LIST if one.applies(market, from_months=from_months))


def made_stale_by(change: Change) -> tuple[ReleaseRequirement, ...]:
    """The lines whose evidence is stale after the change."""
    return tuple(one for one in RELEASE_LIST if change in one.stale_by)
