"""What is seen of a seam, and how often on pieces never welded and on welded ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One thing to look at: how often each finding is met on pieces never welded, and on welded ones."""

    name: str
    where: str
    when_open: Mapping[str, float]
    when_welded: Mapping[str, float]
    destroys: bool
    source: str = PRACTICE


LOOKS: Mapping[str, Look] = MappingProxyType(
    {
        one.name: one
        for one in (
            Look(
                name="ridge",
                where="open the seam and look at the ridge along all of its length",
                when_open={"intact": 0.90, "partly melted": 0.08, "melted": 0.02},
                when_welded={"intact": 0.03, "partly melted": 0.27, "melted": 0.70},
                destroys=True,
            ),
            Look(
                name="flash",
                where="a bead or flash of melt along the seam, with a lens",
                when_open={"seen": 0.05, "absent": 0.95},
                when_welded={"seen": 0.60, "absent": 0.40},
                destroys=False,
            ),
            Look(
                name="horn mark",
                where="a scuffed or glossy patch where the horn stood, in slanting light",
                when_open={"seen": 0.05, "absent": 0.95},
                when_welded={"seen": 0.50, "absent": 0.50},
                destroys=False,
            ),
            Look(
                name="other fastening",
                where="glue, tape, a screw or a rubber band that holds the halves",
                when_open={"seen": 0.40, "absent": 0.60},
                when_welded={"seen": 0.03, "absent": 0.97},
                destroys=False,
            ),
            Look(
                name="way apart",
                where="how the halves come apart when they are pulled",
                when_open={"material torn": 0.02, "peeled clean": 0.90, "held": 0.08},
                when_welded={"material torn": 0.55, "peeled clean": 0.20, "held": 0.25},
                destroys=True,
            ),
            Look(
                name="pull",
                where="pull the halves apart and read the force",
                when_open={"loose": 0.85, "between": 0.13, "firm": 0.02},
                when_welded={"loose": 0.03, "between": 0.12, "firm": 0.85},
                destroys=True,
            ),
        )
    }
)
"""Shares by common practice, no source; to be replaced by what tagged samples show."""
