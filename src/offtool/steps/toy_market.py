"""For whom the toy is: where it is sold, for which ages, what it weighs, and when it should be released."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from offtool.core.values import ImpossibleInput
from offtool.handbook.toy_law import Market, markets_named
from offtool.records.operations import define_market
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketKnown:
    """What is said of it already."""

    programme: str
    programme_title: str
    invented: bool
    markets: tuple[Market, ...]
    from_months: float | None
    to_months: float | None
    mass_kg: float | None
    release_due: date | None


def know_market(programme: str) -> MarketKnown:
    """For whom it is, as far as it is said. Raises NotInRecord."""
    found = find_programme(programme)
    return MarketKnown(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        markets=markets_named(found.markets),
        from_months=found.from_months,
        to_months=found.to_months,
        mass_kg=found.mass_kg,
        release_due=found.release_due,
    )


def say_market(programme: str, said: dict[str, Any], *, made_by: str) -> None:
    """Write what is said; columns that are not named stay.

    Raises NotInRecord; ImpossibleInput for ages that are not in order; OfftoolError for an unknown market.
    """
    found = find_programme(programme)
    youngest = said.get("from_months", found.from_months)
    oldest = said.get("to_months", found.to_months)
    if youngest is not None and oldest is not None and not oldest > youngest:
        limit = f"must be above the youngest age, {youngest:g}"
        raise ImpossibleInput("to_months", f"{oldest:g}", "months", limit, "swap or correct them")
    define_market(found, said, made_by=made_by)
