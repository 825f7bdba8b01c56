"""What people enter for a release review: evidence, concessions, changes, limit samples, signatures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from offtool.core.values import Caution, OfftoolError
from offtool.handbook.toy_law import LAW_DECIDES
from offtool.steps.give_concession import give_concession
from offtool.steps.keep_evidence import keep_evidence, steel_states
from offtool.steps.limit_samples import define_limit_sample, samples_and_stations, withdraw_limit_sample
from offtool.steps.release_line_edit import edit_release_line, release_line_now, restore_release_line
from offtool.steps.review_found import ReleaseReview
from offtool.steps.review_release import A_PERSON_DECIDES, review_release
from offtool.steps.sign_review import sign_review, withdraw_signature
from offtool.steps.tell_change import change_places, set_change_aside, tell_change
from offtool.web.answer import NOT_POSSIBLE, answer, in_words, put_at_field
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.review import (
    ChangeForm,
    ConcessionForm,
    EvidenceForm,
    LimitSampleForm,
    ReleaseLineForm,
    RestoreForm,
    SignForm,
    line_typed,
)
from offtool.web.pages.review_forms import (
    KeptRow,
    changes_kept,
    form_page,
    how_it_stands,
    limit_samples_kept,
    signatures_kept,
)
from offtool.web.pages.review_why import WHY
from offtool.web.views.review import day_of
from offtool.web.your_name import remember_name, remembered_name

edits = require_http_methods(["GET", "HEAD", "POST"])
Kept = Callable[[ReleaseReview, str, dict[int, SetAsideForm]], tuple[KeptRow, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that is entered: its form, what keeps it, and what is kept of its sort already."""

    kind: str
    here: str
    headline: str
    form: Callable[..., Any]
    keep: Callable[[Any], object]
    back_href: str
    lead: str = ""
    done: str = "Keep it"
    filled: dict[str, Any] = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()
    kept: Kept | None = None
    kept_title: str = ""
    end: Callable[[int, str, str], None] | None = None
    end_label: str = ""
    more: dict[str, Any] = field(default_factory=dict)


def _enter(request: HttpRequest, found: ReleaseReview, entry: Entry) -> HttpResponse:
    """Show the form, keep it, or show it again with what is wrong at its field."""
    if request.method == "POST" and "end" in request.POST:
        return _end(request, found, entry)
    is_sent = request.method == "POST"
    filled = {"made_by": remembered_name(request), **entry.filled}
    sent = {"data": request.POST, "files": request.FILES} if is_sent else {}
    form = entry.form(initial=filled, **sent)
    if is_sent and form.is_valid() and _kept(form, entry):
        remember_name(request, form.cleaned_data.get("made_by", ""))
        messages.success(request, f"{entry.here} is kept.")
        return redirect(entry.back_href)
    return _shown(request, found, entry, form, {})


def _kept(form: Any, entry: Entry) -> bool:
    try:
        entry.keep(form)
    except OfftoolError as error:
        form.refuse(error)
        return False
    return True


def _end(request: HttpRequest, found: ReleaseReview, entry: Entry) -> HttpResponse:
    """End one of those that are kept, with a reason."""
    said = request.POST["end"]
    key = int(said) if said.isdecimal() else 0
    form = SetAsideForm(request.POST, auto_id=f"end{key}_%s")
    if form.is_valid() and entry.end is not None:
        try:
            entry.end(key, form.cleaned_data["reason"], form.cleaned_data["made_by"])
        except OfftoolError as error:
            put_at_field(form, error)
        else:
            remember_name(request, form.cleaned_data["made_by"])
            messages.success(request, "It counts no longer, and stays to be seen.")
            return redirect(request.path)
    filled = {"made_by": remembered_name(request), **entry.filled}
    return _shown(request, found, entry, entry.form(initial=filled), {key: form})


def _shown(
    request: HttpRequest, found: ReleaseReview, entry: Entry, form: Any, refused: dict[int, SetAsideForm]
) -> HttpResponse:
    kept = entry.kept(found, remembered_name(request), refused) if entry.kept is not None else ()
    page = form_page(
        found,
        form,
        here=entry.here,
        headline=entry.headline,
        lead=entry.lead,
        why=WHY[entry.kind],
        back_href=entry.back_href,
        done=entry.done,
        cautions=entry.cautions,
        kept=kept,
        kept_title=entry.kept_title,
        end_label=entry.end_label,
        **entry.more,
    )
    return answer(request, "review_form.html", page, status=NOT_POSSIBLE if form.errors or refused else 200)


@edits
@in_words
def evidence(request: HttpRequest, programme: str, code: str) -> HttpResponse:
    """A paper or a test for a line."""
    found = review_release(programme, day_of(programme))
    line, states = found.line(code), steel_states(programme)

    def keep(form: EvidenceForm) -> None:
        name, content = form.sent
        keep_evidence(
            programme,
            form.said(),
            today=timezone.localdate(),
            given_at=timezone.now(),
            given_by=form.cleaned_data["made_by"],
            file_name=name,
            content=content,
        )

    entry = Entry(
        kind="evidence",
        here="Evidence",
        headline=f"Evidence for: {line.title}.",
        lead=f"The line asks: {line.asks}.",
        form=lambda **given: EvidenceForm(line, states, **given),
        keep=keep,
        back_href=reverse("review_line", args=[programme, code]),
        cautions=line.cautions,
    )
    return _enter(request, found, entry)


