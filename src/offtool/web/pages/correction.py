"""The page of a correction: what to cut, what to expect, what is not cut and why, and the steel afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.reports import words
from offtool.steps.steel_changes import (
    DirectionShrinkage,
    KeptCorrection,
    NotChanged,
    SizeExpected,
    SteelChange,
    ToolCorrection,
)
from offtool.web.drawings import Moved, ShrinkageScale, draw_moved, draw_shrinkage
from offtool.web.forms.correction import KeepChangesForm, SteelForm, change_key
from offtool.web.pages.frame import Frame, TrialPlace, trial_frame
from offtool.web.pages.trial import size_anchor

STEEL_DECIMALS = 3
STATED = {"diameter": "on diameter", "per side": "per side", "length": "in length"}
WAYS = {"flow": "along the flow", "cross": "across the flow", "thickness": "through the wall"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedRow:
    """What the next trial should find of one size."""

    size: str
    href: str
    """Where the size stands on the trial's page."""
    gets: str
    """LARGER or SMALLER."""
    now: str
    expected: str
    """With its interval."""
    confidence: str
    bar: SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One cut in one cavity."""

    key: str
    cavity: str
    is_kept: bool
    """Decided already: no tick."""
    ticked: bool
    verb: str
    """REMOVE or ADD."""
    amount: str
    stated: str
    before: str
    after: str
    allowance: str
    expected: tuple[ExpectedRow, ...]
    reason: str
    short_because: str
    """Why the cut does not go all the way; empty where it does."""
    holds_now: str
    holds_after: str
    overshoot: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureGroup:
    """All cuts of one steel feature."""

    code: str
    name: str
    part: str
    half: str
    adds: str
    """How steel is added, where any cavity asks for it."""
    rows: tuple[ChangeRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotChangedRow:
    """A size that does not hold and is not cut."""

    size: str
    href: str
    cavities: str
    why: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionRow:
    """Shrinkage along one direction: what the steel was drawn for, and what was found."""

    about: str
    allowed: str
    found: str
    explains: str
    is_off: bool
    bar: SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """A change that was decided on this trial."""

    feature: str
    cavity: str
    amount: str
    after: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionPage:
    """The correction that follows from a trial."""

    frame: Frame
    place: TrialPlace
    when: str
    headline: str
    groups: tuple[FeatureGroup, ...]
    """What to cut, feature by feature."""
    open_changes: int
    """Changes that are not decided yet."""
    form: KeepChangesForm
    not_changed: tuple[NotChangedRow, ...]
    directions: tuple[DirectionRow, ...]
    toolmaker: str
    """What earlier cuts taught about the toolmaker."""
    step: str
    """The toolmaker's step."""
    cautions: tuple[Caution, ...]
    kept: tuple[KeptRow, ...]
    steel_form: SteelForm | None
    """The steel as measured again; none where no change is waiting."""
    method: str


def open_changes(correction: ToolCorrection) -> tuple[SteelChange, ...]:
    """Changes that are proposed and not decided."""
    kept = {change_key(one) for one in correction.kept}
    return tuple(change for change in correction.changes if change_key(change) not in kept)


def correction_page(
    correction: ToolCorrection, place: TrialPlace, form: KeepChangesForm, steel_form: SteelForm
) -> CorrectionPage:
    """The page of a correction, with its two forms."""
    return CorrectionPage(
        frame=trial_frame(place, here="Correction", has_json=True),
        place=place,
        when=f"Tool {correction.tool} {correction.tool_name}".rstrip()
        + f", steel of state {correction.state}, from trial {correction.trial}",
        headline=correction.headline,
        groups=tuple(_groups(correction, place, form)),
        open_changes=len(open_changes(correction)),
        form=form,
        not_changed=tuple(_not_changed_row(one, place) for one in correction.not_changed),
        directions=tuple(_direction_rows(correction.directions)),
        toolmaker=_toolmaker(correction),
        step=words.number(correction.step_mm, STEEL_DECIMALS),
        cautions=(*correction.cautions, *correction.cutting.cautions),
        kept=tuple(map(_kept_row, correction.kept)),
        steel_form=steel_form if steel_form.waiting else None,
        method=correction.method,
    )


def _groups(correction: ToolCorrection, place: TrialPlace, form: KeepChangesForm) -> list[FeatureGroup]:
    kept = {change_key(one) for one in correction.kept}
    groups = []
    for _, found in groupby(correction.changes, key=lambda change: change.feature):
        changes = list(found)
        first = changes[0]
        rows = tuple(_change_row(change, place, change_key(change) in kept, form) for change in changes)
        adds = "" if all(change.removes for change in changes) else _adds(first)
        groups.append(
            FeatureGroup(
                code=first.feature, name=first.feature_name, part=f"{first.part} {first.part_name}".rstrip(),
                half=first.half, adds=adds, rows=rows,
            )
        )  # fmt: skip
    return groups


def _adds(change: SteelChange) -> str:
    return "steel is added by a new pin or insert" if change.by_insert else "steel is added by welding and cutting again"


