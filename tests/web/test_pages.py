"""Every template, rendered from a filled page object."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from offtool.core.formulas import all_formulas
from offtool.core.values import Caution, Verdict
from offtool.exchange.readings import FileLeftOut, RefusedCell, Repair
from offtool.steps.name_steel import SizeWithoutSteel
from offtool.steps.overview import ProgrammeLine, ToolStanding, TrialLine
from offtool.steps.programme_standing import ProgrammeStanding
from offtool.steps.reading_preview import FilePreview, MatchedCharacteristic, ReadingPreview
from offtool.web.desks import StartDesk, TrialDesk
from offtool.web.forms.correction import KeepChangesForm, SteelForm
from offtool.web.forms.formula import FormulaForm
from offtool.web.forms.judging import SettleForm
from offtool.web.forms.name_steel import NameSteelForm
from offtool.web.forms.reading import FileForm, HowForm
from offtool.web.pages.about import about_page
from offtool.web.pages.correction import CorrectionPage, correction_page, open_changes
from offtool.web.pages.formulas import formula_page, formulas_page
from offtool.web.pages.frame import Crumb, Frame, TrialPlace
from offtool.web.pages.programmes import name_after, programme_page, programmes_page
from offtool.web.pages.reading import FilePage, PreviewPage, PreviewShown, preview_shown
from offtool.web.pages.refused import RefusedPage
from offtool.web.pages.steel import name_steel_page, nameless_page
from offtool.web.pages.trial import HOLDING_SHOWN, TrialPage, trial_page
from tests.reports import factories
from tests.reports.ways import way
from tests.web.rendering import Outline, faults, render_page
from tests.web.seam_pages import seam_pages

PLACE = TrialPlace(
    programme="harbour-otter",
    programme_title="Harbour otter",
    invented=True,
    tool="M2",
    state="b",
    trial="T2",
)


def a_trial_page(**fields: object) -> TrialPage:
    return trial_page(factories.trial_findings(**fields), PLACE, SettleForm())


def a_correction_page(**fields: object) -> CorrectionPage:
    correction = factories.tool_correction(**fields)
    form = KeepChangesForm(open_changes(correction))
    return correction_page(correction, PLACE, form, SteelForm(correction.kept))


def a_preview(**fields: object) -> ReadingPreview:
    given = {
        "file": "M2_T2.csv",
        "sha256": "0" * 64,
        "size": 3120,
        "layout": "wide",
        "layouts": ("wide", "long", "report"),
        "sheet": None,
        "encoding": "UTF-8",
        "delimiter": ";",
        "decimal": ",",
        "readings": 397,
        "missing": 1,
        "cavities": ("1", "2"),
        "shots": (20, 29),
        "characteristics": (
            MatchedCharacteristic(
                label="12 Hip peg",
                number="12",
                name="Hip peg",
                part="HO-02",
                unit="mm",
                nominal=4.0,
                lower=3.98,
                upper=4.03,
                readings=40,
            ),
            MatchedCharacteristic(
                label="99 Fin",
                number="",
                name="Fin",
                part="",
                unit="mm",
                nominal=None,
                lower=None,
                upper=None,
                readings=39,
                problem="is not a size of this tool",
            ),
        ),
        "repairs": (Repair(7, 5, "3,962*", "3.962", "a mark behind the number is left out"),),
        "refused": (RefusedCell(9, 7, "OOL", "says that the gauge could not measure", "measure again"),),
        "notes": ("The decimal mark is the comma.",),
        "problems": ("'99 Fin' is not a size of this tool",),
    }
    return ReadingPreview(**(given | fields))  # type: ignore[arg-type]


FILES = (
    FilePreview(
        name="otter_C2_S15.csv", size=312, layout="long", sheet=None, readings=3, cavity="2", shot=None,
        part=15, repaired=0, refused=0, notes=(),
    ),
)  # fmt: skip
LEFT_OUT = (FileLeftOut("part 7.csv", "is empty; send the file again", is_missed=True),)


def a_preview_page(
    shown: PreviewShown | None, *, desk: TrialDesk | StartDesk, refusal: str = ""
) -> PreviewPage:
    asked = {"upload": "slip", "layout": "", "sheet": ""}
    return PreviewPage(
        frame=desk.frame("?format=json"),
        preview=shown,
        file="M2_T2.csv",
        refusal=refusal,
        how_form=HowForm(asked),
        keep_form=desk.keep_form(initial={**asked, **desk.initial()}),
        again="/start/",
    )


TRIAL_LINE = TrialLine(
    name="T2",
    state="b",
    shot_on=date(2026, 3, 14),
    press="press 6",
    colour="grey",
    readings=1440,
    headline="All 8 sizes hold.",
    ready=True,
)
STANDING = ToolStanding(
    code="M2",
    name="Body",
    state="b",
    parts=("HO-02",),
    cavities=4,
    trials=(TRIAL_LINE,),
    proposed=2,
    next_step="2 cuts are decided: measure the steel again when they are made.",
)
OVERVIEW = ProgrammeStanding(
    slug="harbour-otter",
    title="Harbour otter",
    note="Invented.",
    invented=True,
    headline="1 of 1 tools holds.",
    tools=(STANDING, replace(STANDING, code="M3", state="", trials=(), parts=())),
    way=way(),
)
LINE = ProgrammeLine(
    slug="harbour-otter",
    title="Harbour otter",
    parts=2,
    tools=1,
    trials=2,
    last_trial="T2 of M2",
    invented=True,
)
NAMELESS = SizeWithoutSteel(part="P1", number="12", name="Hip peg", nominal=4.0, cavities=("1", "2"))
FORMULA = all_formulas()["judge_size"]


def every_page() -> dict[str, tuple[str, object]]:
    """Name of the case: template and a filled page object."""
    kept = factories.kept_correction(factories.steel_change())
    cut = replace(kept, correction_id=18, cavity="2", status="cut", resulting_state="c")
    desk = TrialDesk(PLACE)
    result = FORMULA.function(**FORMULA.example)
    file_page = FilePage(
        frame=desk.frame(), headline=desk.headline, lead=desk.lead, refusal="Again.", form=FileForm()
    )
    return {
        "programmes": ("programmes.html", programmes_page((LINE,))),
        "nothing yet": ("programmes.html", programmes_page(())),
        "programme": ("programme.html", programme_page(OVERVIEW)),
        "programme without tools": ("programme.html", programme_page(replace(OVERVIEW, tools=(), way=None))),
        "trial": ("trial.html", a_trial_page()),
        "trial without readings": (
            "trial.html",
            a_trial_page(sizes=(), actions=(), predictions=(), files=()),
        ),
        "correction": ("correction.html", a_correction_page(kept=(kept, cut))),
        "nothing to cut": (
            "correction.html",
            a_correction_page(changes=(), not_changed=(), directions=(), kept=()),
        ),
        "file": ("file.html", file_page),
        "preview": ("preview.html", a_preview_page(preview_shown(a_preview()), desk=desk)),
        "preview to keep": ("preview.html", a_preview_page(preview_shown(a_preview(problems=())), desk=desk)),
        "preview of a start": (
            "preview.html",
            a_preview_page(
                preview_shown(a_preview(problems=(), sheet="Data"), is_start=True), desk=StartDesk()
            ),
        ),
        "preview of several files": (
            "preview.html",
            a_preview_page(preview_shown(a_preview(files=FILES, left_out=LEFT_OUT, problems=())), desk=desk),
        ),
        "nothing made of it": ("preview.html", a_preview_page(None, desk=desk, refusal="no table in it")),
        "steel to name": ("nameless.html", nameless_page((NAMELESS,), PLACE)),
        "all steel named": ("nameless.html", nameless_page((), PLACE)),
        "name steel": ("name_steel.html", name_steel_page(NAMELESS, PLACE, NameSteelForm(NAMELESS))),
        "wrong steel": (
            "name_steel.html",
            name_steel_page(NAMELESS, PLACE, NameSteelForm(NAMELESS, {"measured-0": "x"})),
        ),
        "formulas": ("formulas.html", formulas_page(tuple(all_formulas().values()))),
        "formula": ("formula.html", formula_page(FORMULA, FormulaForm(FORMULA), result)),
        "formula refused": (
            "formula.html",
            formula_page(FORMULA, FormulaForm(FORMULA, {"lower": "x"}), None),
        ),
        "about": ("about.html", about_page("0.1.0")),
        "refused": (
            "refused.html",
            RefusedPage(
                frame=Frame(title="Not found", crumbs=(Crumb(text="x"),)),
                what="no tool",
                where="M9",
                remedy="M2?",
            ),
        ),
    }


CASES = every_page() | seam_pages()
PROGRAM_WORDS = {"None", "True", "False", "null", "NaN", "nan", "object", "instance", "queryset", "exception"}


@pytest.mark.parametrize("case", CASES)
def test_a_page_has_every_name_its_template_asks_for_and_no_fault(case: str) -> None:
    template, page = CASES[case]
    assert faults(render_page(template, page)) == []


@pytest.mark.parametrize("case", CASES)
def test_no_page_speaks_the_programs_language(case: str) -> None:
    words = {word.strip(".,;:()'\"") for word in Outline(render_page(*CASES[case])).text.split()}
    assert words & PROGRAM_WORDS == set()


def test_sizes_that_do_not_hold_stand_in_the_open_and_all_others_are_reachable() -> None:
    holding = [replace(factories.neck_ring(), number=str(i)) for i in range(200, 210)]
    findings = factories.trial_findings(sizes=(factories.hip_peg(), factories.tail_wall(), *holding))
    page = trial_page(findings, PLACE, SettleForm())
    assert [row.mark for row in page.open_sizes] == ["no", "doubt", *["yes"] * HOLDING_SHOWN]
    assert len(page.open_sizes) + len(page.folded_sizes) == len(findings.sizes)
    html = render_page("trial.html", page)
    assert html.count('class="limit-bar"') == len(findings.sizes) + 1 + len(Verdict)  # the key and its signs


def test_a_trial_shows_its_verdict_first_and_leads_on_to_what_to_do() -> None:
    html = render_page("trial.html", a_trial_page())
    assert html.index("3 of 8 sizes do not hold") < html.index("What to do") < html.index('id="sizes"')
    assert 'href="/p/harbour-otter/M2/T2/correction/"' in html
    assert 'href="/p/harbour-otter/M2/T2/files/3/"' in html
    # hip peg, cavity 1: t(0.975, 44) 0.004 / √12 = 0.0023, spread pooled over 4 cavities of 12 parts
    assert "3.966 ± 0.002" in html


def test_an_action_with_nowhere_to_lead_has_no_link() -> None:
    keep = factories.trial_findings().actions[0]
    page = a_trial_page(actions=(replace(keep, leads_to=""), replace(keep, leads_to="steel")))
    assert [(row.link, row.href) for row in page.actions] == [
        ("", ""),
        ("name the steel", "/p/harbour-otter/M2/T2/steel/"),
    ]


def test_refuted_predictions_come_first() -> None:
    page = a_trial_page()
    assert [row.word for row in page.open_predictions] == ["refuted", "confirmed"]


def test_names_from_files_are_shown_and_never_run() -> None:
    wicked = "<script>alert(1)</script>\"'"
    size = replace(factories.hip_peg(), name=wicked, why=wicked, number=wicked)
    caution = Caution(wicked, wicked)
    html = render_page(
        "trial.html", a_trial_page(sizes=(size,), headline=wicked, cautions=(caution,), press=wicked)
    )
    assert html.count("<script") == 1, "the page's own, from a file"
    assert "&lt;script&gt;" in html
    change = factories.steel_change(feature=wicked, feature_name=wicked, cavity=wicked, reason=wicked)
    assert "<script>" not in render_page("correction.html", a_correction_page(changes=(change,)))


def test_a_correction_says_which_way_the_part_goes_in_words() -> None:
    html = Outline(render_page("correction.html", a_correction_page())).text
    for words in (
        "REMOVE 0.040",
        "on diameter",
        "3.986 → 4.026",
        "LARGER",
        "SMALLER",
        "per side",
        "ADD 0.010",
    ):
        assert words in html


def test_what_is_decided_has_no_tick_and_what_is_open_is_ticked() -> None:
    changes = (factories.steel_change(), factories.steel_change(cavity="2"))
    html = render_page(
        "correction.html", a_correction_page(changes=changes, kept=(factories.kept_correction(changes[0]),))
    )
    assert html.count('name="chosen"') == html.count(" checked") == 1
    assert 'aria-label="Keep PEG-REC, cavity 2"' in html


def test_the_steel_form_asks_only_for_what_is_waiting_to_be_cut() -> None:
    kept = factories.kept_correction(factories.steel_change())
    waiting = a_correction_page(kept=(kept,))
    done = a_correction_page(kept=(replace(kept, status="cut", resulting_state="c"),))
    assert waiting.steel_form is not None
    assert not waiting.cut
    assert done.steel_form is None
    assert [row.state for row in done.cut] == ["c"]


def test_a_preview_lists_every_repair_and_every_refused_cell_by_place() -> None:
    text = Outline(
        render_page("preview.html", a_preview_page(preview_shown(a_preview()), desk=TrialDesk(PLACE)))
    ).text
    for words in (
        "row 7, column 5",
        "3,962*",
        "3.962",
        "row 9, column 7",
        "OOL",
        "is not a size of this tool",
    ):
        assert words in text
    in_workbook = preview_shown(a_preview(sheet="Data"))
    assert (in_workbook.repairs[0].place, in_workbook.refused[0].place) == ("E7", "G9")


def test_a_file_with_very_many_repairs_is_listed_whole_in_its_json() -> None:
    repairs = tuple(Repair(row, 1, "1*", "1", "a mark") for row in range(1, 702))
    shown = preview_shown(a_preview(repairs=repairs))
    assert (len(shown.repairs), shown.repairs_more) == (500, 201)
    html = render_page("preview.html", a_preview_page(shown, desk=TrialDesk(PLACE)))
    assert "201 more" in html


@pytest.mark.parametrize(
    ("last", "following"), [("", "T1"), ("T2", "T3"), ("T09", "T10"), ("pilot", "pilot-2"), ("T2b", "T2b-2")]
)
def test_the_next_trial_is_counted_on_from_the_last(last: str, following: str) -> None:
    assert name_after(last) == following


def test_every_page_of_an_invented_programme_says_so() -> None:
    for case in ("programme", "trial", "correction", "file", "preview"):
        assert "are invented." in render_page(*CASES[case])
    real = trial_page(factories.trial_findings(), replace(PLACE, invented=False), SettleForm())
    assert "are invented." not in render_page("trial.html", real)
