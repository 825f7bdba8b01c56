"""One spelling for the many ways keyboards write the same sign."""

from __future__ import annotations

import re
import unicodedata

FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
"""Full-width letters, digits and signs, as Chinese input methods write them, to their plain form."""

_SPACES = dict.fromkeys((0x3000, 0x00A0, 0x2007, 0x202F, *range(0x2000, 0x200B)), " ")
_MINUS = dict.fromkeys((0x2212, 0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0xFE63), "-")
_NOTHING = dict.fromkeys((0xFEFF, 0x200B, 0x200C, 0x200D, 0x2060, 0x00AD, 0x1A))
_PLAIN: dict[int, int | str | None] = {**FULL_WIDTH, **_SPACES, **_MINUS, **_NOTHING}

_BETWEEN_WORDS = re.compile(r"(?<=\w)-(?=\w)")
_DOT_OF_A_WORD = re.compile(r"(?<![0-9])\.|\.(?![0-9])")
_SIGN_AT_END = re.compile(r"(?<=^[+±-])(?=\w)|(?<=\w)(?=[+±-]$)")
_EDGES = " \t:;,*\"'"


def plain(text: str) -> str:
    """The text with full-width signs, odd spaces and odd minus signs in their plain form, trimmed.

    Superscripts and fractions are left alone: turned into digits they would become other numbers.
    """
    return text.strip() if text.isascii() else text.translate(_PLAIN).strip()


def has_full_width(text: str) -> bool:
    return not text.isascii() and any(ord(sign) in FULL_WIDTH for sign in text)


def has_letters(text: str) -> bool:
    return any(map(str.isalpha, text))


def one_line(text: str) -> str:
    """The text of a cell on one line, as it is quoted in messages."""
    return " ".join(text.split())


def tidy(text: str) -> str:
    """A heading in its plain form: one line, no dots of abbreviations, no hyphens or underscores in words."""
    text = unicodedata.normalize("NFC", plain(text)).replace("_", " ")
    text = text.replace("+/-", "±").replace("+-", "±")
    text = _SIGN_AT_END.sub(" ", _DOT_OF_A_WORD.sub(" ", text))
    return one_line(_BETWEEN_WORDS.sub(" ", text)).strip(_EDGES)


def heading_key(text: str) -> str:
    """The form in which a heading is looked up among the words of the trade."""
    return tidy(text).casefold()