@edits
@in_words
def concession(request: HttpRequest, programme: str, code: str) -> HttpResponse:
    """A concession on a line."""
    found = review_release(programme, day_of(programme))
    line = found.line(code)
    entry = Entry(
        kind="concession",
        here="Concession",
        headline=f"A concession on: {line.title}.",
        lead=line.because,
        form=lambda **given: ConcessionForm(line, **given),
        keep=lambda form: give_concession(programme, form.said(), made_by=form.cleaned_data["made_by"]),
        back_href=reverse("review_line", args=[programme, code]),
        filled={"given_on": timezone.localdate()},
        cautions=(A_PERSON_DECIDES, *line.cautions),
    )
    return _enter(request, found, entry)


@edits
@in_words
def change(request: HttpRequest, programme: str) -> HttpResponse:
    """A change of the product; what was told before is set aside here."""
    found, places = review_release(programme, day_of(programme)), change_places(programme)
    entry = Entry(
        kind="change",
        here="Change",
        headline="What was changed?",
        lead="After a change the evidence that hangs on it is stale, and only that.",
        form=lambda **given: ChangeForm(places, **given),
        keep=lambda form: tell_change(
            programme, form.said(), told_at=timezone.now(), told_by=form.cleaned_data["made_by"]
        ),
        back_href=reverse("review", args=[programme]),
        kept=changes_kept,
        kept_title="Changes so far",
        end=lambda key, why, who: set_change_aside(programme, key, reason=why, made_by=who),
        end_label="set it aside",
    )
    return _enter(request, found, entry)


@edits
@in_words
def limit_samples(request: HttpRequest, programme: str) -> HttpResponse:
    """The limit samples, and one more of them."""
    found = review_release(programme, day_of(programme))
    samples, stations = samples_and_stations(programme)
    entry = Entry(
        kind="limit sample",
        here="Limit sample",
        headline="Which piece shows what is accepted?",
        lead="A kept sample becomes a limit sample by the area it is for and the condition accepted there.",
        form=lambda **given: LimitSampleForm(samples, stations, **given),
        keep=lambda form: define_limit_sample(programme, form.said(), made_by=form.cleaned_data["made_by"]),
        back_href=reverse("limit_samples", args=[programme]),
        filled={"signed_on": timezone.localdate()},
        kept=limit_samples_kept,
        kept_title="Limit samples so far",
        end=lambda key, why, who: withdraw_limit_sample(programme, key, reason=why, made_by=who),
        end_label="withdraw it",
    )
    return _enter(request, found, entry)


def _edit(programme: str, form: ReleaseLineForm) -> None:
    who, why = form.cleaned_data["made_by"], form.cleaned_data["because"]
    edit_release_line(programme, form.said(), made_by=who, because=why)


@edits
@in_words
def new_line(request: HttpRequest, programme: str) -> HttpResponse:
    """A line of the programme's own."""
    found = review_release(programme, day_of(programme))
    entry = Entry(
        kind="line",
        here="New line",
        headline="What else must hold?",
        lead="A line of your own stands beside the usual list: of a customer, a market, your firm.",
        form=lambda **given: ReleaseLineForm(**given),
        keep=lambda form: _edit(programme, form),
        back_href=reverse("review", args=[programme]),
    )
    return _enter(request, found, entry)


@edits
@in_words
def edit_line(request: HttpRequest, programme: str, code: str) -> HttpResponse:
    """A line as it is asked, to be changed, not asked any more, or as the usual list has it again."""
    found, now = review_release(programme, day_of(programme)), release_line_now(programme, code)
    is_own = any(one.code == code and (one.is_own or one.is_edited) for one in found.lines)
    back = reverse("review", args=[programme])
    restore = RestoreForm(request.POST if "restore" in request.POST else None, auto_id="restore_%s")
    if restore.is_bound and restore.is_valid():
        given = restore.cleaned_data
        restore_release_line(programme, code, because=given["reason"], made_by=given["made_by"])
        messages.success(request, f"{now.title}: the usual list stands again.")
        return redirect(back)
    entry = Entry(
        kind="line",
        here=f"Line {now.title}",
        headline=f"{now.title}: what it asks.",
        form=lambda **given: ReleaseLineForm(code=code, **given),
        keep=lambda form: _edit(programme, form),
        back_href=back,
        filled=line_typed(now),
        more={
            "more_form": restore if is_own or now.not_asked else None,
            "more_title": "As the usual list has it",
            "more_done": "Take this programme's line out",
        },
    )
    if restore.is_bound:
        filled = {"made_by": remembered_name(request), **entry.filled}
        return _shown(request, found, entry, entry.form(initial=filled), {0: SetAsideForm()})
    return _enter(request, found, entry)


@edits
@in_words
def sign(request: HttpRequest, programme: str) -> HttpResponse:
    """A person states what they decide of the review as it stands; nothing is signed for anybody."""
    on = day_of(programme)
    found = review_release(programme, on)
    entry = Entry(
        kind="signature",
        here="Signature",
        headline=found.headline,
        lead=how_it_stands(found),
        form=lambda **given: SignForm(**given),
        keep=lambda form: sign_review(programme, form.said(), on=on, signed_at=timezone.now()),
        back_href=reverse("review", args=[programme]) + "#signatures",
        done="Sign",
        filled={"read": found.fingerprint},
        cautions=(A_PERSON_DECIDES, LAW_DECIDES),
        kept=signatures_kept,
        kept_title="Who has signed",
        end=lambda key, why, who: withdraw_signature(
            programme, key, reason=why, withdrawn_at=timezone.now(), made_by=who
        ),
        end_label="withdraw it",
    )
    return _enter(request, found, entry)
