"""Bringing what is planned into the record: times, shapes of parts, colour changes, trials asked for.

Of a shape only its note may change, and of a colour change only `set_aside`. What is computed from a shape
does not stand in the folder: it is computed again when it is asked for.
"""

from __future__ import annotations

from dataclasses import replace

from offtool.exchange.programme import ProgrammeFolder
from offtool.steps.answering import Known
from offtool.steps.bringing_in import TableLoaded, bring_in
from offtool.steps.bringing_in_measured import bring_in_measured
from offtool.steps.planning_tables import (
    COLOUR_CHANGES,
    COLOUR_SHOTS,
    ENGINEERS_THERE,
    MESHES,
    PRESS_OFF,
    TRIAL_REQUESTS,
    TRIAL_WANTS,
)


def bring_in_planning(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """When presses stand and engineers are there; shapes; colour changes; trials and their purposes."""
    meshes = {replace(row, file=""): row for row in told.meshes}
    return (
        bring_in(PRESS_OFF, told.press_off, known),
        bring_in(ENGINEERS_THERE, told.engineers_there, known),
        bring_in(MESHES, [*meshes], known, lambda row: told.original_of(meshes[row])),
        *bring_in_measured(told, COLOUR_CHANGES, COLOUR_SHOTS, known=known),
        bring_in(TRIAL_REQUESTS, told.trial_requests, known),
        bring_in(TRIAL_WANTS, told.trial_wants, known),
    )
