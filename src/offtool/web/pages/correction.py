"""The page of a correction: what to cut, what to expect, what is not cut and why, the steel afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils.safestring import SafeString, mark_safe

from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.move_bar import draw_move_bar
from offtool.steps.sentences import count
from offtool.steps.steel_changes import (
    DirectionShrinkage,
    KeptCorrection,
    NotChanged,
    SizeExpected,
    SteelChange,
    ToolCorrection,
)
from offtool.web.forms.correction import KeepChangesForm, SteelForm, change_key
from offtool.web.pages.frame import AS_JSON, Frame, TrialPlace, trial_frame
from offtool.web.pages.trial import size_anchor
from offtool.web.shrinkage_bar import draw_shrinkage_bar, widest

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
    asked: str = ""
    """What a joint asks of it; empty where the drawing's limits count."""


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
    """Steel that may still be removed afterwards, in words."""
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
class CutRow:
    """A change that was decided on this trial and has been cut."""

    feature: str
    cavity: str
    amount: str
    after: str
    state: str
    """The tool state it led to."""


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
    cut: tuple[CutRow, ...]
    steel_form: SteelForm | None
    """The steel as measured again; none where no change is waiting."""
    method: str

    @property
    def all_cut(self) -> bool:
        """Whether every change of this trial was decided and has been cut."""
        return not self.open_changes and self.steel_form is None

    @property
    def steel_form_errors(self) -> bool:
        """Whether the steel as measured again could not be recorded."""
        return self.steel_form is not None and bool(self.steel_form.errors)


def open_changes(correction: ToolCorrection) -> tuple[SteelChange, ...]:
    """Changes that are proposed and not decided."""
    kept = {change_key(one) for one in correction.kept}
    return tuple(change for change in correction.changes if change_key(change) not in kept)


def correction_page(
    correction: ToolCorrection, place: TrialPlace, form: KeepChangesForm, steel_form: SteelForm
) -> CorrectionPage:
    """The page of a correction, with its two forms."""
    return CorrectionPage(
        frame=trial_frame(place, here="Correction", as_json=AS_JSON),
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
        cut=tuple(_cut_row(one) for one in correction.kept if one.resulting_state),
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
    how = "a new pin or insert" if change.by_insert else "welding and cutting again"
    return f"steel is added by {how}"


def _change_row(change: SteelChange, place: TrialPlace, is_kept: bool, form: KeepChangesForm) -> ChangeRow:
    key = change_key(change)
    return ChangeRow(
        key=key,
        cavity=change.cavity,
        is_kept=is_kept,
        ticked=key in form.ticked,
        verb=_verb(change.amount_mm),
        amount=words.number(abs(change.amount_mm), STEEL_DECIMALS),
        stated=STATED.get(change.stated, change.stated),
        before=words.number(change.size_before_mm, STEEL_DECIMALS),
        after=words.number(change.size_after_mm, STEEL_DECIMALS),
        allowance=_allowance(change.allowance_left_mm),
        expected=tuple(_expected_row(one, place) for one in change.expected),
        reason=change.reason,
        short_because=change.short_because,
        holds_now=words.chance(change.holds_now),
        holds_after=words.chance(change.holds_after),
        overshoot=words.chance(change.overshoot),
    )


def _allowance(left_mm: float) -> str:
    left = words.number(left_mm, STEEL_DECIMALS)
    return f"allowance left {left}" if float(left) > 0 else "no allowance left"


def _expected_row(one: SizeExpected, place: TrialPlace) -> ExpectedRow:
    return ExpectedRow(
        size=f"{one.number} {one.name}".rstrip(),
        href=f"{place.address('trial')}#{size_anchor(one.part, one.number)}",
        gets=one.gets,
        now=words.number(one.now, one.decimals),
        expected=words.with_interval(one.expected, one.interval, one.decimals),
        confidence=words.percent(one.interval.confidence, 0),
        asked=one.asked_by,
        bar=mark_safe(draw_move_bar(one)),  # noqa: S308 our own drawing, without foreign text
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
    most = widest(directions)
    return [_direction_row(one, most) for one in directions]


def _direction_row(one: DirectionShrinkage, most: float) -> DirectionRow:
    interval = one.found.interval
    reach = f"{words.percent(interval.low)} to {words.percent(interval.high)}"
    return DirectionRow(
        about=f"{one.resin}, {WAYS.get(one.direction, 'direction not stated')}",
        allowed=words.percent(one.allowed),
        found=f"{words.percent(one.found.value)} ({reach}, {words.percent(interval.confidence, 0)})",
        explains=f"explains {one.explains} of {one.sizes} sizes",
        is_off=one.off,
        bar=mark_safe(draw_shrinkage_bar(one, most=most)),  # noqa: S308 our own drawing, without foreign text
    )


def _toolmaker(correction: ToolCorrection) -> str:
    cutting = correction.cutting
    sd = words.number(cutting.sd_mm, STEEL_DECIMALS)
    spread = f"a cut is taken to miss by {sd} mm (standard deviation)"
    if not cutting.cuts:
        return f"No cut has been measured again yet: {spread}."
    bias = words.number(abs(cutting.bias_mm), STEEL_DECIMALS)
    reach = words.reach(cutting.bias_uncertainty_mm, STEEL_DECIMALS)
    way = "more" if cutting.bias_mm > 0 else "less"
    removed = f"{bias} ± {reach} mm {way} was removed than asked"
    return f"{count(cutting.cuts, 'cut')} measured again: {removed}; {spread}. The amounts allow for it."


def _cut_row(one: KeptCorrection) -> CutRow:
    return CutRow(
        feature=one.feature,
        cavity=one.cavity,
        amount=f"{_verb(one.amount_mm)} {words.number(abs(one.amount_mm), STEEL_DECIMALS)}",
        after=words.number(one.size_after_mm, STEEL_DECIMALS),
        state=one.resulting_state,
    )


def _verb(amount_mm: float) -> str:
    return "REMOVE" if amount_mm > 0 else "ADD"
