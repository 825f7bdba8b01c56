"""What can be wrong with a moulded part, in standard words: the list from which every programme starts."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.values import Caution
from offtool.handbook.terms import WeightClass

PRACTICE = "common practice, no source"

AT_THE_PRESS = Caution(
    "Mould and melt are hot and the platens move: only trained people work at the press, with its guards "
    "closed. Local rules and licensed practice decide what may be done there.",
    PRACTICE,
)
"""Said wherever a look is taken at the press."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardDefect:
    """A kind of flaw: what counts as it, what to try first at the press, and what to change in the steel."""

    code: str
    name: str
    also_called: str
    meaning: str
    weight_class: WeightClass
    process: str
    steel: str
    is_common: bool = False
    """Among the first that are offered: seen on nearly every first trial."""
    source: str = PRACTICE


STANDARD_DEFECTS = (
    StandardDefect(
        code="short-shot",
        name="short shot",
        also_called="non-fill",
        meaning="the part is not filled to its end or an edge is rounded off",
        weight_class=WeightClass.MAJOR,
        process="larger shot, faster fill, hotter melt or mould",
        steel="vent the end of flow, open the gate or the wall",
        is_common=True,
    ),
    StandardDefect(
        code="flash",
        name="flash",
        also_called="burr",
        meaning="a skin of plastic beyond the parting line, at a pin, slide or insert",
        weight_class=WeightClass.MAJOR,
        process="transfer earlier, less pressure, more clamp force",
        steel="spot the parting line, weld a worn edge",
        is_common=True,
    ),
    StandardDefect(
        code="sink",
        name="sink mark",
        also_called="shrink mark",
        meaning="a dip in the surface over a rib, boss or thick place, seen in slanting light",
        weight_class=WeightClass.MAJOR,
        process="more hold pressure, longer hold, cooler",
        steel="larger gate, thinner rib, cooling at the thick place",
        is_common=True,
    ),
    StandardDefect(
        code="void",
        name="void",
        also_called="vacuum void",
        meaning="a hollow inside a thick place; the surface stays whole",
        weight_class=WeightClass.MAJOR,
        process="more hold pressure, slower cooling",
        steel="larger gate nearer to the thick place",
    ),
    StandardDefect(
        code="burn",
        name="burn",
        also_called="diesel mark, gas burn",
        meaning="a brown or black mark at an end of flow where gas was shut in",
        weight_class=WeightClass.MAJOR,
        process="slower end of fill",
        steel="vent there",
        is_common=True,
    ),
    StandardDefect(
        code="weld-line",
        name="weld line",
        also_called="knit line, meld line",
        meaning="a line or notch where two flow fronts met",
        weight_class=WeightClass.MAJOR,
        process="hotter mould and melt, faster fill",
        steel="move the gate, vent or overflow at the line",
        is_common=True,
    ),
    StandardDefect(
        code="flow-line",
        name="flow line",
        also_called="record grooves, hesitation mark",
        meaning="waves or dull stripes along or across the flow",
        weight_class=WeightClass.MINOR,
        process="faster fill, hotter mould",
        steel="larger gate, even the wall",
    ),
    StandardDefect(
        code="jetting",
        name="jetting",
        also_called="worming",
        meaning="a snake of early melt in the surface, beginning at the gate",
        weight_class=WeightClass.MAJOR,
        process="slower at the gate, then faster",
        steel="turn the gate against a wall or pin",
    ),
    StandardDefect(
        code="gate-blush",
        name="gate blush",
        also_called="halo",
        meaning="a dull or stained ring around the gate",
        weight_class=WeightClass.MINOR,
        process="slower start of fill, hotter mould",
        steel="larger gate, radius at the gate",
    ),
    StandardDefect(
        code="splay",
        name="splay",
        also_called="silver streak, moisture streak",
        meaning="silvery streaks along the flow",
        weight_class=WeightClass.MAJOR,
        process="dry the resin, less heat and back pressure",
        steel="look for leaks of water or oil into the cavity",
        is_common=True,
    ),
    StandardDefect(
        code="colour-streak",
        name="colour streak",
        also_called="swirl",
        meaning="streaks of another shade along the flow",
        weight_class=WeightClass.MAJOR,
        process="more back pressure, purge",
        steel="no dead spot in the hot runner or nozzle",
    ),
    StandardDefect(
        code="off-colour",
        name="off colour",
        also_called="wrong shade",
        meaning="the whole part is of another shade than the master",
        weight_class=WeightClass.MAJOR,
        process="check dose, heat and regrind",
        steel="none: colour is not in the steel",
    ),
    StandardDefect(
        code="delamination",
        name="delamination",
        also_called="peel",
        meaning="layers of the skin can be peeled off at the gate or an edge",
        weight_class=WeightClass.CRITICAL,
        process="purge, dry, hotter; look for a foreign resin",
        steel="larger gate, softer radii",
    ),
    StandardDefect(
        code="gloss",
        name="uneven gloss",
        also_called="tiger stripe, gloss band",
        meaning="bands or patches more or less glossy than the master",
        weight_class=WeightClass.MINOR,
        process="even the mould temperature, steady fill",
        steel="polish or texture again, cooling there",
    ),
    StandardDefect(
        code="warp",
        name="warp",
        also_called="twist, distortion",
        meaning="the cooled part does not lie or close as drawn",
        weight_class=WeightClass.MAJOR,
        process="longer or more even cooling, change hold",
        steel="cooling, even the wall, pre-distort",
        is_common=True,
    ),
    StandardDefect(
        code="ejector-mark",
        name="ejector mark",
        also_called="push mark, stress whitening",
        meaning="a pin shows as a dent, bulge or white spot",
        weight_class=WeightClass.MINOR,
        process="cool longer, pack less",
        steel="polish, more draft, more or larger pins",
        is_common=True,
    ),
    StandardDefect(
        code="drag",
        name="drag mark",
        also_called="scuff, scratch of ejection",
        meaning="scratches in the direction of opening or ejection",
        weight_class=WeightClass.MINOR,
        process="pack less, cool otherwise",
        steel="polish, more draft, finer texture",
        is_common=True,
    ),
    StandardDefect(
        code="stuck",
        name="stuck in the tool",
        also_called="sticks, broken at ejection",
        meaning="the part stays in the tool or tears leaving it",
        weight_class=WeightClass.MAJOR,
        process="pack less, change cooling time",
        steel="draft, polish, puller on the right half, no undercut",
    ),
    StandardDefect(
        code="crack",
        name="crack",
        also_called="craze",
        meaning="a crack or a field of fine cracks, also hours later",
        weight_class=WeightClass.CRITICAL,
        process="pack less, hotter, less stress; keep chemicals away",
        steel="radius in the corner, move the gate",
    ),
    StandardDefect(
        code="parting-step",
        name="step at the parting line",
        also_called="mismatch, offset",
        meaning="the two halves of the surface do not meet",
        weight_class=WeightClass.MAJOR,
        process="none: the process does not move the halves",
        steel="locks and guides, spot the halves",
    ),
    StandardDefect(
        code="parting-line",
        name="parting line too plain",
        also_called="witness line, insert line",
        meaning="a line of a split can be felt or seen",
        weight_class=WeightClass.MINOR,
        process="less pressure at the end of fill",
        steel="spot the fit",
    ),
    StandardDefect(
        code="gate-vestige",
        name="gate vestige",
        also_called="gate stub",
        meaning="the gate stands off or tears into the part",
        weight_class=WeightClass.MAJOR,
        process="cut later or cooler, a jig for degating",
        steel="form of the gate, its land and its angle",
    ),
    StandardDefect(
        code="missing-detail",
        name="missing detail",
        also_called="unformed detail, filled hole",
        meaning="a hole, rib or letter of the drawing is not on the part",
        weight_class=WeightClass.CRITICAL,
        process="none until the steel was looked at",
        steel="broken or missing pin, insert or letter",
    ),
    StandardDefect(
        code="missing-date-mark",
        name="date or cavity mark missing",
        also_called="wrong date insert",
        meaning="the date or cavity mark is not there, not legible or wrong",
        weight_class=WeightClass.MAJOR,
        process="none",
        steel="set or change the insert",
    ),
    StandardDefect(
        code="specks",
        name="black specks",
        also_called="contamination",
        meaning="specks or foreign bits in or under the surface",
        weight_class=WeightClass.MAJOR,
        process="purge, clean hopper and dryer, less heat",
        steel="no dead spot in the hot runner",
    ),
    StandardDefect(
        code="cold-slug",
        name="cold slug",
        also_called="slug mark",
        meaning="a cold lump of melt near the gate",
        weight_class=WeightClass.MINOR,
        process="hotter nozzle, pull back the nozzle",
        steel="cold-slug well",
    ),
    StandardDefect(
        code="core-shift",
        name="core shift",
        also_called="uneven wall",
        meaning="the wall is thick on one side of a core and thin on the other",
        weight_class=WeightClass.MAJOR,
        process="slower fill, lower pressure",
        steel="guide or shorten the core, balance the gates",
    ),
    StandardDefect(
        code="surface-damage",
        name="mark of the steel",
        also_called="pit, rust, ghost of a weld",
        meaning="the same mark on every piece of a cavity",
        weight_class=WeightClass.MAJOR,
        process="none",
        steel="clean, polish or repair the steel",
    ),
)
"""In the order in which they are offered."""


def standard_defect(code: str) -> StandardDefect | None:
    """The standard words for a code, or None for a code of the programme's own."""
    return next((one for one in STANDARD_DEFECTS if one.code == code), None)
