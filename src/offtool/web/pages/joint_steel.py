"""Which steel moves a joint: the ways found with what each does, and what is asked of the sizes already."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from offtool.core.joints.steel import (
    AlsoMoved,
    OtherJointAfter,
    SizeDemand,
    SteelAmount,
    SteelCandidate,
    Stop,
)
from offtool.reports import words
from offtool.steps.ask_for_steel import way_shown
from offtool.steps.ask_of_size import SizeDemanded
from offtool.steps.joint_found import DemandSeen, JointFound, JointSizeSeen
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.sentences import sentence
from offtool.web.forms.joints import AskForm
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import anchor

STEEL_DECIMALS = 3
WAYS_OPEN = 2
"""Ways that stand in the open; the others are folded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountRow:
    """What happens to one feature in one cavity."""

    feature: str
    cavity: str
    cut: str
    """REMOVE 0.08."""
    left: str
    """How much may be removed at all, and how much would go all the way."""
    size: str
    """The size's mean before and after."""
    stop: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedRow:
    """Another size, or another joint, that comes along."""

    what: str
    moves: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way to bring the joint where it stands best."""

    number: int
    title: str
    """HO-02 5 SMALLER."""
    mark: str
    word: str
    gain: str
    reasons: tuple[str, ...]
    amounts: tuple[AmountRow, ...]
    moved: tuple[MovedRow, ...]
    shown: str
    """The sizes and how far they go, sent beside the number: the ways may change meanwhile."""
    asked: str
    """What the joint asks already: two ways at once would go too far; empty where it can be asked for."""
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandRow:
    """What the joint asks of a size, and the form that drops it."""

    size: str
    name: str
    asks: str
    reason: str
    made: str
    state: str
    href: str
    link: str
    form: Any
    """None where it is dropped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelSection:
    """Which steel moves the joint."""

    lead: str
    open_ways: tuple[WayRow, ...]
    folded_ways: tuple[WayRow, ...]
    why_not: tuple[str, ...]
    demands: tuple[DemandRow, ...]
    refusal: str
    """Why a way could not be asked for."""


def steel_section(
    found: JointFound,
    *,
    made_by: str = "",
    refusal: str = "",
    refused: Mapping[str, SetAsideForm] | None = None,
) -> SteelSection | None:
    """The section; None where no steel is spoken of. `refused` has the form of a demand, by its size."""
    steel = found.steel
    if steel is None and not found.demands:
        return None
    ways = [
        _way(i, one, found, made_by) for i, one in enumerate(steel.candidates if steel is not None else (), 1)
    ]
    return SteelSection(
        lead=_lead(found),
        open_ways=tuple(ways[:WAYS_OPEN]),
        folded_ways=tuple(ways[WAYS_OPEN:]),
        why_not=tuple(map(sentence, steel.why_not)) if steel is not None else (),
        demands=tuple(_demand(one, found, made_by, refused or {}) for one in found.demands),
        refusal=refusal,
    )


def demand_key(size: str) -> str:
    """The mark by which the fields of a demand's form are told from those of another."""
    return anchor("demand", size)


def asked_of_sizes(asked: Sequence[SizeDemanded]) -> str:
    """What is asked now, in a sentence."""
    said = [f"{one.size} at {words.number(one.target, STEEL_DECIMALS)} {one.unit}" for one in asked]
    return f"Asked for {words.listed(said)}: the correction aims at it."


def correction_href(programme: str, tool: str, trial: str) -> str:
    """The correction made from a trial."""
    return reverse("correction", args=[programme, tool, trial])


def _lead(found: JointFound) -> str:
    steel = found.steel
    if steel is None:
        return ""
    best = per_cent_of(steel.good_at_best)
    return sentence(
        f"{per_cent_of(steel.good_now)} of joints are good as the cavities stand; were every cavity where "
        f"the joint stands best, {best} would be."
    )


