"""The sheet the toolmaker cuts from: what stands on it, in both languages, and that it cannot be misread."""

from __future__ import annotations

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import pytest

from offtool.core.values import Caution
from offtool.reports import steel_change_sheet as sheet_module
from offtool.reports.steel_change_rows import LONGEST_TEXT, choose_changes, sheet_rows
from offtool.reports.steel_change_sheet import LayoutFlawed, steel_change_sheet
from offtool.reports.toolmaker_words import CAUTIONS, LABELS
from offtool.steps.steel_changes import SteelChange, ToolCorrection
from tests.reports.factories import (
    added_pin_change,
    kept_correction,
    length_change,
    not_changed,
    pin_change,
    steel_change,
    tool_correction,
)

HOSTILE = '#panic("x") *bold* _it_ $x^2$ "quoted" \\ <a> @ref `raw` // c &amp; {{ }} [brackets]'
OURS = {"SourceSans3-Regular", "SourceSans3-Semibold", "NotoSansSC-Regular", "NotoSansSC-Semibold"} | {
    "OfftoolSigns-Regular"
}


@dataclass(frozen=True)
class Sheet:
    """A sheet read again with the tools of poppler."""

    pdf: Path

    def run(self, program: str, *options: str) -> str:
        command = [program, *options, str(self.pdf), *(["-"] if program == "pdftotext" else [])]
        done = subprocess.run(command, capture_output=True, text=True, check=True, errors="replace")
        return done.stdout

    @property
    def text(self) -> str:
        """All text in the order it is read, places to break a line taken out."""
        return " ".join(self.run("pdftotext", "-raw").replace("\u200b", "").split())

    def says(self, said: str) -> bool:
        """Whether this stands on the sheet, however its lines are broken."""
        return "".join(said.split()) in "".join(self.text.split())

    @property
    def pages(self) -> int:
        return int(re.search(r"Pages:\s+(\d+)", self.run("pdfinfo"))[1])  # type: ignore[index]

    @property
    def words_off_the_page(self) -> list[str]:
        """Words that reach over the margins."""
        tree = ElementTree.fromstring(self.run("pdftotext", "-bbox"))
        space = "{http://www.w3.org/1999/xhtml}"
        found = []
        for page in tree.iter(f"{space}page"):
            width, height = float(page.get("width", "0")), float(page.get("height", "0"))
            for word in page.iter(f"{space}word"):
                left, right = float(word.get("xMin", "0")), float(word.get("xMax", "0"))
                top, bottom = float(word.get("yMin", "0")), float(word.get("yMax", "0"))
                if left < 30 or right > width - 30 or top < 20 or bottom > height - 10:
                    found.append(word.text or "")
        return found


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    """The sheet of the invented correction."""
    return write(tool_correction(), tmp_path_factory.mktemp("sheet"), made_by="Tooling, second floor")


def write(correction: ToolCorrection, folder: Path, *, made_by: str = "") -> Sheet:
    pdf = folder / "sheet.pdf"
    pdf.write_bytes(steel_change_sheet(correction, made_by=made_by))
    return Sheet(pdf)


def many_changes(count: int) -> tuple[SteelChange, ...]:
    kinds = (steel_change, pin_change, added_pin_change, length_change)
    return tuple(kinds[i % 4](feature=f"FEATURE-{i}", cavity=str(i % 8 + 1)) for i in range(count))


