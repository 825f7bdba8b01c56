"""From a first-article report alone: programme, part, tool, cavities, sizes and a trial with its verdict."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from offtool.core.values import OfftoolError, Verdict
from offtool.exchange.readings import FileRefused, SentFile
from offtool.records.models import Cavity, Characteristic, Part, Programme, Resin
from offtool.records.operations import AlreadyRead
from offtool.records.queries.finding import NotInRecord
from offtool.steps.inspect_trial import inspect_trial
from offtool.steps.overview import programme_overview
from offtool.steps.read_readings import CannotKeep, preview_readings
from offtool.steps.reading_preview import ReadingsKept
from offtool.steps.start_from_report import preview_start, start_from_files, start_from_report
from tests.steps.clip import NOON, csv_of, stored

pytestmark = pytest.mark.django_db

PLACES = ("Cav 1 / 1", "Cav 1 / 2", "Cav 2 / 1", "Cav 2 / 2")
HEADINGS = ("No.", "Characteristic", "Unit", "Nominal", "Tolerance", *PLACES)
ROWS: list[tuple[object, ...]] = [
    (1, "Peg dia", "mm", "⌀4.00", "±0.05", 4.01, 4.012, 4.008, 4.011),
    (2, "Length", "mm", "20.00", "±0.10", 20.31, 20.32, 20.3, 20.31),
    (3, "Weight", "g", "2.00", "±0.10", 2.01, 2.02, 2.0, 2.01),
]


def report(rows: Sequence[Sequence[object]] = ROWS) -> bytes:
    return csv_of(HEADINGS, rows)


def start(content: bytes = report(), **options: object) -> ReadingsKept:
    given: dict[str, object] = {"title": "Clip", "read_at": NOON, "read_by": "tester"} | options
    return start_from_report(content, "fai.csv", **given)  # type: ignore[arg-type]


def refused(content: bytes = report(), **options: object) -> OfftoolError:
    before = stored()
    with pytest.raises(OfftoolError) as refusal:
        start(content, **options)
    assert stored() == before
    return refusal.value


def test_a_report_is_shown_before_anything_is_made() -> None:
    shown = preview_start(report(), "fai.csv")
    assert (shown.layout, shown.readings, shown.cavities) == ("report", 12, ("1", "2"))
    assert [(one.number, one.name, one.unit, one.lower, one.upper) for one in shown.characteristics] == [
        ("1", "Peg dia", "mm", 3.95, 4.05),
        ("2", "Length", "mm", 19.9, 20.1),
        ("3", "Weight", "g", 1.9, 2.1),
    ]
    assert shown.can_be_kept
    assert set(stored().values()) == {0}


def test_a_report_alone_gives_a_verdict() -> None:
    kept = start(tool="M9", part="P7", trial="T0")
    findings = inspect_trial(kept.programme, "M9", "T0")
    verdicts = {size.number: size.verdict for size in findings.sizes}
    assert verdicts["2"] is Verdict.FAILS
    assert {size.part for size in findings.sizes} == {"P7"}
    (tool,) = programme_overview(kept.programme).tools
    assert (tool.code, tool.state, tool.cavities) == ("M9", "a", 2)
    assert [size.kind for size in Characteristic.objects.order_by("pk")] == ["diameter", "length", "weight"]


def test_what_is_missing_for_a_correction_is_the_next_thing_to_do() -> None:
    kept = start()
    actions = inspect_trial(kept.programme, kept.tool, kept.trial).actions
    assert any("Say which steel forms P1 2" in action.do for action in actions)


def test_the_index_to_show_is_kept_or_left_to_the_usual() -> None:
    start(required_index=1.33)
    start(title="Other clip")
    assert {size.required_index for size in Characteristic.objects.all()} == {1.33, None}


def test_a_report_without_cavities_makes_one_cavity() -> None:
    rows = [(1, "Peg", 4.0, 3.95, 4.05, 4.01, 4.0, 4.02)]
    kept = start(
        csv_of(["No.", "Name", "Nominal", "Lower limit", "Upper limit", "Part 1", "Part 2", "Part 3"], rows)
    )
    assert [tool.cavities for tool in programme_overview(kept.programme).tools] == [1]
    assert inspect_trial(kept.programme, kept.tool, kept.trial).sizes[0].finding.cavities[0].cavity == "1"


def test_titles_that_look_alike_as_short_names_are_told_apart() -> None:
    slugs = [start(title=title).programme for title in ("Clip", "Clip!", "水獭", "水獭 2号")]
    assert len(set(slugs)) == 4
    assert slugs[:2] == ["clip", "clip-2"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"title": " "}, "the programme has no title"),
        ({"resin": "ABBS"}, "no resin 'ABBS' in the handbook"),
        ({"required_index": -1.0}, "required_index must be above 0"),
        ({"tool": ""}, "code must not be empty"),
    ],
)
def test_what_cannot_be_made_is_refused(options: dict[str, object], said: str) -> None:
    assert said in refused(**options).what


def test_a_title_in_use_is_refused() -> None:
    start()
    assert "there is a programme 'Clip' already" in refused().what
    assert Programme.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (csv_of(["Shot", "Cavity", "Peg"], [(1, 1, 4.0), (2, 1, 4.0)]), "the file states no limits"),
        (report([*ROWS, (4, "Snap", "mm", "1.00", "", 1.0, 1.0, 1.0, 1.0)]), "'Snap' has no limits"),
        (report([*ROWS, (1, "Snap", "mm", "1.00", "±0.1", 1.0, 1.0, 1.0, 1.0)]), "number '1' stands twice"),
    ],
)
def test_a_report_that_cannot_be_judged_is_refused(content: bytes, said: str) -> None:
    error = refused(content)
    assert isinstance(error, CannotKeep)
    assert error.what.startswith(said)
    assert error.where == "fai.csv"


def test_cells_that_cannot_be_read_stand_in_the_way_until_they_are_left_out() -> None:
    content = report([(*ROWS[0][:-1], "OOL"), *ROWS[1:]])
    assert "OOL" in refused(content).what
    assert start(content, leave_out=True).left_out == 1


def test_a_file_that_is_no_table_is_refused() -> None:
    assert isinstance(refused(b"\x89PNG"), FileRefused)


SECOND = report([(1, "Socket bore", "mm", "⌀4.05", "±0.03", 4.06, 4.061, 4.058, 4.06)])


def add(content: bytes = SECOND, **options: object) -> ReadingsKept:
    given: dict[str, object] = {"title": "Clip", "add": True, "part": "LID", "tool": "B2"}
    return start(content, **given | options)


def test_a_second_part_on_a_second_tool_is_added_and_the_first_stays_as_it_was() -> None:
    start(tool="A1", part="BODY")
    before = inspect_trial("clip", "A1", "T1")
    kept = add()
    assert (kept.programme, kept.tool, kept.trial, kept.state) == ("clip", "B2", "T1", "a")
    assert Programme.objects.count() == 1
    assert [(one.code, one.cavities) for one in programme_overview("clip").tools] == [("A1", 2), ("B2", 2)]
    assert {size.part for size in inspect_trial("clip", "B2", "T1").sizes} == {"LID"}
    assert inspect_trial("clip", "A1", "T1") == before
    made = {(one.tool.code, one.part.code) for one in Cavity.objects.select_related("tool", "part")}
    assert made == {("A1", "BODY"), ("B2", "LID")}


@pytest.mark.parametrize("named", ["Other clip", " Other clip ", "other-clip"])
def test_the_programme_to_add_to_is_named_by_its_title_or_its_short_name(named: str) -> None:
    start()
    start(title="Other clip")
    assert add(title=named).programme == "other-clip"


def test_of_programmes_with_one_title_the_short_name_says_which() -> None:
    start()
    Programme.objects.create(slug="clip-2", title="Clip")
    assert add(title="clip-2").programme == "clip-2"
    error = refused(SECOND, title="Clip", add=True, part="LID", tool="B2")
    assert (error.what, error.remedy) == ("2 programmes are called 'Clip'", "name one of clip, clip-2")


def test_a_resin_of_the_programme_is_shared_with_its_shrinkage_and_another_is_new() -> None:
    start()
    Resin.objects.update(flow_pct=0.62)
    add(resin="abs")
    assert {one.resin.flow_pct for one in Part.objects.select_related("resin")} == {0.62}
    add(SECOND + b"\n", part="PIN", tool="C3", resin="POM")
    assert sorted(Resin.objects.values_list("code", flat=True)) == ["ABS", "POM"]


def test_a_resin_that_only_the_programme_has_can_be_named() -> None:
    start()
    Resin.objects.update(code="ABS grey 7")
    add(resin="ABS grey 7")
    assert Resin.objects.count() == 1
    assert "known are ABS grey 7, " in refused(SECOND, add=True, part="PIN", tool="C3", resin="X").remedy


@pytest.mark.parametrize(
    ("options", "said", "read"),
    [
        ({"tool": "A1"}, "there is a tool 'A1' in clip already", "offtool read clip A1 TRIAL FILE"),
        ({"part": "BODY"}, "there is a part 'BODY' in clip already", "offtool read clip A1 TRIAL FILE"),
    ],
)
def test_a_tool_or_part_that_is_there_is_refused_with_how_it_is_read(
    options: dict[str, object], said: str, read: str
) -> None:
    start(tool="A1", part="BODY")
    error = refused(SECOND, **{"add": True, "part": "LID", "tool": "B2"} | options)
    assert isinstance(error, CannotKeep)
    assert error.what == said
    assert read in error.remedy


@pytest.mark.parametrize(
    ("content", "options", "said"),
    [
        (SECOND, {"title": "Clipp"}, "no programme 'Clipp'"),
        (SECOND, {"resin": "ABBS"}, "no resin 'ABBS' in the handbook"),
        (SECOND, {"tool": ""}, "code must not be empty"),
        (csv_of(["Shot", "Cavity", "Peg"], [(1, 1, 4.0)]), {}, "the file states no limits"),
    ],
)
def test_what_cannot_be_added_is_refused_and_leaves_nothing(
    content: bytes, options: dict[str, object], said: str
) -> None:
    start()
    assert said in refused(content, **{"add": True, "part": "LID", "tool": "B2"} | options).what


def test_the_report_of_the_first_part_is_not_taken_for_the_second() -> None:
    start()
    assert isinstance(refused(report(), add=True, part="LID", tool="B2"), AlreadyRead)


def test_several_files_are_added_as_one_report() -> None:
    start()
    kept = start_from_files(
        [SentFile("a.csv", SECOND), SentFile("b.csv", report([(2, "Lid", "mm", "9.0", "±0.1", 9, 9, 9, 9)]))],
        "2 files", title="clip", add=True, part="LID", tool="B2", read_at=NOON, read_by="tester",
    )  # fmt: skip
    assert (kept.programme, kept.readings) == ("clip", 8)


def test_reading_into_a_tool_that_is_not_there_says_how_it_is_added() -> None:
    start()
    with pytest.raises(NotInRecord, match="no tool 'B2' in clip") as refusal:
        preview_readings(SECOND, "lid.csv", programme="clip", tool="B2")
    assert "offtool start clip FILE --add --part PART --tool B2" in refusal.value.remedy
