"""Which columns a sort of table may have, and what one heading says: the field, its unit, and what is said
beside it, such as "aged" or "peak-to-peak".
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from offtool.exchange.headed_tables.units import find_unit, without_unit
from offtool.exchange.readings.text import heading_key, one_line, tidy
from offtool.exchange.readings.units import Unit


class Sort(Enum):
    """What stands in the cells of a field."""

    NUMBER = "a number with a unit"
    COUNT = "a whole number"
    NAME = "a name"
    WORD = "one of a few words"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One column that a table may have; `name` is the word used in messages."""

    name: str
    words: str
    """How it is headed, separated by commas."""
    sort: Sort = Sort.NUMBER
    unit: str = ""
    """What its values are kept in."""
    unit_may_be_missing: bool = False
    """Whether a heading without a unit is taken to mean the one that is kept."""
    may_be_negative: bool = False
    may_be_a_bound: bool = False
    """Whether ">400" is a value of this field: at least so much."""


@dataclass(frozen=True, slots=True)
class Told:
    """A column and what its heading says; columns count from 0."""

    column: int
    text: str
    field: Field
    unit: Unit | None = None
    said: tuple[str, ...] = ()
    """What is said beside the field, in the words of the vocabulary."""
    number: int | None = None
    """A number behind the name: "Breakaway 2"."""


_LONGEST = 120
_SIGNS = re.compile(r"[/\\|()\[\]（）【】,;:]+")
_NUMBER_AT_END = re.compile(r"^(?P<name>.*?\S)\s*#?\s*(?P<number>[1-9][0-9]{0,2})$")


class Vocabulary:
    """The fields of one sort of table, and the words that may stand beside them in a heading.

    `beside` gives such words, separated by commas, by what they mean.
    """

    def __init__(self, fields: tuple[Field, ...], beside: Mapping[str, str] | None = None) -> None:
        self.fields = fields
        self._known = {key: one for one in fields for key in keys(one.words)}
        self._beside = {key: meaning for meaning, words in (beside or {}).items() for key in keys(words)}
        longest_first = sorted(self._beside, key=len, reverse=True)
        words = "|".join(rf"(?<![a-z]){re.escape(one)}(?![a-z])" for one in longest_first)
        self._beside_words = re.compile(words) if words else None

    def named(self, name: str) -> Field:
        """The field of that name."""
        return next(one for one in self.fields if one.name == name)

    def read(self, text: str, column: int) -> Told | None:
        """What a heading says; None where it is not known."""
        shown = one_line(text)
        if not shown or len(shown) > _LONGEST:
            return None
        for name, unit in ((shown, None), without_unit(shown)):
            found = self._field(heading_key(name))
            if found:
                said = unit or (find_unit(name) if found.unit else None)  # "Hours" is its own unit
                return Told(column, shown, found, said)
        return self._with_words_beside(shown, column)

    def _field(self, key: str) -> Field | None:
        """The field of a name, also of a name in two languages that both mean the same."""
        if key in self._known:
            return self._known[key]
        pieces = {self._known.get(tidy(piece)) for piece in _SIGNS.split(key) if piece.strip()}
        return pieces.pop() if len(pieces) == 1 else None

    def _with_words_beside(self, shown: str, column: int) -> Told | None:
        """The field once the words beside it, the unit and a number are taken off."""
        name, unit = without_unit(shown)
        bare, said = self._take_off(heading_key(_SIGNS.sub(" ", name)))
        if unit is None and self._field(bare) is None:  # "margin per hour" is a name with no unit behind it
            bare, unit = without_unit(bare)
        found, number = self._field(bare), None
        numbered = _NUMBER_AT_END.match(bare)
        if found is None and numbered:
            found, number = self._field(numbered["name"]), int(numbered["number"])
        return Told(column, shown, found, unit, said, number) if found else None

    def _take_off(self, key: str) -> tuple[str, tuple[str, ...]]:
        if self._beside_words is None:
            return key, ()
        said = tuple(dict.fromkeys(self._beside[found[0]] for found in self._beside_words.finditer(key)))
        return one_line(self._beside_words.sub(" ", key)), said


def keys(words: str) -> Iterator[str]:
    """The words of a list, in the form in which headings are looked up."""
    return (heading_key(word) for line in words.splitlines() for word in line.split(",") if word.strip())


def meanings(words: Mapping[str, str]) -> dict[str, str]:
    """Cells of a few words: what each spelling means."""
    return {
        key: meaning
        for meaning, spellings in words.items()
        for key in (*keys(spellings), heading_key(meaning))
    }
