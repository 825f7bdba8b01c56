"""Bringing what a release rests on from a folder into the record.

Of evidence, tests of the law and changes only `set_aside` may change, of a limit sample that it is withdrawn,
of a concession that it ended, of a signature that it is withdrawn.
"""

from __future__ import annotations

from offtool.exchange.programme import ProgrammeFolder
from offtool.steps.answering import Known
from offtool.steps.bringing_in import TableLoaded, bring_in
from offtool.steps.bringing_in_measured import bring_in_measured
from offtool.steps.release_tables import (
    EVIDENCE,
    EVIDENCE_STATES,
    RELEASE_LINES,
    SAID,
    TOY_TEST_PIECES,
    TOY_TESTS,
)


def bring_in_release(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """The list, evidence, tests of the law, changes, and what people said and signed."""
    return (
        bring_in(RELEASE_LINES, told.release_lines, known),
        *bring_in_measured(told, EVIDENCE, EVIDENCE_STATES, known=known),
        *bring_in_measured(told, TOY_TESTS, TOY_TEST_PIECES, known=known),
        *(bring_in(table, getattr(told, table.name), known) for table in SAID),
    )
