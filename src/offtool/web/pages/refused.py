"""The page that says why something is not there or not possible."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.web.pages.frame import Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedPage:
    """What went wrong, where, and what to do."""

    frame: Frame
    what: str
    """What went wrong, as a sentence without full stop."""
    where: str = ""
    """The file, row, name or field it is about."""
    remedy: str = ""
    """What the reader can do."""
