"""How full the places before each station are, over the run: a small drawing a store, all of the same hours.

The level is a line, the room an upper edge; where everything fits there is no edge.
"""

from __future__ import annotations

from collections.abc import Iterator

from offtool.core.pilot.simulation import StoreLevel
from offtool.reports.axes import Scale, hovered, text
from offtool.reports.colours import INK, LINE, MARK, OUTSIDE, QUIET
from offtool.reports.drawing import at, level, svg, upright
from offtool.reports.line_run_words import waits_before
from offtool.reports.words import percent
from offtool.steps.line_run_found import LineRunFound, WaitsBefore

WIDTH = 560.0
TOP, ROW, DEEP = 6.0, 46.0, 28.0
NAMES, RIGHT = 178.0, 46.0
LETTER = 5.0


def draw_stores(found: LineRunFound, *, width: float = WIDTH) -> str:
    """The drawing as SVG: every store in the order of the line, of moulded parts the scarcest."""
    stores = [(station.name, one) for station in found.stations for one in waits_before(station)]
    high = TOP + ROW * len(stores) + 18
    said = "pieces that wait: " + "; ".join(
        f"{_title(name, one)} {_level(one.level)}" for name, one in stores
    )
    across = Scale(0.0, found.simulated.hours, NAMES, width - RIGHT)
    return svg("line-stores", width, high, said, _inside(found, stores, across, high))


def _title(station: str, one: WaitsBefore) -> str:
    return f"{one.item} → {station}"


def _level(store: StoreLevel) -> str:
    places = store.places
    if places is not None and store.most > places:
        return f"{store.mean.value:.2g} in the mean, {store.most} at most, {store.most - places} in hand"
    of = f" of {places}" if places is not None else ""
    return f"{store.mean.value:.2g}{of} in the mean, {store.most} at most"


def _inside(
    found: LineRunFound, stores: list[tuple[str, WaitsBefore]], across: Scale, high: float
) -> Iterator[str]:
    for hour in across.ticks(4):
        x = across.at(hour)
        yield upright("tick", x, TOP, high - 16, LINE, 0.8)
        yield text(f"{hour:g} h", x, high - 4, anchor="middle")
    for i, (station, one) in enumerate(stores):
        yield from _store(found, station, one, across, TOP + ROW * i)


def _store(found: LineRunFound, station: str, one: WaitsBefore, across: Scale, top: float) -> Iterator[str]:
    store = one.level
    highest = max([*store.course, float(store.places or 0), 1.0])
    up = Scale(0.0, highest, top + DEEP, top + 3)
    name = _title(station, one)
    yield text(_short(name), 4, top + 14, colour=INK, size=10)
    yield text(_level(store), 4, top + 26)
    yield _ground(across, top)
    if store.places is not None:
        yield level("room", across.start, across.end, up.at(store.places), INK, 1.1)
        yield text(_room(store.places), across.end + 4, up.at(store.places) + 4, colour=INK)
    spots = [
        f"{at(across.at(x))} {at(up.at(y))}" for x, y in zip(found.simulated.at_h, store.course, strict=True)
    ]
    yield level("foot", across.start, across.end, top + DEEP, QUIET, 0.7)
    line = f'<path class="course" d="M{"L".join(spots)}" fill="none" stroke="{MARK}" stroke-width="1.4"/>'
    yield hovered(line, f"{name}: {_said(store)}")


def _room(places: int) -> str:
    return f"room {places}"


def _ground(across: Scale, top: float) -> str:
    place = f'x="{at(across.start)}" y="{at(top + 3)}" width="{at(across.end - across.start)}" '
    return f'<rect class="ground" {place}height="{at(DEEP - 3)}" fill="{OUTSIDE}" fill-opacity="0.45"/>'


def _said(store: StoreLevel) -> str:
    if not store.places:
        return _level(store)
    return f"{_level(store)}; {percent(store.mean.value / store.places, 0)} full"


def _short(name: str) -> str:
    most = int((NAMES - 8) / LETTER)
    return name if len(name) <= most else f"{name[: most - 1]}…"
