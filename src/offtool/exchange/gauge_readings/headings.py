"""What a heading of a gauge study says: the role of its column, or whose readings stand below it.

The words of measuring tables are those of `offtool.exchange.readings.words`; a study adds the repeat and the
known size of a reference part. Common words of the trade, from general knowledge.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from offtool.exchange.readings.headings import read_heading
from offtool.exchange.readings.text import heading_key, tidy
from offtool.exchange.readings.units import Unit
from offtool.exchange.readings.words import HEADING_WORDS, Role


class StudyRole(StrEnum):
    """What a column of a study is for; the value is the word used in messages."""

    PART = "part"
    OPERATOR = "operator"
    REPEAT = "repeat"
    REFERENCE = "reference"
    VALUE = "value"
    UNIT = "unit"
    OTHER = "other"


_WORDS: dict[StudyRole, str] = {
    StudyRole.PART: """
        batch, batch no, lot, lot no, gauge block
        Charge, Chargen-Nr, Los, Los-Nr, Endmaß
        零件, 零件号, 零件编号, 批次, 批号
    """,
    StudyRole.OPERATOR: """
        appraiser, person, people, name of operator, measurer
        Bediener Nr, Prüfer Nr, Person, Messperson
        评价人, 测试人, 测试员
    """,
    StudyRole.REPEAT: """
        repeat, repeats, repeat no, repetition, replicate, trial, trial no, trial number, run, run no,
        round, reading no, reading number, measurement no, measurement number, series
        Wiederholung, Wiederholungen, Wiederholung Nr, Messung Nr, Messreihe, Durchgang, Durchlauf, Reihe
        次数, 测量次数, 重复, 重复次数, 轮次, 第几次
    """,
    StudyRole.REFERENCE: """
        reference, reference value, reference size, ref, ref value, master, master value, master size,
        true value, true size, known size, known value, calibrated value, calibrated size, certified value
        Referenz, Referenzwert, Referenzmaß, Normalmaß, wahrer Wert, Kalibrierwert, Bezugswert
        参考值, 参考尺寸, 基准值, 校准值, 真值, 参照值
    """,
}


def _split(words: str) -> list[str]:
    return [word for line in words.splitlines() for piece in line.split(",") if (word := piece.strip())]


STUDY_WORDS: dict[str, StudyRole] = {
    heading_key(word): role for role, words in _WORDS.items() for word in _split(words)
}
"""The words that a study adds, in the form in which headings are looked up."""

_ROLES = {
    Role.PART: StudyRole.PART,
    Role.NUMBER: StudyRole.PART,
    Role.OPERATOR: StudyRole.OPERATOR,
    Role.VALUE: StudyRole.VALUE,
    Role.RESULT: StudyRole.VALUE,
    Role.UNIT: StudyRole.UNIT,
}
_TWO_LANGUAGES = re.compile(r"[/\\|()（）]")


@dataclass(frozen=True, slots=True)
class StudyHeading:
    """A heading as read."""

    text: str = ""
    name: str = ""
    role: StudyRole | None = None
    unit: Unit | None = None


def read_study_heading(text: str) -> StudyHeading:
    """The heading in one cell, in any of the languages."""
    found = read_heading(text)
    return StudyHeading(found.text, found.name, _role(found.name, found.role), found.unit)


def _role(name: str, otherwise: Role | None) -> StudyRole | None:
    known = STUDY_WORDS.get(heading_key(name))
    if known or not name:
        return known
    pieces = {STUDY_WORDS.get(heading_key(piece)) for piece in _TWO_LANGUAGES.split(name) if piece.strip()}
    if len(pieces) == 1 and None not in pieces:
        return pieces.pop()
    return None if otherwise is None else _ROLES.get(otherwise, StudyRole.OTHER)


def _any_of(role: StudyRole) -> str:
    words = [word for word, one in STUDY_WORDS.items() if one is role]
    words += [tidy(word) for kind, one in _ROLES.items() if one is role for word in HEADING_WORDS[kind]]
    return "(?:" + "|".join(map(re.escape, sorted(set(words), key=len, reverse=True))) + ")"


_LONGEST = 120
_BETWEEN = r"[\s/,;:|()\[\]#-]*"
_OPERATOR_WORD = re.compile(rf"^{_any_of(StudyRole.OPERATOR)}(?![a-z])\s*", re.IGNORECASE)
_PART_WORD = re.compile(rf"^{_any_of(StudyRole.PART)}(?![a-z])\s*#?\s*", re.IGNORECASE)
_REPEAT_AT_END = re.compile(
    rf"^(?P<who>.*?){_BETWEEN}(?:(?:{_any_of(StudyRole.REPEAT)}|{_any_of(StudyRole.VALUE)})\s*#?\s*)?"
    rf"(?P<repeat>[0-9]{{1,4}})[)\]]?$",
    re.IGNORECASE,
)
_MARKS_OF_A_REPEAT = {"t", "m", "r", "x", "w", "v", "no", "nr", "n", "#"}
"""Before the number of a repeat, where they stand before all of them: T1, T2; M1, M2."""


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose readings stand in a column; None where the heading does not say."""

    operator: str | None = None
    repeat: int | None = None


def whose_readings(headings: Sequence[str]) -> list[Whose]:
    """Operator and repeat of each heading: "A 1", "Anna-2", "Operator B, trial 3", "Reading 2", "Anna"."""
    found = [_whose(tidy(heading)[:_LONGEST]) for heading in headings]
    marks = {one.operator.casefold() for one in found if one.operator}
    if len(marks) == 1 and marks <= _MARKS_OF_A_REPEAT and all(one.repeat for one in found):
        return [Whose(None, one.repeat) for one in found]
    return found


def _whose(heading: str) -> Whose:
    ended = _REPEAT_AT_END.match(heading)
    who = ended["who"] if ended else heading
    who = _OPERATOR_WORD.sub("", who, count=1).strip(" /,;:|()[]#-")
    return Whose(who or None, int(ended["repeat"]) if ended else None)


def part_named(heading: str) -> str:
    """The part that a column is headed by: "3", "Part 3"."""
    seen = tidy(heading)
    return _PART_WORD.sub("", seen, count=1) or seen


def names_an_operator(heading: str) -> bool:
    """Whether a heading says by a word that an operator follows."""
    return bool(_OPERATOR_WORD.match(tidy(heading)[:_LONGEST]))
