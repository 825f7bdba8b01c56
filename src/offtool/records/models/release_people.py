"""What people say at a release: concessions, limit samples, signatures."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from offtool.handbook.terms import POSITIVE, LimitKind, ReleaseWord, Role
from offtool.records.models.base import (
    count_field,
    filled,
    kept_history,
    name_field,
    note_field,
    once,
    one_of,
    within,
    word_field,
)
from offtool.records.models.lines import LineStation
from offtool.records.models.parts import Programme
from offtool.records.models.samples import Sample


class Concession(models.Model):
    """Leave to ship with something off: how far, until when or for how many pieces, and why."""

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="concessions")
    code = name_field("The line of the list that it is about.")
    item = name_field("What it is about in particular; blank: the whole line.", blank=True, default="")
    amount = models.TextField(help_text="How far it may be off.")
    until = models.DateField(null=True, blank=True, help_text="The last day on which it is valid.")
    pieces = count_field("Pieces for which it is valid.")
    reason = models.TextField(help_text="Why it is given.")
    risk = models.TextField(blank=True, default="", help_text="What may come of it.")
    approved_by = name_field("Who gives it.")
    given_on = models.DateField(help_text="The day it is given.")
    closed_on = models.DateField(null=True, blank=True, help_text="The day it ended; blank: it has not.")
    closed_because = models.TextField(blank=True, default="", help_text="Why it ended.")
    history = kept_history()

    class Meta:
        constraints = (
            once("concession_once", "programme", "code", "item", "given_on"),
            *filled("concession", "code", "amount", "reason", "approved_by"),
            *within("concession", POSITIVE, "pieces"),
            CheckConstraint(
                condition=Q(until__isnull=False) | Q(pieces__isnull=False),
                name="concession_has_an_end",
                violation_error_message="say until when it is valid, or for how many pieces",
            ),
            CheckConstraint(
                condition=Q(until__gte=F("given_on")) | Q(until__isnull=True),
                name="concession_days_in_order",
                violation_error_message="until must not be before given_on",
            ),
            CheckConstraint(
                condition=Q(closed_on__isnull=True, closed_because="")
                | (Q(closed_on__gte=F("given_on")) & ~Q(closed_because="")),
                name="concession_closed_whole",
                violation_error_message="a concession that ended has a day, not before it was given, "
                "and a reason",
            ),
        )

    def __str__(self) -> str:
        return f"{self.code} {self.item}".rstrip()


class LimitSample(models.Model):
    """A kept sample that shows at a station what is accepted."""

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="limit_samples")
    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="as_limit")
    station = models.ForeignKey(
        LineStation,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="limit_samples",
        help_text="The station where it lies; blank: none in particular.",
    )
    kind = word_field(LimitKind, "What it stands for.")
    area = name_field("The area of the piece that it is about.", blank=True, default="")
    accepts = models.TextField(blank=True, default="", help_text="What is accepted there.")
    signed_by = name_field("Who signed it.")
    signed_on = models.DateField(help_text="The day it was signed.")
    valid_until = models.DateField(null=True, blank=True, help_text="The last day on which it counts.")
    withdrawn = models.TextField(
        blank=True, default="", help_text="Why it no longer counts; empty while it counts."
    )
    history = kept_history()

    class Meta:
        constraints = (
            once("limit_sample_once", "programme", "sample", "kind", "area", "signed_on"),
            *filled("limit_sample", "signed_by"),
            one_of("limit_sample", "kind", LimitKind),
            CheckConstraint(
                condition=Q(valid_until__gte=F("signed_on")) | Q(valid_until__isnull=True),
                name="limit_sample_days_in_order",
                violation_error_message="valid_until must not be before signed_on",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.area}".rstrip()


class Signature(models.Model):
    """What a person stated of the review as it stood. Never updated, but withdrawn with a reason.

    It holds for the review of that fingerprint only.
    """

    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="signatures")
    role = word_field(Role, "For what the person signs.")
    person = name_field("Who signs.")
    states = word_field(ReleaseWord, "What the person states.", max_length=40)
    signed_at = models.DateTimeField(help_text="When.")
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of the review as it stood.")
    stood = models.TextField(
        blank=True, default="", help_text="The lines of the review as they stood, for what changed since."
    )
    note = note_field()
    withdrawn = models.TextField(
        blank=True, default="", help_text="Why it was withdrawn; empty while it stands."
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="When it was withdrawn.")
    history = kept_history()

    class Meta:
        constraints = (
            once("signature_once", "programme", "role", "person", "signed_at"),
            *filled("signature", "person", "fingerprint"),
            one_of("signature", "role", Role),
            one_of("signature", "states", ReleaseWord),
            CheckConstraint(
                condition=Q(withdrawn="", withdrawn_at__isnull=True)
                | (~Q(withdrawn="") & Q(withdrawn_at__isnull=False)),
                name="signature_withdrawn_whole",
                violation_error_message="a withdrawal has a time and a reason",
            ),
        )

    def __str__(self) -> str:
        return f"{self.person}, {self.role}: {self.states}"
