"""In which colour to shoot a trial: what is on the press, the product's, or a light one; and the way back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from offtool.core.colour.difference import ciede2000
from offtool.core.planning.colour_change.belief import Amount, WashoutBelief
from offtool.core.planning.colour_change.break_even import BreakEven, break_even
from offtool.core.planning.colour_change.change import ColourChange, Plastic, ShotCosts, colour_change
from offtool.core.planning.colour_change.meeting import is_of_resin_unsaid
from offtool.core.values import Caution, ImpossibleInput
from offtool.handbook.colour_changes import (
    ANY_RESIN,
    LIGHT_FROM,
    NATURAL_LAB,
    SEEN_ON_LIGHT,
    USUAL_LIMIT_DE,
    same_resin,
)
from offtool.handbook.defects import AT_THE_PRESS, PRACTICE
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.handbook.trial_purposes import TRIAL_PURPOSES

NATURAL = "natural"


class ColourWay(StrEnum):
    """In which colour a trial is shot."""

    AS_IT_IS = "the colour on the press"
    PRODUCT = "the colour of the product"
    LIGHT = "a light colour"


@dataclass(frozen=True, slots=True, kw_only=True)
class Interrupted:
    """The job that the trial interrupts, and what its way back takes. None where nobody has said.

    `back` is what one of its shots takes; without it, it is reckoned with the trial's.
    """

    back: ShotCosts | None = None
    restart_min: float | None = None
    margin_per_h: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourOption:
    """One way, all counted: there, the trial, and back to the job. `cannot` are asked purposes that it does
    not serve, `harder` those that are served less well."""

    way: ColourWay
    plastic: Plastic
    there: ColourChange
    back: ColourChange
    trial_shots: float
    shots: Amount
    """Shots on the way there and back, without those of the trial."""
    purge_kg: Amount
    kg: Amount
    minutes: Amount
    money: Amount | None
    right_colour: bool
    right_resin: bool
    cannot: tuple[TrialPurpose, ...]
    harder: tuple[TrialPurpose, ...]
    words: str

    @property
    def is_forbidden(self) -> bool:
        """Whether resins would meet that must never meet, but for a full purge."""
        return self.there.never is not None or self.back.never is not None

    @property
    def is_ruled_out(self) -> bool:
        """Whether the parts cannot be shot in what is on the press: another resin, or it would not serve."""
        return self.way is ColourWay.AS_IT_IS and (not self.right_resin or bool(self.cannot))


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourDecision:
    """The ways, the recommended one first, and from when on purging to the product's colour pays."""

    options: tuple[ColourOption, ...]
    why: str
    words: str
    break_even: BreakEven | None
    purposes: tuple[TrialPurpose, ...]
    wish: ColourWish
    missing: tuple[str, ...]
    """What would have to be known to say all of it; each with what it would settle."""
    limit_de: float
    trial_shots: float
    worth_per_shot: float | None
    never: tuple[Caution, ...] = ()
    """Rules that hurt people when they are broken; they stand first wherever this is shown."""
    cautions: tuple[Caution, ...] = ()

    @property
    def recommended(self) -> ColourOption:
        return self.options[0]


