"""Filled page objects of the seams, for every template of theirs."""

from __future__ import annotations

from datetime import date

from offtool.core.values import Caution
from offtool.core.welding.open_seam import recognise_open_seam
from offtool.exchange.headed_tables import FileTable
from offtool.exchange.readings import RefusedCell, Repair
from offtool.handbook.terms import SeamKind
from offtool.steps.ask_if_open import OpenAsked, PieceSeen, SeamHeights
from offtool.steps.joint_found import CavitySeen, JointSizeSeen
from offtool.steps.seam_place import PartToChoose, SizeToChoose, WeldPlace
from offtool.steps.seam_place import SeamPlace as Offered
from offtool.steps.weld_study_preview import NumberSeen, WeldStudyPreview
from offtool.web.forms.seams import HowWeldForm, KeepWeldForm, OpenForm, SeamForm, TakeOutForm, WeldFileForm
from offtool.web.pages.seam import seam_page
from offtool.web.pages.seam_define import choose_kind_page, define_page
from offtool.web.pages.seams import SeamPlace, seams_page
from offtool.web.pages.two_steps import FilePage, PreviewPage
from offtool.web.pages.weld_study import weld_study_shown
from tests.reports import seams as factories

PLACE = SeamPlace(
    programme="harbour-otter", programme_title="Harbour otter", invented=True, seam="torso"
)  # fmt: skip
NEW = SeamPlace(programme="harbour-otter", programme_title="Harbour otter", invented=True)
OFFERED = Offered(
    programme="harbour-otter",
    programme_title="Harbour otter",
    invented=True,
    parts=(PartToChoose(code="HO-02", words="HO-02 front"), PartToChoose(code="HO-03", words="HO-03 back")),
    sizes=(SizeToChoose(key="HO-02 7", words="HO-02 7 Ridge, 0.5 mm", part="HO-02", unit="mm"),),
)
WELD_PLACE = WeldPlace(
    programme="harbour-otter", programme_title="Harbour otter", invented=True, seam="torso",
    top_part="HO-03", bottom_part="HO-02", gauges=(("P-1", "P-1 pull tester"),),
    top_trials=("M1 T2", "M1 T1"), bottom_trials=(), next_name="W1",
)  # fmt: skip
KNOWN = SeamHeights(welded_mm=24.05, welded_sd_mm=0.04, welded_pieces=36, open_mm=24.43, welded_pull_n=150.0)
UNKNOWN = SeamHeights(welded_mm=None, welded_sd_mm=None, welded_pieces=0, open_mm=None, welded_pull_n=None)
SIZES = (
    JointSizeSeen(role="joint_width", meaning="width of the faces that meet", unit="mm", decimals=3,
                  value=1.4, plus_minus=0.05),
    JointSizeSeen(role="ridge_height", meaning="height of the ridge", unit="mm", decimals=3, size="HO-02 7",
                  name="Ridge", tool="M1", trial="T2", state="b",
                  cavities=(CavitySeen(cavity="1", mean=0.503, sd=0.007, parts=13),)),
    JointSizeSeen(role="groove_width", meaning="width of the groove", unit="mm", decimals=3, size="HO-01 9"),
)  # fmt: skip


def a_preview(**fields: object) -> WeldStudyPreview:
    given = {
        "sha256": "0" * 64,
        "size": 4200,
        "gauge": "P-1",
        "file": FileTable(
            name="weld.csv", sheet=None, encoding="UTF-8", delimiter=";", decimal=",",
            repairs=(Repair(9, 10, ">400", "400", "the pull was stopped there"),), refused=(), missing=3,
            notes=("The decimal mark is the comma.",),
        ),
        "refused": (RefusedCell(7, 10, "strong", "is no number", "write the pull in N"),),
        "problems": (),
        "cautions": (Caution("study W1 of this seam counts too"),),
        "seam": "torso",
        "top_part": "HO-03",
        "bottom_part": "HO-02",
        "top_trial": "M1 T2",
        "bottom_trial": "",
        "runs": 40,
        "held": 14,
        "seen": (
            NumberSeen(what="weld time", unit="s", runs=40, levels=4, lowest=0.2, highest=0.38),
            NumberSeen(what="hold time", unit="s", runs=40, levels=1, lowest=0.5, highest=0.5),
        ),
    }  # fmt: skip
    return WeldStudyPreview(**(given | fields))  # type: ignore[arg-type]


