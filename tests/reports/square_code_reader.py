"""A square code read from its drawing, by the rules of ISO/IEC 18004 as remembered: the smallest readers.

Only for clean codes of versions 1 to 6 with one block, in bytes: no error is corrected.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

FORMAT_MASK = 0b101010000010010
MASKS = (
    lambda i, j: (i + j) % 2,
    lambda i, j: i % 2,
    lambda i, j: j % 3,
    lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2,
    lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
)
BYTES, ENCODED, UTF8 = 4, 7, 26

Modules = NDArray[np.bool_]


def modules_drawn(svg: str, quiet: int) -> Modules:
    """The dark modules of a drawing, a unit each, without the quiet zone; raises where it is not empty."""
    side = int(re.findall(r'viewBox="0 0 (\d+) \1"', svg)[0])
    whole = np.zeros((side, side), dtype=bool)
    for x, y, long in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", svg):
        whole[int(y), int(x) : int(x) + int(long)] = True
    inside = whole[quiet:-quiet, quiet:-quiet]
    assert inside.sum() == whole.sum(), "something is dark in the quiet zone"
    return inside


def read_square_code(modules: Modules) -> str:
    """The text of a code."""
    mask = MASKS[_format(modules) >> 10 & 0b111]
    bits = [int(modules[i, j]) ^ int(mask(i, j) == 0) for i, j in _path(modules)]
    number = int("".join(map(str, bits)), 2)
    total = len(bits)

    def take(start: int, count: int) -> int:
        return number >> (total - start - count) & ((1 << count) - 1)

    says_utf8 = take(0, 4) == ENCODED
    assert not says_utf8 or take(4, 8) == UTF8
    start = 12 * says_utf8
    assert take(start, 4) == BYTES
    read = bytes(take(start + 12 + 8 * i, 8) for i in range(take(start + 4, 8)))
    return read.decode("utf-8" if says_utf8 else "ascii")


def _format(modules: Modules) -> int:
    places = [(8, j) for j in (0, 1, 2, 3, 4, 5, 7, 8)] + [(i, 8) for i in (7, 5, 4, 3, 2, 1, 0)]
    return int("".join(str(int(modules[place])) for place in places), 2) ^ FORMAT_MASK


def _path(modules: Modules) -> Iterator[tuple[int, int]]:
    """The modules that carry data: in pairs of columns from the right, upwards first."""
    side = len(modules)
    fixed = np.zeros_like(modules)
    fixed[:9, :9] = fixed[:9, -8:] = fixed[-8:, :9] = True  # finders and format
    fixed[6, :] = fixed[:, 6] = True  # timing
    if side > 21:
        fixed[side - 9 : side - 4, side - 9 : side - 4] = True  # alignment
    upwards = True
    right = side - 1
    while right > 0:
        if right == 6:
            right -= 1
        for i in range(side - 1, -1, -1) if upwards else range(side):
            yield from ((i, j) for j in (right, right - 1) if not fixed[i, j])
        upwards, right = not upwards, right - 2
