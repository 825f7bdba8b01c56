"""From when on purging to the product's colour pays: how many shots, what price, what hour, what worth."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from offtool.core.planning.colour_change.belief import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """What purging takes more than shooting as it is, and where that equals what colour-true shots are worth.

    `needs_worth` is what one shot of the trial must be worth; the others need `worth_per_shot` and say how
    many shots, or up to which price of resin and which hour of the press, the others staying as they are.
    None where something is not known; a price or an hour is None too where no price makes it pay.
    """

    more_kg: Amount
    more_minutes: Amount
    more_money: Amount | None
    needs_worth: Amount | None
    needs_shots: Amount | None
    pays_to_price: float | None
    pays_to_hour: float | None
    trial_shots: float
    worth_per_shot: float | None
    price_per_kg: float | None
    per_hour: float | None

    def worth_at(self, shots: float) -> Amount | None:
        """What one shot must be worth where so many are kept."""
        return None if self.more_money is None else self.more_money.times(1 / shots)

    def minutes_at(self, shots: float) -> Amount:
        """What each shot takes of the press more, where so many are kept."""
        return self.more_minutes.times(1 / shots)


def break_even(
    *,
    more_kg: Amount,
    more_minutes: Amount,
    price_per_kg: float | None,
    per_hour: float | None,
    trial_shots: float,
    worth_per_shot: float | None,
) -> BreakEven:
    """Where purging costs what it is worth.

    more = more kg times price + more hours times hour; it pays where shots times worth is above it.
    """
    money = _money(more_kg, more_minutes, price_per_kg, per_hour)
    shots = price = hour = None
    if money is not None and price_per_kg is not None and per_hour is not None and worth_per_shot is not None:
        shots = money.times(1 / worth_per_shot if worth_per_shot else inf)
        gain, hours = worth_per_shot * trial_shots, more_minutes.value / 60
        price = _above_nothing(gain - hours * per_hour, more_kg.value)
        hour = _above_nothing(gain - more_kg.value * price_per_kg, hours)
    return BreakEven(
        more_kg=more_kg,
        more_minutes=more_minutes,
        more_money=money,
        needs_worth=None if money is None else money.times(1 / trial_shots),
        needs_shots=shots,
        pays_to_price=price,
        pays_to_hour=hour,
        trial_shots=trial_shots,
        worth_per_shot=worth_per_shot,
        price_per_kg=price_per_kg,
        per_hour=per_hour,
    )


def _money(kg: Amount, minutes: Amount, price: float | None, per_hour: float | None) -> Amount | None:
    if price is None or per_hour is None:
        return None
    return Amount(
        value=kg.value * price + minutes.value / 60 * per_hour,
        low=kg.low * price + minutes.low / 60 * per_hour,
        high=kg.high * price + minutes.high / 60 * per_hour,
    )


def _above_nothing(left: float, by: float) -> float | None:
    """What is left for it, by how much of it; None where nothing is left."""
    if by <= 0:
        return inf
    return left / by if left > 0 else None