@pytest.mark.parametrize(
    "said",
    [
        "REMOVE STEEL 去除钢料",
        "0.04 mm",
        "on diameter 直径",
        "= 0.02 mm per side 单边 0.02 mm",
        "⌀ 3.986 → ⌀ 4.026",
        "0.015 mm",
        "per side 单边",
        "= 0.03 mm over both sides 两边共 0.03 mm",
        "4.112 → 4.082",
        "ADD STEEL 加钢料",
        "by a new pin or insert 换新镶针或镶件",
        "in length 长度",
        "62.310 → 62.430",
        "At which end: as the tool drawing says; if it does not say, ask.",
        "cavity half 型腔侧",
        "core half 型芯侧",
        "slide 滑块",
        "PEG-REC Recess of the hip peg",
        "12 Hip peg, diameter LEG-L ▲ part size gets LARGER 零件尺寸变大",
        "13 Hip socket, bore BODY ▼ part size gets SMALLER 零件尺寸变小",
        "13 Hip socket, bore BODY ▲ part size gets LARGER 零件尺寸变大",
        "33 Torso half, gap to the tail BODY ▼ part size gets SMALLER 零件尺寸变小",
        "remove 0.04 mm on diameter 直径去除 0.04 mm ⌀ 3.986 → ⌀ 4.026 LARGER 变大",
        "remove 0.015 mm per side 单边去除 0.015 mm 4.112 → 4.082 SMALLER 变小",
        "add 0.01 mm per side 单边增加 0.01 mm 4.052 → 4.072 LARGER 变大",
        "now 现在 3.966 expected 预计 4.003 ± 0.006 80 % limits 公差 3.98 to 4.03",
        "at most 0.25",
        "Reason 原因 12 Hip peg, diameter is 0.039 mm small: steel left on purpose",
        "12 Hip peg, diameter 偏小 0.039 mm：预留的钢料",
        "Not the whole way 未修到位 the steel-safe allowance ends there 余量到此为止",
        "Allowance left after 修后余量 0.060 mm",
        "Steel measured after 修后实测",
        "Signature 签名",
    ],
)
def test_each_change_says_all_that_is_cut_by(said: str, written: Sheet) -> None:
    assert written.says(said)


@pytest.mark.parametrize(
    "said",
    [
        "Steel-change sheet 钢料修改单",
        "3 cuts to remove steel and 1 place to add steel",
        "去除钢料 3 处，加钢料 1 处",
        "Programme 项目 Harbour otter (invented)",
        "Tool 模具 M2 Body and head",
        "Tool state before 修前模具状态 b",
        "From trial 依据试模 T2",
        "14 March 2026 2026年3月14日",
        "Made by 制表 Tooling, second floor",
        "All sizes mm, steel at 23 °C 所有尺寸单位 mm，钢料温度 23 °C",
        "Toolmaker's step 加工最小步距 0.005 mm",
    ],
)
def test_the_head_says_what_it_is_about(said: str, written: Sheet) -> None:
    assert written.says(said)


def test_what_stays_the_shrinkage_and_the_cautions_follow(written: Sheet) -> None:
    text = written.text
    order = [
        text.index(LABELS[name][0])
        for name in ("sheet", "all_changes", "not_changed", "must_not_move", "known")
    ]
    order += [text.index("0.69 % to 0.77 %"), *(text.index(english) for english, _ in CAUTIONS)]
    assert order == sorted(order)
    assert written.says("measure TAIL-CORE in the steel 请测量钢料：TAIL-CORE")
    assert written.says("0.50 % 0.73 % 0.69 % to 0.77 % 9 of 11 sizes 11 个尺寸中的 9 个 not as allowed for;")
    assert written.says("2 of 6 sizes 6 个尺寸中的 2 个 as allowed for 与设计相符")
    assert text.count("not as allowed for") == 1
    assert text.replace("not as allowed for", "").count("as allowed for") == 1


@pytest.mark.parametrize("caution", CAUTIONS, ids=range(1, len(CAUTIONS) + 1))
def test_every_caution_stands_in_both_languages(caution: tuple[str, str], written: Sheet) -> None:
    assert written.says(" ".join(caution))


def test_the_same_correction_gives_the_same_bytes() -> None:
    assert steel_change_sheet(tool_correction()) == steel_change_sheet(tool_correction())


