"""The parts of a programme by their shapes: the list, one of them, its picture and file, reading a shape."""

from __future__ import annotations

from datetime import datetime

from django.http import FileResponse, HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_http_methods, require_safe

from offtool.steps.know_part import know_part, know_parts
from offtool.steps.know_part import part_file as file_of_part
from offtool.steps.know_part import part_picture as picture_of_part
from offtool.steps.part_found import MeshPreview
from offtool.steps.read_mesh import PartPlace as Place
from offtool.steps.read_mesh import keep_mesh_file, place_of_part, preview_with_picture
from offtool.web.answer import answer, in_words
from offtool.web.download import as_download
from offtool.web.forms.mesh import HowMeshForm, KeepMeshForm, MeshFileForm
from offtool.web.pages.frame import Frame
from offtool.web.pages.part import part_page
from offtool.web.pages.part_mesh import MeshShown, mesh_kept_in_words, mesh_shown
from offtool.web.pages.parts import PartPlace, parts_page
from offtool.web.uploads import Upload
from offtool.web.views.two_steps import StudyDesk, read_at


@require_safe
@in_words
def parts(request: HttpRequest, programme: str) -> HttpResponse:
    """All parts, a line each."""
    found = know_parts(programme)
    return answer(request, "parts.html", parts_page(found), found)


@require_safe
@in_words
def part(request: HttpRequest, programme: str, part: str) -> HttpResponse:
    """What its shape says, what to do, why."""
    found = know_part(programme, part)
    picture = picture_of_part(programme, part) if found.mesh is not None else b""
    return answer(request, "part.html", part_page(found, picture), found)


@require_safe
@in_words
def part_picture(request: HttpRequest, programme: str, part: str) -> HttpResponse:
    """The bytes that the page turns."""
    return HttpResponse(picture_of_part(programme, part), content_type="application/octet-stream")


@require_safe
@in_words
def part_file(request: HttpRequest, programme: str, part: str) -> FileResponse:
    """The file of the shape, byte for byte as it came."""
    return as_download(*file_of_part(programme, part))


class MeshDesk(StudyDesk):
    """The shapes of one part."""

    file_form, keep_form = MeshFileForm, KeepMeshForm
    choose_template, show_template = "part_file.html", "part_mesh.html"
    next_name = ""

    def __init__(self, place: Place) -> None:
        self.place, self.picture = place, b""
        self.headline = f"Read the shape of {place.part}."
        self.part = PartPlace(
            programme=place.programme,
            programme_title=place.programme_title,
            invented=place.invented,
            part=place.part,
        )

    def frame(self, *, as_json: str = "") -> Frame:
        return self.part.frame(here="Read a shape", as_json=as_json)

    def how(self, asked: QueryDict) -> HowMeshForm:
        return HowMeshForm(asked)

    def preview(self, upload: Upload, how: HowMeshForm) -> MeshPreview:
        place = self.place
        preview, self.picture = preview_with_picture(
            upload.content, upload.name, programme=place.programme, part=place.part, about=how.about
        )
        return preview

    def shown(self, preview: MeshPreview) -> MeshShown:
        return mesh_shown(preview, self.picture)

    def keep(self, upload: Upload, how: HowMeshForm, form: KeepMeshForm, *, now: datetime) -> tuple[str, str]:
        kept = keep_mesh_file(
            upload.content,
            upload.name,
            programme=self.place.programme,
            part=self.place.part,
            about=how.about,
            read_at=now,
            **form.cleaned_data,
        )
        return mesh_kept_in_words(kept), self.part.address("part")


@require_http_methods(["GET", "HEAD", "POST"])
@in_words
def read_mesh(request: HttpRequest, programme: str, part: str) -> HttpResponse:
    """A file is chosen, sent, shown, or kept."""
    return read_at(request, MeshDesk(place_of_part(programme, part)))
