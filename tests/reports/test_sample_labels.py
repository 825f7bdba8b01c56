"""Labels: where they stand on a sheet, what they say, and that their code can be read."""

from __future__ import annotations

import subprocess
import xml.etree.ElementTree as ET
from datetime import date
from pathlib import Path

import pytest

from offtool.core.values import ImpossibleInput
from offtool.reports.sample_labels import ACROSS, DOWN, ON_A_SHEET, label_lines, sample_labels
from offtool.reports.square_code import QUIET_ZONE, code_of_sample, draw_square_code
from offtool.steps.sample_labels import SampleLabel
from tests.labels import practice
from tests.reports import samples
from tests.reports.square_code_reader import modules_drawn, read_square_code
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of

POINTS_PER_MM = 72 / 25.4
A4_MM = (210.0, 297.0)


def words_on(pdf: bytes, tmp_path: Path) -> list[tuple[int, str, float, float]]:
    """Every word with its page from 0 and where it stands, mm from the upper left."""
    file = tmp_path / "labels.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(["pdftotext", "-bbox", str(file), "-"], capture_output=True, text=True, check=True)
    pages = ET.fromstring(done.stdout).iter("{http://www.w3.org/1999/xhtml}page")
    return [
        (number, word.text or "", *(float(word.get(one, "0")) / POINTS_PER_MM for one in ("xMin", "yMin")))
        for number, page in enumerate(pages)
        for word in page
    ]


def many(count: int) -> list[SampleLabel]:
    return [samples.label(number=f"S{i:03}") for i in range(count)]


def test_a_sheet_has_the_places_of_a_usual_sheet_of_stickers(tmp_path: Path) -> None:
    found = words_on(sample_labels(many(ON_A_SHEET + 1)), tmp_path)
    numbers = {word: (page, x, y) for page, word, x, y in found if word.startswith("S0")}
    wide, high = A4_MM[0] / ACROSS, A4_MM[1] / DOWN
    assert (wide, round(high, 1)) == (practice("70"), practice("37.1"))
    for i in range(ON_A_SHEET):
        page, x, y = numbers[f"S{i:03}"]
        assert page == 0
        assert (int(x // wide), int(y // high)) == (i % ACROSS, i // ACROSS)
    assert numbers[f"S{ON_A_SHEET:03}"][0] == 1


@pytest.mark.parametrize("skip", [0, 1, 5, ON_A_SHEET - 1])
def test_a_sheet_that_was_begun_goes_on_where_it_stands(skip: int, tmp_path: Path) -> None:
    found = words_on(sample_labels(many(1), skip=skip), tmp_path)
    page, _, x, y = next(one for one in found if one[1] == "S000")
    assert page == 0
    assert (int(x // 70), int(y // (297 / DOWN))) == (skip % ACROSS, skip // ACROSS)


def test_a_start_that_is_not_on_the_sheet_is_refused() -> None:
    for skip in (-1, ON_A_SHEET):
        with pytest.raises(ImpossibleInput, match="skip"):
            sample_labels(many(1), skip=skip)


def test_single_labels_have_a_page_each_of_their_own_size(tmp_path: Path) -> None:
    file = tmp_path / "single.pdf"
    file.write_bytes(sample_labels(many(3), single=True))
    said = subprocess.run(["pdfinfo", str(file)], capture_output=True, text=True, check=True).stdout
    lines = dict(line.split(":", 1) for line in said.splitlines())
    assert int(lines["Pages"]) == 3
    width, height = (float(one) / POINTS_PER_MM for one in lines["Page size"].split(" pts")[0].split(" x "))
    assert width == practice("70.0")
    assert height == practice("37.1")


def test_a_label_says_number_what_steel_trial_cavity_shot_and_day(tmp_path: Path) -> None:
    said = text_of(sample_labels([samples.label()]), tmp_path)
    for one in ("0417", "torso front", "M1 state a", "T1", "cavity 1", "shot 14", "2026-02-03", "drawer C4"):
        assert one in said


def test_a_piece_of_several_parts_names_each_and_leaves_out_what_has_no_room() -> None:
    parts = tuple(samples.label_part(f"part {i}") for i in range(6))
    lines = list(label_lines(samples.label(parts=parts)))
    assert lines[0] == "part 0: M1 state a, T1, cavity 1, shot 14"
    assert lines[-1] == "and 3 parts more"
    assert len(lines) == 4


def test_without_a_tag_it_says_so_and_a_build_stands_for_its_parts() -> None:
    bare = samples.label_part(tool="", state="", trial="", cavity="", shot=None, day=None)
    assert list(label_lines(samples.label(parts=(bare,)))) == ["origin not known", "found 2026-05-02"]
    built = samples.label(parts=(bare,), build="EP", built_on=date(2026, 3, 1))
    assert list(label_lines(built)) == ["EP, 2026-03-01"]


@pytest.mark.parametrize(
    ("programme", "number"), [("otter", "1"), ("harbour-otter", "0417"), ("o", "417/b ü")]
)
def test_the_code_reads_as_programme_and_number(programme: str, number: str) -> None:
    says = code_of_sample(programme, number)
    assert read_square_code(modules_drawn(draw_square_code(says), QUIET_ZONE)) == says


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "躯干", "x" * 200])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    odd = samples.label(number=name, name=name, place=name, parts=(samples.label_part(name, tool=name),))
    assert text_of(sample_labels([odd, samples.label()]), tmp_path).count("0417") == 1


def test_the_same_labels_give_the_same_bytes() -> None:
    pdf = sample_labels(many(2))
    assert pdf == sample_labels(many(2))
    assert b"CreationDate" not in pdf
