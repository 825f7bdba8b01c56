"""Defining a joint, changing it, taking it out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.handbook.terms import JointKind
from offtool.steps.define_joint import change_joint as change
from offtool.steps.define_joint import define_joint, remove_joint
from offtool.steps.joint_places import DefiningPlace, defining_place
from offtool.steps.sizes_given import DefinitionRefused
from offtool.web.answer import NOT_POSSIBLE, answer, in_words
from offtool.web.forms.joint_define import FIRST_ROWS, MORE_ROWS, JointForm, RemoveForm, initial_of
from offtool.web.pages.joint_define import joint_define_page, kinds_page
from offtool.web.your_name import remember_name, remembered_name


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def new_joint(request: HttpRequest, programme: str) -> HttpResponse:
    """First the kind, then its sizes and what it must do."""
    place = defining_place(programme)
    if request.method == "POST":
        return _given(request, place)
    kind = _kind(request.GET.get("kind", ""))
    if kind is None:
        return answer(request, "joint_define.html", kinds_page(place))
    form = JointForm(kind, place.sizes, initial={"made_by": remembered_name(request)})
    return answer(request, "joint_define.html", joint_define_page(place, form))


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def change_joint(request: HttpRequest, programme: str, joint: str) -> HttpResponse:
    """The joint as it is, to be changed; it is taken out here too."""
    place = defining_place(programme, joint)
    if request.method == "POST":
        return _removed(request, place, joint) if "remove" in request.POST else _given(request, place, joint)
    return answer(request, "joint_define.html", joint_define_page(place, _now(request, place), code=joint,
                                                                  remove=_remove_form(request)))  # fmt: skip


def _now(request: HttpRequest, place: DefiningPlace) -> JointForm:
    """The form of the joint as it is."""
    assert place.now is not None  # noqa: S101 the place of a joint that is changed has it
    initial = {**initial_of(place.now), "made_by": remembered_name(request)}
    return JointForm(
        JointKind(place.now.kind), place.sizes, initial=initial, rows=len(place.now.sizes) + 1, now=place.now
    )


def _remove_form(request: HttpRequest) -> RemoveForm:
    return RemoveForm(initial={"made_by": remembered_name(request)}, auto_id="remove_%s")


def _given(request: HttpRequest, place: DefiningPlace, code: str = "") -> HttpResponse:
    """What was sent: another kind or more rows are shown with all that was typed; else it is recorded."""
    given = request.POST
    kind, rows = _kind(given.get("kind", "")), _rows(given)
    remove = _remove_form(request) if code else None
    if kind is None:
        return answer(request, "joint_define.html", kinds_page(place), status=NOT_POSSIBLE)
    if "show" in given or "more" in given:
        more = MORE_ROWS if "more" in given else 0
        form = JointForm(kind, place.sizes, initial=given.dict(), rows=rows + more, now=place.now)
        return answer(request, "joint_define.html", joint_define_page(place, form, code=code, remove=remove))
    form = JointForm(kind, place.sizes, given, rows=rows, now=place.now)
    if form.is_valid():
        made_by = form.cleaned_data["made_by"]
        try:
            joint = form.as_defined()
            if code:
                kept = change(place.programme, code, joint, made_by=made_by)
            else:
                kept = define_joint(place.programme, joint, made_by=made_by)
        except DefinitionRefused as error:
            form.put(error)
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            remember_name(request, made_by)
            messages.success(request, f"Joint {kept} is {'changed' if code else 'defined'}.")
            return redirect("joint", place.programme, kept)
    page = joint_define_page(place, form, code=code, remove=remove)
    return answer(request, "joint_define.html", page, status=NOT_POSSIBLE)


def _removed(request: HttpRequest, place: DefiningPlace, code: str) -> HttpResponse:
    form = RemoveForm(request.POST, auto_id="remove_%s")
    if form.is_valid():
        try:
            remove_joint(place.programme, code, made_by=form.cleaned_data["made_by"])
        except OfftoolError as error:
            form.add_error(None, str(error))
        else:
            remember_name(request, form.cleaned_data["made_by"])
            messages.success(request, f"Joint {code} is taken out.")
            return redirect("joints", place.programme)
    page = joint_define_page(place, _now(request, place), code=code, remove=form)
    return answer(request, "joint_define.html", page, status=NOT_POSSIBLE)


def _kind(asked: str) -> JointKind | None:
    """The kind of that name; None for no such kind."""
    return JointKind(asked) if asked in list(JointKind) else None


def _rows(given: QueryDict) -> int:
    """How many rows of a chain were shown."""
    rows = given.get("rows", "")
    return int(rows) if rows.isdecimal() and len(rows) < 4 else FIRST_ROWS
