"""The two pages on which a file is read: it is chosen, then shown as it is understood and kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from offtool.web.pages.frame import Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class FilePage:
    """Choose the file."""

    frame: Frame
    headline: str
    refusal: str
    """Why it must be chosen again."""
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewPage:
    """The file as it is understood, and the form to keep it."""

    frame: Frame
    file: str
    refusal: str
    """Why nothing can be made of it."""
    preview: Any
    """What is understood, in words; None where nothing can be made of it."""
    how_form: Any
    keep_form: Any
    told: tuple[tuple[str, str], ...]
    """What the other form holds, sent along when the file is kept."""
    again: str
    """The address to choose another file."""