def decide_colour(
    running: Plastic,
    product: Plastic,
    *,
    belief: WashoutBelief,
    costs: ShotCosts,
    trial_shots: float,
    purposes: Sequence[TrialPurpose],
    wish: ColourWish = ColourWish.ANY,
    light: Plastic | None = None,
    job: Interrupted | None = None,
    worth_per_shot: float | None = None,
    limit_de: float = USUAL_LIMIT_DE,
) -> ColourDecision:
    """Whether to shoot in what is on the press, purge to the product's colour, or purge to a light one.

    Of each way: purge there + trial + purge back + restart, in shots, kg and minutes; money = kg times price
    + hours times (press + lost margin), where both are known. First come ways that serve all that is asked,
    the cheapest of them first; `worth_per_shot` is what one shot in the product's colour is worth.
    What is on the press comes last where it is of another resin than the parts, or does not serve what is
    asked.

    Returns: ColourDecision. Raises: ImpossibleInput for a trial without shots, or a colour that no surface
    has.

    Holds when: the job goes on after the trial in the colour and resin it ran in. Ends of intervals of the
    way there and back are added, as both are slow on a slow press.
    """
    _refuse_impossible(trial_shots, worth_per_shot)
    asked = tuple(dict.fromkeys(purposes))
    job = job or Interrupted()
    reckon = _Reckoning(running, product, belief, costs, trial_shots, asked, job, limit_de)
    light = light or Plastic(name=NATURAL, lab=NATURAL_LAB, resin=product.resin)
    options = [reckon.option(ColourWay.AS_IT_IS, running)]
    if not options[0].right_colour or not options[0].right_resin:
        options.append(reckon.option(ColourWay.PRODUCT, product))
    if _worth_a_light_way(running, product, light):
        options.append(reckon.option(ColourWay.LIGHT, light))
    ordered = tuple(sorted(options, key=lambda one: _rank(one, wish, worth_per_shot)))
    return ColourDecision(
        options=ordered,
        why=_why(ordered, wish),
        words=ordered[0].words,
        break_even=_break_even(ordered, costs, job, worth_per_shot),
        purposes=asked,
        wish=wish,
        missing=tuple(_missing(running, product, costs, job)),
        limit_de=limit_de,
        trial_shots=trial_shots,
        worth_per_shot=worth_per_shot,
        never=tuple(_rules(ordered)),
        cautions=tuple(_cautions(ordered)),
    )


@dataclass(frozen=True, slots=True)
class _Reckoning:
    """What all ways have in common."""

    running: Plastic
    product: Plastic
    belief: WashoutBelief
    costs: ShotCosts
    trial_shots: float
    asked: tuple[TrialPurpose, ...]
    job: Interrupted
    limit_de: float

    def option(self, way: ColourWay, plastic: Plastic) -> ColourOption:
        there = self._change(self.running, plastic, self.costs)
        back = self._change(plastic, self.running, self.job.back or self.costs)
        purge = _sum(there.kg, back.kg)
        trial_kg = self.trial_shots * self.costs.shot_g / 1000
        kg = _more(purge, trial_kg)
        run = self.trial_shots * self.costs.cycle_s / 60 + (self.job.restart_min or 0.0)
        minutes = _more(_sum(there.minutes, back.minutes), run)
        right_colour = _within(plastic, self.product, self.limit_de)
        right_resin = same_resin(plastic.resin, self.product.resin)
        cannot = tuple(one for one in self.asked if not _serves(one, right_colour, right_resin))
        harder = tuple(one for one in self.asked if one in SEEN_ON_LIGHT and not _is_light(plastic))
        shots = _sum(there.shots, back.shots)
        return ColourOption(
            way=way,
            plastic=plastic,
            there=there,
            back=back,
            trial_shots=self.trial_shots,
            shots=shots,
            purge_kg=purge,
            kg=kg,
            minutes=minutes,
            money=money_of(kg, minutes, self.costs, self.job.margin_per_h),
            right_colour=right_colour,
            right_resin=right_resin,
            cannot=cannot,
            harder=harder,
            words=_words(way, plastic, there, back, minutes, kg, "" if right_resin else self.product.resin),
        )

    def _change(self, old: Plastic, new: Plastic, costs: ShotCosts) -> ColourChange:
        return colour_change(old, new, belief=self.belief, costs=costs, limit_de=self.limit_de)


def money_of(kg: Amount, minutes: Amount, costs: ShotCosts, margin_per_h: float | None) -> Amount | None:
    """What resin and time come to; None without a price or what the press costs.

    A margin that nobody has said counts as nothing, and stands among what is missing.
    """
    if costs.price_per_kg is None or costs.per_hour is None:
        return None
    rate = (costs.per_hour + (margin_per_h or 0.0)) / 60
    return _sum(kg.times(costs.price_per_kg), minutes.times(rate))


