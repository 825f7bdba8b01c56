"""The wall as it cools: temperature from skin to skin at some times, and where it can be pushed out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.planning.cycle import WallCooling, WallProfile
from offtool.reports import words
from offtool.reports.axes import Scale, draw_values_axis, hovered, text, tick_decimals
from offtool.reports.colours import INK, MARK, QUIET
from offtool.reports.drawing import at, level, svg, upright

WIDTH, HEIGHT = 560.0, 300.0
LEFT, RIGHT = 44.0, 96.0
TOP, BOTTOM = 26.0, 46.0
APART = 13.0
"""Between the words at the curves."""
WORD = 11.0


def draw_cooling(found: WallCooling, *, width: float = WIDTH) -> str:
    """Curves from the melt down; the last one is the wall when it can be pushed out."""
    across = Scale(0.0, found.wall_mm, LEFT, width - RIGHT)
    up = Scale.around(
        (found.melt_c, found.first_half_c, found.second_half_c, found.eject_c), HEIGHT - BOTTOM, TOP
    )
    return svg(
        "cooling", width, HEIGHT, _said(found), [*_frame(found, across, up), *_curves(found, across, up)]
    )


def _said(found: WallCooling) -> str:
    halves = f"{found.first_half_c:.0f} and {found.second_half_c:.0f} °C"
    return (
        f"Temperature through a wall of {found.wall_mm:.3g} mm between halves of {halves}: from "
        f"{found.melt_c:.0f} °C down to {found.eject_c:.0f} °C at its warmest place in {found.time_s:.1f} s"
    )


def _frame(found: WallCooling, across: Scale, up: Scale) -> Iterator[str]:
    yield from draw_values_axis(up, across.start, across.end)
    yield text("temperature, °C", 4, TOP - 11, size=WORD)
    places = across.ticks(4)
    decimals = tick_decimals(places)
    for place in places:
        yield text(words.number(place, decimals), across.at(place), up.start + 14, anchor="middle")
    middle = (across.start + across.end) / 2
    yield text("place in the wall, mm", middle, HEIGHT - 6, anchor="middle", size=WORD)
    for x, half in ((across.start, found.first_half_c), (across.end, found.second_half_c)):
        yield hovered(upright("steel", x, up.end, up.start, INK, 1.6), f"steel at {half:.0f} °C")
    yield level("eject", across.start, across.end, up.at(found.eject_c), INK, 1.2, ' stroke-dasharray="5 3"')


def _curves(found: WallCooling, across: Scale, up: Scale) -> Iterator[str]:
    *said_at, steel_at = _spread(
        [*(up.at(max(one.temperature_c)) for one in found.profiles), up.at(found.second_half_c)]
    )
    steel = f"steel, {found.second_half_c:.0f} °C"
    yield text(steel, across.end + 6, steel_at + 3.5, size=WORD)
    for i, (one, y) in enumerate(zip(found.profiles, said_at, strict=True)):
        is_last = i == len(found.profiles) - 1
        spots = zip(found.places_mm, one.temperature_c, strict=True)
        path = "L".join(f"{at(across.at(x))} {at(up.at(t))}" for x, t in spots)
        colour, stroke = (MARK, 2.4) if is_last else (QUIET, 1.2)
        line = f'<path class="wall" d="M{path}" fill="none" stroke="{colour}" stroke-width="{stroke:g}"/>'
        yield hovered(line, _words(one))
        ink = INK if is_last else QUIET
        yield text(_label(one, is_last=is_last), across.end + 6, y + 3.5, colour=ink, size=WORD)


def _words(one: WallProfile) -> str:
    return f"after {one.time_s:.1f} s: warmest {max(one.temperature_c):.0f} °C"


def _label(one: WallProfile, *, is_last: bool) -> str:
    if one.time_s == 0:
        return "filled"
    return f"{one.time_s:.1f} s, out" if is_last else f"{one.time_s:.1f} s"


def _spread(places: Sequence[float]) -> list[float]:
    """Words beside the tops of their curves, pushed down until none stands on another."""
    found: list[float] = []
    for place in places:
        found.append(max(place, found[-1] + APART) if found else place)
    return found
