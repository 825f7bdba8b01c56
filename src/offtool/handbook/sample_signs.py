"""What can be seen of a piece without any record of its tool, and how often each is met at each stage.

All shares are common practice, no source: they are where a programme starts from, and it may say its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from offtool.handbook.defects import PRACTICE
from offtool.handbook.terms import Stage

STAGES_IN_ORDER = tuple(Stage)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One thing to look at; `chances` gives, for each outcome, its share at the eight stages in order."""

    code: str
    asks: str
    where: str
    chances: Mapping[str, tuple[float, ...]]
    confounders: str = ""
    of_each_part: bool = False
    """Looked at part by part: the parts of one piece may differ."""
    destroys: bool = False
    source: str = PRACTICE

    @property
    def outcomes(self) -> tuple[str, ...]:
        """What may be found."""
        return tuple(self.chances)

    def at(self, stage: Stage) -> Mapping[str, float]:
        """How often each outcome is met at a stage."""
        place = STAGES_IN_ORDER.index(stage)
        return {outcome: shares[place] for outcome, shares in self.chances.items()}


def _sign(code: str, asks: str, where: str, chances: Mapping[str, tuple[float, ...]], **more: object) -> Sign:
    return Sign(code=code, asks=asks, where=where, chances=MappingProxyType(dict(chances)), **more)  # type: ignore[arg-type]


#                          first  early  late   EP    FEP    PP   prod. change
SIGNS: Mapping[str, Sign] = MappingProxyType(
    {
        one.code: one
        for one in (
            _sign(
                "colour",
                "Is it the colour of production?",
                "by daylight, beside a production piece",
                {
                    "production colour": (0.05, 0.12, 0.30, 0.45, 0.92, 0.97, 0.985, 0.03),
                    "another colour": (0.75, 0.78, 0.66, 0.53, 0.07, 0.025, 0.01, 0.37),
                    "mixed or streaked": (0.20, 0.10, 0.04, 0.02, 0.01, 0.005, 0.005, 0.60),
                },
                confounders="a colour-change shot of production looks like a first shot; a later re-issue in "
                "another colour, and regrind, do too",
                of_each_part=True,
            ),
            _sign(
                "date mark",
                "Is the date mark there, where production carries one?",
                "inside a foot, the back or a cover, with a lens",
                {
                    "there": (0.03, 0.08, 0.45, 0.60, 0.96, 0.985, 0.985, 0.985),
                    "missing": (0.97, 0.92, 0.55, 0.40, 0.04, 0.015, 0.015, 0.015),
                },
                confounders="it bounds the stage only where production carries it, and on this part",
                of_each_part=True,
            ),
            _sign(
                "texture",
                "What is the surface like?",
                "in slanting light, beside a production piece",
                {
                    "as production": (0.02, 0.05, 0.45, 0.70, 0.97, 0.99, 0.99, 0.99),
                    "bare steel or spark texture": (0.98, 0.95, 0.55, 0.30, 0.03, 0.01, 0.01, 0.01),
                },
                of_each_part=True,
            ),
            _sign(
                "details",
                "Are all details of production there?",
                "holes, pegs, ribs, engraving: one after the other beside a production piece",
                {
                    "all there": (0.10, 0.25, 0.75, 0.80, 0.97, 0.985, 0.985, 0.985),
                    "some unfinished": (0.90, 0.75, 0.25, 0.20, 0.03, 0.015, 0.015, 0.015),
                },
                of_each_part=True,
            ),
            _sign(
                "flash",
                "Is there flash, a burn or a place not filled?",
                "along the parting line and at the ends of the flow",
                {
                    "clean": (0.15, 0.45, 0.75, 0.80, 0.92, 0.93, 0.93, 0.60),
                    "flash or short": (0.85, 0.55, 0.25, 0.20, 0.08, 0.07, 0.07, 0.40),
                },
                confounders="a worn tool flashes again at the end of its life",
                of_each_part=True,
            ),
            _sign(
                "gate",
                "How was the gate taken off?",
                "where the part hung on the runner",
                {
                    "runner still on": (0.45, 0.35, 0.20, 0.02, 0.01, 0.005, 0.005, 0.55),
                    "trimmed by hand": (0.50, 0.55, 0.60, 0.70, 0.25, 0.045, 0.025, 0.25),
                    "as production": (0.05, 0.10, 0.20, 0.28, 0.74, 0.95, 0.97, 0.20),
                },
                of_each_part=True,
            ),
            _sign(
                "resin",
                "Is it the resin of production?",
                "by weight in air and water, by flexing, beside a production piece",
                {
                    "as production": (0.75, 0.85, 0.93, 0.90, 0.98, 0.99, 0.99, 0.97),
                    "another": (0.25, 0.15, 0.07, 0.10, 0.02, 0.01, 0.01, 0.03),
                },
                of_each_part=True,
            ),
            _sign(
                "seam",
                "How are the halves held together?",
                "along the seam, with a lens; a ridge that is sharp and whole was never welded",
                {
                    "loose parts": (0.85, 0.60, 0.50, 0.01, 0.005, 0.005, 0.01, 0.95),
                    "open, ridge whole": (0.10, 0.20, 0.20, 0.10, 0.02, 0.02, 0.02, 0.03),
                    "glued, taped or screwed": (0.045, 0.17, 0.22, 0.50, 0.075, 0.015, 0.01, 0.01),
                    "welded": (0.005, 0.03, 0.08, 0.39, 0.90, 0.96, 0.96, 0.01),
                },
                confounders="a piece that the line forgot to weld has an open seam too",
            ),
            _sign(
                "paint",
                "How is it painted?",
                "edges of paint through a lens: a mask leaves a straight mist, a brush leaves strokes",
                {
                    "none": (0.97, 0.94, 0.85, 0.35, 0.03, 0.02, 0.03, 0.985),
                    "by hand": (0.02, 0.05, 0.13, 0.55, 0.25, 0.03, 0.01, 0.005),
                    "masks or print": (0.01, 0.01, 0.02, 0.10, 0.72, 0.95, 0.96, 0.01),
                },
                confounders="parts are pulled from a production run before they are painted",
            ),
            _sign(
                "packing",
                "What is it packed in?",
                "card, tray, bag, insert",
                {
                    "none or plain bag": (0.97, 0.96, 0.94, 0.70, 0.30, 0.40, 0.45, 0.985),
                    "blank or trial packing": (0.02, 0.03, 0.05, 0.25, 0.45, 0.25, 0.01, 0.005),
                    "as production": (0.01, 0.01, 0.01, 0.05, 0.25, 0.35, 0.54, 0.01),
                },
                confounders="packing is put with another piece easily",
            ),
            _sign(
                "writing",
                "Is anything written, stuck or tied on?",
                "ink, stickers, tags, scratched numbers",
                {
                    "nothing": (0.60, 0.50, 0.45, 0.40, 0.35, 0.35, 0.97, 0.95),
                    "trial or shot number": (0.38, 0.46, 0.48, 0.15, 0.05, 0.02, 0.005, 0.03),
                    "build or approval": (0.01, 0.02, 0.04, 0.40, 0.55, 0.10, 0.015, 0.01),
                    "pilot mark": (0.01, 0.02, 0.03, 0.05, 0.05, 0.53, 0.01, 0.01),
                },
                confounders="anybody may have written on it, at any time",
            ),
        )
    }
)
SEAM, COLOUR, DATE_MARK = "seam", "colour", "date mark"
AS_DETAILS = (DATE_MARK, "details")
"""Signs that a part's own details say better, where the record has them."""
