"""What is handed out of the register: the card of a sample, labels, and the register itself as a table."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest
from django.views.decorators.http import require_safe

from offtool.core.values import ImpossibleInput
from offtool.exchange.samples_file import samples_csv as written
from offtool.records.queries import find_programme
from offtool.reports.samples_workbook import samples_workbook as workbook
from offtool.steps.identify_sample import identify_sample
from offtool.steps.sample_labels import labels_of
from offtool.steps.sample_photograph import first_photograph
from offtool.steps.samples_as_rows import samples_as_rows
from offtool.web.answer import in_words
from offtool.web.download import as_download
from offtool.web.your_name import remembered_name


@require_safe
@in_words
def sample_card(request: HttpRequest, programme: str, sample: str) -> FileResponse:
    """The card of one sample as a PDF."""
    from offtool.reports.sample_card import PRINTED  # typesetting is asked for here alone
    from offtool.reports.sample_card import sample_card as typeset

    found = identify_sample(programme, sample)
    photograph = first_photograph(found, longest=PRINTED)
    card = typeset(found, photograph=photograph, made_by=remembered_name(request))
    return as_download(card, f"{programme}_{sample}.pdf")


@require_safe
@in_words
def sample_labels(request: HttpRequest, programme: str) -> FileResponse:
    """Labels as a PDF: of the samples that `number` names, else of all; `single` gives one a page."""
    from offtool.reports.sample_labels import sample_labels as typeset  # as above

    asked = request.GET
    labels = labels_of(programme, asked.getlist("number"))
    return as_download(
        typeset(labels, single="single" in asked, skip=_skip(asked.get("skip", ""))),
        f"{programme}_labels.pdf",
    )


@require_safe
@in_words
def samples_workbook(request: HttpRequest, programme: str) -> FileResponse:
    """The register, or what a search leaves of it, as a workbook."""
    rows = samples_as_rows(programme, words=request.GET.get("words", "").strip())
    return as_download(workbook(find_programme(programme).title, rows), f"{programme}_samples.xlsx")


@require_safe
@in_words
def samples_csv(request: HttpRequest, programme: str) -> FileResponse:
    """The register, or what a search leaves of it, as CSV."""
    rows = samples_as_rows(programme, words=request.GET.get("words", "").strip())
    return as_download(written(rows).encode(), f"{programme}_samples.csv")


def _skip(typed: str) -> int:
    """How many stickers of the sheet are gone; none where nothing is said."""
    written = typed.strip() or "0"
    if not (written.isascii() and written.isdecimal() and len(written) < 4):
        raise ImpossibleInput("skip", typed, "", "must be a whole number", "say how many stickers are gone")
    return int(written)
