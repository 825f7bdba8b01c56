"""Files between preview and keep: they lie beside the record for a day, named by what is in them.

A preview must show exactly the bytes that are then kept, also when the file on the user's disk has changed
meanwhile. So the bytes stay here, and the page carries only a signed slip that names them.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.core import signing
from django.core.files.uploadedfile import UploadedFile

from offtool.core.values import OfftoolError
from offtool.records.place import record_file

KEPT_FOR = timedelta(hours=24)
_SALT = "offtool.upload"


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """A file as it was sent, and the slip that names it."""

    name: str
    slip: str
    content: bytes = field(repr=False)


class UploadGone(OfftoolError):
    """The slip is older than a day, or not one of ours; the user chooses the file again."""

    def __init__(self) -> None:
        super().__init__("the file is no longer held for its preview", remedy="choose it again")


def folder() -> Path:
    """Where the files lie: a folder beside the record that only its owner may look into."""
    record = record_file()
    return record.with_name(record.name + ".uploads")


def hold_upload(sent: UploadedFile[Any], *, now: float) -> str:
    """Put a file aside until it is kept or a day has passed; gives its slip. `now` is in seconds."""
    content = sent.read()
    sha256 = hashlib.sha256(content).hexdigest()
    place = folder()
    try:
        place.mkdir(mode=0o700, exist_ok=True)
        _sweep(place, now)
        unfinished = place / f"{sha256}.{os.getpid()}.part"
        unfinished.write_bytes(content)
        unfinished.replace(place / sha256)
    except OSError as error:
        raise OfftoolError(
            f"the file cannot be put aside for its preview: {error.strerror}",
            where=str(place),
            remedy="make room, or set OFFTOOL_RECORD to a folder that you may write to",
        ) from error
    return signing.dumps({"sha256": sha256, "name": sent.name}, salt=_SALT, compress=True)


def find_upload(slip: str) -> Upload:
    """The file that a slip names. Raises UploadGone."""
    try:
        named = signing.loads(slip, salt=_SALT, max_age=KEPT_FOR)
        content = (folder() / named["sha256"]).read_bytes()
    except (signing.BadSignature, OSError) as error:
        raise UploadGone from error
    return Upload(name=named["name"], slip=slip, content=content)


def forget_upload(upload: Upload) -> None:
    """Remove a file that is in the record now."""
    (folder() / hashlib.sha256(upload.content).hexdigest()).unlink(missing_ok=True)


def _sweep(place: Path, now: float) -> None:
    """Remove what has lain for more than a day."""
    for file in place.iterdir():
        if now - file.stat().st_mtime > KEPT_FOR.total_seconds():
            file.unlink(missing_ok=True)
