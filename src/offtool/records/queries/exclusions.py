"""Which readings of a trial are left out of every judgement: of each reading the newest word counts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from django.db.models import Exists, OuterRef, Subquery
from numpy.typing import NDArray

from offtool.records.models import Exclusion, Reading, Trial


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOutReadings:
    """The keys of the readings that are left out, in order, and for each the row that says why.

    A row's reading, its size, cavity, shot and file (without the bytes) are fetched with it.
    """

    reading_ids: NDArray[np.int64]
    rows: tuple[Exclusion, ...]

    def __len__(self) -> int:
        return len(self.rows)

    def among(self, reading_ids: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Which of these readings are left out."""
        return np.isin(reading_ids, self.reading_ids)


def left_out_of(trial: Trial) -> LeftOutReadings:
    """The readings of a trial that are left out now."""
    newer = Exclusion.objects.filter(reading=OuterRef("reading"), pk__gt=OuterRef("pk"))
    # From the few words to their readings. A join leaves it to the database where to begin, and SQLite
    # would go through every reading of the trial.
    source = Subquery(Reading.objects.filter(pk=OuterRef("reading")).values("source")[:1])
    kept = (
        Exclusion.objects.alias(read_from=source)
        .filter(read_from__in=list(trial.source_files.values_list("pk", flat=True)), is_left_out=True)
        .exclude(Exists(newer))
        .select_related("reading__characteristic", "reading__cavity", "reading__shot", "reading__source")
        .defer("reading__source__content")
        .order_by("reading")
    )
    rows = tuple(kept)
    return LeftOutReadings(
        reading_ids=np.array([row.reading_id for row in rows], np.int64),
        rows=rows,
    )