def a_weld_study_page(preview: WeldStudyPreview | None, *, refusal: str = "") -> PreviewPage:
    asked = {"upload": "slip", "done_on": "2026-03-20"}
    return PreviewPage(
        frame=PLACE.frame(here="Read a weld study", as_json="?format=json"),
        file="weld.csv",
        refusal=refusal,
        preview=weld_study_shown(preview) if preview else None,
        how_form=HowWeldForm(asked, place=WELD_PLACE),
        keep_form=KeepWeldForm(initial={"name": "W1"}),
        told=tuple(asked.items()),
        again="/p/harbour-otter/seams/torso/read/",
    )


def seam_pages() -> dict[str, tuple[str, object]]:
    """Name of the case: template and a filled page object."""
    piece = PieceSeen(height_mm=24.4, flash="absent")
    asked = OpenAsked(
        programme="harbour-otter", seam="torso", piece=piece, heights=KNOWN,
        found=recognise_open_seam(flash="absent", horn_mark="absent"),
    )  # fmt: skip
    study = factories.study_seen(done_on=date(2026, 3, 22), is_stale=True, note="warm horn")
    aside = factories.study_seen(name="0", study_id=2, set_aside="wrong horn")
    full = factories.torso(sizes=SIZES, studies=(study, aside), top="HO-03", bottom="HO-02")
    bare = factories.not_pulled(
        design=None, melt=None, energy=None, required_n=None, missing=("width is not given",)
    )
    wrong = SeamForm(SeamKind.GROOVE, OFFERED, {"value_ridge_height": "high"})
    file_page = FilePage(
        frame=PLACE.frame(here="Read a weld study"),
        headline="Read it.",
        refusal="Again.",
        form=WeldFileForm(),
    )
    return {
        "seams": ("seams.html", seams_page(factories.all_seams(full, bare))),
        "seam": ("seam.html", seam_page(full, KNOWN, OpenForm(), asked=asked)),
        "seam never pulled": ("seam.html", seam_page(factories.not_pulled(), UNKNOWN, OpenForm())),
        "seam of which nothing is known": (
            "seam.html",
            seam_page(bare, UNKNOWN, OpenForm({"height_mm": "x"})),
        ),
        "kind of a seam": ("seam_define.html", choose_kind_page(NEW, parts=2)),
        "no parts to weld": ("seam_define.html", choose_kind_page(NEW, parts=1)),
        "new seam": ("seam_define.html", define_page(NEW, SeamKind.RIDGE, SeamForm(SeamKind.RIDGE, OFFERED))),
        "wrong seam": (
            "seam_define.html",
            define_page(NEW, SeamKind.GROOVE, wrong, typed={"value_wall": "1.2"}),
        ),
        "seam to change": (
            "seam_define.html",
            define_page(
                PLACE,
                SeamKind.SHEAR,
                SeamForm(SeamKind.SHEAR, OFFERED),
                take_out=TakeOutForm(auto_id="out_%s"),
            ),
        ),
        "seam with studies to change": (
            "seam_define.html",
            define_page(PLACE, SeamKind.STEP, SeamForm(SeamKind.STEP, OFFERED), studies=2),
        ),
        "weld study file": ("weld_study_file.html", file_page),
        "weld study": ("weld_study.html", a_weld_study_page(a_preview())),
        "weld study to mend": ("weld_study.html", a_weld_study_page(a_preview(problems=("no run",), runs=0))),
        "no weld study": ("weld_study.html", a_weld_study_page(None, refusal="no table in it")),
    }
