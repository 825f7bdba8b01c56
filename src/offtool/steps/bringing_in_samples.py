"""Bringing samples of a folder into the record, and what they are told apart by.

Of what was seen and measured only `set_aside` may change; a photograph never changes.
"""

from __future__ import annotations

from dataclasses import replace

from offtool.exchange.programme import ProgrammeFolder
from offtool.steps.answering import Known
from offtool.steps.bringing_in import TableLoaded, bring_in
from offtool.steps.ground_tables import GROUND
from offtool.steps.sample_tables import SAMPLE_PARTS, SAMPLE_PHOTOGRAPHS, SAMPLES, SEEN


def bring_in_samples(told: ProgrammeFolder, known: Known) -> tuple[TableLoaded, ...]:
    """Builds, details, stages; samples with their parts, what was seen of them, and their photographs."""
    tables = (*GROUND, SAMPLES, SAMPLE_PARTS, *SEEN)
    photographs = {replace(row, file=""): row for row in told.sample_photographs}
    return (
        *(bring_in(table, getattr(told, table.name), known) for table in tables),
        bring_in(SAMPLE_PHOTOGRAPHS, [*photographs], known, lambda row: told.original_of(photographs[row])),
    )