def test_the_date_is_that_of_the_trial_and_never_the_clock(written: Sheet, tmp_path: Path) -> None:
    assert "20260314" in re.sub(r"\D", "", written.run("pdfinfo", "-rawdates"))
    undated = write(tool_correction(made_on=None), tmp_path)
    assert "Date" not in undated.run("pdfinfo", "-rawdates")
    assert "not given 未填" in undated.text


def test_no_changes_make_a_sheet_that_says_so(tmp_path: Path) -> None:
    sheet = write(tool_correction(changes=(), directions=()), tmp_path)
    text = sheet.text
    assert "No steel is changed. 本次不修改钢料。" in text
    assert "No steel is removed or added. Return the tool as it is." in text
    assert "REMOVE" not in text
    assert LABELS["proposed"][0] not in text
    assert "22 Tail, wall at tip" in text
    assert CAUTIONS[-1][0] in text
    assert CAUTIONS[0][0] not in text


def test_without_a_cut_nothing_is_said_to_allow_for_the_shrinkage(tmp_path: Path) -> None:
    sheet = write(tool_correction(changes=()), tmp_path)
    assert sheet.says("not as allowed for 与设计不符")
    assert "amounts above" not in sheet.text


def test_one_change_needs_no_list_of_all(tmp_path: Path) -> None:
    text = write(tool_correction(changes=(steel_change(),)), tmp_path).text
    assert "1 cut to remove steel" in text
    assert LABELS["all_changes"][0] not in text


def test_sixty_changes_go_over_many_pages_in_order(tmp_path: Path) -> None:
    sheet = write(tool_correction(changes=many_changes(60)), tmp_path)
    assert 20 <= sheet.pages <= 40
    text = sheet.text
    blocks = [text.rindex(f"FEATURE-{i} ") for i in range(60)]
    assert blocks == sorted(blocks)
    assert text.count("Steel measured after 修后实测") == 60
    assert f"page {sheet.pages} of {sheet.pages}" in text
    assert sheet.words_off_the_page == []


def test_user_text_is_never_read_as_layout(tmp_path: Path) -> None:
    change = steel_change(
        feature=HOSTILE, feature_name=HOSTILE, part_name=HOSTILE, reason=HOSTILE, cavity=HOSTILE
    )
    hostile = tool_correction(
        changes=(change, pin_change()),
        tool_name=HOSTILE,
        programme_title=HOSTILE,
        trial=HOSTILE,
        state=HOSTILE,
        not_changed=(not_changed(name=HOSTILE, why=HOSTILE, remedy=HOSTILE),),
        cautions=(Caution(HOSTILE),),
        kept=(kept_correction(pin_change()),),
    )
    sheet = write(hostile, tmp_path, made_by=HOSTILE)
    assert sheet.text.replace(" ", "").count(HOSTILE.replace(" ", "")) >= 6
    assert sheet.words_off_the_page == []


@pytest.mark.parametrize(
    "name",
    [
        "W" * 100,
        "型腔零件" * 30,
        "torso-recess-" * 9,
        "a" * 3000,
        "x " * 900,
        "😀 سلام \x00\x07\ud800 かな",
        "",
    ],
    ids=["one run", "Chinese", "hyphens", "endless", "many words", "signs we lack", "empty"],
)
def test_no_name_leaves_its_page(name: str, tmp_path: Path) -> None:
    change = length_change(
        feature=name, feature_name=name, part=name, part_name=name, reason=name, cavity=name[:100]
    )
    long = tool_correction(
        changes=(change, change),
        tool=name,
        tool_name=name,
        programme_title=name,
        trial=name,
        method=name,
        not_changed=(not_changed(name=name, part=name, cavities=(name,), why=name, remedy=name),),
        cautions=(Caution(name),),
    )
    assert write(long, tmp_path, made_by=name).words_off_the_page == []


