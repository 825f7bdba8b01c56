"""The desks at which a file is read: into a trial, as the start of a programme, or as a further part.

All show a file first and keep it then; they differ in the step that does it and in what they must be told.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from types import MappingProxyType
from typing import Any, Protocol

from django.urls import reverse

from offtool.records.models import Programme
from offtool.steps.overview import is_invented
from offtool.steps.read_bundle import is_bundle, keep_bundle, preview_bundle
from offtool.steps.read_readings import keep_readings, preview_readings
from offtool.steps.reading_preview import ReadingPreview, ReadingsKept
from offtool.steps.start_from_report import (
    preview_start,
    preview_start_of_files,
    start_from_files,
    start_from_report,
)
from offtool.web.forms.reading import AddPartForm, KeepForm, KeepReadingsForm, StartForm
from offtool.web.pages.frame import Crumb, Frame, TrialPlace, trial_frame
from offtool.web.uploads import Upload


class Desk(Protocol):
    """Where a file is shown and kept."""

    keep_form: Callable[..., KeepForm]
    headline: str
    lead: str
    is_start: bool
    """Whether every heading of the file becomes a new size."""

    def frame(self, as_json: str = "") -> Frame:
        """The frame of its pages."""

    def initial(self) -> dict[str, str]:
        """What its form is filled with at first."""

    def preview(self, upload: Upload, how: dict[str, Any]) -> ReadingPreview:
        """How the file is understood. Raises OfftoolError."""

    def keep(self, upload: Upload, form: Any, *, now: datetime) -> ReadingsKept:
        """Keep it as the form says. Raises OfftoolError."""


class TrialDesk:
    """A file goes into a trial of a tool; a new name makes a new trial."""

    keep_form: Callable[..., KeepForm] = KeepReadingsForm
    lead = (
        "Four layouts are read: a column a size, a row a reading, a first-article report, or QIF. "
        "You see what is understood of the file, cell by cell, before anything is kept."
    )
    is_start = False

    def __init__(self, place: TrialPlace) -> None:
        self.place = place
        self.headline = f"Read the measurements of {place.trial}, tool {place.tool}."

    def frame(self, as_json: str = "") -> Frame:
        """Programme, tool, trial, and here."""
        return trial_frame(self.place, here="Read a file", as_json=as_json)

    def initial(self) -> dict[str, str]:
        """The trial that the address names."""
        return {"trial": self.place.trial}

    def preview(self, upload: Upload, how: dict[str, Any]) -> ReadingPreview:
        """How the file is understood against the sizes of this tool."""
        asked: dict[str, Any] = {"programme": self.place.programme, "tool": self.place.tool, **how}
        if is_bundle(upload.files):
            return preview_bundle(upload.files, upload.name, **asked)
        return preview_readings(upload.content, upload.name, **asked)

    def keep(self, upload: Upload, form: Any, *, now: datetime) -> ReadingsKept:
        """Keep the readings in the trial that the form names."""
        given = {"programme": self.place.programme, "tool": self.place.tool, "read_at": now, **form.keep_as()}
        if is_bundle(upload.files):
            return keep_bundle(upload.files, upload.name, **given)
        return keep_readings(upload.content, upload.name, **given)


class StartDesk:
    """A first-article report alone makes programme, part, tool and first trial."""

    keep_form: Callable[..., KeepForm] = StartForm
    headline = "Start from a first-article report."
    lead = (
        "The report as it came with the first parts: a row a size with its number, nominal and limits or "
        "tolerances, then a column for each cavity and part. Product, part, tool and trial are made from it, "
        "and the verdict follows at once."
    )
    is_start = True
    made_in: Mapping[str, Any] = MappingProxyType({})
    """What the step is told besides the form: of a programme that is there, which."""

    def frame(self, as_json: str = "") -> Frame:
        """Here, and nothing above it."""
        title = "Start from a report"
        return Frame(title=title, crumbs=(Crumb(text=title),), as_json=as_json)

    def initial(self) -> dict[str, str]:
        """Nothing is known yet."""
        return {}

    def preview(self, upload: Upload, how: dict[str, Any]) -> ReadingPreview:
        """How the report is understood by itself."""
        if is_bundle(upload.files):
            return preview_start_of_files(upload.files, upload.name, **how)
        return preview_start(upload.content, upload.name, **how)

    def keep(self, upload: Upload, form: Any, *, now: datetime) -> ReadingsKept:
        """Make the programme."""
        given = {"read_at": now, **self.made_in, **form.keep_as()}
        if is_bundle(upload.files):
            return start_from_files(upload.files, upload.name, **given)
        return start_from_report(upload.content, upload.name, **given)


class AddPartDesk(StartDesk):
    """A first-article report adds a part on a tool of its own to a programme that is there."""

    lead = (
        "The report as it came with the first shots of one more part, on a tool of its own: a row a size "
        "with its number, nominal and limits or tolerances, then a column for each cavity and part. Part, "
        "tool and trial are added; what is on record stays as it is."
    )

    def __init__(self, programme: Programme) -> None:
        self.programme = programme
        self.headline = f"Add a part to {programme.title} from its first-article report."
        self.keep_form = partial(AddPartForm, resins=tuple(programme.resins.order_by("pk")))
        self.made_in = {"title": programme.slug, "add": True}

    def frame(self, as_json: str = "") -> Frame:
        """Programme, and here."""
        title, above = self.programme.title, reverse("programme", args=[self.programme.slug])
        return Frame(
            title=f"Add a part: {title}",
            crumbs=(Crumb(text=title, href=above), Crumb(text="Add a part")),
            invented=is_invented(self.programme),
            as_json=as_json,
        )
