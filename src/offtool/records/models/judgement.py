"""A person's word on readings: which are left out and why. Rows are only ever added; the last one counts."""

from __future__ import annotations

from django.db import models

from offtool.records.models.base import filled, name_field
from offtool.records.models.trials import Reading


class Exclusion(models.Model):
    """A reading left out of every judgement, or taken back in. Neither updated nor deleted."""

    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, related_name="exclusions")
    is_left_out = models.BooleanField(default=True, help_text="Left out; no: taken back in.")
    reason = models.TextField(help_text="Why, such as the part fell before it was measured.")
    made_at = models.DateTimeField(help_text="When.")
    made_by = name_field("Who.", blank=True, default="")

    class Meta:
        constraints = (*filled("exclusion", "reason"),)

    def __str__(self) -> str:
        return self.reason
