"""The release review handed out: as one PDF, and as an archive with all that it rests on."""

from __future__ import annotations

from contextlib import ExitStack
from tempfile import SpooledTemporaryFile

from django.http import FileResponse, HttpRequest
from django.utils import timezone
from django.views.decorators.http import require_safe

from offtool.steps.dossier import Dossier, dossier_of
from offtool.steps.review_day import review_day
from offtool.web.answer import in_words
from offtool.web.download import as_download
from offtool.web.your_name import remembered_name

KEPT_IN_MEMORY = 32 * 1024 * 1024
"""Bytes of an archive above which it is written to a file while it grows."""


@require_safe
@in_words
def review_pdf(request: HttpRequest, programme: str) -> FileResponse:
    """The whole review as one PDF."""
    from offtool.reports.dossier import dossier_paths  # typesetting is asked for here alone
    from offtool.reports.review_report import review_report

    found = _dossier(programme)
    pdf = review_report(found, dossier_paths(found), made_by=remembered_name(request))
    return as_download(pdf, f"{programme}_review.pdf")


@require_safe
@in_words
def dossier(request: HttpRequest, programme: str) -> FileResponse:
    """The review, its index, every file that a line rests on, and their checksums."""
    from offtool.reports.dossier import dossier_entries, write_zip  # as above

    found = _dossier(programme)
    with ExitStack() as closing:
        out = closing.enter_context(SpooledTemporaryFile(max_size=KEPT_IN_MEMORY))
        write_zip(dossier_entries(found, made_by=remembered_name(request)), out)
        out.seek(0)
        closing.pop_all()  # it is whole: the answer closes it
    return FileResponse(
        out, as_attachment=True, filename=f"{programme}_dossier.zip", content_type="application/zip"
    )


def _dossier(programme: str) -> Dossier:
    return dossier_of(programme, review_day(programme, today=timezone.localdate()))