def _change_row(change: SteelChange, place: TrialPlace, is_kept: bool, form: KeepChangesForm) -> ChangeRow:
    key = change_key(change)
    return ChangeRow(
        key=key,
        cavity=change.cavity,
        is_kept=is_kept,
        ticked=key in form.ticked,
        verb="REMOVE" if change.removes else "ADD",
        amount=words.number(abs(change.amount_mm), STEEL_DECIMALS),
        stated=STATED.get(change.stated, change.stated),
        before=words.number(change.size_before_mm, STEEL_DECIMALS),
        after=words.number(change.size_after_mm, STEEL_DECIMALS),
        allowance=words.number(change.allowance_left_mm, STEEL_DECIMALS),
        expected=tuple(_expected_row(one, change, place) for one in change.expected),
        reason=change.reason,
        short_because=change.short_because,
        holds_now=words.chance(change.holds_now),
        holds_after=words.chance(change.holds_after),
        overshoot=words.chance(change.overshoot),
    )


def _expected_row(one: SizeExpected, change: SteelChange, place: TrialPlace) -> ExpectedRow:
    now = words.number(one.now, one.decimals)
    expected = words.with_interval(one.expected, one.interval, one.decimals)
    confidence = words.percent(one.interval.confidence, 0)
    limits = words.between(one.lower, one.upper, decimals=one.decimals)
    said = (
        f"{one.number} {one.name}, cavity {change.cavity}: limits {limits}, now {now}, "
        f"expected {expected} ({confidence})"
    )
    moved = Moved(
        now=one.now, expected=one.expected, interval=one.interval, lower=one.lower, upper=one.upper
    )
    return ExpectedRow(
        size=f"{one.number} {one.name}".rstrip(),
        href=f"{place.address('trial')}#{size_anchor(one.part, one.number)}",
        gets=one.gets,
        now=now,
        expected=expected,
        confidence=confidence,
        bar=mark_safe(draw_moved(moved, said=said)),  # noqa: S308 it escapes what it is told
    )


def _not_changed_row(one: NotChanged, place: TrialPlace) -> NotChangedRow:
    cavities = [label or "not recorded" for label in one.cavities]
    return NotChangedRow(
        size=f"{one.part} {one.number} {one.name}".rstrip(),
        href=f"{place.address('trial')}#{size_anchor(one.part, one.number)}",
        cavities=f"{'cavity' if len(cavities) == 1 else 'cavities'} {words.listed(cavities)}",
        why=one.why,
        remedy=one.remedy,
    )


def _direction_rows(directions: Sequence[DirectionShrinkage]) -> list[DirectionRow]:
    ends = [(one.allowed, one.found.value, one.found.interval.high) for one in directions]
    scale = ShrinkageScale.of([value for three in ends for value in three])
    return [_direction_row(one, scale) for one in directions]


def _direction_row(one: DirectionShrinkage, scale: ShrinkageScale) -> DirectionRow:
    about = f"{one.resin}, {WAYS.get(one.direction, 'direction not stated')}"
    interval = one.found.interval
    allowed, found = words.percent(one.allowed), words.percent(one.found.value)
    reach = f"{words.percent(interval.low)} to {words.percent(interval.high)}"
    said = f"{about}: allowed {allowed}, found {found} ({reach})"
    return DirectionRow(
        about=about,
        allowed=allowed,
        found=f"{found} ({reach}, {words.percent(interval.confidence, 0)})",
        explains=f"explains {one.explains} of {one.sizes} sizes",
        is_off=one.off,
        bar=mark_safe(  # noqa: S308 it escapes what it is told
            draw_shrinkage(one.allowed, one.found.value, interval, scale=scale, said=said)
        ),
    )


def _toolmaker(correction: ToolCorrection) -> str:
    cutting = correction.cutting
    spread = f"a cut is taken to miss by {words.number(cutting.sd_mm, STEEL_DECIMALS)} mm (standard deviation)"
    if not cutting.cuts:
        return f"No cut has been measured again yet: {spread}."
    bias = words.number(abs(cutting.bias_mm), STEEL_DECIMALS)
    reach = words.reach(cutting.bias_uncertainty_mm, STEEL_DECIMALS)
    way = "more" if cutting.bias_mm > 0 else "less"
    cuts = f"{cutting.cuts} cut{'s' if cutting.cuts > 1 else ''}"
    return f"{cuts} measured again: {bias} ± {reach} mm {way} was removed than asked; {spread}. The amounts allow for it."


def _kept_row(one: KeptCorrection) -> KeptRow:
    verb = "REMOVE" if one.amount_mm > 0 else "ADD"
    status = f"cut into state {one.resulting_state}" if one.resulting_state else "decided, not cut yet"
    return KeptRow(
        feature=one.feature,
        cavity=one.cavity,
        amount=f"{verb} {words.number(abs(one.amount_mm), STEEL_DECIMALS)}",
        after=words.number(one.size_after_mm, STEEL_DECIMALS),
        status=status,
    )