def test_endless_text_is_cut_and_says_so() -> None:
    rows = sheet_rows(tool_correction(programme_title="x" * (LONGEST_TEXT + 50)))
    (title,) = (value for label, value in rows["facts"] if label == LABELS["programme"])
    assert title[0].replace("\u200b", "") == "x" * (LONGEST_TEXT - 1) + "…"


def test_only_our_fonts_are_used(written: Sheet) -> None:
    lines = written.run("pdffonts").splitlines()[2:]
    assert {line.split()[0].split("+")[-1] for line in lines} <= OURS


def test_a_warning_of_the_layout_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    flawed = tmp_path / "flawed.typ"
    flawed.write_text('#set text(font: "Nowhere Sans")\n#sys.inputs.rows', encoding="utf-8")
    monkeypatch.setattr(sheet_module, "LAYOUT", flawed)
    with pytest.raises(LayoutFlawed, match="nowhere sans"):
        steel_change_sheet(tool_correction())


def test_the_layout_asks_for_nothing_from_outside() -> None:
    layout = sheet_module.LAYOUT.read_text(encoding="utf-8")
    assert not re.search(r'@\w+/|#import|#include|read\("|image\("', layout)


def test_a_proposal_says_it_is_one(written: Sheet) -> None:
    assert "Proposal: do not cut before it is decided 建议稿，确定之前请勿加工" in written.text


def test_once_some_are_decided_only_those_are_to_be_cut(tmp_path: Path) -> None:
    kept = (
        kept_correction(steel_change(), correction_id=17),
        kept_correction(pin_change(), correction_id=18),
    )
    text = write(tool_correction(kept=kept), tmp_path).text
    assert "Decided: to be cut 已确定，按此加工" in text
    assert "Correction 修改编号 17" in text
    assert "2 cuts to remove steel" in text
    assert "ADD STEEL" not in text
    assert "SOCK-PIN, cavity 4: add 0.01 mm per side SOCK-PIN，模穴 4：单边增加 0.01 mm" in text
    assert text.index(LABELS["not_decided"][0]) < text.index("TORSO-L, cavity 1: remove 0.12 mm in length")


def test_a_dropped_correction_was_not_decided() -> None:
    kept = kept_correction(steel_change(), status="dropped")
    assert choose_changes(tool_correction(kept=(kept,))).status == "proposed"


def test_the_decided_amount_stands_where_the_readings_now_ask_for_another(tmp_path: Path) -> None:
    kept = kept_correction(steel_change(), amount_mm=0.03, size_after_mm=4.016)
    ((change, _),) = choose_changes(tool_correction(kept=(kept,))).changes
    assert (change.amount_mm, change.size_after_mm) == (0.03, 4.016)
    assert change.allowance_left_mm == pytest.approx(0.07)
    text = write(tool_correction(kept=(kept,)), tmp_path).text
    assert "⌀ 4.016" in text
    assert "⌀ 4.026" not in text
    assert LABELS["no_expectation"][0] in text
    assert "4.003 ± 0.006" not in text


def test_a_decided_cut_that_is_no_longer_asked_for_is_named(tmp_path: Path) -> None:
    gone = kept_correction(steel_change(feature="TAIL-REC", cavity="2"))
    text = write(tool_correction(kept=(gone, kept_correction(pin_change()))), tmp_path).text
    assert "Ask before cutting: " in text
    assert "TAIL-REC, cavity 2: 0.04 mm" in text


def test_steel_that_was_cut_is_not_asked_for_again(tmp_path: Path) -> None:
    cut = kept_correction(steel_change(), status="cut", resulting_state="c")
    mixed = write(tool_correction(kept=(cut, kept_correction(pin_change()))), tmp_path).text
    assert "1 cut to remove steel" in mixed
    assert "PEG-REC, cavity 1: remove 0.04 mm on diameter" in mixed
    assert LABELS["cut_already"][0] in mixed
    done = write(tool_correction(kept=(cut,)), tmp_path).text
    assert "Cut already: do not cut again 已加工完成，请勿再次加工" in done
