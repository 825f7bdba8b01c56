"""What a cell or key of the folder may hold: how it is read, checked and written.

A cell is read from text (CSV) or from a value (TOML). Both ways meet in `check`, which knows the limits.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any

from offtool.core.values import ImpossibleInput, Range, nearest
from offtool.handbook.terms import ANY_NUMBER, LONGEST_NAME, Ends
from offtool.handbook.workdays import WORKDAYS, workdays_named

_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,19}", re.ASCII)
_SLUG = re.compile(r"[A-Za-z0-9_-]{1,50}", re.ASCII)
_JSON_ZERO_BYTE = re.compile(r"(?<!\\)(?:\\\\)*\\u0000")
_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)


class Refused(Exception):
    """A value that a cell cannot hold: what is wrong, and the remedy."""

    def __init__(self, what: str, remedy: str) -> None:
        self.what, self.remedy = what, remedy
        super().__init__(what)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One kind of content. `blank` is what an empty cell or missing key means, if it may be empty."""

    may_be_blank: bool = False
    blank: Any = None

    def parse(self, text: str) -> Any:
        """The value that a CSV cell's text stands for, unchecked."""
        return text

    def check(self, value: Any) -> Any:
        """The value as kept. Raises Refused."""
        raise NotImplementedError

    def show(self, value: Any) -> str:
        """The text of a CSV cell."""
        return str(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text(Cell):
    """Anything people write, over several lines too."""

    may_be_blank: bool = True
    blank: Any = ""
    longest: int | None = None

    def check(self, value: Any) -> str:
        """Text without zero bytes, not too long."""
        if not isinstance(value, str):
            raise Refused(f"{value!r} is no text", "put it in quotation marks")
        if "\0" in value:
            raise Refused(f"{value[:40]!r} holds a zero byte", "remove it")
        if self.longest is not None and len(value) > self.longest:
            raise Refused(f"{value[:40]!r} … has {len(value)} characters", f"use at most {self.longest}")
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Name(Text):
    """A short name. In TOML a whole number may stand for itself: cavities are 1, 2, 3."""

    may_be_blank: bool = False
    longest: int | None = LONGEST_NAME

    def check(self, value: Any) -> str:
        """A name, not too long."""
        is_number = isinstance(value, int) and not isinstance(value, bool)
        return Text.check(self, str(value) if is_number else value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern(Name):
    """A name of a fixed form."""

    form: re.Pattern[str]
    example: str

    def check(self, value: Any) -> str:
        """A name that has the form throughout."""
        name = Name.check(self, value)
        if not self.form.fullmatch(name):
            raise Refused(f"{name!r} has not the right form", f"write it like {self.example}")
        return name


def slug() -> Pattern:
    """The programme's short name."""
    return Pattern(form=_SLUG, example="harbour-otter: letters, digits, - and _, at most 50")


def sha256(*, may_be_blank: bool = False) -> Pattern:
    """The checksum of an original file."""
    blank = "" if may_be_blank else None
    return Pattern(form=_SHA256, example="64 digits 0-9 and a-f", may_be_blank=may_be_blank, blank=blank)


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Cell):
    """A number with a decimal point."""

    ends: Ends = field(default_factory=lambda: ANY_NUMBER)
    unit: str = ""
    remedy: str = "correct it"

    def parse(self, text: str) -> float:
        """Digits with a decimal point; no comma, no spaces, no words."""
        if not _NUMBER.fullmatch(text):
            raise Refused(f"{text!r} is no number", "write digits with a decimal point, such as 4.05")
        return float(text)

    def check(self, value: Any) -> float:
        """A finite number between the ends."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Refused(f"{value!r} is no number", "write digits with a decimal point, such as 4.05")
        try:
            number = float(value)
            Range(meaning="", unit=self.unit, **self.ends).refuse_impossible("", number)
        except ImpossibleInput as error:
            shown = f"{value} {self.unit}".rstrip()
            raise Refused(f"{shown} {error.limit}", self.remedy) from error
        except OverflowError as error:
            raise Refused(f"{value} is too large", self.remedy) from error
        return number

    def show(self, value: Any) -> str:
        """The shortest digits that read back as the same number."""
        return repr(float(value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole(Cell):
    """A whole number, not below the least."""

    at_least: int = 0
    at_most: int = 2**31 - 1

    def parse(self, text: str) -> int:
        """Digits only."""
        if not _WHOLE.fullmatch(text):
            raise Refused(f"{text!r} is no whole number", "write digits only")
        return int(text)

    def check(self, value: Any) -> int:
        """A whole number between the ends."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise Refused(f"{value!r} is no whole number", "write digits only")
        if not self.at_least <= value <= self.at_most:
            raise Refused(f"{value} is not from {self.at_least} to {self.at_most}", "correct it")
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag(Cell):
    """yes or no; true or false in TOML."""

    may_be_blank: bool = True
    blank: Any = False

    def parse(self, text: str) -> bool:
        """The words yes and no."""
        if text not in ("yes", "no"):
            raise Refused(f"{text!r} is neither yes nor no", "write yes or no")
        return text == "yes"

    def check(self, value: Any) -> bool:
        """True or false."""
        if not isinstance(value, bool):
            raise Refused(
                f"{value!r} is neither true nor false", "write true or false, without quotation marks"
            )
        return value

    def show(self, value: Any) -> str:
        """The words yes and no."""
        return "yes" if value else "no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Word(Cell):
    """One of the fixed words of the trade."""

    words: type[StrEnum]

    def check(self, value: Any) -> str:
        """One of the words, as written."""
        known = [word.value for word in self.words if word.value]
        if value not in known:
            raise Refused(f"{value!r} is none of: {', '.join(known)}", nearest(str(value), known))
        return str(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed(Text):
    """Several names, such as welder; booth. Fixed words stand in their order, names by the alphabet."""

    words: tuple[str, ...] = ()
    between: str = "; "

    def check(self, value: Any) -> str:
        """Each name once."""
        text = Text.check(self, value).replace(self.between.strip() or ",", self.between)
        named = {one.strip() for one in text.split(self.between) if one.strip()}
        for one in sorted(named):
            if self.words and one not in self.words:
                raise Refused(f"{one!r} is none of: {', '.join(self.words)}", nearest(one, self.words))
        return self.between.join([one for one in self.words if one in named] or sorted(named))


@dataclass(frozen=True, slots=True, kw_only=True)
class Workdays(Name):
    """Days of the week, such as Mon Tue Wed."""

    may_be_blank: bool = True

    def check(self, value: Any) -> str:
        """The days in their order, as the record writes them."""
        try:
            return " ".join(workdays_named(Name.check(self, value)))
        except ValueError as error:
            remedy = f"write days such as {' '.join(WORKDAYS[:5])}"
            raise Refused(f"{str(error)!r} is no day of the week", remedy) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Cell):
    """A date."""

    may_be_blank: bool = True

    def parse(self, text: str) -> date:
        """Year, month, day."""
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise Refused(f"{text!r} is no date", "write year-month-day, such as 2026-03-31") from error

    def check(self, value: Any) -> date:
        """A date without a time."""
        if not isinstance(value, date) or isinstance(value, datetime):
            raise Refused(f"{value!r} is no date", "write year-month-day without quotation marks: 2026-03-31")
        return value

    def show(self, value: Any) -> str:
        """Year, month, day."""
        return str(value.isoformat())


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment(Cell):
    """A date and time with its offset from UTC."""

    def parse(self, text: str) -> datetime:
        """Date and time as ISO 8601 writes them."""
        try:
            return datetime.fromisoformat(text)
        except ValueError as error:
            raise Refused(f"{text!r} is no time", "write it like 2026-03-31T14:05:00+00:00") from error

    def check(self, value: Any) -> datetime:
        """A time whose offset is known."""
        if not isinstance(value, datetime) or value.tzinfo is None:
            raise Refused(f"{value!s} has no offset from UTC", "write it like 2026-03-31T14:05:00+00:00")
        try:
            return value.astimezone(UTC)
        except OverflowError as error:
            raise Refused(f"{value!s} is out of the calendar", "correct the year") from error

    def show(self, value: Any) -> str:
        """Date and time in UTC."""
        return str(value.astimezone(UTC).isoformat())


@dataclass(frozen=True, slots=True, kw_only=True)
class Json(Cell):
    """What the program keeps for itself: a JSON object or list, on one line."""

    holds: type[dict[str, Any]] | type[list[Any]]

    def parse(self, text: str) -> Any:
        """JSON that every database can hold: no NaN, no infinity, no zero byte, no half characters."""
        try:
            value = json.loads(text)
            json.dumps(value, ensure_ascii=False, allow_nan=False).encode()
        except (ValueError, RecursionError) as error:
            raise Refused(f"{text[:40]!r} is no JSON", "leave this column as it was dumped") from error
        if _JSON_ZERO_BYTE.search(text):
            raise Refused(f"{text[:40]!r} holds a zero byte", "leave this column as it was dumped")
        return value

    def check(self, value: Any) -> Any:
        """An object or a list, as the column wants."""
        if not isinstance(value, self.holds):
            raise Refused(
                f"{str(value)[:40]!r} is no JSON {self.holds.__name__}", "leave it as it was dumped"
            )
        return value

    def show(self, value: Any) -> str:
        """One line, keys in order, so that the same content gives the same bytes."""
        return json.dumps(value, ensure_ascii=False, sort_keys=True, allow_nan=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes(Json):
    """From which moments on something was so or was not: {"2026-03-31T14:05:00+00:00": true}."""

    may_be_blank: bool = True
    blank: Any = field(default_factory=dict)
    holds: type[dict[str, Any]] = dict

    def check(self, value: Any) -> dict[str, bool]:
        """Each moment in UTC, with true or false."""
        told: dict[str, Any] = Json.check(self, value)
        moment, flag = Moment(), Flag()
        return {moment.check(moment.parse(at)).isoformat(): flag.check(is_so) for at, is_so in told.items()}

    def show(self, value: Any) -> str:
        """Blank where nothing changed."""
        return Json.show(self, value) if value else ""
