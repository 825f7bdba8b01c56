"""A trial as it is asked for on the command line: the request as it was, with what was said anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import click

from offtool.cli.seen_typed import colour_typed
from offtool.handbook.terms import TrialPurpose
from offtool.steps.ask_trial import RequestKnown, RequestSaid, purpose_named, request_known

AS_SAID = (
    *("earliest", "due", "hours", "wish", "colour", "resin", "late_per_day", "needs_engineer", "note"),
)


def request_said(
    programme: str, tool: str, trial: str, said: Mapping[str, Any], *, change: bool, by: str
) -> RequestSaid:
    """The request as the step takes it; with `change` what is not said stays as it is."""
    now = RequestSaid(tool=tool, name=trial, asked_by=by)
    if change:
        now = _as_said(request_known(programme, tool, trial))
    told = {name: said[name] for name in AS_SAID if name in said}
    if "purposes" in said:
        told["purposes"] = purposes_typed(said["purposes"])
    if "lab" in said:
        lab, _ = colour_typed(said["lab"], f"--lab {said['lab']!r}", usual=0.0)
        told |= dict(zip(("lightness", "a", "b"), lab, strict=True))
    return replace(now, **told)


def purposes_typed(typed: Sequence[str]) -> dict[TrialPurpose, int | None]:
    """Purposes as they are typed: sizes, or assembly:40 with a number of pieces."""
    purposes: dict[TrialPurpose, int | None] = {}
    for one in typed:
        word, _, pieces = one.partition(":")
        if pieces.strip() and not (pieces.strip().isascii() and pieces.strip().isdigit()):
            raise click.UsageError(f"--for {one!r}: type the pieces as a whole number: --for assembly:40")
        purposes[purpose_named(word)] = int(pieces) if pieces.strip() else None
    return purposes


def _as_said(known: RequestKnown) -> RequestSaid:
    return RequestSaid(
        tool=known.tool,
        name=known.name,
        purposes={one.purpose: one.pieces for one in known.purposes},
        lightness=known.lightness,
        a=known.a,
        b=known.b,
        asked_by=known.asked_by,
        **{name: getattr(known, name) for name in AS_SAID},
    )
