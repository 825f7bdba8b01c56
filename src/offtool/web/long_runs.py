"""Work that takes longer than a page may: it goes on behind the pages, is told of, stopped, and kept a while.

What is asked for twice is done once. Nothing is written to the record, and a restart of the pages forgets it.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

from offtool.core.values import OfftoolError

AT_ONCE = 2
KEPT, KEPT_S = 12, 1800.0
"""So many results are kept, and so long after they were last looked at."""


class Work(Protocol):
    """What is done: it tells how far it is, asks whether to stop, and gives a result."""

    def __call__(
        self,
        *,
        progress: Callable[[int, int], None],
        stop: Callable[[], bool],
        so_far: Callable[[Any], None],
    ) -> Any: ...


@dataclass(slots=True)
class LongRun:
    """One piece of work: how far it is, what is known so far, how it ended."""

    key: str
    done: int = 0
    of: int = 0
    so_far: Any = None
    result: Any = None
    error: OfftoolError | None = None
    is_over: bool = False
    stop_asked: threading.Event = field(default_factory=threading.Event)
    seen_at: float = field(default_factory=time.monotonic)

    def tell(self, done: int, of: int) -> None:
        """How far it is."""
        self.done, self.of = done, of

    def show(self, found: Any) -> None:
        """What is known so far."""
        self.so_far = found

    @property
    def known(self) -> Any:
        """The result, or what is known so far; None while that is nothing."""
        return self.result if self.result is not None else self.so_far

    @property
    def was_cut_short(self) -> bool:
        """It ended without all that was asked."""
        return self.is_over and (self.error is not None or self.stop_asked.is_set())


class LongRuns:
    """All of them, by their keys."""

    def __init__(self) -> None:
        self._runs: dict[str, LongRun] = {}
        self._lock = threading.Lock()

    def find(self, key: str) -> LongRun | None:
        """The one of this key, if it is kept still."""
        with self._lock:
            self._forget()
            found = self._runs.get(key)
            if found is not None:
                found.seen_at = time.monotonic()
            return found

    def start(self, key: str, work: Work) -> LongRun:
        """Begin it, or join the one of this key. Raises OfftoolError where too many are under way."""
        with self._lock:
            self._forget()
            known = self._runs.get(key)
            if known is not None and not known.was_cut_short:
                return known
            if sum(not one.is_over for one in self._runs.values()) >= AT_ONCE:
                raise OfftoolError(
                    f"{AT_ONCE} long runs are under way already", remedy="wait for one, or stop it"
                )
            run = self._runs[key] = LongRun(key)
        threading.Thread(target=_do, args=(run, work), name=f"run {key}", daemon=True).start()
        return run

    def stop(self, key: str) -> None:
        """Ask it to stop; what is done so far stays."""
        found = self.find(key)
        if found is not None:
            found.stop_asked.set()

    def _forget(self) -> None:
        """Drop results that nobody looked at for long, the oldest first."""
        over = sorted((one for one in self._runs.values() if one.is_over), key=lambda one: one.seen_at)
        surplus = max(len(over) - KEPT, 0)
        now = time.monotonic()
        for i, one in enumerate(over):
            if i < surplus or now - one.seen_at > KEPT_S:
                del self._runs[one.key]


def _do(run: LongRun, work: Work) -> None:
    try:
        run.result = work(progress=run.tell, stop=run.stop_asked.is_set, so_far=run.show)
    except OfftoolError as error:
        run.error = error
    except BaseException:
        run.error = OfftoolError("the run broke down", remedy="the terminal of the pages says more")
        raise
    finally:
        run.is_over = True


LONG_RUNS = LongRuns()
"""Those of this server."""
