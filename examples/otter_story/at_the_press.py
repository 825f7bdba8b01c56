"""What the engineer saw at the press of the head, tail and clam tool, and kept by phone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from examples.otter_story.trials import Run

from offtool.steps.look_at_pieces import FlawSeen, PhotographTaken, PiecesLookedAt

PHOTOGRAPH = Path(__file__).parent / "photographs" / "tail_flash.png"
"""Drawn, not taken: a tail with flash at its parting line."""
CAVITIES = ("HO-01 1", "HO-01 2", "HO-06 1", "HO-06 2")
SHOTS = {"T1": (1, 2, 3, 20, 40, 60, 80, 100, 120, 140, 160), "T2": tuple(range(6, 42, 3))}
SHORT, FLASHED = (1, 2), (40, 80, 100, 120, 160)
FLASH, PHOTOGRAPHED = "HO-06 2", 80


def looks_of(run: Run) -> tuple[PiecesLookedAt, ...]:
    """One look for each shot and cavity; the vents were opened and the shut-off spotted before the second."""
    return tuple(
        PiecesLookedAt(
            cavity=cavity,
            shot=shot,
            flaws=tuple(_flaws(run.name, shot, cavity)),
            photographs=_photographs(run.name, shot, cavity),
        )
        for shot in SHOTS[run.name]
        for cavity in CAVITIES
    )


def _flaws(trial: str, shot: int, cavity: str) -> Iterator[FlawSeen]:
    if cavity.startswith("HO-01"):
        yield FlawSeen(defect="missing-date-mark", place="inside the neck")
        if trial == "T1" and shot in SHORT:
            yield FlawSeen(defect="short-shot", place="ear")
    if trial == "T1" and cavity == FLASH and shot in FLASHED:
        yield FlawSeen(defect="flash", place="parting line")


def _photographs(trial: str, shot: int, cavity: str) -> tuple[PhotographTaken, ...]:
    if (trial, shot, cavity) != ("T1", PHOTOGRAPHED, FLASH):
        return ()
    return (
        PhotographTaken(
            name=PHOTOGRAPH.name,
            content=PHOTOGRAPH.read_bytes(),
            shows="flash",
            note="an invented picture: tail of cavity 2",
        ),
    )
