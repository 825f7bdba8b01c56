"""What single cells of a made-up programme folder hold: nasty names, numbers at their ends, any moment."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any, TypeVar

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from offtool.handbook.terms import LARGEST_NUMBER

T = TypeVar("T")

FORMULAS = ["=1+1", "-5", "+x", "@x", "'", "'=", "''-", "\t"]
TRICKS = ["..", "/etc", "C:\\", "con", "#", "[x]", "a,b", 'q"q', "\n", "\r", "a\r\nb", " ", "\x1f", "\x7f"]
ALIKE = ["\xe9", "e\u0301", "1", "01", "T2", "T10", "t2", "\ufeff", "\u2028", "\u6a21\u5177"]
NASTY = FORMULAS + TRICKS + ALIKE

anything = st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=6)
names = st.sampled_from(NASTY) | anything
notes = st.just("") | names
sizes = st.floats(-LARGEST_NUMBER, LARGEST_NUMBER)
positive = st.floats(0, LARGEST_NUMBER, exclude_min=True)
not_negative = st.floats(0, LARGEST_NUMBER)
shrinkage = st.floats(0, 20, exclude_min=True, exclude_max=True)
not_zero = sizes.filter(bool)
days = st.none() | st.dates(date(1950, 1, 1))
moments = st.datetimes(datetime(1950, 1, 1), timezones=st.just(UTC)).map(lambda at: at.replace(fold=0))
flags = st.booleans()
json_leaves = st.none() | flags | st.integers(-(2**50), 2**50) | st.floats(-1e6, 1e6) | notes
json_objects = st.dictionaries(names, json_leaves | st.lists(json_leaves, max_size=2), max_size=2)
json_lists = st.lists(json_leaves | json_objects, max_size=2)


def words(which: Any) -> SearchStrategy[str]:
    return st.sampled_from([word.value for word in which])


def some(draw: DrawFn, of: Sequence[T], least: int = 0, most: int = 4) -> list[T]:
    """Some of them, each once, in their order."""
    chosen = draw(st.sets(st.integers(0, len(of) - 1), min_size=least, max_size=most)) if of else set()
    return [one for at, one in enumerate(of) if at in chosen]


def distinct(draw: DrawFn, least: int, most: int) -> list[str]:
    return draw(st.lists(names, min_size=least, max_size=most, unique=True))
