"""The page of a change of colour: how long it takes, what to do, the decision, the table of all changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from offtool.core.planning.colour_change import (
    Amount,
    ChangeCurve,
    ChangeFit,
    ColourChange,
    ColourDecision,
    ColourOption,
)
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.break_even_drawing import break_even_in_words, draw_break_even
from offtool.reports.washout_drawing import draw_washout, shots_in_words
from offtool.steps.colour_found import ChangeCell, ChangeSeen, ColourFound, ColourPlace, PlasticSeen
from offtool.steps.colour_sentences import MEASURE
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import sentence
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.swatch import draw_patch

WIDE = 560.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionLine:
    """One thing to do, and where it is done."""

    do: str
    because: str
    href: str
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One way to shoot the trial."""

    way: str
    plastic: str
    shots: str
    kg: str
    minutes: str
    money: str
    """Empty where prices are not known."""
    judges: str
    mark: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionShown:
    """The ways beside each other, and when purging pays."""

    why: str
    rows: tuple[WayRow, ...]
    has_money: bool
    break_even: SafeString | str
    says: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellShown:
    """One change of the table."""

    says: str
    mark: str
    more: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """All changes from one plastic."""

    name: str
    patch: SafeString | str
    cells: tuple[CellShown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredRow:
    """One measured change, and the form that sets it aside."""

    name: str
    what: str
    when: str
    file: str
    file_href: str
    state: str
    drawing: SafeString | str
    says: str
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourShown:
    """All that was found."""

    when: str
    headline: str
    never: Caution | None
    """The rule that hurts people where it is broken; it stands before everything."""
    actions: tuple[ActionLine, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    there: SafeString | str
    there_says: str
    back: SafeString | str
    back_says: str
    decision: DecisionShown | None
    names: tuple[str, ...]
    table: tuple[TableRow, ...]
    fit_says: str
    told: tuple[Fact, ...]
    measured: tuple[MeasuredRow, ...]
    read_href: str
    here: str
    press: str
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourPage:
    """The question, and the answer where there is one."""

    frame: Frame
    form: Any
    refusal: str
    shown: ColourShown | None
    presses_href: str
    """Where presses and jobs are written down."""


def colour_page(
    place: ColourPlace,
    form: Any,
    found: ColourFound | None,
    *,
    refusal: str = "",
    as_json: str = "",
    made_by: str = "",
    refused: Mapping[str, SetAsideForm] | None = None,
) -> ColourPage:
    """The page; `refused` has the form of the change that could not be set aside."""
    programme = Crumb(text=place.programme_title, href=reverse("programme", args=[place.programme]))
    return ColourPage(
        frame=Frame(
            title=f"Change of colour, {place.programme_title}",
            crumbs=(programme, Crumb(text="Change of colour")),
            invented=place.invented,
            as_json=as_json,
        ),
        form=form,
        refusal=sentence(refusal) if refusal else "",
        shown=_shown(found, made_by, refused or {}) if found is not None else None,
        presses_href=reverse("ground", args=[place.programme]),
    )


def _shown(found: ColourFound, made_by: str, refused: Mapping[str, SetAsideForm]) -> ColourShown:
    never = found.cautions[0] if found.there.never is not None else None
    tool = f", tool {found.tool}" if found.tool else ""
    return ColourShown(
        when=f"{found.old.plastic.name} to {found.new.plastic.name} on {found.press}{tool}, "
        f"{words.day(found.on)}",
        headline=found.headline,
        never=never,
        actions=tuple(_action(one, found) for one in found.actions),
        facts=found.rests_on,
        cautions=tuple(one for one in found.cautions if one is not never),
        there=_curve(found, back=False),
        there_says=_says(found.there, found.curve_there),
        back=_curve(found, back=True),
        back_says=sentence(f"the way back: {found.back.words}"),
        decision=_decision(found.decision, found.currency) if found.decision is not None else None,
        names=tuple(one.words for one in found.plastics),
        table=tuple(_row(one, cells, found) for one, cells in zip(found.plastics, found.table, strict=True)),
        fit_says=sentence(found.fit.words) if found.fit is not None else "",
        told=tuple(_told(found)),
        measured=tuple(_measured(one, found, made_by, refused) for one in found.observed),
        read_href=reverse("read_colour", args=[found.programme, found.press]),
        here=reverse("colour", args=[found.programme]),
        press=found.press,
        method=found.method,
    )


def _action(one: Action, found: ColourFound) -> ActionLine:
    leads = {
        MEASURE: (reverse("read_colour", args=[found.programme, found.press]), "Read a file of shots"),
        "decision": ("#decision", "the ways beside each other"),
        "press": (reverse("ground_press", args=[found.programme, found.press]), f"numbers of {found.press}"),
    }
    href, link = leads.get(one.leads_to, ("", ""))
    return ActionLine(do=one.do, because=one.because, href=href, link=link)


def _curve(found: ColourFound, *, back: bool) -> SafeString | str:
    curve, change = (found.curve_back, found.back) if back else (found.curve_there, found.there)
    if curve is None or change.never is not None:
        return ""
    measured = _measured_of(found, change.old.lab, change.new.lab)
    return mark_safe(  # noqa: S308 our own drawing
        draw_washout(
            curve,
            limit_de=change.limit_de,
            passes_after=change.shots,
            new_name=change.new.name,
            measured=measured,
            width=WIDE,
        )
    )


def _says(change: ColourChange, curve: ChangeCurve | None) -> str:
    """The change in words; where the resin takes longer than the colour, that too."""
    said = sentence(change.words)
    if curve is None or not change.resin_changes:
        return said
    passes = next(
        (n for n, off in zip(curve.shots, curve.difference, strict=True) if off <= change.limit_de), None
    )
    if passes is None or passes > change.shots.value:
        return said
    return f"{said} The colour alone passes from about shot {passes} on; the old resin decides."


def _measured_of(found: ColourFound, old: object, new: object) -> tuple[tuple[int, float], ...]:
    """The shots of a measured change of the same two colours and weight, where there is one."""
    for one in found.observed:
        if one.fit is None or one.fit.change.purged_g:
            continue
        same_shot = abs(one.fit.change.shot_g / found.shot.shot_g - 1) < SAME_WEIGHT
        if same_shot and _near(one.fit.change.old, old) and _near(one.fit.change.new, new):
            return one.fit.measured
    return ()


SAME_WEIGHT = 0.1
"""Shots that weigh so nearly the same stand on one axis."""
SAME_COLOUR = 1.5


def _near(one: object, other: object) -> bool:
    if not isinstance(one, tuple) or not isinstance(other, tuple):
        return False
    return all(abs(x - y) <= SAME_COLOUR for x, y in zip(one, other, strict=True))


def _decision(decision: ColourDecision, currency: str) -> DecisionShown:
    has_money = any(one.money is not None for one in decision.options)
    pays = decision.break_even
    drawn = draw_break_even(pays, currency=currency, width=WIDE) if pays is not None else ""
    return DecisionShown(
        why=sentence(decision.why),
        rows=tuple(_way(one, currency, is_first=place == 0) for place, one in enumerate(decision.options)),
        has_money=has_money,
        break_even=mark_safe(drawn) if drawn else "",  # noqa: S308 our own drawing
        says=sentence(break_even_in_words(pays, currency=currency)) if drawn and pays is not None else "",
        missing=tuple(map(sentence, decision.missing)),
    )


def _way(one: ColourOption, currency: str, *, is_first: bool) -> WayRow:
    if one.is_forbidden:
        mark, word = "no", "never without a full purge"
    elif one.cannot:
        mark, word = "doubt", f"says nothing of {_listed(one.cannot)}"
    else:
        mark, word = "yes", "serves all that is asked"
    harder = f"; less well seen: {_listed(one.harder)}" if one.harder else ""
    return WayRow(
        way=f"{one.way.value[:1].upper()}{one.way.value[1:]}" + (", recommended" if is_first else ""),
        plastic=one.plastic.name,
        shots=f"{one.there.shots.value:.0f} there, {one.back.shots.value:.0f} back",
        kg=_amount(one.kg, 1),
        minutes=_amount(one.minutes, 0),
        money=f"{_amount(one.money, 0)} {currency}".rstrip() if one.money is not None else "",
        judges=word + harder,
        mark=mark,
        word=word,
    )


def _listed(purposes: tuple[Any, ...]) -> str:
    return ", ".join(one.value for one in purposes)


def _amount(amount: Amount, decimals: int) -> str:
    """4.2 (3.1 to 6.0); alone where there is no interval."""
    value, low, high = (words.number(one, decimals) for one in (amount.value, amount.low, amount.high))
    return value if low == high else f"{value} ({low} to {high})"


def _row(seen: PlasticSeen, cells: tuple[ChangeCell | None, ...], found: ColourFound) -> TableRow:
    return TableRow(
        name=seen.words,
        patch=draw_patch(seen.on_screen, seen.plastic.name),
        cells=tuple(map(_cell, cells)),
    )


def _cell(cell: ChangeCell | None) -> CellShown:
    if cell is None:
        return CellShown(says="–", mark="", more="")
    if cell.never:
        return CellShown(says="never", mark="no", more="not before the barrel is purged empty")
    shots = words.number(cell.shots.value, 0)
    more = f"{shots_in_words(cell.shots)}, {_amount(cell.kg, 1)} kg, {_amount(cell.minutes, 0)} min"
    return CellShown(says=shots if cell.is_known else f"{shots}?", mark="", more=more)


def _told(found: ColourFound) -> Iterator[Fact]:
    """What the measured shots say of the press, number by number."""
    if found.fit is None:
        return
    for one in found.fit.numbers:
        about, decimals = NUMBERS[one.name]
        told = "" if one.narrowed else "; the shots do not tell it"
        yield Fact(
            about=about, says=f"{_amount(one.after, decimals)}, before {_amount(one.before, decimals)}{told}"
        )


NUMBERS = {
    "contents_g": ("Barrel and feed hold, g", 0),
    "plug": ("Share that moves unmixed", 2),
    "tanks": ("Stirred volumes in series", 1),
    "slow": ("Share in slow corners", 2),
    "slow_stay": ("Contents until slow corners are at 37 %", 1),
}


def _measured(
    one: ChangeSeen, found: ColourFound, made_by: str, refused: Mapping[str, SetAsideForm]
) -> MeasuredRow:
    form = refused.get(one.name) or SetAsideForm(
        initial={"made_by": made_by}, auto_id=f"change{one.change_id}_%s"
    )
    colours = f"{one.old_name or 'old'} to {one.new_name or 'new'}"
    note = f". {one.note}" if one.note else ""
    return MeasuredRow(
        name=one.name,
        what=f"{colours}, {one.shots} shots{note}",
        when=words.day(one.done_on) if one.done_on else "",
        file=one.file,
        file_href=reverse("colour_file", args=[found.programme, found.press, one.change_id]),
        state=f"set aside: {one.set_aside}" if one.set_aside else "counts",
        drawing=_fit_drawing(one.fit) if one.fit is not None else "",
        says=_fit_says(one.fit) if one.fit is not None else "",
        form=None if one.set_aside else form,
    )


def _fit_drawing(fit: ChangeFit) -> SafeString:
    return mark_safe(  # noqa: S308 our own drawing
        draw_washout(
            fit.curve,
            limit_de=fit.limit_de,
            passes_after=fit.shots_needed,
            new_name=fit.change.new_name,
            measured=fit.measured,
            width=WIDE,
        )
    )


def _fit_says(fit: ChangeFit) -> str:
    return sentence(
        f"by the fit {shots_in_words(fit.shots_needed)} of {fit.change.shot_g:g} g are outside "
        f"ΔE {fit.limit_de:g}; the last measured is {fit.last_difference:.1f} off"
    )
