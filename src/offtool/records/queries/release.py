"""What a release rests on: the list, evidence, tests of the law, changes, concessions, signatures."""

from __future__ import annotations

from offtool.handbook.release_list import RELEASE_LIST
from offtool.records.models import (
    ChangeMade,
    Concession,
    Evidence,
    LimitSample,
    Programme,
    ReleaseLine,
    Signature,
    StepDays,
    ToyTestPiece,
    ToyTestRun,
)
from offtool.records.queries.joints import when_done


def release_lines_of(programme: Programme) -> tuple[ReleaseLine, ...]:
    """The lines of the programme's own, in the order they were written."""
    return tuple(programme.release_lines.order_by("pk"))


def release_codes(programme: Programme) -> tuple[str, ...]:
    """The codes of all lines: those of the handbook's list, then those that the programme adds."""
    ours = [one.code for one in release_lines_of(programme)]
    return tuple(dict.fromkeys([*(one.code for one in RELEASE_LIST), *ours]))


def evidence_of(programme: Programme, *, counting: bool = False) -> tuple[Evidence, ...]:
    """All evidence, newest test first, without bytes, tool states beside it; what counts where `counting`."""
    rows = programme.evidence.filter(**({"set_aside": ""} if counting else {})).defer("content")
    return tuple(rows.prefetch_related("states__state__tool").order_by("-tested_on", "-given_at"))


def toy_test_runs_of(programme: Programme, *, counting: bool = False) -> tuple[ToyTestRun, ...]:
    """All tests of the law, newest first, without bytes; those not set aside where `counting`."""
    runs = programme.toy_tests.filter(**({"set_aside": ""} if counting else {})).defer("content")
    return tuple(sorted(runs, key=when_done, reverse=True))


def toy_test_pieces(run: ToyTestRun) -> tuple[ToyTestPiece, ...]:
    """The pieces of a test in the order of its file, their parts beside them."""
    return tuple(run.pieces.select_related("part").order_by("row"))


def changes_of(programme: Programme, *, counting: bool = False) -> tuple[ChangeMade, ...]:
    """The changes that were told, newest first; those not set aside where `counting`."""
    rows = programme.changes.filter(**({"set_aside": ""} if counting else {}))
    return tuple(rows.select_related("tool", "part", "joint", "seam").order_by("-on", "-told_at"))


def concessions_of(programme: Programme) -> tuple[Concession, ...]:
    """All concessions, newest first; those that ended too."""
    return tuple(programme.concessions.order_by("-given_on", "-pk"))


def limit_samples_of(programme: Programme) -> tuple[LimitSample, ...]:
    """All limit samples by station and kind, their samples beside them; those withdrawn too."""
    rows = programme.limit_samples.select_related("sample", "station__line")
    return tuple(rows.order_by("station__number", "pk"))


def signatures_of(programme: Programme) -> tuple[Signature, ...]:
    """All signatures, newest first; those withdrawn too."""
    return tuple(programme.signatures.order_by("-signed_at", "-pk"))


def step_days_of(programme: Programme) -> dict[str, StepDays]:
    """How many days steps take in this shop, by step; a step that is not there: nothing is said."""
    return {one.step: one for one in programme.step_days.order_by("step")}
