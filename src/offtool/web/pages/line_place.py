"""Where on the pages a line is, and the frame of its pages."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from offtool.steps.line_known import LineKnown
from offtool.web.pages.frame import Crumb, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlace:
    """Which line a page is about; `line` is empty where there is none yet."""

    programme: str
    programme_title: str
    invented: bool
    line: str

    @classmethod
    def of(cls, known: LineKnown) -> LinePlace:
        """The place of a line."""
        return cls(
            programme=known.programme,
            programme_title=known.programme_title,
            invented=known.invented,
            line=known.line,
        )

    def address(self, page: str, *more: object) -> str:
        """The address of one of the line's pages."""
        if not self.line:
            return reverse({"read_line": "read_new_line"}.get(page, "new_line"), args=[self.programme])
        return reverse(page, args=[self.programme, self.line, *more])

    def of_line(self, line: str) -> str:
        """The address of another line."""
        return reverse("line", args=[self.programme, line])

    @property
    def programme_href(self) -> str:
        """The address of the programme."""
        return reverse("programme", args=[self.programme])

    @property
    def table_href(self) -> str:
        return self.address("line_table")

    @property
    def sheet_href(self) -> str:
        return self.address("line_sheet")

    @property
    def read_href(self) -> str:
        return self.address("read_line")

    @property
    def change_href(self) -> str:
        return self.address("change_line")

    @property
    def new_task_href(self) -> str:
        return self.address("new_line_task")

    @property
    def new_station_href(self) -> str:
        return self.address("new_line_station")

    @property
    def new_feed_href(self) -> str:
        return self.address("new_line_feed")

    @property
    def new_break_href(self) -> str:
        return self.address("new_line_break")

    @property
    def break_out_href(self) -> str:
        return self.address("line_break_out")


def line_frame(place: LinePlace, *, here: str = "", as_json: str = "") -> Frame:
    """The frame of a line's page, or of a page that hangs on it and is called `here`."""
    named = f"Line {place.line}" if place.line else "Line"
    crumbs = [Crumb(text=place.programme_title, href=place.programme_href)]
    if here and place.line:
        crumbs.append(Crumb(text=named, href=place.address("line")))
    elif here:
        crumbs.append(Crumb(text=named, href=reverse("line_only", args=[place.programme])))
    crumbs.append(Crumb(text=here or named))
    title = f"{named}, {place.programme_title}"
    return Frame(
        title=f"{here}: {title}" if here else title,
        crumbs=tuple(crumbs),
        invented=place.invented,
        as_json=as_json,
    )
