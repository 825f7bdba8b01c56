"""How far a long run is: for the page, and for the script that looks again and again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from offtool.web.long_runs import LongRun


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressShown:
    """A run that is under way."""

    done: int
    of: int
    says: str
    href: str
    """Where the script looks again."""
    again_href: str
    """The page itself, for those without a script."""
    fields: tuple[tuple[str, str], ...]
    """The settings, so that stopping means this run."""


def progress_in_words(run: LongRun) -> str:
    """34 of 200 runs are done."""
    if run.is_over:
        return "It has ended."
    if run.stop_asked.is_set():
        return "It is being stopped."
    if not run.of:
        return "It is being started."
    return f"{run.done} of {run.of} runs are done."


def progress_as_plain(run: LongRun | None) -> dict[str, Any]:
    """The same for a script; a run that is kept no longer is over."""
    if run is None:
        return {"done": 0, "of": 0, "over": True, "says": "It is kept no longer.", "so_far": ""}
    return {
        "done": run.done,
        "of": run.of,
        "over": run.is_over,
        "says": progress_in_words(run),
        "so_far": run.so_far.headline if run.so_far is not None else "",
    }
