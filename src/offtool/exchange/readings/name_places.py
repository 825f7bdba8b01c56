"""Cavity, shot and part from the names of files: "otter_C2_S15.csv", "cav3 shot 12.csv", "part 007.csv".

Names are read by the rule for headings (`places.find_place`), applied to runs of their words. Three things
differ, since a name says more than a place: words that lead all names and look like a tool or a trial (M2,
T3) are passed over; of bare numbers only a last one counts, where no other stands before it (dates do) and it
differs from file to file; and the longest run of words that is a place is taken, the last of equals.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from offtool.exchange.readings.places import Place, find_place

_BETWEEN = re.compile(r"[\s_/\\.,;()\[\]+&=-]+")
_TOOL_OR_TRIAL = re.compile(r"[mpt][0-9]+", re.IGNORECASE)
_SUFFIX = re.compile(r"\.[A-Za-z]{1,5}$")
_BARE = re.compile(r"[0-9]{1,5}")
_LONGEST_RUN = 6
_LAST_WORDS = 12


def places_in_names(paths: Sequence[str]) -> list[Place | None]:
    """What each name says; None where it says nothing. Paths are of the files of one trial, with folders."""
    names = [_words(path) for path in paths]
    leading = _common_lead(names)
    names = [
        [word for at, word in enumerate(words) if at >= leading or not _TOOL_OR_TRIAL.fullmatch(word)]
        for words in names
    ]
    explicit = [_longest_place(words[-_LAST_WORDS:]) for words in names]
    bare = [None if place else _last_number(words) for place, words in zip(explicit, names, strict=True)]
    told = [number for number in bare if number is not None]
    counts = len(told) > 1 and len(set(told)) == len(told)
    return [
        place or (Place(part=number, by_position=True) if counts and number is not None else None)
        for place, number in zip(explicit, bare, strict=True)
    ]


def _words(path: str) -> list[str]:
    return [word for word in _BETWEEN.split(_SUFFIX.sub("", path)) if word]


def _common_lead(names: Sequence[list[str]]) -> int:
    """How many first words all names share."""
    count = 0
    for together in zip(*names, strict=False):
        if len({word.casefold() for word in together}) > 1:
            break
        count += 1
    return count


def _longest_place(words: list[str]) -> Place | None:
    for length in range(min(_LONGEST_RUN, len(words)), 0, -1):
        for start in range(len(words) - length, -1, -1):
            run = words[start : start + length]
            if not any(sign.isdigit() for sign in run[-1] + run[0]):
                continue
            place = find_place(" ".join(run))
            if place and (not place.by_position or _is_beside_a_cavity(run, words[start + length :])):
                return place
    return None


def _is_beside_a_cavity(run: list[str], behind: list[str]) -> bool:
    """Whether the one bare number of a run stands beside a cavity ("C1-3"), and no date goes on behind it."""
    bare = [word for word in run if word.isdecimal()]
    return len(bare) == 1 and len(run) > 1 and not (behind and behind[0].isdecimal())


def _last_number(words: list[str]) -> int | None:
    if not words or not _BARE.fullmatch(words[-1]) or (len(words) > 1 and words[-2].isdecimal()):
        return None
    return int(words[-1])
