"""Filters for numbers and days that stand in a result as they are."""

from __future__ import annotations

from datetime import date

from django import template

from offtool.reports import words

register = template.Library()


@register.filter
def day(when: date | None) -> str:
    """14 March 2026; nothing where there is no date."""
    return words.day(when) if when else ""


@register.filter
def thousands(number: int) -> str:
    """1,440."""
    return f"{number:,}"


@register.filter
def steel(size_mm: float) -> str:
    """A steel size, to a micrometre."""
    return words.number(size_mm, 3)