def _refuse_impossible(trial_shots: float, worth_per_shot: float | None) -> None:
    if not trial_shots > 0:
        raise ImpossibleInput(
            "trial_shots", trial_shots, "", "must be above 0", "say how many shots are to be kept"
        )
    if worth_per_shot is not None and not worth_per_shot >= 0:
        raise ImpossibleInput("worth_per_shot", worth_per_shot, "", "must be at least 0")


def _sum(one: Amount, other: Amount) -> Amount:
    return Amount(value=one.value + other.value, low=one.low + other.low, high=one.high + other.high)


def _more(one: Amount, more: float) -> Amount:
    return Amount(value=one.value + more, low=one.low + more, high=one.high + more)


def _within(one: Plastic, other: Plastic, limit_de: float) -> bool:
    if one == other or (one.lab is None and other.lab is None and one.name == other.name):
        return True
    if one.lab is None or other.lab is None:
        return False
    return float(ciede2000(one.lab, other.lab)) <= limit_de


def _is_light(plastic: Plastic) -> bool:
    return plastic.lab is None or plastic.lab[0] >= LIGHT_FROM


def _serves(purpose: TrialPurpose, right_colour: bool, right_resin: bool) -> bool:
    if TRIAL_PURPOSES[purpose].right_colour and not right_colour:
        return False
    return right_resin or purpose in ANY_RESIN


def _worth_a_light_way(running: Plastic, product: Plastic, light: Plastic) -> bool:
    """A light way of its own, unless what runs or what is wanted is light and of the right resin already."""
    runs_light = _is_light(running) and same_resin(running.resin, product.resin)
    return _is_light(light) and not runs_light and not _is_light(product)


def _rank(
    option: ColourOption, wish: ColourWish, worth_per_shot: float | None
) -> tuple[bool, bool, bool, int, float]:
    """What is ruled out last, then forbidden; then against the wish; then what is not served; then the cost
    less the worth."""
    against = (wish is ColourWish.THIS and not option.right_colour) or (
        wish is ColourWish.LIGHT and not _is_light(option.plastic)
    )
    cost = option.minutes.value if option.money is None else option.money.value
    if option.money is not None and option.right_colour and option.right_resin and worth_per_shot is not None:
        cost -= worth_per_shot * option.trial_shots
    return option.is_ruled_out, option.is_forbidden, against, len(option.cannot), cost


def _break_even(
    options: Sequence[ColourOption], costs: ShotCosts, job: Interrupted, worth_per_shot: float | None
) -> BreakEven | None:
    """Of the product's colour beside what is on the press; None where they are one, where it is forbidden,
    and where the press runs another resin, whose parts are no choice."""
    by_way = {one.way: one for one in options}
    if ColourWay.PRODUCT not in by_way:
        return None
    purged, as_is = by_way[ColourWay.PRODUCT], by_way[ColourWay.AS_IT_IS]
    if purged.is_forbidden or not as_is.right_resin:
        return None
    return break_even(
        more_kg=_difference(purged.kg, as_is.kg),
        more_minutes=_difference(purged.minutes, as_is.minutes),
        price_per_kg=costs.price_per_kg,
        per_hour=None if costs.per_hour is None else costs.per_hour + (job.margin_per_h or 0.0),
        trial_shots=purged.trial_shots,
        worth_per_shot=worth_per_shot,
    )


def _difference(one: Amount, other: Amount) -> Amount:
    """What one takes more than another that has no spread of its own: nothing is purged there."""
    return Amount(value=one.value - other.value, low=one.low - other.low, high=one.high - other.high)


