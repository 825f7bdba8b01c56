"""On what many runs are spread: one core, the cores of this computer, or a cluster of computers."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any

from offtool import __version__
from offtool.core.values import ImpossibleInput, OfftoolError

WORTH_STARTING_S = 4.0
"""Work on one core from which other processes, which take half a second to start, are worth it."""
MOST_WORKERS = 64
ANSWERS_WITHIN_S = 10


@contextmanager
def executor_for(
    expected_s: float, *, workers: int | None = None, cluster: str = ""
) -> Iterator[Executor | None]:
    """What to give to runs that take so long on one core; None to do them here.

    Raises OfftoolError for a cluster that does not answer, or has another version, and where processes end.
    """
    if workers is not None and not 1 <= workers <= MOST_WORKERS:
        limit = f"must be at least 1 and at most {MOST_WORKERS}"
        raise ImpossibleInput("workers", workers, "", limit, "leave it out for the cores that there are")
    if cluster:
        with _cluster(cluster) as executor:
            yield executor
        return
    many = workers or (cores() if expected_s >= WORTH_STARTING_S else 1)
    if many == 1:
        yield None
        return
    with _processes(many) as executor:
        yield executor


def cores() -> int:
    """Cores that this process may use."""
    found = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(found or 1, MOST_WORKERS)


@contextmanager
def _processes(workers: int) -> Iterator[Executor]:
    fresh = multiprocessing.get_context("spawn")  # a fork of a process with threads may hang
    try:
        with ProcessPoolExecutor(workers, mp_context=fresh, initializer=_leave_interrupts) as pool:
            yield pool
    except BrokenProcessPool as error:
        raise OfftoolError(
            "a process that was at work has ended", remedy="run it on one core: --workers 1"
        ) from error


def _leave_interrupts() -> None:
    """Whoever started the work decides what an interrupt means."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    """The workers of a cluster, which must have this version."""
    try:
        import distributed
    except ImportError as error:
        raise OfftoolError(
            "a cluster needs a library that is not installed", remedy="pip install 'offtool[cluster]'"
        ) from error
    library: Any = distributed  # hardly anything in it has types
    try:
        client = library.Client(address, timeout=ANSWERS_WITHIN_S, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:  # no answer in time, or no address at all
        raise OfftoolError(
            f"does not answer within {ANSWERS_WITHIN_S} s",
            where=f"cluster {address}",
            remedy="give the address that its scheduler prints, such as tcp://127.0.0.1:8786",
        ) from error
    with client:
        _refuse_others(address, client.run(version_here))
        executor = client.get_executor()
        try:
            yield executor
        finally:
            executor.shutdown(wait=False)


def version_here() -> str:
    """The version of whoever is asked."""
    return __version__


def _refuse_others(address: str, versions: dict[str, object]) -> None:
    """Another version may give other numbers for the same seed."""
    if not versions:
        raise OfftoolError("has no workers", where=f"cluster {address}", remedy="start one at least")
    others = {name: version for name, version in versions.items() if version != __version__}
    for name, version in others.items():
        raise OfftoolError(
            f"worker {name} has offtool {version}, not {__version__}: its numbers could be others",
            where=f"cluster {address}",
            remedy="install the same version on every worker",
        )
