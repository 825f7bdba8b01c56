"""A photograph's own bytes without what a phone adds: JPEG, PNG and WebP walked piece by piece.

No pixel is decoded or written anew. Of each format only the pieces that pixels and their colours need are
kept; whatever is not known is dropped. A note that turns the picture is written back alone.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator

_EXIF = b"Exif\x00\x00"
_JPEG_START, _JPEG_END = b"\xff\xd8", b"\xff\xd9"
_SCAN = 0xDA
_ALONE = {0x01, *range(0xD0, 0xD8)}
"""Markers without a length."""
_MARKER_IN_SCAN = re.compile(rb"\xff+[\x01-\xcf\xd8-\xfe]")
_JFIF, _ICC, _ADOBE = b"JFIF\x00", b"ICC_PROFILE\x00", b"Adobe"
_JFIF_BYTES = 14

_PNG_START = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = {
    *(b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS"),
    *(b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"sBIT", b"bKGD", b"pHYs"),
}
_WEBP_KEPT = {b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP", b"ANIM", b"ANMF"}
_IN_FRAME = {b"VP8 ", b"VP8L", b"ALPH"}
_FRAME_HEAD = 16
"""Bytes of an ANMF piece before the pieces of its frame."""
_WEBP_NOTES, _WEBP_EXIF = 0x0C, 0x08


def bare_jpeg(content: bytes, orientation: int) -> bytes:
    """A JPEG without notes, comments, small pictures and second pictures."""
    kept = [_JPEG_START]
    note = _jpeg_note(orientation)
    for marker, piece in _jpeg_pieces(content):
        if note and marker != 0xE0:
            kept.append(note)
            note = b""
        kept.append(_jpeg_kept(marker, piece))
    return b"".join(kept) + _JPEG_END


def _jpeg_pieces(content: bytes) -> Iterator[tuple[int, bytes]]:
    """Marker and whole piece, from the start to the end of the first picture; a scan with its data."""
    place = len(_JPEG_START)
    while place < len(content):
        if content[place] != 0xFF:
            place += 1  # what stands between pieces is padding
            continue
        while content[place + 1] == 0xFF:
            place += 1
        marker = content[place + 1]
        if marker == _JPEG_END[1]:
            return
        if marker in _ALONE or marker == 0:
            place += 2
            continue
        end = place + 2 + struct.unpack_from(">H", content, place + 2)[0]
        if marker == _SCAN:
            following = _MARKER_IN_SCAN.search(content, end)
            end = following.start() if following else len(content)
        yield marker, content[place:end]
        place = end


def _jpeg_kept(marker: int, piece: bytes) -> bytes:
    """A piece, or nothing of it: of what programs add only colours, and the size of a dot."""
    data = piece[4:]
    if marker == 0xE0 and data.startswith(_JFIF):
        small_picture_dropped = data[: _JFIF_BYTES - 2] + b"\x00\x00"
        return _jpeg_piece(marker, small_picture_dropped)
    if (marker, True) in ((0xE2, data.startswith(_ICC)), (0xEE, data.startswith(_ADOBE))):
        return piece
    return b"" if 0xE0 <= marker <= 0xEF or marker == 0xFE else piece


def _jpeg_piece(marker: int, data: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(data) + 2) + data


def _jpeg_note(orientation: int) -> bytes:
    return _jpeg_piece(0xE1, _EXIF + _turned(orientation)) if orientation > 1 else b""


def _turned(orientation: int) -> bytes:
    """The smallest note that says how a picture is turned: TIFF 6.0, one entry, tag 0x0112."""
    entry = struct.pack(">HHIHH", 0x0112, 3, 1, orientation, 0)
    return struct.pack(">2sHI", b"MM", 42, 8) + struct.pack(">H", 1) + entry + struct.pack(">I", 0)


def bare_png(content: bytes, orientation: int) -> bytes:
    """A PNG without text, time, notes and further pictures."""
    kept = [_PNG_START]
    for kind, data in _png_pieces(content):
        if kind in _PNG_KEPT:
            kept.append(_png_piece(kind, data))
        if kind == b"IHDR" and orientation > 1:
            kept.append(_png_piece(b"eXIf", _turned(orientation)))
    return b"".join(kept)


def _png_pieces(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(_PNG_START)
    kind = b""
    while kind != b"IEND" and place < len(content):
        length, kind = struct.unpack_from(">I4s", content, place)
        yield kind, content[place + 8 : place + 8 + length]
        place += length + 12


def _png_piece(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I4s", len(data), kind) + data + struct.pack(">I", zlib.crc32(kind + data))


def bare_webp(content: bytes, orientation: int) -> bytes:
    """A WebP without notes; its flags say so."""
    kept = []
    for kind, data in _webp_pieces(content):
        if kind == b"VP8X":
            notes = _WEBP_EXIF if orientation > 1 else 0
            kept.append(_webp_piece(kind, bytes([data[0] & ~_WEBP_NOTES | notes]) + data[1:]))
        elif kind == b"ANMF":
            kept.append(_webp_piece(kind, _bare_frame(data)))
        elif kind in _WEBP_KEPT:
            kept.append(_webp_piece(kind, data))
    if orientation > 1:
        kept.append(_webp_piece(b"EXIF", _turned(orientation)))
    body = b"WEBP" + b"".join(kept)
    return struct.pack("<4sI", b"RIFF", len(body)) + body


def _bare_frame(data: bytes) -> bytes:
    """A frame of a moving picture is made of pieces of its own, behind its place and time."""
    kept = [
        _webp_piece(kind, piece) for kind, piece in _pieces(data, _FRAME_HEAD, len(data)) if kind in _IN_FRAME
    ]
    return data[:_FRAME_HEAD] + b"".join(kept)


def _webp_pieces(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    return _pieces(content, 12, min(8 + struct.unpack_from("<I", content, 4)[0], len(content)))


def _pieces(content: bytes, place: int, end: int) -> Iterator[tuple[bytes, bytes]]:
    while place + 8 <= end:
        kind, length = struct.unpack_from("<4sI", content, place)
        yield kind, content[place + 8 : place + 8 + length]
        place += 8 + length + length % 2


def _webp_piece(kind: bytes, data: bytes) -> bytes:
    return struct.pack("<4sI", kind, len(data)) + data + b"\x00" * (len(data) % 2)
