"""A drawing taken apart again: its elements by class, the places they reach, what stands written in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
STEP = re.compile(r"([MLHV])([^MLHVZ]*)")


@dataclass(frozen=True)
class Mark:
    """One element: its class, the group it stands in, and all places it goes through, its stroke aside."""

    kind: str
    name: str
    group: str
    places: tuple[tuple[float, float], ...]

    @property
    def left(self) -> float:
        return min(x for x, _ in self.places)

    @property
    def right(self) -> float:
        return max(x for x, _ in self.places)

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


@dataclass(frozen=True)
class Drawing:
    """All marks of a drawing, and the size of its view."""

    width: float
    height: float
    says: str
    marks: tuple[Mark, ...]
    texts: tuple[str, ...]

    def named(self, name: str) -> list[Mark]:
        """The marks of a class, in the order they are drawn."""
        return [mark for mark in self.marks if mark.name == name]

    @property
    def means(self) -> list[float]:
        """Where the mean of each cavity stands: its mark, or the tip of its arrow."""
        found = []
        for mark in self.marks:
            if mark.name == "dot":
                found.append(mark.middle)
            elif mark.name == "beyond":
                found.append(mark.places[1][0])
        return found

    def leaves_its_view(self) -> list[Mark]:
        """Marks with a place outside the view."""
        return [
            mark
            for mark in self.marks
            if any(not (0 <= x <= self.width and 0 <= y <= self.height) for x, y in mark.places)
        ]


def drawn(svg: str) -> Drawing:
    """Parse a drawing; raises where it is not well formed."""
    root = ElementTree.fromstring(svg)
    _, _, width, height = (float(one) for one in root.get("viewBox", "").split())
    marks: list[Mark] = []
    texts: list[str] = []
    _collect(root, "", marks, texts)
    return Drawing(width, height, root.get("aria-label", ""), tuple(marks), tuple(texts))


def _collect(element: ElementTree.Element, group: str, marks: list[Mark], texts: list[str]) -> None:
    for child in element:
        kind = child.tag.rpartition("}")[2]
        name = child.get("class", "")
        if kind == "g":
            _collect(child, name, marks, texts)
        elif kind == "text":
            texts.append("".join(child.itertext()))
            marks.append(Mark(kind, name, group, ((_number(child, "x"), _number(child, "y")),)))
        elif kind in ("path", "rect", "circle"):
            marks.append(Mark(kind, name, group, tuple(_places(kind, child))))


def _places(kind: str, child: ElementTree.Element) -> list[tuple[float, float]]:
    if kind == "rect":
        x, y = _number(child, "x"), _number(child, "y")
        return [(x, y), (x + _number(child, "width"), y + _number(child, "height"))]
    if kind == "circle":
        x, y, r = (_number(child, one) for one in ("cx", "cy", "r"))
        return [(x - r, y - r), (x + r, y + r)]
    return _path(child.get("d", ""))


def _path(path: str) -> list[tuple[float, float]]:
    assert re.fullmatch(r"(?:[MLHV][-\d. ]+|Z)+", path), path
    places: list[tuple[float, float]] = []
    x = y = 0.0
    for step, rest in STEP.findall(path):
        numbers = [float(one) for one in NUMBER.findall(rest)]
        if step == "H":
            x = numbers[0]
        elif step == "V":
            y = numbers[0]
        else:
            x, y = numbers
        places.append((x, y))
    return places


def _number(child: ElementTree.Element, name: str) -> float:
    return float(child.get(name, "0"))