def _way(number: int, one: SteelCandidate, found: JointFound, made_by: str) -> WayRow:
    taken = [demand.size for demand in found.demands if not demand.dropped]
    mark, word = _standing(one)
    return WayRow(
        number=number,
        title=" and ".join(map(_title, one.demands)),
        mark=mark,
        word=word,
        gain=f"good joints {per_cent_of(one.good_before)} → {per_cent_of(one.good_after)}",
        reasons=tuple(map(sentence, one.reasons)),
        amounts=tuple(map(_amount, one.amounts)),
        moved=(*map(_also, one.also_moved), *map(_other, one.other_joints)),
        shown=way_shown(one),
        asked=f"the joint asks for {words.listed(taken)} already" if taken else "",
        form=AskForm(initial={"made_by": made_by}, auto_id=f"way{number}_%s"),
    )


def _title(one: SizeDemand) -> str:
    before, after = (words.number(value, STEEL_DECIMALS) for value in (one.mean, one.after))
    return f"{one.size} {'LARGER' if one.after > one.mean else 'SMALLER'}, {before} → {after} mm"


def _standing(one: SteelCandidate) -> tuple[str, str]:
    if one.harms:
        return "no", "another size or joint suffers"
    if one.adds_steel:
        return "no", "steel must be added"
    return ("yes", "steel-safe") if one.safe else ("doubt", "the allowance ends before")


def _amount(one: SteelAmount) -> AmountRow:
    verb = "REMOVE" if one.amount_mm > 0 else "ADD"
    before, after = (words.number(value, STEEL_DECIMALS) for value in (one.before, one.after))
    return AmountRow(
        feature=one.feature,
        cavity=one.cavity,
        cut=f"{verb} {words.amount(one.amount_mm)} mm",
        left=f"{words.number(abs(one.full_mm), STEEL_DECIMALS)} all the way; "
        f"{words.number(one.allowance_mm, STEEL_DECIMALS)} may be removed",
        size=f"{before} → {after}",
        stop="" if one.stop is Stop.NONE else one.stop.value,
    )


def _also(one: AlsoMoved) -> MovedRow:
    before, after = (words.number(value, STEEL_DECIMALS) for value in (one.before, one.after))
    return MovedRow(
        what=f"{one.size}, {words.cavity(one.cavity)}",
        moves=f"{before} → {after} mm",
        mark="no" if one.leaves else "yes",
        word="leaves its limits" if one.leaves else "stays inside",
    )


def _other(one: OtherJointAfter) -> MovedRow:
    return MovedRow(
        what=f"joint {one.joint}",
        moves=f"good {per_cent_of(one.good_before)} → {per_cent_of(one.good_after)}",
        mark="no" if one.harmed else "yes",
        word="suffers" if one.harmed else "does not suffer",
    )


def _demand(
    one: DemandSeen, found: JointFound, made_by: str, refused: Mapping[str, SetAsideForm]
) -> DemandRow:
    seen = next((size for size in found.sizes if size.size == one.size), None)
    form = refused.get(one.size) if not one.dropped else None
    made = f"{words.day(one.made_at.date())}" + (f", {one.made_by}" if one.made_by else "")
    link, href = next(_correction(seen, found), ("", ""))
    return DemandRow(
        size=one.size,
        name=one.name,
        asks=_asks(one),
        reason=sentence(one.reason),
        made=made,
        state=f"dropped: {one.dropped}" if one.dropped else "stands: the correction aims at it",
        href="" if one.dropped else href,
        link=link,
        form=None
        if one.dropped
        else form or SetAsideForm(initial={"made_by": made_by}, auto_id=f"{demand_key(one.size)}_%s"),
    )


def _correction(seen: JointSizeSeen | None, found: JointFound) -> Iterator[tuple[str, str]]:
    """Where the tool of a size is corrected from its newest trial."""
    if seen is not None and seen.tool and seen.trial:
        yield (
            f"correction of {seen.tool} after {seen.trial}",
            correction_href(found.programme, seen.tool, seen.trial),
        )


def _asks(one: DemandSeen) -> str:
    """3.929 mm, 3.804 to 3.983."""
    said = f"{words.number(one.target, one.decimals)} mm"
    if one.lower is not None and one.upper is not None:
        ends = (words.number(end, one.decimals) for end in (one.lower, one.upper))
        return f"{said}, {' to '.join(ends)} will do"
    if one.lower is not None:
        return f"{said}, at least {words.number(one.lower, one.decimals)}"
    return f"{said}, at most {words.number(one.upper, one.decimals)}" if one.upper is not None else said