def _words(
    way: ColourWay, plastic: Plastic, there: ColourChange, back: ColourChange, minutes: Amount, kg: Amount,
    parts_of: str,
) -> str:  # fmt: skip
    total = f"{minutes.value:.0f} min and {kg.value:.2g} kg in all"
    if way is ColourWay.AS_IT_IS and parts_of:
        return (
            f"Not in {plastic.name}, which is on the press: it is {plastic.resin}, the parts are {parts_of}"
        )
    if there.never is not None or back.never is not None:
        return f"Another press. On this one {plastic.name} only after a full purge, there and back: {total}"
    if way is ColourWay.AS_IT_IS:
        return f"Shoot in {plastic.name}, which is on the press: {total}"
    return (
        f"Purge to {plastic.name}: {there.shots.value:.0f} shots there, {back.shots.value:.0f} back, {total}"
    )


def _why(options: Sequence[ColourOption], wish: ColourWish) -> str:
    best = options[0]
    if best.is_forbidden:
        return "every way brings resins together that must never meet: take another press"
    others = [one for one in options[1:] if not one.is_forbidden]
    if best.cannot and any(not one.cannot for one in others):
        return f"a light colour is asked for; {_named(best.cannot)} will not be answered"
    if best.cannot:
        return f"nothing serves all that is asked: {_named(best.cannot)} will not be answered"
    unfit = [one for one in others if one.cannot]
    if wish is ColourWish.THIS and best.right_colour:
        return "the colour of the product is asked for"
    if wish is ColourWish.LIGHT and _is_light(best.plastic):
        return "a light colour is asked for"
    if others and all(one.is_ruled_out and not one.right_resin for one in others):
        return f"what is on the press is {others[0].plastic.resin}, and the parts are {best.plastic.resin}"
    if unfit and len(unfit) == len(others):
        return f"no other way answers {_named(tuple(dict.fromkeys(p for one in unfit for p in one.cannot)))}"
    if best.way is ColourWay.AS_IT_IS:
        return "nothing that is asked needs another colour, and nothing is purged"
    return "of the ways that answer all that is asked it costs least"


def _named(purposes: Sequence[TrialPurpose]) -> str:
    return ", ".join(one.value for one in purposes)


def _missing(running: Plastic, product: Plastic, costs: ShotCosts, job: Interrupted) -> Iterator[str]:
    for plastic in (running, product):
        if plastic.lab is None:
            yield f"the colour of {plastic.name}: how many shots it takes"
        if not plastic.resin.strip():
            yield f"the resin of {plastic.name}: whether the two may meet"
    for one in costs.missing():
        yield f"{one}: what the ways cost"
    if job.margin_per_h is None:
        yield "what the job loses for each hour it stands: it is counted as nothing"
    if job.restart_min is None:
        yield "how long the job takes to give good parts again: it is counted as nothing"
    if job.back is None:
        yield "shot weight and cycle of the job: the way back is reckoned with those of the trial"


def _cautions(options: Sequence[ColourOption]) -> Iterator[Caution]:
    """Rules that hurt people first, once each."""
    found = dict.fromkeys(
        caution for one in options for change in (one.there, one.back) for caution in change.cautions
    )
    rules = _rules(options)
    yield from rules
    unsaid = [one for one in found if is_of_resin_unsaid(one)]
    yield from unsaid
    if options[0].harder:
        yield Caution(
            f"{options[0].plastic.name} is dark: sinks, flow lines and flash are seen less well on it.",
            PRACTICE,
        )
    if not options[0].right_colour:
        yield Caution(
            "Parts in another colour are tagged at the press or destroyed: they get mixed up, and out.",
            PRACTICE,
        )
    yield from (one for one in found if one not in (*rules, *unsaid, AT_THE_PRESS))
    yield AT_THE_PRESS


def _rules(options: Sequence[ColourOption]) -> tuple[Caution, ...]:
    """Of resins that would meet on any of the ways and never must."""
    changes = [change for one in options for change in (one.there, one.back) if change.never is not None]
    return tuple(dict.fromkeys(change.cautions[0] for change in changes))
