"""The strokes that all drawings are made of, as SVG text.

Colours and strokes are presentation attributes: a drawing then stands alone in a PDF and passes a strict
content policy, and the class names still let a page's style sheet take over.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from offtool.reports.colours import FONTS, QUIET
from offtool.reports.plain_text import printable


def svg(name: str, width: float, height: float, said: str, inside: Iterable[str]) -> str:
    """A whole drawing; `said` is what a person who does not see it is told."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="0 0 {at(width)} {at(height)}" '
        f'width="{at(width)}" height="{at(height)}" role="img" aria-label="{xml(said)}" '
        f'font-family="{FONTS}" font-size="9" fill="{QUIET}">{"".join(inside)}</svg>'
    )


def at(place: float) -> str:
    """A place or length, to a tenth of a pixel."""
    return f"{place:.1f}".removesuffix(".0")


def xml(text: str) -> str:
    """User text as a drawing can carry it: escaped, and without the control signs that XML forbids."""
    return escape(printable(text))


def level(name: str, left: float, right: float, y: float, colour: str, stroke: float, more: str = "") -> str:
    """A level line between two places."""
    path = f"M{at(min(left, right))} {at(y)}H{at(max(left, right))}"
    return f'<path class="{name}" d="{path}" stroke="{colour}" stroke-width="{stroke:g}"{more}/>'


def upright(
    name: str, x: float, top: float, bottom: float, colour: str, stroke: float, more: str = ""
) -> str:
    """A line from top to bottom."""
    path = f"M{at(x)} {at(top)}V{at(bottom)}"
    return f'<path class="{name}" d="{path}" stroke="{colour}" stroke-width="{stroke:g}"{more}/>'


def chevron(x: float, y: float, way: int, colour: str, *, size: float) -> str:
    """An open arrow whose tip is at x, pointing left (-1) or right (1)."""
    back = at(x - way * size)
    path = f"M{back} {at(y - size)}L{at(x)} {at(y)}L{back} {at(y + size)}"
    return f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="1"/>'


def arrow_tip(
    name: str, x: float, y: float, way: int, colour: str, *, length: float = 8, half: float = 4
) -> str:
    """A filled arrow whose tip is at x."""
    back = at(x - way * length)
    path = f"M{back} {at(y - half)}L{at(x)} {at(y)}L{back} {at(y + half)}Z"
    return f'<path class="{name}" d="{path}" fill="{colour}"/>'
