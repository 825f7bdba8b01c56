"""The joints of a programme, and one of them with what is done on its page."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from offtool.core.values import OfftoolError
from offtool.records.models import JointTest
from offtool.records.queries.finding import NotInRecord
from offtool.steps.ask_for_steel import ask_for_steel
from offtool.steps.ask_of_size import drop_demand
from offtool.steps.judge_joint import judge_joint, judge_joints
from offtool.steps.keep_joint_test import set_joint_test_aside
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.download import as_download
from offtool.web.forms.joints import AskForm
from offtool.web.forms.judging import SetAsideForm
from offtool.web.pages.joint import FormsRefused, joint_page, test_key
from offtool.web.pages.joint_steel import asked_of_sizes, demand_key
from offtool.web.pages.joints import joints_page
from offtool.web.your_name import remember_name, remembered_name


@require_safe
@in_words
def joints(request: HttpRequest, programme: str) -> HttpResponse:
    """All joints, pair by pair."""
    found = judge_joints(programme)
    return answer(request, "joints.html", joints_page(found), found)


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def joint(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    """Does it hold, what to do, why; steel is asked for here, a demand dropped, a test set aside."""
    if request.method == "POST":
        if "way" in request.POST:
            return _ask(request, programme, joint)
        return (
            _drop(request, programme, joint) if "size" in request.POST else _aside(request, programme, joint)
        )
    found = judge_joint(programme, joint)
    return answer(request, "joint.html", joint_page(found, made_by=remembered_name(request)), found)


def _ask(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    """Let the joint ask the correction for a way; what is refused is said above the ways."""
    form = AskForm(request.POST)
    way = request.POST.get("way", "")
    made_by = form.cleaned_data.get("made_by", "") if form.is_valid() else ""
    try:
        if form.errors:
            raise OfftoolError("your name is too long", remedy="give a shorter one")
        asked = ask_for_steel(
            programme,
            joint,
            int(way) if way.isdecimal() and len(way) < 6 else 0,
            made_at=timezone.now(),
            made_by=made_by,
            shown=request.POST.get("shown", ""),
        )
    except OfftoolError as error:
        return _refused(request, programme, joint, FormsRefused(tests={}, demands={}, asked=str(error)))
    remember_name(request, made_by)
    messages.success(request, asked_of_sizes(asked))
    return redirect("joint", programme, joint)


def _drop(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    size = request.POST.get("size", "")
    form = SetAsideForm(request.POST, auto_id=f"{demand_key(size)}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            drop_demand(programme, joint, size, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Nothing is asked of {size} any more.")
            return redirect("joint", programme, joint)
    return _refused(request, programme, joint, FormsRefused(tests={}, demands={size: form}))


def _aside(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    test = request.POST.get("test", "")
    form = SetAsideForm(request.POST, auto_id=f"{test_key(test)}_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_joint_test_aside(programme, joint, test, reason=given["reason"], made_by=given["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, given["made_by"])
            messages.success(request, f"Test {test} is set aside.")
            return redirect("joint", programme, joint)
    return _refused(request, programme, joint, FormsRefused(tests={test: form}, demands={}))


def _refused(request: HttpRequest, programme: str, joint: str, refused: FormsRefused) -> HttpResponse:
    """The joint again, with what was refused at its place."""
    found = judge_joint(programme, joint)
    counting = {one.name for one in found.tests if not one.set_aside}
    asked = {one.size for one in found.demands if not one.dropped}
    for name in (refused.tests.keys() - counting) | (refused.demands.keys() - asked):
        raise NotInRecord(f"nothing called {name!r} counts for joint {joint}", remedy="see its page")
    page = joint_page(found, made_by=remembered_name(request), refused=refused)
    return answer(request, "joint.html", page, status=NOT_POSSIBLE)


@require_safe
@in_words
def joint_test_file(request: HttpRequest, programme: str, joint: str, test: int) -> FileResponse:
    """The file of a test, byte for byte as it came."""
    kept = JointTest.objects.filter(pk=test, joint__code=joint, joint__programme__slug=programme).first()
    if kept is None:
        raise Http404
    return as_download(bytes(kept.content), kept.file_name)


@require_safe
@in_words
def joints_report(request: HttpRequest, programme: str) -> FileResponse:
    """All joints as a PDF."""
    from offtool.reports.joints_report import joints_report as typeset  # typesetting is asked for here alone

    return as_download(typeset(judge_joints(programme)), f"{programme}_joints.pdf")
