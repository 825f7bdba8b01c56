"""Forms of the release review: evidence, concessions, changes, limit samples, its lines, signatures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from offtool.handbook.release_list import Change, Fed
from offtool.handbook.terms import LONGEST_FILE_NAME, EvidenceSays, LimitKind, ReleaseWord, Role
from offtool.records.operations.release import LARGEST_PAPER
from offtool.steps.give_concession import ConcessionSaid
from offtool.steps.keep_evidence import EvidenceSaid
from offtool.steps.limit_samples import LimitSampleSaid
from offtool.steps.release_line_edit import ReleaseLineSaid
from offtool.steps.review_found import ReviewLine
from offtool.steps.review_papers import in_words
from offtool.steps.sign_review import SignatureSaid
from offtool.steps.tell_change import ChangeSaid
from offtool.web.forms.fields import name_field, note_field, your_name_field
from offtool.web.forms.ground import GroundForm, day_field, whole_or_blank


def text_field(label: str, help_text: str = "", *, required: bool = True, rows: int = 2) -> forms.CharField:
    """A sentence or two."""
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.Textarea(attrs={"rows": rows}),
        error_messages={"required": "Say it in a few words."},
    )


class EvidenceForm(GroundForm):
    """A paper or a test that answers a line."""

    says = forms.ChoiceField(
        label="It says that the line",
        choices=[("", "choose"), *((one.value, one.value) for one in EvidenceSays)],
        error_messages={"required": "Say whether the line holds by it."},
    )
    tested_on = day_field("Tested on", "Of a paper, the day from which it is valid.", required=True)
    lab = name_field("Who tested", "A laboratory, or your own room.", required=False)
    number = name_field("Number of the report", required=False)
    accredited = forms.BooleanField(
        label="The laboratory is accredited for this test", required=False, help_text="Read it on the report."
    )
    states = forms.MultipleChoiceField(
        label="Its pieces were of this steel",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: the newest steel on the day of the test.",
    )
    file = forms.FileField(
        label="File",
        required=False,
        max_length=LONGEST_FILE_NAME,
        help_text=f"Kept byte for byte, up to {LARGEST_PAPER // 1024**2} MB.",
    )
    note = note_field()
    instead_of = forms.TypedMultipleChoiceField(
        label="It takes the place of",
        required=False,
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        help_text="What is ticked counts no longer, and stays to be seen.",
    )
    layout: Sequence[tuple[str, str, Sequence[str]]] = (
        ("", "", ("says", "tested_on", "lab", "number", "accredited")),
        ("What it hangs on", "", ("states", "file", "note", "instead_of", "made_by")),
    )

    def __init__(
        self, line: ReviewLine, states: Sequence[str], data: Any = None, files: Any = None, **options: Any
    ) -> None:
        counting = [one for one in line.evidence if not one.set_aside]
        initial = {"instead_of": [one.key for one in counting if one.is_stale]}
        super().__init__(data, files, initial={**initial, **options.pop("initial", {})}, **options)
        self.code = line.code
        self.choices("states", [(one, one) for one in states])
        self.choices("instead_of", [(one.key, in_words(one)) for one in counting])
        if not counting:
            del self.fields["instead_of"]
            hangs_on = ("What it hangs on", "", ("states", "file", "note", "made_by"))
            self.layout = (*self.layout[:1], hangs_on)

    def said(self) -> EvidenceSaid:
        """The evidence as the step takes it."""
        given = self.cleaned_data
        return EvidenceSaid(
            code=self.code,
            says=EvidenceSays(given["says"]),
            tested_on=given["tested_on"],
            lab=given["lab"],
            number=given["number"],
            accredited=given["accredited"],
            states=tuple(given["states"]),
            note=given["note"],
            instead_of=tuple(given.get("instead_of", ())),
        )

    @property
    def sent(self) -> tuple[str, bytes]:
        """The name and the bytes of the file; empty without one."""
        file: UploadedFile[Any] | None = self.cleaned_data["file"]
        return (file.name or "", file.read()) if file is not None else ("", b"")


class ConcessionForm(GroundForm):
    """What is allowed, how far, until when, why, and by whom."""

    item = forms.ChoiceField(label="For", required=False, help_text="The whole line, or one thing of it.")
    amount = text_field("How far it may be off", "Such as: down to 3.97 mm in cavity 3.")
    until = day_field("Last day", "Or give a number of pieces, or both.")
    pieces = whole_or_blank("Number of pieces")
    reason = text_field("Why")
    risk = text_field("What may come of it", required=False)
    approved_by = name_field("Approved by", "The person who gives it types their own name.")
    given_on = day_field("Given on", required=True)
    layout = (
        ("", "", ("item", "amount", "until", "pieces")),
        ("", "", ("reason", "risk", "approved_by", "given_on", "made_by")),
    )

    def __init__(self, line: ReviewLine, data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        self.code = line.code
        items = dict.fromkeys(one.item for one in line.facts if not one.is_met)
        self.choices("item", [("", "the whole line"), *((one, one) for one in items)])

    def said(self) -> ConcessionSaid:
        """The concession as the step takes it."""
        given = self.cleaned_data
        names = ("item", "amount", "until", "pieces", "reason", "risk", "approved_by", "given_on")
        return ConcessionSaid(code=self.code, **{name: given[name] for name in names})


class ChangeForm(GroundForm):
    """What was changed, on which day, and of what."""

    what = forms.ChoiceField(
        label="What was changed",
        choices=[("", "choose"), *((one.value, one.value) for one in Change)],
        error_messages={"required": "Choose what was changed."},
        help_text="A cut need not be told where the tool has a new state.",
    )
    on = day_field("From which day", required=True)
    words = text_field("In words", "Such as: new yellow masterbatch, lot 4471.")
    about = forms.ChoiceField(
        label="Of", required=False, help_text="Only evidence that hangs on it becomes stale."
    )
    layout = (("", "", ("what", "on", "words", "about", "made_by")),)

    def __init__(self, places: Sequence[tuple[str, str]], data: Any = None, **options: Any) -> None:
        super().__init__(data, **options)
        named = [(f"{kind}:{code}", f"{kind} {code}") for kind, code in places]
        self.choices("about", [("", "the whole product"), *named])

    def said(self) -> ChangeSaid:
        """The change as the step takes it."""
        given = self.cleaned_data
        kind, _, code = given["about"].partition(":")
        about = {kind: code} if kind else {}
        return ChangeSaid(what=Change(given["what"]), on=given["on"], words=given["words"], **about)


class LimitSampleForm(GroundForm):
    """Which kept sample stands for what, at which station."""

    sample = forms.ChoiceField(label="Sample", error_messages={"required": "Choose the sample."})
    kind = forms.ChoiceField(
        label="It is", choices=[(one.value, one.value) for one in LimitKind], initial=LimitKind.LIMIT.value
    )
    station = forms.ChoiceField(label="Lies at", required=False)
    area = name_field("Area", "Such as left eye; of the signed sample it may be blank.", required=False)
    accepts = text_field(
        "What is accepted there", "The condition, such as: paint edge up to 0.3 mm over.", required=False
    )
    signed_by = name_field("Signed by", "The person who signed it.")
    signed_on = day_field("Signed on", required=True)
    valid_until = day_field("Valid until", "Colours fade and pieces get dirty: a year is usual.")
    layout = (
        ("", "", ("sample", "kind", "station", "area", "accepts")),
        ("", "", ("signed_by", "signed_on", "valid_until", "made_by")),
    )

    def __init__(
        self, samples: Sequence[str], stations: Sequence[str], data: Any = None, **options: Any
    ) -> None:
        super().__init__(data, **options)
        self.choices("sample", [("", "choose"), *((one, one) for one in samples)])
        self.choices("station", [("", "no station in particular"), *((one, one) for one in stations)])

    def said(self) -> LimitSampleSaid:
        """The limit sample as the step takes it."""
        given = self.cleaned_data
        names = ("sample", "station", "area", "accepts", "signed_by", "signed_on", "valid_until")
        return LimitSampleSaid(kind=LimitKind(given["kind"]), **{name: given[name] for name in names})


class ReleaseLineForm(GroundForm):
    """A line of the list: what it asks, what answers it, what makes it stale."""

    code = name_field("Short name", "Such as drop-in-box; it stays with the line.")
    title = name_field("Title")
    asks = text_field("What must stand in the record for it to hold")
    fed_by = forms.ChoiceField(
        label="Answered by",
        choices=[(one.value, one.value) for one in Fed],
        help_text="What the record does not measure itself is answered by evidence that people give.",
    )
    stale_by = forms.MultipleChoiceField(
        label="Stale after a change of",
        required=False,
        choices=[(one.value, one.value) for one in Change],
        widget=forms.CheckboxSelectMultiple,
    )
    stale_after_days = whole_or_blank("Stale after so many days", "Blank: age alone does not make it stale.")
    source = name_field("Who asks it", "The law with its section, the customer, your firm.", required=False)
    not_asked = text_field("Why it is not asked", "Blank: it is asked.", required=False)
    because = text_field(
        "Why the line is edited", "Shown with the line: an auditor asks for it.", required=False
    )
    layout = (
        ("", "", ("code", "title", "asks", "fed_by")),
        ("", "", ("stale_by", "stale_after_days", "source", "not_asked", "because", "made_by")),
    )

    def __init__(self, data: Any = None, *, code: str = "", **options: Any) -> None:
        super().__init__(data, **options)
        self.fixed = code
        if code:
            self.fields["code"].required = False
            self.fields["code"].widget = forms.HiddenInput()

    def said(self) -> ReleaseLineSaid:
        """The line as the step takes it."""
        given = self.cleaned_data
        return ReleaseLineSaid(
            code=self.fixed or given["code"],
            title=given["title"],
            asks=given["asks"],
            fed_by=Fed(given["fed_by"]),
            stale_by=tuple(Change(one) for one in given["stale_by"]),
            stale_after_days=given["stale_after_days"],
            source=given["source"],
            not_asked=given["not_asked"],
        )


def line_typed(now: ReleaseLineSaid) -> dict[str, Any]:
    """A line as its form is filled."""
    return {
        "code": now.code,
        "title": now.title,
        "asks": now.asks,
        "fed_by": now.fed_by.value,
        "stale_by": [one.value for one in now.stale_by],
        "stale_after_days": now.stale_after_days,
        "source": now.source,
        "not_asked": now.not_asked,
    }


class SignForm(GroundForm):
    """A person signs: nothing is filled in for them."""

    person = name_field(
        "Your own name",
        "Typed by the person who signs.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    role = forms.ChoiceField(
        label="You sign for",
        choices=[("", "choose"), *((one.value, one.value) for one in Role)],
        error_messages={"required": "Say for what you sign."},
    )
    states = forms.ChoiceField(
        label="You state that the product is",
        choices=[(one.value, one.value) for one in ReleaseWord],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what you state."},
    )
    has_read = forms.BooleanField(
        label="I have read the review as it stands here, with its cautions; the decision is mine.",
        error_messages={"required": "Read the review first, and tick that you have."},
    )
    note = note_field()
    read = forms.CharField(widget=forms.HiddenInput)
    layout = (("", "", ("person", "role", "states", "note", "has_read", "read")),)

    made_by = None  # type: ignore[assignment]  # taken out: the person who signs is who does it

    def said(self) -> SignatureSaid:
        """What is stated, as the step takes it."""
        given = self.cleaned_data
        return SignatureSaid(
            role=Role(given["role"]),
            person=given["person"],
            states=ReleaseWord(given["states"]),
            read=given["read"],
            note=given["note"],
        )


class RestoreForm(forms.Form):
    """Why the programme's own line goes."""

    reason = forms.CharField(
        label="Why the programme's own line goes",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Say why in a few words."},
    )
    made_by = your_name_field()


def today_typed(today: date) -> str:
    """A day as a field of days is filled."""
    return today.isoformat()
