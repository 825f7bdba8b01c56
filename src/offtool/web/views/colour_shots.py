"""Reading the file of a change of colour that was measured shot by shot."""

from __future__ import annotations

from datetime import datetime
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from offtool.core.values import OfftoolError
from offtool.steps.keep_colour_change import (
    NOT_SAID,
    ChangePlace,
    ChangePreview,
    keep_colour_change,
    place_of_change,
    preview_colour_change,
)
from offtool.web.answer import in_words
from offtool.web.forms.colour_change import HowChangeForm, KeepChangeForm, ShotsFileForm
from offtool.web.pages.colour_shots import ShotsShown, change_kept_in_words, shots_shown
from offtool.web.pages.frame import Crumb, Frame
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


class ColourShotsDesk(StudyDesk):
    """The measured changes of one press."""

    file_form, keep_form = ShotsFileForm, KeepChangeForm
    choose_template, show_template = "colour_shots_file.html", "colour_shots.html"

    def __init__(self, place: ChangePlace) -> None:
        self.place = place
        self.headline = f"Read a change of colour that was measured on {place.press}."
        self.next_name = place.next_name

    def frame(self, *, as_json: str = "") -> Frame:
        place = self.place
        return Frame(
            title=f"Read a change of colour: {place.press}, {place.programme_title}",
            crumbs=(
                Crumb(text=place.programme_title, href=reverse("programme", args=[place.programme])),
                Crumb(text="Change of colour", href=self._page),
                Crumb(text=f"Read a change on {place.press}"),
            ),
            invented=place.invented,
            as_json=as_json,
        )

    def how(self, asked: QueryDict) -> HowChangeForm:
        return HowChangeForm(asked, place=self.place)

    def preview(self, upload: Upload, how: HowChangeForm) -> ChangePreview:
        if how.is_bound and not how.is_valid():
            raise OfftoolError(NOT_SAID, remedy="mend what is marked in the margin")
        return preview_colour_change(
            upload.content,
            upload.name,
            programme=self.place.programme,
            press=self.place.press,
            about=how.about if how.is_bound else None,
            sheet=how.sheet_asked if how.is_bound else None,
        )

    def shown(self, preview: ChangePreview) -> ShotsShown:
        return shots_shown(preview)

    def keep(
        self, upload: Upload, how: HowChangeForm, form: KeepChangeForm, *, now: datetime
    ) -> tuple[str, str]:
        kept = keep_colour_change(
            upload.content,
            upload.name,
            programme=self.place.programme,
            press=self.place.press,
            about=form.about_change(how.about),
            sheet=how.sheet_asked,
            read_at=now,
            **form.keep_as(),
        )
        return change_kept_in_words(kept), f"{self._page}?{urlencode({'press': self.place.press})}"

    @property
    def _page(self) -> str:
        return reverse("colour", args=[self.place.programme])


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_colour(request: HttpRequest, programme: str, press: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, ColourShotsDesk(place_of_change(programme, press)))
