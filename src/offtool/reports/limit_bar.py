"""The limit bar: where the cavities of a size stand between its limits, and how sure that is.

The verdict is told by the form of the mark, not by colour alone: a filled dot holds, an open dot is not
shown, a cross does not hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, isnan
from unicodedata import east_asian_width

from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Verdict
from offtool.reports import words
from offtool.reports.colours import DOUBT, INK, MARK, NO, WHITE
from offtool.reports.drawing import arrow_tip, at, chevron, level, svg, xml
from offtool.reports.limit_frame import draw_frame
from offtool.reports.limit_scale import LimitScale

WIDTH = 420
KEY_WIDTH = 230
FIRST_ROW, ROW, LAST_ROW = 11, 11, 10
PARTS_WITHIN = 3.0
"""99.7 % of normal parts lie within three standard deviations of their mean."""
LABEL_CELLS = 3
CLASS = {Verdict.HOLDS: "holds", Verdict.FAILS: "fails", Verdict.NOT_SHOWN: "not-shown"}
COLOUR = {Verdict.HOLDS: MARK, Verdict.FAILS: NO, Verdict.NOT_SHOWN: DOUBT}
KEY = (
    "mark: mean of a cavity · heavy: {confidence} interval of the mean · thin: where 99.7 % of parts fall · "
    "dotted: too few parts for an interval · shaded: outside the limits"
)


def draw_limit_bar(finding: SizeFinding, *, width: float = WIDTH, decimals: int = 3, unit: str = "") -> str:
    """The limit bar of a size as SVG: a line a cavity, between limits at the same places for every size.

    `decimals` and `unit` are those of the words for people who do not see the drawing.
    """
    scale = LimitScale.of(finding.lower, finding.upper, _points(finding), width=width)
    height = FIRST_ROW + ROW * max(len(finding.cavities) - 1, 0) + LAST_ROW
    told = [cavity_in_words(one, finding, decimals) for one in finding.cavities]
    rows = [
        _Row(scale, FIRST_ROW + ROW * i, one).draw(words_of_it)
        for i, (one, words_of_it) in enumerate(zip(finding.cavities, told, strict=True))
    ]
    frame = draw_frame(scale, finding.lower, finding.upper, finding.target, height)
    said = "; ".join([_limits_in_words(finding, decimals, unit), *told])
    return svg("limit-bar", width, height, said, [*frame, *rows])


def draw_key_bar(*, width: float = KEY_WIDTH) -> str:
    """A limit bar that shows its own signs, to stand beside the words of `key_words`."""
    scale = LimitScale.of(0.0, 1.0, (), width=width)
    height = FIRST_ROW + LAST_ROW
    signs = [
        level("spread", scale.at(0.45), scale.at(0.9), FIRST_ROW, INK, 1),
        level("mean", scale.at(0.585), scale.at(0.765), FIRST_ROW, MARK, 4.5),
        draw_mark(Verdict.HOLDS, scale.at(0.675), FIRST_ROW),
    ]
    return svg(
        "limit-bar",
        width,
        height,
        "key to the limit bars",
        [*draw_frame(scale, 0.0, 1.0, 0.5, height), *signs],
    )


def draw_verdict_mark(verdict: Verdict) -> str:
    """The mark of a verdict alone, for the key."""
    return svg(
        "limit-bar", 12, 12, str(verdict), [f'<g class="{CLASS[verdict]}">{draw_mark(verdict, 6, 6)}</g>']
    )


def key_words(confidence: float = 0.95) -> str:
    """What the signs of the limit bar mean."""
    return KEY.format(confidence=words.percent(confidence, 0))


def cavity_in_words(cavity: CavityFinding, finding: SizeFinding, decimals: int) -> str:
    """cavity 1: mean 3.970 ± 0.002, 0.010 below the lower limit, parts 3.958 to 3.982, does not hold."""
    mean = words.with_interval(cavity.mean, cavity.interval, decimals)
    stands = words.place(cavity.mean, finding.lower, finding.upper, decimals)
    low, high = _parts_fall(cavity)
    fall = f", parts {words.number(low, decimals)} to {words.number(high, decimals)}" if low < high else ""
    return f"{words.cavity(cavity.cavity)}: mean {mean}, {stands}{fall}, {cavity.verdict}"


def draw_mark(verdict: Verdict, x: float, y: float) -> str:
    """Filled, open or crossed; a white rim keeps it apart from the lines beneath."""
    place, colour = f'cx="{at(x)}" cy="{at(y)}"', COLOUR[verdict]
    if verdict is Verdict.HOLDS:
        return f'<circle class="dot" {place} r="3.4" fill="{colour}" stroke="{WHITE}" stroke-width="1.2"/>'
    if verdict is Verdict.NOT_SHOWN:
        return f'<circle class="dot" {place} r="3" fill="{WHITE}" stroke="{colour}" stroke-width="1.6"/>'
    arms = "".join(
        f"M{at(x - 3.2)} {at(y - 3.2 * tilt)}L{at(x + 3.2)} {at(y + 3.2 * tilt)}" for tilt in (1, -1)
    )
    return (
        f'<path class="rim" d="{arms}" stroke="{WHITE}" stroke-width="4.4"/>'
        f'<path class="dot" d="{arms}" stroke="{colour}" stroke-width="2"/>'
    )


def _limits_in_words(finding: SizeFinding, decimals: int, unit: str) -> str:
    limits = words.between(finding.lower, finding.upper, decimals=decimals)
    return f"limits {limits} {unit}".rstrip() + f", target {words.number(finding.target, decimals)}"


def _points(finding: SizeFinding) -> Iterator[float]:
    """Everything that should be seen where only one limit says how far the drawing goes."""
    yield finding.target
    for cavity in finding.cavities:
        yield cavity.mean
        yield from _parts_fall(cavity)


def _parts_fall(cavity: CavityFinding) -> tuple[float, float]:
    """Where 99.7 % of parts fall; the mean itself where the spread is not known."""
    within = 0.0 if isnan(cavity.sd) else PARTS_WITHIN * cavity.sd
    return cavity.mean - within, cavity.mean + within


@dataclass(frozen=True, slots=True)
class _Row:
    """One cavity's line."""

    scale: LimitScale
    y: float
    cavity: CavityFinding

    def draw(self, said: str) -> str:
        signs = [f"<title>{xml(said)}</title>", *self._spread(), self._interval(), self._mean()]
        if self.cavity.cavity:
            signs.append(
                f'<text class="cav" x="4" y="{at(self.y + 3.2)}">{xml(_short(self.cavity.cavity))}</text>'
            )
        return f'<g class="cavity {CLASS[self.cavity.verdict]}">{"".join(signs)}</g>'

    def _spread(self) -> Iterator[str]:
        """The thin line; where parts fall beyond the drawing it ends in an open arrow."""
        low, high = _parts_fall(self.cavity)
        if low < high:
            yield level("spread", self.scale.at(low), self.scale.at(high), self.y, INK, 1)
            for end, way in ((low, -1), (high, 1)):
                if self.scale.beyond(end) == way and self.scale.beyond(self.cavity.mean) == 0:
                    yield chevron(self.scale.at(end), self.y, way, INK, size=2.5)

    def _interval(self) -> str:
        """The heavy line; dotted where the mean can lie anywhere."""
        ends, colour = self.cavity.interval, COLOUR[self.cavity.verdict]
        left, right = self.scale.at(ends.low), self.scale.at(ends.high)
        if isfinite(ends.low) and isfinite(ends.high):
            return level("mean", left, right, self.y, colour, 4.5)
        return level("mean unknown", left, right, self.y, colour, 1.6, ' stroke-dasharray="1.6 4"')

    def _mean(self) -> str:
        x, way = self.scale.at(self.cavity.mean), self.scale.beyond(self.cavity.mean)
        if way:
            return arrow_tip("beyond", x, self.y, way, COLOUR[self.cavity.verdict])
        return draw_mark(self.cavity.verdict, x, self.y)


def _short(label: str) -> str:
    """A cavity label cut to the room beside the bar; the whole of it is in the words."""
    cells = 0
    for place, sign in enumerate(label):
        cells += 2 if east_asian_width(sign) in "WF" else 1
        if cells > LABEL_CELLS:
            return label[: max(place - 1, 1)] + "…"
    return label
