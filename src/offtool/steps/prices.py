"""What a kg of each resin costs, and what money is given in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from offtool.core.values import nearest
from offtool.handbook.terms import LARGEST_NUMBER
from offtool.records.operations import say_prices
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented
from offtool.steps.sizes_given import DefinitionRefused


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceKnown:
    """A resin, and what a kg of it costs; None where nobody has said."""

    resin: str
    name: str
    price_per_kg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PricesKnown:
    """The resins of a programme with their prices."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    currency: str
    """Empty where nobody has said."""
    prices: tuple[PriceKnown, ...]


def prices_known(programme: str) -> PricesKnown:
    """What is known of prices. Raises NotInRecord."""
    found = find_programme(programme)
    prices = tuple(
        PriceKnown(resin=one.code, name=one.name, price_per_kg=one.price_per_kg)
        for one in found.resins.order_by("code")
    )
    return PricesKnown(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=_headline(prices),
        currency=found.currency,
        prices=prices,
    )


def keep_prices(
    programme: str, prices: Mapping[str, float | None], *, currency: str | None = None, by: str
) -> PricesKnown:
    """Say what a kg of resins costs, by code, and what money is given in; what is not named stays.

    Raises DefinitionRefused for a resin that is not known and a price that cannot be; nothing is kept then.
    """
    found = find_programme(programme)
    known = [one.resin for one in prices_known(programme).prices]
    for place, (resin, price) in enumerate(prices.items()):
        if resin not in known:
            raise DefinitionRefused("resin", f"no resin {resin!r} in {found.slug}", nearest(resin, known))
        if price is not None and not (isfinite(price) and 0 <= price <= LARGEST_NUMBER):
            remedy = "give 0 or more, or leave it blank"
            raise DefinitionRefused(f"price_{place}", f"a kg of {resin} at {price:g}", remedy)
    told = found.currency if currency is None else currency
    say_prices(found, currency=told, prices=prices, made_by=by)
    return prices_known(programme)


def _headline(prices: tuple[PriceKnown, ...]) -> str:
    missing = [one.resin for one in prices if one.price_per_kg is None]
    if not prices:
        return "The programme has no resin yet."
    if not missing:
        return "The price of every resin is known."
    return f"The price of {' and '.join(missing)} is not known."
