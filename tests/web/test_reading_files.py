"""Several files through the pages: chosen together or as a zip, shown as one, kept all or none."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.exchange.readings import SentFile
from offtool.records.models import Programme, Reading, SourceFile
from offtool.web import uploads
from offtool.web.uploads import UploadGone, find_upload, folder, forget_upload, hold_upload
from tests.exchange.readings.test_bundle import packed
from tests.web import otter
from tests.web.rendering import Outline
from tests.web.test_reading import T2, slip_of


def part_file(peg: object) -> bytes:
    return f"Characteristic,Value\n12 Hip peg diameter,{peg}\n9 Ear spacing,24.6\n".encode()


FOUR = {f"otter_T2_C{c}_S{s}.csv": part_file(3.97 + s / 1000 + c / 100) for c in (1, 2) for s in (1, 2)}


def send(client: Client, address: str, files: Mapping[str, bytes]) -> str:
    chosen = [SimpleUploadedFile(name, content) for name, content in files.items()]
    answer = client.post(address, {"file": chosen})
    assert answer.status_code == 302, answer.content.decode()
    return str(answer.url)


@pytest.fixture
def tool(db: None) -> None:
    otter.make_programme()


@pytest.mark.usefixtures("tool")
def test_several_files_are_one_preview_and_all_are_kept(client: Client) -> None:
    preview = send(client, f"{T2}read/", FOUR)
    assert len(preview) < 2000
    text = Outline(client.get(preview).content.decode()).text
    for words in ("8 readings of 2 sizes in 2 cavities", "4 files", "otter_T2_C2_S1.csv", "cavity 2 part 1"):
        assert words in text
    assert not SourceFile.objects.exists()
    given = {"upload": slip_of(preview), "trial": "T2", "read_by": "gauge room"}
    kept = client.post(f"{T2}read/", given, follow=True)
    assert "8 readings of 4 files are kept in trial T2" in Outline(kept.content.decode()).text
    assert {one.name: bytes(one.content) for one in SourceFile.objects.all()} == FOUR
    assert list(uploads.folder().iterdir()) == []


@pytest.mark.usefixtures("tool")
def test_a_zip_is_shown_like_its_files_and_json_lists_them(client: Client) -> None:
    preview = send(client, f"{T2}read/", {"T2.zip": packed(FOUR | {"notes.txt": b"Monday"})})
    told = client.get(preview + "&format=json").json()
    assert [one["name"] for one in told["files"]] == sorted(FOUR)
    text = Outline(client.get(preview).content.decode()).text
    assert "Files that are not read" in text
    assert "notes.txt" in text


@pytest.mark.usefixtures("tool")
def test_a_file_that_is_missed_must_be_left_out_by_hand_and_errors_name_the_file(client: Client) -> None:
    files = FOUR | {"otter_T2_C1_S3.csv": b"", "otter_T2_C1_S4.csv": part_file("OOL")}
    preview = send(client, f"{T2}read/", files)
    text = Outline(client.get(preview).content.decode()).text
    assert "1 cell and 1 file cannot be read" in text
    assert "otter_T2_C1_S4.csv, row 2, column 2" in text
    given = {"upload": slip_of(preview), "trial": "T2"}
    refused = client.post(f"{T2}read/", given)
    assert refused.status_code == 422
    assert not Reading.objects.exists()
    assert client.post(f"{T2}read/", given | {"leave_out": "on"}).status_code == 302
    assert SourceFile.objects.count() == 5


def test_a_programme_is_started_from_several_files(client: Client, db: None) -> None:
    rows = "No,Characteristic,Lower,Upper,Actual\n1,Length,19.9,20.1,{}\n"
    files = {f"C{c}_S1.csv": rows.format(20 + c / 100).encode() for c in (1, 2)}
    slip = slip_of(send(client, "/start/", files))
    given = {"upload": slip, "tool": "M1", "part": "P1", "trial": "T1", "resin": "ABS", "title": "River crab"}
    assert client.post("/start/", given).status_code == 302
    assert Programme.objects.get().slug == "river-crab"
    assert SourceFile.objects.count() == 2


def held(files: Mapping[str, bytes]) -> str:
    return hold_upload(*(SimpleUploadedFile(name, content) for name, content in files.items()), now=0.0)


def test_the_bytes_of_several_files_are_held_and_forgotten_together() -> None:
    upload = find_upload(held(FOUR))
    assert upload.name == "4 files"
    assert upload.files == tuple(SentFile(name, content, name) for name, content in FOUR.items())
    forget_upload(upload)
    assert list(folder().iterdir()) == []


def test_a_list_with_a_file_gone_asks_for_all_files_again() -> None:
    slip = held(FOUR)
    forget_upload(find_upload(held({"one.csv": FOUR["otter_T2_C1_S1.csv"]})))
    with pytest.raises(UploadGone):
        find_upload(slip)
