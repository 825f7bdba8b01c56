"""The release review, and one line of it with every fact behind it."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import Evidence
from offtool.steps.give_concession import close_concession
from offtool.steps.keep_evidence import set_evidence_aside
from offtool.steps.review_day import review_day
from offtool.steps.review_release import review_release
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.download import as_download
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.review import review_page
from offtool.web.pages.review_line import review_line_page
from offtool.web.your_name import remember_name, remembered_name


def day_of(programme: str) -> date:
    """The day on which it is reviewed. Raises NotInRecord."""
    return review_day(programme, today=timezone.localdate())


@require_safe
@in_words
def review(request: HttpRequest, programme: str) -> HttpResponse:
    """May it start, what to do, and the list line by line."""
    found = review_release(programme, day_of(programme))
    return answer(request, "review.html", review_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def review_line(request: HttpRequest, programme: str, code: str) -> HttpResponse:
    """One line; a paper is set aside here, and a concession ended."""
    if request.method == "POST":
        return _end(request, programme, code)
    found = review_release(programme, day_of(programme))
    page = review_line_page(found, code, made_by=remembered_name(request))
    return answer(request, "review_line.html", page, found.line(code))


def _end(request: HttpRequest, programme: str, code: str) -> HttpResponse:
    """Set a paper aside or end a concession, and show the line again; what is refused stands at its form."""
    kind = "evidence" if "evidence" in request.POST else "concession"
    key = _whole(request.POST.get(kind, ""))
    form = SetAsideForm(request.POST, auto_id=f"{kind}{key}_%s")
    if form.is_valid() and _ended(form, kind, programme, key):
        remember_name(request, form.cleaned_data["made_by"])
        messages.success(request, f"The {kind} counts no longer.")
        return redirect("review_line", programme, code)
    found = review_release(programme, day_of(programme))
    page = review_line_page(found, code, refused={(kind, key): form})
    return answer(request, "review_line.html", page, status=NOT_POSSIBLE)


def _ended(form: SetAsideForm, kind: str, programme: str, key: int) -> bool:
    reason, who = form.cleaned_data["reason"], form.cleaned_data["made_by"]
    try:
        if kind == "evidence":
            set_evidence_aside(programme, key, reason=reason, made_by=who)
        else:
            close_concession(programme, key, on=day_of(programme), because=reason, made_by=who)
    except OfftoolError as error:
        put_at_field(form, error)
        return False
    return True


def _whole(text: str) -> int:
    """The number of a row; none for what is no number."""
    return int(text) if text.isdecimal() else 0


@require_safe
@in_words
def review_evidence(request: HttpRequest, programme: str, key: int) -> FileResponse:
    """The file of a paper, byte for byte as it came."""
    found = Evidence.objects.filter(pk=key, programme__slug=programme).exclude(file_name="").first()
    if found is None:
        raise Http404
    return as_download(bytes(found.content), found.file_name)
