"""offtool register, samples, saw, photograph, sample, order, labels: a piece kept, looked at and told."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from offtool.cli.samples import PLACES_OF_A_SHEET
from offtool.cli.saw import EYES, KINDS, LIGHTS
from offtool.handbook.measured_colour import OBSERVERS, Illuminant
from offtool.records.models import Part, SampleColour, SampleSize, SeenDetail, SeenSign, Tool
from offtool.records.operations import OBSERVATIONS, define_detail
from offtool.reports.sample_labels import ON_A_SHEET
from offtool.steps.identify_sample import identify_sample, list_samples
from offtool.steps.order_samples import order_of_samples, order_of_table
from offtool.steps.plain import as_plain
from tests.cli.conftest import Run

LOT = "Piece,date mark,heel vent,rib (goes)\nA1,-,-,x\nA2,-,x,x\nA3,x,x,?\nA4,x,x,-\n"


@pytest.fixture
def marked(run: Run, flipper: str) -> str:
    """The flipper with a mark that its only state of steel does not make yet."""
    part = Part.objects.get(code="P1")
    state = Tool.objects.get(code="M1").states.get()
    define_detail(part, {"code": "mark", "name": "date mark"}, {state: False}, made_by="bench")
    return flipper


@pytest.fixture
def kept(run: Run, marked: str) -> tuple[str, str]:
    """A piece in the register: programme and number."""
    answer = run("register", marked, "--number", "0417", "--what", "flipper", "--place", "drawer C4",
                 "--part", "blade: P1, tool M1, trial T1, cavity 2, shot 3")  # fmt: skip
    assert answer.exit_code == 0, answer.err
    return marked, "0417"


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert set(LIGHTS) == {one.value for one in Illuminant}
    assert EYES == OBSERVERS
    assert set(KINDS) == set(OBSERVATIONS)
    assert PLACES_OF_A_SHEET == ON_A_SHEET


def test_an_empty_register_says_what_to_do_first(run: Run, flipper: str) -> None:
    assert "offtool register flipper" in run("samples", flipper).out
    refused = run("labels", flipper, "--out", "labels.pdf")
    assert refused.exit_code == 1
    assert "register a piece first" in refused.err


def test_a_piece_is_registered_with_its_tag_listed_and_found(run: Run, kept: tuple[str, str]) -> None:
    line = list_samples(kept[0]).samples[0]
    assert line.tag == "T1 of M1, cavity 2, shot 3"
    listed = run("samples", kept[0])
    assert "0417" in listed.out
    assert "T1 of M1, cavity 2, shot 3" in listed.out
    assert "0417" in run("samples", kept[0], "--search", "drawer C4").out
    assert "0417" not in run("samples", kept[0], "--search", "drawer C5").out
    assert run("samples", kept[0], "--json").json == as_plain(list_samples(kept[0]))


def test_without_a_number_a_piece_is_given_the_next_one(run: Run, kept: tuple[str, str]) -> None:
    assert "Registered as 0418." in run("register", kept[0], "--part", "P1").out


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("P1, trial", "not one of tool, trial"),
        ("P1, weight 3", "not one of tool, trial"),
        ("P1, shot 3, shot 4", "each once"),
        ("P1, shot three", "no number of a shot"),
        ("blade:", "names no part"),
        ("P9", "no part 'P9'"),
        ("P1, tool M9, trial T1", "M9"),
    ],
)
def test_a_tag_that_cannot_be_is_refused_and_nothing_is_kept(
    run: Run, flipper: str, typed: str, says: str
) -> None:
    refused = run("register", flipper, "--part", typed)
    assert refused.exit_code != 0
    assert says in refused.err
    assert not list_samples(flipper).samples


def test_everything_that_was_seen_in_one_call_is_kept(run: Run, kept: tuple[str, str]) -> None:
    answer = run("saw", *kept, "--missing", "blade: mark", "--sign", "paint=none",
                 "--size", "blade: 1=3,97+-0.002", "--size", "2=40.01",
                 "--colour", "blade: 62.1 -18 40 ±0.3", "--place", "rim", "--light", "D50", "--eye", "2",
                 "--note", "with a lens", "--by", "archive")  # fmt: skip
    assert answer.exit_code == 0, answer.err
    assert "5 things are kept of 0417." in answer.out
    detail, sign, colour = SeenDetail.objects.get(), SeenSign.objects.get(), SampleColour.objects.get()
    assert (detail.is_there, detail.is_sure, detail.seen_by) == (False, True, "archive")
    assert (sign.sign, sign.outcome, sign.note) == ("paint", "none", "with a lens")
    sizes = SampleSize.objects.order_by("characteristic__number").values_list("value", "uncertainty")
    assert list(sizes) == [(3.97, 0.002), (40.01, None)]
    assert (colour.lightness, colour.a, colour.b, colour.uncertainty_de) == (62.1, -18.0, 40.0, 0.3)
    assert (colour.place, colour.illuminant, colour.observer) == ("rim", "D50", 2)


def test_what_is_not_sure_is_kept_as_not_sure(run: Run, kept: tuple[str, str]) -> None:
    run("saw", *kept, "--there", "mark", "--unsure")
    seen = SeenDetail.objects.get()
    assert (seen.is_there, seen.is_sure) == (True, False)


def test_where_one_thing_is_refused_nothing_of_the_call_is_kept(run: Run, kept: tuple[str, str]) -> None:
    refused = run("saw", *kept, "--missing", "mark", "--sign", "paint=polka dots")
    assert refused.exit_code == 1
    assert "known are: by hand, masks or print, none" in refused.err
    assert not SeenDetail.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ((), "say what was seen"),
        (("--sign", "paint"), "NAME=VALUE"),
        (("--size", "1=thick"), "is no number"),
        (("--colour", "62,18,40"), "L*, a* and b*"),
        (("--colour", "62 18"), "L*, a* and b*"),
        (("--there", "blade:"), "names no detail"),
        (("--missing", "mark", "--place", "rim"), "--place belongs to --colour"),
        (("--size", "1=4", "--unsure"), "--unsure belongs to"),
        (("--set-aside", "detail 1"), "belong together"),
        (("--set-aside", "weight 1", "--because", "x"), "detail 3"),
        (("--set-aside", "detail 1", "--because", "x", "--missing", "mark"), "not both at once"),
    ],
)
def test_what_was_typed_wrongly_says_how_it_is_typed(
    run: Run, kept: tuple[str, str], typed: tuple[str, ...], says: str
) -> None:
    refused = run("saw", *kept, *typed)
    assert refused.exit_code == 2
    assert says in refused.err


def test_a_thing_that_was_misread_counts_no_more_and_stays_readable(run: Run, kept: tuple[str, str]) -> None:
    run("saw", *kept, "--there", "mark")
    key = SeenDetail.objects.get().pk
    assert f"detail {key}" in run("sample", *kept, "--seen").out
    answer = run("saw", *kept, "--set-aside", f"detail {key}", "--because", "a scratch")
    assert f"Detail {key} counts no longer." in answer.out
    assert "set aside: a scratch" in run("sample", *kept, "--seen").out


def test_the_answer_is_that_of_the_page_with_all_its_cautions(run: Run, kept: tuple[str, str]) -> None:
    run("saw", *kept, "--missing", "mark", "--sign", "paint=none")
    found = identify_sample(*kept)
    assert run("sample", *kept, "--json").json == as_plain(found)
    said = " ".join(run("sample", *kept).out.split())
    assert found.headline in said
    for action in found.actions:
        assert action.do in said
    for one in (
        found.in_words.engineer,
        found.in_words.archive,
        *(caution.text for caution in found.cautions),
    ):
        assert one in said
    assert "blade, date mark: missing" in said


def test_the_evidence_of_another_origin_can_be_asked_for(run: Run, kept: tuple[str, str]) -> None:
    run("saw", *kept, "--sign", "paint=none")
    other = identify_sample(*kept).identified.answers[1].code
    assert f"\nWhy {other}\n" in run("sample", *kept, "--why", other.upper()).out
    refused = run("sample", *kept, "--why", "T99")
    assert refused.exit_code == 1
    assert "no origin 'T99'" in refused.err


def test_card_and_labels_are_written(run: Run, kept: tuple[str, str], tmp_path: Path) -> None:
    card, labels = tmp_path / "card.pdf", tmp_path / "labels.pdf"
    assert run("sample", *kept, "--card", card).exit_code == 0
    answer = run("labels", kept[0], "--number", "0417", "--number", "0417", "--out", labels, "--json")
    assert [one["number"] for one in answer.json["labels"]] == ["0417", "0417"]
    assert all(file.read_bytes().startswith(b"%PDF") for file in (card, labels))
    assert run("labels", kept[0], "--number", "9", "--out", labels).exit_code == 1
    assert run("labels", kept[0], "--out", labels, "--single", "--skip", "2").exit_code == 2


def test_photographs_are_kept_all_or_none_and_the_card_shows_the_first(
    run: Run, kept: tuple[str, str], tmp_path: Path
) -> None:
    good, bad = tmp_path / "good.png", tmp_path / "bad.png"
    written = io.BytesIO()
    Image.new("RGB", (60, 40), "orange").save(written, "PNG")
    good.write_bytes(written.getvalue())
    bad.write_text("no picture")
    refused = run("photograph", *kept, good, bad)
    assert refused.exit_code == 1
    assert not identify_sample(*kept).photographs
    assert "1 photograph of 0417 is kept" in run("photograph", *kept, good, "--part", "blade").out
    assert identify_sample(*kept).photographs[0].part == "blade"
    with_picture = tmp_path / "card.pdf"
    assert run("sample", *kept, "--card", with_picture).exit_code == 0
    assert b"/DCTDecode" in with_picture.read_bytes()


def test_a_table_is_ordered_without_a_record(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("OFFTOOL_RECORD", str(tmp_path / "no" / "record.sqlite3"))
    file = tmp_path / "lot.csv"
    file.write_text(LOT, encoding="utf-8")
    answer = run("order", file)
    assert answer.exit_code == 0, answer.err
    said = answer.out.partition("From early to late")[2]
    assert said.index("A1") < said.index("A2") < said.index("A3")
    assert run("order", file, "--json").json == as_plain(order_of_table(LOT.encode(), "lot.csv"))


def test_the_samples_of_a_part_are_ordered_by_its_details(run: Run, kept: tuple[str, str]) -> None:
    run("register", kept[0], "--part", "blade: P1")
    assert run("order", kept[0], "--part", "P1").exit_code == 1  # nothing was looked for
    run("saw", kept[0], "0417", "--missing", "mark")
    run("saw", kept[0], "0418", "--there", "mark")
    said = run("order", kept[0], "--part", "P1").out
    assert said.index("0417 blade") < said.index("0418 blade")
    only = run("order", kept[0], "--part", "P1", "--number", "0417", "--number", "0418", "--json").json
    assert only == as_plain(order_of_samples(kept[0], "P1", ["0417", "0418"]))


def test_what_is_no_lot_is_refused(run: Run, kept: tuple[str, str], tmp_path: Path) -> None:
    assert "no file" in run("order", tmp_path / "none.csv").err
    file = tmp_path / "lot.csv"
    file.write_text(LOT, encoding="utf-8")
    assert run("order", file, "--number", "A1").exit_code == 2
    assert run("order", kept[0], "--part", "P1", "--sheet", "1").exit_code == 2


def test_a_register_goes_out_and_comes_back_in_two_steps(
    run: Run, kept: tuple[str, str], tmp_path: Path
) -> None:
    for name in ("register.csv", "register.xlsx"):
        assert run("samples", kept[0], "--out", tmp_path / name).exit_code == 0
    file = tmp_path / "found.csv"
    written = (tmp_path / "register.csv").read_text("utf-8")
    file.write_text(written.replace("0417", "0500"), encoding="utf-8")
    shown = run("register", kept[0], file)
    assert "Nothing is kept yet." in shown.out
    assert len(list_samples(kept[0]).samples) == 1
    assert "Kept: 1 sample of found.csv" in run("register", kept[0], file, "--keep").out
    first, second = list_samples(kept[0]).samples
    assert (second.number, second.tag, second.place) == ("0500", first.tag, first.place)


def test_cells_that_cannot_be_read_are_shown_and_left_out_only_where_that_is_said(
    run: Run, kept: tuple[str, str], tmp_path: Path
) -> None:
    file = tmp_path / "found.csv"
    file.write_text("sample,what,part\n0500,blade,P1\n0501,odd,P9\n", encoding="utf-8")
    refused = run("register", kept[0], file, "--keep")
    assert refused.exit_code == 1
    assert "'P9'" in refused.out
    assert len(list_samples(kept[0]).samples) == 1
    answer = run("register", kept[0], file, "--keep", "--leave-out", "--json").json
    assert (answer["numbers"], answer["left_out"]) == (["0500"], 1)


def test_one_piece_and_a_file_are_not_mixed(run: Run, kept: tuple[str, str], tmp_path: Path) -> None:
    file = tmp_path / "found.csv"
    file.write_text("sample,what,part\n0500,blade,P1\n", encoding="utf-8")
    assert "--what is of one piece" in run("register", kept[0], file, "--what", "x").err
    assert "--keep belongs to a FILE" in run("register", kept[0], "--keep").err
    assert run("register", kept[0], file, "--leave-out").exit_code == 2
    assert run("samples", kept[0], "--out", tmp_path / "register.txt").exit_code == 2


def test_an_archive_begins_with_a_title_and_its_pieces_are_told_a_stage(record: Path, run: Run) -> None:
    begun = run("archive", "From the attic", "--part", "torso", "--json")
    assert begun.json == {"programme": "from-the-attic", "parts": ["torso"]}
    assert run("register", "from-the-attic", "--what", "bear", "--part", "torso").exit_code == 0
    answer = run(
        "saw", "from-the-attic", "0001", "--sign", "writing=pilot mark", "--sign", "paint=masks or print"
    )
    assert "line pilot" in answer.out
    refused = run("archive", "From the attic")
    assert refused.exit_code == 1
    assert "already" in refused.err
