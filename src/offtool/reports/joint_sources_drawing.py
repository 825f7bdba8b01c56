"""What moves the measure of a joint: a bar a size, between and within cavities; friction stands apart."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.joints.assembled import AssembledJoint, Contribution, FrictionEffect
from offtool.reports import words
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, QUIET, WHITE
from offtool.reports.drawing import at, chevron, level, svg, upright
from offtool.reports.hatch import hatch
from offtool.reports.joint_words import contribution_in_words, friction_effect_in_words, size_of_joint
from offtool.reports.plain_text import shorten

WIDTH, ROW, TOP, BELOW, LEFT, RIGHT = 520.0, 22.0, 22.0, 20.0, 168.0, 60.0
BAR = 11.0
WORD = 10.5
MOST_SIGNS = 27
LEAST_REST = 0.005
"""A smaller rest of the variance rounds to nothing."""


def draw_contributions(assembled: AssembledJoint, *, decimals: int = 3, width: float = WIDTH) -> str:
    """Shares of the variance of the mix; friction, which is the same for all pieces, as an open bar below."""
    effect = assembled.friction_effect
    rest = assembled.rest_of_variance
    shares = [(*_ends(one),) for one in assembled.contributions]
    low = min([0.0, *(end for pair in shares for end in pair)])
    high = max([1.0, *(end for pair in shares for end in pair)])
    x = Scale(low, high, LEFT, width - RIGHT)
    rows: list[tuple[str, str]] = [
        (_size(one, x, _middle(i), width), contribution_in_words(one, unit=assembled.unit))
        for i, one in enumerate(assembled.contributions)
    ]
    if abs(rest) >= LEAST_REST:
        rows.append(
            (_rest(rest, x, _middle(len(rows)), width), f"bends, sizes together: {words.percent(rest, 0)}")
        )
    if effect is not None:
        said = friction_effect_in_words(effect, decimals=decimals, unit=assembled.unit)
        rows.append((_friction(effect, x, _middle(len(rows)), width), said))
    bottom = TOP + ROW * len(rows)
    inside = [*_key(), *_axis(x, bottom), *(hovered(drawn, said) for drawn, said in rows)]
    return svg(
        "sources", width, bottom + BELOW, "; ".join(said for _, said in rows) or "nothing varies", inside
    )


def _middle(row: int) -> float:
    return TOP + ROW * (row + 0.5)


def _ends(one: Contribution) -> tuple[float, float]:
    """The share of the cavities, and where the pieces' own share ends after it."""
    return one.between, one.between + one.within


def _key() -> Iterator[str]:
    x = LEFT
    for fill, says in ((MARK, "between cavities"), (WHITE, "within a cavity")):
        yield _field(x, 5, 14, 9, fill)
        if fill == WHITE:
            yield hatch(x, 5, 14, 9, MARK)
        yield text(says, x + 19, 13, size=WORD)
        x += 126


def _axis(x: Scale, bottom: float) -> Iterator[str]:
    for share in x.ticks(4):
        yield upright("tick", x.at(share), TOP, bottom, LINE, 0.7)
        yield text(words.percent(share, 0), x.at(share), bottom + 14, anchor="middle", size=WORD)
    yield upright("zero", x.at(0.0), TOP, bottom, INK, 0.9)


def _field(left: float, top: float, width: float, height: float, fill: str, name: str = "key") -> str:
    place = f'x="{at(left)}" y="{at(top)}" width="{at(width)}" height="{at(height)}"'
    return f'<rect class="{name}" {place} fill="{fill}" stroke="{MARK}" stroke-width="0.8"/>'


def _named(says: str, share: str, y: float, width: float) -> str:
    name = text(shorten(says, MOST_SIGNS), LEFT - 8, y + 3.5, anchor="end", colour=INK, size=WORD)
    return name + text(share, width - RIGHT + 10, y + 3.5, colour=INK, size=WORD)


def _size(one: Contribution, x: Scale, y: float, width: float) -> str:
    """The cavities' share full, the pieces' own hatched behind it."""
    says = f"{size_of_joint(one.role)}, {one.part}" if one.part else size_of_joint(one.role)
    first, last = (x.at(end) for end in _ends(one))
    zero, top = x.at(0.0), y - BAR / 2
    between = _field(min(zero, first), top, abs(first - zero), BAR, MARK, "between")
    left, long = min(first, last), abs(last - first)
    within = _field(left, top, long, BAR, WHITE, "within") + hatch(left, top, long, BAR, MARK)
    return _named(says, words.percent(one.share, 0), y, width) + within + between


def _rest(rest: float, x: Scale, y: float, width: float) -> str:
    left, right = sorted((x.at(0.0), x.at(rest)))
    bar = _field(left, y - BAR / 2, right - left, BAR, LINE, "rest")
    return _named("bends, sizes together", words.percent(rest, 0), y, width) + bar


def _friction(effect: FrictionEffect, x: Scale, y: float, width: float) -> str:
    """Open and broken, since it is not known and does not vary from piece to piece; cut at the end."""
    zero, end = x.at(0.0), x.at(min(effect.beside_variance, x.high))
    place = f'x="{at(zero)}" y="{at(y - BAR / 2)}" width="{at(end - zero)}" height="{at(BAR)}"'
    bar = f'<rect class="not-known" {place} fill="none" stroke="{INK}" stroke-dasharray="3 2"/>'
    if effect.beside_variance > x.high:
        bar += chevron(end + 6, y, 1, INK, size=3.5)
    share = words.percent(effect.beside_variance, 0) if effect.beside_variance < 10 else "over 10×"
    apart = level("apart", 4, width - 4, y - ROW / 2, QUIET, 0.6, ' stroke-dasharray="1.5 3"')
    return apart + _named("friction: not known", share, y, width) + bar
