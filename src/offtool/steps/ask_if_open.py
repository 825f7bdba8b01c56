"""Ask of one piece in the hand whether it was ever welded, against the heights its seam is known by."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.core.welding.open_seam import CameApart, OpenSeam, RidgeSeen, Seen, recognise_open_seam
from offtool.records.queries import find_programme, find_seam, studies_of_seam, weld_runs
from offtool.steps.seam_in_record import SeamInRecord, mean_and_sd_of, welded_heights, welded_pull

LEAST_SD_MM = 0.01
"""No caliper repeats a height of two parts laid together better; common practice, no source."""
UNKNOWN_SD_MM = 0.05
"""Where too few pieces were measured; as the formula takes it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSeen:
    """What was read and seen of a piece; None and "not looked" stand for what was not."""

    height_mm: float | None = None
    pull_n: float | None = None
    ridge: RidgeSeen = "not looked"
    came_apart: CameApart = "not looked"
    flash: Seen = "not looked"
    horn_mark: Seen = "not looked"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamHeights:
    """The heights that a seam is known by: welded, from its studies, and laid together, from its sizes."""

    welded_mm: float | None
    welded_sd_mm: float | None
    welded_pieces: int
    open_mm: float | None
    welded_pull_n: float | None
    """Mean pull of welded pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenAsked:
    """The answer for one piece, with what it was held against."""

    programme: str
    seam: str
    piece: PieceSeen
    heights: SeamHeights
    found: OpenSeam


def heights_of_seam(programme: str, seam: str) -> SeamHeights:
    """The heights that a piece of this seam is held against. Raises NotInRecord."""
    found = find_seam(find_programme(programme), seam)
    kept = weld_runs(studies_of_seam(found, counting=True))
    heights = welded_heights(kept)
    known = mean_and_sd_of(heights)
    return SeamHeights(
        welded_mm=known[0] if known else None,
        welded_sd_mm=known[1] if known else None,
        welded_pieces=len(heights),
        open_mm=SeamInRecord(found).value("open_height"),
        welded_pull_n=welded_pull(kept),
    )


def ask_if_open(programme: str, seam: str, piece: PieceSeen) -> OpenAsked:
    """Whether this piece was ever welded, what speaks for it and against it, and what to look at next.

    Nothing is kept. Raises NotInRecord; ImpossibleInput for a reading that cannot be, and where the parts
    laid together are said to be no higher than welded ones.
    """
    heights = heights_of_seam(programme, seam)
    sd = UNKNOWN_SD_MM if heights.welded_sd_mm is None else max(heights.welded_sd_mm, LEAST_SD_MM)
    found = recognise_open_seam(
        height_mm=piece.height_mm,
        welded_height_mm=heights.welded_mm,
        open_height_mm=heights.open_mm,
        welded_sd_mm=sd,
        ridge=piece.ridge,
        flash=piece.flash,
        horn_mark=piece.horn_mark,
        came_apart=piece.came_apart,
        pull_n=piece.pull_n,
        welded_pull_n=heights.welded_pull_n,
    )
    return OpenAsked(programme=programme, seam=seam, piece=piece, heights=heights, found=found)
