"""What is said of the meshes behind a fit: one that is doubted, and one that is not sound."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from offtool.steps.findings import Action
from offtool.steps.tool_at_press import PartAtPress

MESH = "mesh "
"""Where the reader of an action goes on; the part is named behind the word."""


def doubted(parts: Iterable[PartAtPress]) -> Iterator[Action]:
    """Meshes of which size or weight can hardly be right: nothing that follows from them is."""
    for one in parts:
        if one.doubt:
            do = f"See whether the mesh of {one.part} is the right one, in its unit."
            yield Action(do=do, because=one.doubt, leads_to=MESH + one.part)


def doubt_first(headline: str, parts: Iterable[PartAtPress]) -> str:
    """The headline, behind what is doubted of the first mesh that is."""
    for one in parts:
        if one.doubt:
            return f"The mesh of {one.part} is doubted. {one.doubt} What follows rests on it. {headline}"
    return headline


def not_sound(parts: Sequence[PartAtPress]) -> Iterator[Action]:
    """Meshes that are there and cannot tell all."""
    for one in parts:
        if one.mend:
            because = "What is missing follows from a mesh that is closed and sound."
            yield Action(do=one.mend, because=because, leads_to=MESH + one.part)
