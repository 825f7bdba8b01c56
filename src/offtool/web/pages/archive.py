"""The page that begins a register of pieces without any record."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from offtool.web.pages.frame import Crumb, Frame
from offtool.web.pages.ground import GroundFormPage

WHY = (
    (
        "Without a record",
        "The answer is a stage, from what is seen of the piece: colour, seam, paint, marks.",
    ),
    ("Parts", "Colours, details and sizes are those of a part: with its parts a piece says more."),
    (
        "Later",
        "Runs, tool states, builds and jobs can be entered as they are found out; every answer follows.",
    ),
)


def archive_page(form: Any) -> GroundFormPage:
    """A title and the parts, and why."""
    return GroundFormPage(
        frame=Frame(title="Register pieces", crumbs=(Crumb(text="Register pieces"),)),
        headline="Register pieces of which no record is left.",
        lead="A name for the lot is enough to begin.",
        why=WHY,
        form=form,
        done="Begin the register",
        back_href=reverse("programmes"),
    )
