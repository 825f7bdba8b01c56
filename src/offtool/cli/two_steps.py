"""A file is shown as it is understood, and kept where that is asked for; the same for every sort of study."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from offtool.cli.terminal import say, say_json


def preview_then_keep(
    preview: Callable[[], Any],
    keep: Callable[[], Any] | None,
    *,
    lines: Callable[..., Sequence[str]],
    kept_lines: Callable[[Any, Any], Sequence[str]],
    as_json: bool,
) -> None:
    """Show what `preview` finds; with `keep`, keep it. What cannot be kept is shown too, with the refusal."""
    from offtool.core.values import OfftoolError
    from offtool.steps.plain import as_plain

    found = preview()
    if keep is None:
        say_json(as_plain(found)) if as_json else say(lines(found))
        return
    try:
        kept = keep()
    except OfftoolError:
        if not as_json:
            say(lines(found, refused=True))
        raise
    say_json(as_plain(kept)) if as_json else say(kept_lines(kept, found))
