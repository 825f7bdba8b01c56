"""The days of the week as the record writes them, and as people write them."""

from __future__ import annotations

WORKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
"""The days of the week as they are written in the record."""
_DAYS_CALLED = {
    "Mon": ("monday", "montag"),
    "Tue": ("tuesday", "dienstag"),
    "Wed": ("wednesday", "mittwoch"),
    "Thu": ("thursday", "donnerstag"),
    "Fri": ("friday", "freitag"),
    "Sat": ("saturday", "samstag"),
    "Sun": ("sunday", "sonntag"),
}
"""In English and in German."""


def workdays_named(words: str) -> tuple[str, ...]:
    """The days of the week that a text names, in their order; none for an empty one.

    Short and whole names, English from three letters and German from two, with spaces or commas between.
    Raises ValueError with the first word that is no day, or that could be two.
    """
    named = {_day_named(word) for word in words.replace(",", " ").split()}
    return tuple(day for day in WORKDAYS if day in named)


def _day_named(word: str) -> str:
    begun = word.rstrip(".").lower()
    found = [day for day, names in _DAYS_CALLED.items() if any(name.startswith(begun) for name in names)]
    if len(begun) < 2 or len(found) != 1:
        raise ValueError(word)
    return found[0]
