"""Where a column of readings belongs: the cavity, shot and part that its heading names."""

from __future__ import annotations

import re
from dataclasses import dataclass

from offtool.exchange.readings.text import plain, tidy
from offtool.exchange.readings.words import HEADING_WORDS, Role


@dataclass(frozen=True, slots=True)
class Place:
    """What a heading says; None where it does not. ``by_position`` when bare numbers were read by custom."""

    cavity: str | None = None
    shot: int | None = None
    part: int | None = None
    by_position: bool = False


def _any_of(role: Role) -> str:
    words = sorted({tidy(word) for word in HEADING_WORDS[role]}, key=len, reverse=True)
    return "(?:" + "|".join(map(re.escape, words)) + ")"


_LABEL = r"(?P<label>[0-9]{1,3}[a-z]?(?![a-z0-9])|[a-z](?![a-z0-9]))"
_COUNT = r"(?P<label>[0-9]{1,9})(?![0-9.,])"
_IMPRESSION = r"(?:穴|模穴|型腔|模腔|腔)(?:号|位)?"

_TOKENS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(pattern, re.IGNORECASE))
    for kind, pattern in (
        ("cavity", rf"{_any_of(Role.CAVITY)}\s*#?\s*{_LABEL}"),
        ("cavity", rf"第?\s*(?P<label>[0-9]{{1,3}})\s*[#号]?\s*{_IMPRESSION}"),
        ("cavity", r"[ckn](?P<label>[0-9]{1,3})(?![0-9])"),
        ("shot", rf"{_any_of(Role.SHOT)}\s*#?\s*{_COUNT}"),
        ("shot", r"第?\s*(?P<label>[0-9]{1,9})\s*(?:模次|模)"),
        ("part", rf"{_any_of(Role.PART)}\s*#?\s*{_COUNT}"),
        ("part", rf"{_any_of(Role.VALUE)}\s*#?\s*{_COUNT}"),
        ("value", rf"{_any_of(Role.VALUE)}(?![a-z0-9])(?P<label>)"),
        ("part", rf"[mptsx#](?=[0-9]){_COUNT}"),
        ("bare", r"(?P<label>[0-9]{1,9})(?![0-9.,a-z])\s*#?"),
    )
)
_BETWEEN = re.compile(r"[\s/,;:|()\[\]+-]*")
_LONGEST = 80

_CAVITY_AT_END = re.compile(
    rf"^(?P<name>.*\S)[\s,;/(\[-]+{_any_of(Role.CAVITY)}\s*#?\s*{_LABEL}[)\]]?$", re.IGNORECASE
)
_CAVITY_AT_START = re.compile(
    rf"^{_any_of(Role.CAVITY)}\s*#?\s*{_LABEL}[\s,;:/-]+(?P<name>\S.*)$", re.IGNORECASE
)


def find_place(heading: str) -> Place | None:
    """The place when the whole heading names one: "Cav 1 / 1", "K1-3", "穴1 #2", "Sample 4", "1".

    Two bare numbers are cavity and part, one is the part (common practice, no source).
    """
    seen = tidy(heading)
    if len(seen) > _LONGEST:
        return None
    found: dict[str, list[str]] = {}
    position = 0
    while position < len(seen):
        kind, match = next(
            ((kind, match) for kind, token in _TOKENS if (match := token.match(seen, position))), ("", None)
        )
        if not match:
            return None
        found.setdefault(kind, []).append(match["label"])
        between = _BETWEEN.match(seen, match.end())
        position = between.end() if between else match.end()
    return _placed(found)


def _placed(found: dict[str, list[str]]) -> Place | None:
    cavity, shot, part, bare = (found.get(kind, []) for kind in ("cavity", "shot", "part", "bare"))
    if len(bare) == 2 and not cavity and not part:
        cavity, part = bare[:1], bare[1:]
    elif len(bare) == 1 and not part:
        part = bare
    elif bare:
        return None
    if max(len(cavity), len(shot), len(part)) != 1:
        return None
    return Place(
        cavity=cavity_label(cavity[0]) if cavity else None,
        shot=int(shot[0]) if shot else None,
        part=int(part[0]) if part else None,
        by_position=bool(bare),
    )


def split_cavity(heading: str) -> tuple[str, str] | None:
    """The name and the cavity when a heading names both: "Peg dia, Cav 2", "Kavität 1: Zapfen"."""
    seen = tidy(heading)
    found = len(seen) <= _LONGEST and (_CAVITY_AT_END.match(seen) or _CAVITY_AT_START.match(seen))
    return (found["name"].rstrip(" ,;:/"), cavity_label(found["label"])) if found else None


def cavity_label(text: str) -> str:
    """A label as it is shown: 01 is 1, a is A."""
    return text.lstrip("0") or "0" if text.isdecimal() else text.upper()


_CAVITY_CELL = re.compile(
    rf"(?:{_any_of(Role.CAVITY)}\s*#?\s*)?(?P<label>[0-9]{{1,3}}[a-z]?|[a-z])|#\s*(?P<after>[0-9]{{1,3}})"
    rf"|第?\s*(?P<before>[0-9]{{1,3}})\s*(?:[#号]?\s*{_IMPRESSION}|[#号])",
    re.IGNORECASE,
)
_LETTER_AND_NUMBER = re.compile(r"([ckn])\s*([0-9]{1,3})", re.IGNORECASE)
_NUMBER_CELL = re.compile(
    rf"(?:(?:{_any_of(Role.SHOT)}|{_any_of(Role.PART)}|[ptsx#])\s*#?\s*)?(?P<count>[0-9]{{1,9}})\s*(?:#|号|件)?"
    r"|第?\s*(?P<cycle>[0-9]{1,9})\s*(?:模次|模)",
    re.IGNORECASE,
)


def read_cavity(text: str) -> tuple[str, str]:
    """The label in a cell of the cavity column, and the letter before it, if any ("K1" is 1 and K)."""
    seen = tidy(text)
    found = _CAVITY_CELL.fullmatch(seen)
    if found:
        return cavity_label(found["label"] or found["after"] or found["before"]), ""
    lettered = _LETTER_AND_NUMBER.fullmatch(seen)
    if lettered:
        return cavity_label(lettered[2]), lettered[1].upper()
    return plain(text), ""


def read_count(text: str) -> int | None:
    """The number in a cell of a shot or part column: "3", "Shot 3", "#3", "第3模"; None when it is none."""
    found = _NUMBER_CELL.fullmatch(tidy(text))
    return int(found["count"] or found["cycle"]) if found else None
