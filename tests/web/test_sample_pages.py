"""Every template of the samples, rendered from a filled page object: no name is missing, no fault."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from offtool.exchange.headed_tables import FileTable
from offtool.exchange.readings import RefusedCell, Repair
from offtool.records.models import Tool
from offtool.steps.identify_sample import identify_sample, list_samples
from offtool.steps.look_at_sample import sample_to_look_at
from offtool.steps.sample_found import SamplesFound
from offtool.steps.sample_history import ChangeSeen
from offtool.steps.samples_from_file import PartInFile, SampleInFile, SamplesPreview
from offtool.steps.samples_place import SamplesPlace, place_of_samples
from offtool.web.forms.judging import SetAsideForm
from offtool.web.forms.sample_look import LookHeadForm, LookSheet
from offtool.web.forms.samples import ChangePartForm, ChangeSampleForm, PartRows, PhotographForm, SampleForm
from offtool.web.forms.samples_file import HowSamplesForm, KeepSamplesForm, SamplesFileForm
from offtool.web.pages.sample import place_of_sample, sample_page
from offtool.web.pages.sample_look import sample_aside_page, sample_look_page
from offtool.web.pages.sample_new import change_sample_page, new_sample_page, place_of, sample_part_page
from offtool.web.pages.samples import samples_page
from offtool.web.pages.samples_file import samples_file_shown
from offtool.web.pages.two_steps import FilePage, PreviewPage
from tests.web import archived, otter
from tests.web.archived import NUMBER
from tests.web.rendering import Outline, faults, render_page

Case = tuple[str, object]
NOTHING = SamplesFound(
    programme=otter.SLUG, programme_title="Harbour otter", invented=True, searched="", headline="None yet.",
    samples=(), untagged=0,
)  # fmt: skip
CHANGED = ChangeSeen(
    at=otter.NOW, by="Ada", about="where it lies", before="", after="drawer", reason="moved"
)  # fmt: skip


def register(place: SamplesPlace) -> Case:
    return "samples.html", samples_page(list_samples(otter.SLUG))


def empty_register(place: SamplesPlace) -> Case:
    return "samples.html", samples_page(NOTHING)


def sample(place: SamplesPlace) -> Case:
    form = PhotographForm(["torso"], {"note": "x" * 200}, auto_id="photo_%s")
    return "sample.html", sample_page(identify_sample(otter.SLUG, NUMBER), (CHANGED,), form)


def new_sample(place: SamplesPlace) -> Case:
    return "sample_new.html", new_sample_page(place, SampleForm(place), PartRows(place, 2))


def wrong_sample(place: SamplesPlace) -> Case:
    typed = {"number": "", "part0-part": "HO-02", "part0-shot": "x"}
    return "sample_new.html", new_sample_page(place, SampleForm(place, typed), PartRows(place, 2, typed))


def change(place: SamplesPlace) -> Case:
    return "sample_new.html", change_sample_page(place, NUMBER, ChangeSampleForm(place))


def part(place: SamplesPlace) -> Case:
    return "sample_part.html", sample_part_page(place, NUMBER, ChangePartForm(place, {"part": ""}), "torso")


def look(place: SamplesPlace) -> Case:
    to_see = sample_to_look_at(otter.SLUG, NUMBER)
    sheet = LookSheet(to_see, {"value-size-torso-12": "x", "a-colour-torso": "1"})
    sheet.found()
    return "sample_look.html", sample_look_page(to_see, LookHeadForm(), sheet)


def aside(place: SamplesPlace) -> Case:
    found = identify_sample(otter.SLUG, NUMBER)
    page = sample_aside_page(found, place_of_sample(found), found.observations[0], SetAsideForm())
    return "sample_aside.html", page


def choose_file(place: SamplesPlace) -> Case:
    frame = place_of(place).frame(here="Read a file")
    return "samples_file.html", FilePage(
        frame=frame, headline="Read it.", refusal="Again.", form=SamplesFileForm()
    )


def read_file(place: SamplesPlace) -> Case:
    told = PartInFile(
        label="left arm", part="HO-04", tool="M2", state="b", cavity="5", trial="T2", shot=41
    )  # fmt: skip
    preview = SamplesPreview(
        sha256="0" * 64, size=86,
        file=FileTable(name="drawer.csv", sheet=None, encoding="UTF-8", delimiter=",", decimal=".",
                       repairs=(Repair(2, 3, "HO-4", "HO-04", "read so"),), refused=(), missing=0,
                       notes=("x",)),
        samples=(SampleInFile(number="7", name="arm", place="", holder="", parts=(told,)),),
        refused=(RefusedCell(3, 2, "HO-99", "is no part", "mend it"),), problems=(), cautions=(),
    )  # fmt: skip
    return "samples_read.html", PreviewPage(
        frame=place_of(place).frame(here="Read a file"), file="drawer.csv", refusal="",
        preview=samples_file_shown(preview), how_form=HowSamplesForm({"upload": "slip"}),
        keep_form=KeepSamplesForm(), told=(("upload", "slip"),), again="/p/harbour-otter/samples/read/",
    )  # fmt: skip


CASES: tuple[Callable[[SamplesPlace], Case], ...] = (
    register, empty_register, sample, new_sample, wrong_sample, change, part, look, aside,
    choose_file, read_file,
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda one: one.__name__)
def test_a_page_has_every_name_its_template_asks_for_and_no_fault(
    case: Callable[[SamplesPlace], Case], trial: str
) -> None:
    archived.make_archive(Tool.objects.get())
    html = render_page(*case(place_of_samples(otter.SLUG)))
    assert faults(html) == []
    said = Outline(html).text
    assert "InFile(" not in said
    assert "Seen(" not in said
