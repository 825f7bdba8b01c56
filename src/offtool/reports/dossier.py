"""The dossier of a release as files: an index, the review, all evidence byte for byte, and checksums."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import IO

from offtool.exchange.spreadsheet import write_safe_cell
from offtool.reports.dossier_names import NamesTaken
from offtool.reports.review_report import review_report
from offtool.reports.review_words import paper_in_words
from offtool.steps.dossier import Dossier, paper
from offtool.steps.plain import as_plain
from offtool.steps.review_found import ReviewFact, ReviewLine, ReviewSource, SourceKind

FOLDERS: Mapping[SourceKind, str] = {
    SourceKind.READINGS: "files/readings",
    SourceKind.STUDY: "files/gauge-studies",
    SourceKind.JOINT_TEST: "files/joints",
    SourceKind.WELD_STUDY: "files/seams",
    SourceKind.PILOT_FILE: "files/pilot",
    SourceKind.TOY_TEST: "files/own-tests",
    SourceKind.EVIDENCE: "files/evidence",
}
SUMS = "SHA256SUMS"
MARK = 8
"""Signs of a checksum that tell files of one name apart."""
FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The day that an archive can hold at the earliest: the same dossier gives the same bytes."""
HEADINGS = ("line", "title", "line stands", "item", "says", "stands", "day", "file", "sha256", "kind")


@dataclass(frozen=True, slots=True)
class DossierEntry:
    """One file of the dossier."""

    path: str
    content: bytes


def dossier_paths(dossier: Dossier) -> dict[ReviewSource, str]:
    """Where each file of the record lies in the dossier."""
    taken = NamesTaken()
    return {
        one.source: taken.name(FOLDERS[one.source.kind], one.source.file_name, one.source.sha256[:MARK])
        for one in dossier.files
    }


def dossier_entries(dossier: Dossier, *, made_by: str = "") -> Iterator[DossierEntry]:
    """The files of a dossier one after another, the checksums of all of them last.

    Raises OfftoolError for a file whose bytes are no longer those that were read.
    """
    sums: list[tuple[str, str]] = []

    def told(path: str, content: bytes) -> DossierEntry:
        sums.append((path, sha256(content).hexdigest()))
        return DossierEntry(path, content)

    paths = dossier_paths(dossier)
    yield told("review.pdf", review_report(dossier, paths, made_by=made_by))
    yield told("review.json", _json(dossier))
    yield told("index.csv", _index(dossier, paths))
    for one in dossier.files:
        yield told(paths[one.source], one.content())
    lines = (f"{digest}  {path}\n" for path, digest in sorted(sums))
    yield DossierEntry(SUMS, "".join(lines).encode())


def write_zip(entries: Iterator[DossierEntry], into: IO[bytes]) -> None:
    """The entries as one archive; the same entries give the same bytes."""
    with zipfile.ZipFile(into, "w", compression=zipfile.ZIP_DEFLATED) as archive:
        for one in entries:
            place = zipfile.ZipInfo(one.path, FIRST_DAY)
            place.compress_type = zipfile.ZIP_DEFLATED
            place.external_attr = 0o644 << 16
            archive.writestr(place, one.content)


def _json(dossier: Dossier) -> bytes:
    plain = as_plain(dossier.review)
    return (json.dumps(plain, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def _index(dossier: Dossier, paths: Mapping[ReviewSource, str]) -> bytes:
    """A row for each fact and file, so that a line is followed to the bytes it rests on."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for line in dossier.review.lines:
        for row in _rows(line, paths):
            writer.writerow([write_safe_cell(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")  # the mark by which spreadsheets know the encoding


def _rows(line: ReviewLine, paths: Mapping[ReviewSource, str]) -> Iterator[tuple[str, ...]]:
    head = (line.code, line.title, str(line.standing))
    if not line.facts:
        yield (*head, "", line.because, str(line.standing), "", "", "", "")
    for fact in line.facts:
        for source in fact.sources or (None,):
            yield (*head, *_fact(fact), *_file(source, paths))
    for one in line.evidence:
        if one.file_name and paper(one) not in line.sources:
            told = ("", paper_in_words(one), "set aside" if one.set_aside else "", one.tested_on.isoformat())
            yield (*head, *told, *_file(paper(one), paths))


def _fact(fact: ReviewFact) -> tuple[str, str, str, str]:
    return fact.item, fact.words, str(fact.standing), fact.day.isoformat() if fact.day else ""


def _file(source: ReviewSource | None, paths: Mapping[ReviewSource, str]) -> tuple[str, str, str]:
    if source is None:
        return "", "", ""
    return paths[source], source.sha256, str(source.kind)
