"""Begin a register of pieces without any record of their tools."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.begin_archive import begin_archive
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.archive import ArchiveForm
from offtool.web.pages.archive import archive_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def archive(request: HttpRequest) -> HttpResponse:
    """A title and the parts that pieces have are enough."""
    asked = request.POST if request.method == "POST" else None
    form = ArchiveForm(asked, initial={"made_by": remembered_name(request)})
    if form.is_valid():
        try:
            slug = begin_archive(**form.told(), by=form.cleaned_data["made_by"])
        except OfftoolError as error:
            form.refuse(error)
        else:
            remember_name(request, form.cleaned_data["made_by"])
            messages.success(request, "The register is begun: enter the first piece.")
            return redirect(reverse("new_sample", args=[slug]))
    status = NOT_POSSIBLE if form.errors else 200
    return answer(request, "ground_form.html", archive_page(form), status=status)
