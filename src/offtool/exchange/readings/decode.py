"""Which encoding a file of text is in, from what its bytes show."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from dataclasses import dataclass

from offtool.exchange.readings.table import FileRefused


@dataclass(frozen=True, slots=True)
class Encoding:
    """The name shown, and the codec that reads it."""

    name: str
    codec: str


UTF_8 = Encoding("UTF-8", "utf-8")
GB18030 = Encoding("GB18030", "gb18030")
WINDOWS_1252 = Encoding("Windows-1252", "cp1252")
_LITTLE, _BIG = Encoding("UTF-16 LE", "utf-16-le"), Encoding("UTF-16 BE", "utf-16-be")

_WITH_BYTE_ORDER_MARK = (
    (codecs.BOM_UTF32_LE, None),
    (codecs.BOM_UTF32_BE, None),
    (codecs.BOM_UTF8, Encoding("UTF-8", "utf-8-sig")),
    (codecs.BOM_UTF16_LE, Encoding("UTF-16 LE", "utf-16")),
    (codecs.BOM_UTF16_BE, Encoding("UTF-16 BE", "utf-16")),
)
"""Order matters: the mark of UTF-32 begins with that of UTF-16."""

_FOREIGN = (
    (
        b"\xd0\xcf\x11\xe0",
        "is a workbook in the old format or one locked by a password",
        "save it unlocked, as .xlsx",
    ),
    (b"%PDF", "is a PDF", "ask for the table it was printed from, as .xlsx or CSV"),
    (b"\x89PNG", "is a picture", "ask for the table itself, as .xlsx or CSV"),
    (b"\xff\xd8\xff", "is a picture", "ask for the table itself, as .xlsx or CSV"),
    (b"{\\rtf", "is a text document", "copy its table into a spreadsheet and save that as .xlsx or CSV"),
    (b"<?xml", "is an XML file", "save the table as .xlsx or CSV"),
    (b"<html", "is a web page", "open it in a spreadsheet and save it as .xlsx"),
    (b"<!doctype", "is a web page", "open it in a spreadsheet and save it as .xlsx"),
)

_CONTROL = frozenset(range(0x20)) - frozenset(b"\t\n\r\f\x1a")
"""Control characters that no table holds; 0x1A ends files of old programs."""

_CAVITY_SIGN = "穴".encode("gb18030")
"""In UTF-8 these bytes are a letter of old Cyrillic that no gauge room writes; alone they are "cavity"."""

_PIECE = 1 << 20
_SAMPLE = 4000


def find_encoding(content: bytes, name: str) -> Encoding:
    """The encoding of a file of text; raises FileRefused when it is no text."""
    _refuse_foreign(content, name)
    for mark, encoding in _WITH_BYTE_ORDER_MARK:
        if content.startswith(mark):
            if encoding and _reads(content, encoding):
                return encoding
            raise _no_text(
                name, f"it begins like {encoding.name if encoding else 'UTF-32'} and cannot be read so"
            )
    for encoding in _candidates(content):
        if _reads(content, encoding):
            return encoding
    raise _no_text(name, "its bytes are no text in UTF-8, UTF-16, GB18030 or Windows-1252")


def _candidates(content: bytes) -> Iterator[Encoding]:
    if b"\0" in content:
        even, odd = content[0::2].count(0), content[1::2].count(0)
        yield from (_LITTLE, _BIG) if odd > even else (_BIG, _LITTLE)
        return
    if _CAVITY_SIGN in content and content.replace(_CAVITY_SIGN, b"").isascii():
        yield GB18030
    yield UTF_8
    if _looks_chinese(content):
        yield GB18030
    yield WINDOWS_1252
    yield GB18030


def _looks_chinese(content: bytes) -> bool:
    """Whether bytes beyond ASCII read as everyday Chinese.

    Umlauts of Windows-1252 read as GB18030 too, as rare signs. Everyday signs are those of level 1 of GB 2312
    and its rows of symbols; four-byte signs count as well, since Western text does not form them by chance.
    """
    sample = bytearray()
    for piece in _pieces(content):
        if not piece.isascii():
            sample += piece
            break
    try:
        text = codecs.getincrementaldecoder("gb18030")().decode(bytes(sample))
    except UnicodeDecodeError:
        return False
    beyond = [sign.encode("gb18030") for sign in text if not sign.isascii()][:_SAMPLE]
    return sum(map(_everyday, beyond)) >= 0.8 * len(beyond)


def _everyday(sign: bytes) -> bool:
    if len(sign) == 4:
        return True
    symbol, level_1 = 0xA1 <= sign[0] <= 0xA9, 0xB0 <= sign[0] <= 0xD7
    return (symbol or level_1) and sign[1] >= 0xA1


def _reads(content: bytes, encoding: Encoding) -> bool:
    """Whether the whole content decodes, without control characters that no table holds."""
    decoder = codecs.getincrementaldecoder(encoding.codec)()
    try:
        for piece in _pieces(content):
            if _has_control(decoder.decode(piece)):
                return False
        return not _has_control(decoder.decode(b"", final=True))
    except UnicodeDecodeError:
        return False


def _has_control(text: str) -> bool:
    return any(chr(code) in text for code in _CONTROL)


def _pieces(content: bytes) -> Iterator[bytes]:
    return (content[start : start + _PIECE] for start in range(0, len(content), _PIECE))


def _refuse_foreign(content: bytes, name: str) -> None:
    start = content[:64].lstrip().lower()
    for signature, what, remedy in _FOREIGN:
        if content.startswith(signature) or start.startswith(signature):
            raise FileRefused(what, where=name, remedy=remedy)


def _no_text(name: str, why: str) -> FileRefused:
    return FileRefused(f"is no text: {why}", where=name, remedy="save the table as .xlsx or as CSV in UTF-8")
