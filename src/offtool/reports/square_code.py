"""The square code of a sample, for a phone to read: its programme and number as plain text."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.reports.drawing import svg

QUIET_ZONE = 4
"""Free modules around the code, as ISO/IEC 18004 asks for."""
BLACK = "#000000"


def code_of_sample(programme: str, number: str) -> str:
    """What the code says: harbour-otter 0417."""
    return f"{programme} {number}"


def draw_square_code(says: str) -> str:
    """The code of a text as SVG, a unit a module; a quarter of it may be lost or dirty.

    Beyond ASCII it says that it is in UTF-8: a reader need not guess.
    """
    import segno  # here, so that a page without labels does not wait for it

    plain = says.isascii()
    rows = segno.make(
        says, error="q", micro=False, boost_error=False, encoding=None if plain else "utf-8", eci=not plain
    ).matrix
    side = float(len(rows) + 2 * QUIET_ZONE)
    path = "".join(_runs(rows))
    return svg("square-code", side, side, f"code: {says}", [f'<path d="{path}" fill="{BLACK}"/>'])


def _runs(rows: tuple[bytearray, ...]) -> Iterator[str]:
    """Dark modules side by side as one bar: bars print without hairlines between them."""
    for y, row in enumerate(rows, start=QUIET_ZONE):
        x = 0
        while x < len(row):
            end = x
            while end < len(row) and row[end]:
                end += 1
            if end > x:
                yield f"M{x + QUIET_ZONE} {y}h{end - x}v1h-{end - x}z"
            x = max(end, x + 1)
