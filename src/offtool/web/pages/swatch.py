"""A colour as it stands on a page: its words first, a patch of it, its numbers."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.html import format_html
from django.utils.safestring import SafeString


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourCell:
    """A colour in words, drawn and in numbers; what is not known is empty."""

    words: str
    patch: SafeString | str
    numbers: str


def draw_patch(on_screen: str, said: str) -> SafeString | str:
    """A patch of a colour, near enough to recognise; nothing where no colour was measured."""
    if not on_screen:
        return ""
    return format_html(
        '<svg class="patch" width="22" height="14" viewBox="0 0 22 14" role="img" aria-label="{}">'
        '<rect x="0.5" y="0.5" width="21" height="13" fill="{}" stroke="#66615a"></rect></svg>',
        f"patch of {said}",
        on_screen,
    )


def lab_in_words(lightness: float, a: float, b: float) -> str:
    """L* 71.2, a* −18.4, b* 9.1."""
    return f"L* {lightness:.1f}, a* {a:.1f}, b* {b:.1f}".replace("-", "−")
