"""Single sampling plans for lots, as the public text of MIL-STD-105E has them; ISO 2859-1 follows it.

The master tables are built along diagonals: from one code letter to the next the same acceptance number moves
one quality level to the left. So each table is its sample sizes, and one diagonal with where it starts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

STANDARD = "MIL-STD-105E (10 May 1989, public release), tables I, II-A, II-B, II-C; ISO 2859-1 follows it"
FROM_MEMORY = "MIL-STD-105E table II-C, from memory"
RULES = "switching rules of ISO 2859-1:1999, 9.3, and MIL-STD-105E, 4.7, from memory"

LETTERS = "ABCDEFGHJKLMNPQRS"
"""Code letters in order; I and O are left out. S stands in the tightened table only."""

QUALITY_LEVELS = (
    0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5,
    10.0, 15.0, 25.0, 40.0, 65.0, 100.0, 150.0, 250.0, 400.0, 650.0, 1000.0,
)  # fmt: skip
"""The AQL on the list: per cent of pieces, or above 10 flaws on a hundred pieces."""

PIECES_UP_TO = 10.0
"""Up to this AQL pieces may be counted; above it only flaws, of which a piece may have several."""

LEVELS = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")
"""Inspection levels: II is usual, I and III look at less and more, S where the test destroys the piece."""

LEAST_LOT = 2

LOT_STEPS: tuple[tuple[int | None, str], ...] = (
    (8, "AAAAAAB"),
    (15, "AAAAABC"),
    (25, "AABBBCD"),
    (50, "ABBCCDE"),
    (90, "BBCCCEF"),
    (150, "BBCDDFG"),
    (280, "BCDEEGH"),
    (500, "BCDEFHJ"),
    (1200, "CCEFGJK"),
    (3200, "CDEGHKL"),
    (10000, "CDFGJLM"),
    (35000, "CDFHKMN"),
    (150000, "DEGJLNP"),
    (500000, "DEGJMPQ"),
    (None, "DEHKNQR"),
)
"""Largest lot of each step, None without end, and the code letter at each of LEVELS."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MasterTable:
    """One master table.

    `diagonal[k]` is acceptance and rejection number where the letter and the quality level are k steps past
    the first diagonal; None with an arrow: the plan of the letter above or below holds.
    """

    sizes: tuple[int, ...]
    starts_at: float
    """The quality level at which letter A accepts with none."""
    diagonal: tuple[tuple[int, int] | None, ...]
    last_for_large: int
    """From letter F on the diagonal ends here."""
    only: Mapping[str, Mapping[int, tuple[int, int] | None]]
    """Cells that differ from the diagonal, by letter and steps."""
    source: str = STANDARD


_BOTH = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)

_NORMAL = (
    (0, 1), None, None, (1, 2), (2, 3), (3, 4), (5, 6), (7, 8), (10, 11), (14, 15), (21, 22),
    (30, 31), (44, 45),
)  # fmt: skip
_TIGHTENED = (
    (0, 1), None, None, (1, 2), (2, 3), (3, 4), (5, 6), (8, 9), (12, 13), (18, 19), (27, 28), (41, 42),
)  # fmt: skip
_REDUCED = (
    (0, 1), None, None, (0, 2), (1, 3), (1, 4), (2, 5), (3, 6), (5, 8), (7, 10), (10, 13), (14, 17), (21, 24),
)  # fmt: skip

_REDUCED_A = {k: _NORMAL[k] for k in range(3, 12)}
"""The smallest samples are not reduced, and letter B has its own numbers between."""
_REDUCED_B = {5: (2, 4), 6: (3, 5), **{k + 1: _NORMAL[k] for k in range(6, 12)}}

MASTER_TABLES: Mapping[str, MasterTable] = MappingProxyType(
    {
        "normal": MasterTable(
            sizes=_BOTH, starts_at=6.5, diagonal=_NORMAL, last_for_large=10, only=MappingProxyType({})
        ),
        "tightened": MasterTable(
            sizes=(*_BOTH, 3150),
            starts_at=10.0,
            diagonal=_TIGHTENED,
            last_for_large=9,
            only=MappingProxyType({}),
        ),
        "reduced": MasterTable(
            sizes=(2, 2, 2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800),
            starts_at=6.5,
            diagonal=_REDUCED,
            last_for_large=10,
            only=MappingProxyType({"A": MappingProxyType(_REDUCED_A), "B": MappingProxyType(_REDUCED_B)}),
            source=FROM_MEMORY,
        ),
    }
)
