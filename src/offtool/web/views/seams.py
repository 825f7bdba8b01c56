"""The seams of a programme, and one of them with its studies and the question whether a piece is open."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import WeldStudy
from offtool.records.queries import find_programme, find_seam, find_weld_study
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_if_open import OpenAsked, ask_if_open, heights_of_seam
from offtool.steps.judge_seam import judge_seam, judge_seams
from offtool.steps.keep_weld_study import set_weld_study_aside
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field, refuse, wants_json
from offtool.web.download import as_download
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.seams import OpenForm
from offtool.web.pages.seam import seam_page
from offtool.web.pages.seams import seams_page
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def seams(request: HttpRequest, programme: str) -> HttpResponse:
    """All seams, a line each."""
    found = judge_seams(programme)
    return answer(request, "seams.html", seams_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def seam(request: HttpRequest, programme: str, seam: str) -> HttpResponse:
    """Does it hold, what to do, why; a piece is asked about here, and a study set aside."""
    if request.method == "POST":
        return _set_aside(request, programme, seam)
    form = OpenForm(request.GET) if "ask" in request.GET else OpenForm()
    asked = _asked(request, form, programme, seam)
    if wants_json(request) and (asked is not None or form.errors):
        return answer(request, "seam.html", None, asked) if asked is not None else _refused(request, form)
    found, heights = judge_seam(programme, seam), heights_of_seam(programme, seam)
    page = seam_page(found, heights, form, asked=asked, made_by=remembered_name(request))
    return answer(request, "seam.html", page, found, status=NOT_POSSIBLE if form.errors else 200)


def _asked(request: HttpRequest, form: OpenForm, programme: str, seam: str) -> OpenAsked | None:
    """The answer for a piece; None where none is asked about, or with the reason at the form."""
    if not form.is_valid():
        return None
    try:
        return ask_if_open(programme, seam, form.as_seen())
    except NotInRecord:
        raise
    except OfftoolError as error:
        if wants_json(request):
            raise
        put_at_field(form, error)
        return None


def _refused(request: HttpRequest, form: OpenForm) -> HttpResponse:
    """As JSON, what of a piece cannot be."""
    told = {name: " ".join(map(str, errors)) for name, errors in form.errors.items()}
    return refuse(request, OfftoolError("; ".join(told.values()), where=", ".join(told)))


def _set_aside(request: HttpRequest, programme: str, seam: str) -> HttpResponse:
    """Set a weld study aside and show the seam again; what is refused is shown at its form."""
    name = request.POST.get("study", "")
    kept = find_weld_study(find_seam(find_programme(programme), seam), name)
    form = SetAsideForm(request.POST, auto_id=f"study{kept.pk}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_weld_study_aside(programme, seam, name, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Weld study {name} is set aside.")
            return redirect("seam", programme, seam)
    page = seam_page(
        judge_seam(programme, seam), heights_of_seam(programme, seam), OpenForm(), refused={name: form}
    )
    return answer(request, "seam.html", page, status=NOT_POSSIBLE)


@require_safe
@in_words
def weld_study_file(request: HttpRequest, programme: str, seam: str, study: int) -> FileResponse:
    """The file of a weld study, byte for byte as it came."""
    found = WeldStudy.objects.filter(pk=study, seam__code=seam, seam__programme__slug=programme).first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.file_name)


@require_safe
@in_words
def seams_report(request: HttpRequest, programme: str) -> FileResponse:
    """All seams as a PDF."""
    from offtool.reports.seams_report import seams_report as typeset  # typesetting is asked for here alone

    return as_download(typeset(judge_seams(programme)), f"{programme}_seams.pdf")
