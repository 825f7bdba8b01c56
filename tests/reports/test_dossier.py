"""The dossier: every file byte for byte under a name that all systems take, checked by sha256sum itself."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import subprocess
import zipfile
from pathlib import Path, PurePosixPath

import pytest
from hypothesis import strategies as st

from offtool.cli import dossier as command
from offtool.core.values import OfftoolError
from offtool.reports.dossier import SUMS, DossierEntry, dossier_entries, dossier_paths, write_zip
from offtool.reports.dossier_names import LONGEST, NamesTaken, safe_name
from offtool.steps import dossier as step
from offtool.steps.dossier import Dossier, dossier_of
from offtool.steps.plain import as_plain
from tests.core.laws import law
from tests.reports import reviews
from tests.reports.reviews import CONTENT, review, source


@pytest.fixture(autouse=True)
def made_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """The files are those of the invented review, and not of a record."""
    monkeypatch.setattr(step, "source_bytes", reviews.bytes_of)


def found(**changed: object) -> Dossier:
    return dossier_of("harbour-otter", reviews.ON, review(**changed))


def entries(**changed: object) -> dict[str, bytes]:
    return {one.path: one.content for one in dossier_entries(found(**changed))}


def test_sha256sum_finds_every_file_as_it_was_written(tmp_path: Path) -> None:
    for path, content in entries().items():
        place = tmp_path / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
    checked = ["sha256sum", "--check", "--strict", SUMS]
    done = subprocess.run(checked, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    written = {str(one.relative_to(tmp_path)) for one in tmp_path.rglob("*") if one.is_file()}
    assert {line.removesuffix(": OK") for line in done.stdout.splitlines()} == written - {SUMS}
    spoilt = next((tmp_path / "files").rglob("M3_T3_data.csv"))
    spoilt.write_bytes(spoilt.read_bytes() + b" ")
    assert subprocess.run(checked, cwd=tmp_path, capture_output=True, check=False).returncode == 1


def test_every_file_of_the_record_is_there_byte_for_byte_and_once() -> None:
    dossier = found()
    paths, written = dossier_paths(dossier), entries()
    assert {one.source for one in dossier.files} == {source(name) for name in CONTENT}
    for name, content in CONTENT.items():
        assert written[paths[source(name)]] == content
    assert len({one.casefold() for one in paths.values()}) == len(CONTENT)


def test_the_index_leads_from_each_line_to_its_files() -> None:
    written = entries()
    rows = list(csv.DictReader(io.StringIO(written["index.csv"].decode("utf-8-sig"))))
    assert {row["line"] for row in rows} == {one.code for one in reviews.lines()}
    for row in rows:
        if row["file"]:
            assert hashlib.sha256(written[row["file"]]).hexdigest() == row["sha256"]
    leads = {(row["line"], row["file"]) for row in rows if row["file"]}
    paths = dossier_paths(found())
    assert leads == {(code, paths[one.source]) for one in found().files for code in one.lines}


def test_a_paper_that_no_fact_rests_on_is_in_the_dossier_and_its_index() -> None:
    line = reviews.line(
        "decoration", reviews.Standing.MISSING, evidence=(reviews.paper(set_aside="wrong part"),)
    )
    written = entries(lines=(line,))
    (row,) = [
        row
        for row in csv.DictReader(io.StringIO(written["index.csv"].decode("utf-8-sig")))
        if row["kind"] == "evidence"
    ]
    assert row["stands"] == "set aside"
    assert written[row["file"]] == CONTENT["tape test: belly?.pdf"]


def test_the_review_is_carried_as_the_command_prints_it() -> None:
    assert json.loads(entries()["review.json"]) == json.loads(json.dumps(as_plain(review())))


def test_the_same_review_gives_the_same_archive_and_it_opens() -> None:
    one, other = io.BytesIO(), io.BytesIO()
    for out in (one, other):
        write_zip(dossier_entries(found()), out)
    assert one.getvalue() == other.getvalue()
    with zipfile.ZipFile(one) as archive:
        assert archive.testzip() is None
        assert {name: archive.read(name) for name in archive.namelist()} == entries()


def test_a_file_whose_bytes_have_changed_is_refused_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(step, "source_bytes", lambda one: b"other bytes")
    with pytest.raises(OfftoolError, match="the record is damaged") as refusal:
        entries()
    assert refusal.value.where in CONTENT


def test_a_cell_that_a_spreadsheet_would_run_is_text() -> None:
    line = reviews.line("sizes", reviews.Standing.FAILS, reviews.fact("=cmd()", reviews.Standing.FAILS))
    assert b'"=cmd()' not in entries(lines=(line,))["index.csv"]
    assert b"'=cmd()" in entries(lines=(line,))["index.csv"]


HARMFUL = '<>:"/\\|?*'
DEVICES = {"con", "prn", "aux", "nul", "com1", "lpt9"}


@law(name=st.text(max_size=300))
def test_every_name_becomes_one_that_all_systems_take(name: str) -> None:
    safe = safe_name(name)
    assert 0 < len(safe) <= LONGEST + len("-file")
    assert not set(safe) & set(HARMFUL)
    assert safe.isprintable()
    assert safe == safe.strip(". ")
    assert safe.partition(".")[0].casefold() not in DEVICES
    assert PurePosixPath(safe).parts == (safe,)
    assert safe_name(safe) == safe


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("M3_T3_data.xlsx", "M3_T3_data.xlsx"),
        ("../../etc/passwd", "-..-etc-passwd"),
        ("C:\\fakepath\\report.pdf", "C--fakepath-report.pdf"),
        ("NUL", "NUL-file"),
        ("aux.csv", "aux-file.csv"),
        ("...", "file"),
        ("报告 T1.pdf", "报告 T1.pdf"),
    ],
)
def test_names_that_would_do_harm(name: str, safe: str) -> None:
    assert safe_name(name) == safe


@law(names=st.lists(st.text(alphabet="aAbB./é", max_size=6), max_size=12))
def test_no_two_files_share_a_name_whatever_the_case(names: list[str]) -> None:
    taken = NamesTaken()
    given = [taken.name("files", one, "0a1b2c3d").casefold() for one in names]
    assert len(set(given)) == len(given)


def test_the_command_names_the_checksums_as_they_are() -> None:
    assert command.SUMS == SUMS
    assert DossierEntry("a", b"").path == "a"
