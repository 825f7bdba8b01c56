"""Files between preview and keep: they lie beside the record for a day, named by what is in them.

A preview must show exactly the bytes that are then kept, also when the file on the user's disk has changed
meanwhile. So the bytes stay here, and the page carries only a signed slip that names them. Of several files
the slip names their list, which lies here too: an address cannot hold hundreds of names.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.core import signing
from django.core.files.uploadedfile import UploadedFile

from offtool.core.values import OfftoolError
from offtool.exchange.readings import SentFile
from offtool.records.place import record_file

KEPT_FOR = timedelta(hours=24)
_SALT = "offtool.upload"
_LIST = "offtool.upload.list"


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """What was sent, one file or several, what it is called together, and the slip that names it."""

    name: str
    slip: str
    files: tuple[SentFile, ...] = field(repr=False)
    held_as: tuple[str, ...] = field(repr=False)
    """The names under which its bytes lie here."""

    @property
    def content(self) -> bytes:
        """The bytes of the file, or of the first of several."""
        return self.files[0].content


class UploadGone(OfftoolError):
    """The slip is older than a day, or not one of ours; the user chooses the file again."""

    def __init__(self) -> None:
        super().__init__("the file is no longer held for its preview", remedy="choose it again")


def folder() -> Path:
    """Where the files lie: a folder beside the record that only its owner may look into."""
    record = record_file()
    return record.with_name(record.name + ".uploads")


def hold_upload(*sent: UploadedFile[Any], now: float) -> str:
    """Put files aside until they are kept or a day has passed; gives their slip. `now` is in seconds."""
    place = folder()
    try:
        place.mkdir(mode=0o700, exist_ok=True)
        _sweep(place, now)
        held = [(_put(place, file.read()), str(file.name)) for file in sent]
        if len(held) == 1:
            return _slip(_SALT, *held[0])
        return _slip(_LIST, _put(place, json.dumps(held).encode()), f"{len(held)} files")
    except OSError as error:
        raise OfftoolError(
            f"the file cannot be put aside for its preview: {error.strerror}",
            where=str(place),
            remedy="make room, or set OFFTOOL_RECORD to a folder that you may write to",
        ) from error


def find_upload(slip: str) -> Upload:
    """The files that a slip names. Raises UploadGone."""
    try:
        return _open(slip)
    except (signing.BadSignature, OSError) as error:
        raise UploadGone from error


def forget_upload(upload: Upload) -> None:
    """Remove files that are in the record now."""
    for name in upload.held_as:
        (folder() / name).unlink(missing_ok=True)


def _open(slip: str) -> Upload:
    place = folder()
    try:
        named = signing.loads(slip, salt=_SALT, max_age=KEPT_FOR)
    except signing.SignatureExpired:
        raise
    except signing.BadSignature:
        named = signing.loads(slip, salt=_LIST, max_age=KEPT_FOR)
        held = json.loads((place / named["sha256"]).read_bytes())
        listed: tuple[str, ...] = (named["sha256"],)
    else:
        held, listed = [(named["sha256"], named["name"])], ()
    files = tuple(SentFile(name, (place / sha256).read_bytes(), name) for sha256, name in held)
    held_as = (*dict.fromkeys(sha256 for sha256, _ in held), *listed)
    return Upload(name=named["name"], slip=slip, files=files, held_as=held_as)


def _put(place: Path, content: bytes) -> str:
    """Write bytes under their own name, whole or not at all."""
    sha256 = hashlib.sha256(content).hexdigest()
    with tempfile.NamedTemporaryFile(dir=place, suffix=".part", delete=False) as unfinished:
        unfinished.write(content)
    Path(unfinished.name).replace(place / sha256)
    return sha256


def _slip(salt: str, sha256: str, name: str) -> str:
    return signing.dumps({"sha256": sha256, "name": name}, salt=salt, compress=True)


def _sweep(place: Path, now: float) -> None:
    """Remove what has lain for more than a day."""
    for file in place.iterdir():
        with suppress(FileNotFoundError):  # another request sweeps, too
            if now - file.stat().st_mtime > KEPT_FOR.total_seconds():
                file.unlink()
