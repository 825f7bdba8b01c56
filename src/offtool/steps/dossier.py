"""The dossier of a release: the review with every file that its lines rest on, each read when asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from hashlib import sha256

from offtool.core.values import OfftoolError
from offtool.steps.review_found import EvidenceSeen, ReleaseReview, ReviewSource, SourceKind
from offtool.steps.review_release import review_release
from offtool.steps.review_sources import source_bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class DossierFile:
    """A file of the record, and the lines of the review that rest on it."""

    source: ReviewSource
    lines: tuple[str, ...]

    def content(self) -> bytes:
        """The bytes as they came. Raises OfftoolError where they are no longer those."""
        content = source_bytes(self.source)
        if sha256(content).hexdigest() != self.source.sha256:
            raise OfftoolError(
                "its bytes are not those that were read: the record is damaged",
                where=self.source.file_name,
                remedy="bring the record back from a copy, or read the file again",
            )
        return content


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier:
    """A review of a day, and its files, each once, in the order of the lines."""

    review: ReleaseReview
    files: tuple[DossierFile, ...]


def dossier_of(programme: str, on: date, review: ReleaseReview | None = None) -> Dossier:
    """The dossier of a day; a review of that day, where there is one already, is not made again.

    Raises NotInRecord for an unknown programme.
    """
    seen = review if review is not None else review_release(programme, on)
    lines: dict[ReviewSource, list[str]] = {}
    for code, source in _sources(seen):
        lines.setdefault(source, []).append(code)
    return Dossier(
        review=seen,
        files=tuple(
            DossierFile(source=source, lines=tuple(dict.fromkeys(codes))) for source, codes in lines.items()
        ),
    )


def _sources(review: ReleaseReview) -> Iterator[tuple[str, ReviewSource]]:
    """What facts rest on, and every paper that was given, the stale and those set aside too."""
    for line in review.lines:
        for source in line.sources:
            yield line.code, source
        for one in line.evidence:
            if one.file_name:
                yield line.code, paper(one)


def paper(one: EvidenceSeen) -> ReviewSource:
    """The file of a paper."""
    return ReviewSource(kind=SourceKind.EVIDENCE, key=one.key, file_name=one.file_name, sha256=one.sha256)
