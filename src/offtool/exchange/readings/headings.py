"""What one heading says: the role of its column, or the place of its readings, its unit, its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from offtool.exchange.readings.places import Place, find_place
from offtool.exchange.readings.text import heading_key, one_line
from offtool.exchange.readings.units import Unit, split_unit
from offtool.exchange.readings.words import ROLE_OF, Role


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading as read; an empty one when no cell stands over the column."""

    text: str = ""
    """As in the file, on one line."""
    name: str = ""
    """Without its unit; empty when it is nothing but a unit."""
    role: Role | None = None
    place: Place | None = None
    unit: Unit | None = None

    @property
    def known(self) -> bool:
        return self.role is not None or self.place is not None

    @property
    def only_a_unit(self) -> bool:
        return self.unit is not None and not self.name


NO_HEADING = Heading()

_LONGEST = 200
"""A longer text is a remark; no word of the trade is looked for in it."""

_PIECES = re.compile(r"[/\\|()\[\]（）]")
_CHINESE = r"\u3400-\u9fff"
_SCRIPTS = re.compile(rf"(?<=[{_CHINESE}])\s*(?=[^\s{_CHINESE}])|(?<=[^\s{_CHINESE}])\s*(?=[{_CHINESE}])")


@lru_cache(maxsize=20_000)
def read_heading(text: str) -> Heading:
    """The heading in one cell, in any of the languages or in two of them ("Nominal 标准值")."""
    shown = one_line(text)
    if not shown or len(shown) > _LONGEST:
        return Heading(shown, shown)
    name, unit = split_unit(shown)
    role = role_of(name) if name else None
    return Heading(shown, name, role, None if role else find_place(name), unit)


def role_of(name: str) -> Role | None:
    """The role a heading names; a heading in two languages must name the same role twice."""
    known = ROLE_OF.get(heading_key(name))
    if known:
        return known
    pieces = [piece for part in _PIECES.split(name) for piece in _SCRIPTS.split(part) if heading_key(piece)]
    roles = {ROLE_OF.get(heading_key(piece)) for piece in pieces}
    return roles.pop() if len(roles) == 1 else None
