"""Files between preview and keep."""

from __future__ import annotations

import os
import stat
import time
from pathlib import Path

import pytest
from django.core import signing
from django.core.files.uploadedfile import SimpleUploadedFile

from offtool.core.values import OfftoolError
from offtool.web.uploads import KEPT_FOR, UploadGone, find_upload, folder, forget_upload, hold_upload


def held(content: bytes = b"1;2", name: str = "T1.csv", *, now: float | None = None) -> str:
    return hold_upload(SimpleUploadedFile(name, content), now=time.time() if now is None else now)


def test_the_bytes_that_were_shown_are_the_bytes_that_are_kept() -> None:
    upload = find_upload(held(b"\x00\xff raw"))
    assert (upload.name, upload.content) == ("T1.csv", b"\x00\xff raw")


def test_only_the_owner_may_look_into_the_folder() -> None:
    held()
    assert stat.S_IMODE(folder().stat().st_mode) == 0o700


def test_a_slip_that_was_written_by_hand_opens_no_file(own_folder: Path) -> None:
    secret = own_folder / "secret"
    secret.write_bytes(b"not for you")
    held()
    for slip in ("", "x", "../secret", signing.dumps({"sha256": "../secret", "name": "a"}, salt="other")):
        with pytest.raises(UploadGone):
            find_upload(slip)


def test_a_slip_opens_nothing_once_its_file_is_kept() -> None:
    slip = held()
    forget_upload(find_upload(slip))
    with pytest.raises(UploadGone, match="choose it again"):
        find_upload(slip)
    assert list(folder().iterdir()) == []


def test_what_has_lain_for_more_than_a_day_is_removed_at_the_next_upload() -> None:
    held(b"old")
    (old,) = folder().iterdir()
    yesterday = time.time() - KEPT_FOR.total_seconds() - 60
    os.utime(old, (yesterday, yesterday))
    fresh = held(b"new")
    assert find_upload(fresh).content == b"new"
    assert not old.exists()


def test_a_folder_that_cannot_be_written_is_said_so(
    own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (own_folder / "file").write_bytes(b"")
    monkeypatch.setenv("OFFTOOL_RECORD", str(own_folder / "file" / "record.sqlite3"))
    with pytest.raises(OfftoolError, match="cannot be put aside"):
        held()
