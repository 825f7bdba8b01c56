"""Both languages are complete: every label, and every word and sentence that the data can bring."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest
import typst

from offtool.core import correction
from offtool.core.correction import Bound, Split
from offtool.core.correction.plan import WhyLeft
from offtool.handbook.terms import Cause, Direction, Half, Stated
from offtool.places import fonts_folder
from offtool.reports import toolmaker_words
from offtool.reports.steel_change_rows import STATED
from offtool.reports.toolmaker_words import CAUTIONS, LABELS, both, chinese, day_in_both, label
from tests.reports.factories import SHOT_ON

HAN = re.compile(r"[\u4e00-\u9fff]")


def pairs() -> Iterator[tuple[str, str]]:
    """All text of the sheet that is ours."""
    yield from LABELS.values()
    yield from CAUTIONS
    yield from toolmaker_words.CHINESE.items()


def test_every_label_and_caution_stands_in_both_languages() -> None:
    for english, other in pairs():
        assert english
        assert not HAN.search(english), english
        assert HAN.search(other), other


@pytest.mark.parametrize("weight", [400, 600])
def test_our_fonts_have_every_sign_of_our_words(weight: int, tmp_path: Path) -> None:
    worded = [*(one + other for one, other in pairs()), *(wording for _, wording in toolmaker_words.PATTERNS)]
    families = '("Source Sans 3", "Noto Sans SC", "Offtool Signs")'
    source = f"#set text(font: {families}, weight: {weight}, fallback: false)\n#sys.inputs.words"
    (tmp_path / "words.typ").write_text(source, encoding="utf-8")
    words_once = "".join(sorted(set("".join(worded))))
    pdf = typst.compile(
        tmp_path / "words.typ", font_paths=[fonts_folder()], ignore_system_fonts=True, format="pdf",
        sys_inputs={"words": words_once},
    )  # fmt: skip
    (tmp_path / "words.pdf").write_bytes(pdf)
    read = subprocess.run(
        ["pdftotext", tmp_path / "words.pdf", "-"], capture_output=True, text=True, check=True
    )
    assert set("".join(words_once.split())) - set(read.stdout) == set()


@pytest.mark.parametrize("word", [*Half, *STATED.values(), *Cause, *(one for one in Direction if one)])
def test_every_fixed_word_of_the_record_has_its_chinese(word: str) -> None:
    assert HAN.search(chinese(str(word)))


def test_every_way_of_stating_steel_has_its_wording() -> None:
    assert STATED.keys() == set(Stated)


@pytest.mark.parametrize("bound", [one for one in Bound if one])
def test_every_reason_that_keeps_a_cut_short_has_its_chinese(bound: Bound) -> None:
    assert HAN.search(chinese(str(bound)))


@pytest.mark.parametrize("why", WhyLeft)
def test_every_reason_to_leave_a_size_alone_has_its_chinese(why: WhyLeft) -> None:
    assert HAN.search(chinese(str(why)))


def test_every_remedy_has_its_chinese() -> None:
    modules = [
        import_module(one.name) for one in iter_modules(correction.__path__, "offtool.core.correction.")
    ]
    tables = [table for module in modules for table in vars(module).values() if isinstance(table, dict)]
    remedies = {key: said for table in tables for key, said in table.items() if isinstance(key, WhyLeft)}
    assert remedies.keys() == set(WhyLeft)
    assert [one for one in remedies.values() if not HAN.search(chinese(one.format(steel="TAIL-CORE")))] == []


def test_every_share_of_a_deviation_has_its_chinese() -> None:
    shares = ("left_on_purpose_mm", "cut_inaccurately_mm", "shrinkage_mm", "local_mm", "cavity_mm")
    nothing = Split(deviation_mm=1.0, shrinkage_found=0.005, **dict.fromkeys(shares, 0.0))  # type: ignore[arg-type]
    causes = {replace(nothing, **{share: 1.0}).cause() for share in shares}  # type: ignore[arg-type]
    assert len(causes) == len(shares)
    assert all(HAN.search(chinese(cause)) for cause in {*causes, nothing.cause(), "not told apart"})


@pytest.mark.parametrize(
    ("english", "other"),
    [
        ("measure TAIL-CORE, PEG in the steel", "请测量钢料：TAIL-CORE, PEG"),
        (
            "12 Hip peg is 0.034 mm small: steel left on purpose",
            "12 Hip peg 偏小 0.034 mm：预留的钢料",
        ),
        ("12 Hip peg is 0.034 mm large", "12 Hip peg 偏大 0.034 mm"),
        ("12 Hip peg is 0.034 mm large: some new cause", "12 Hip peg 偏大 0.034 mm：some new cause"),
        ("12 Hip peg does not stand where it holds", "12 Hip peg 不在合格的位置"),
        ("a sentence nobody translated", ""),
        ("{what} is 0.1 mm small", "{what} 偏小 0.1 mm"),
    ],
)
def test_sentences_with_names_and_numbers_are_worded(english: str, other: str) -> None:
    assert both(english) == (english, other)


def test_a_label_takes_its_numbers() -> None:
    assert label("sizes_of", explains=9, sizes=11) == ("9 of 11 sizes", "11 个尺寸中的 9 个")


def test_a_day_stands_in_both_languages() -> None:
    assert day_in_both(SHOT_ON) == ("14 March 2026", "2026年3月14日")
    assert day_in_both(None) == LABELS["not_given"]


@pytest.mark.parametrize(("way", "signs"), [("small", "偏小"), ("large", "偏大")])
def test_what_a_joint_asks_is_said_in_chinese_too(way: str, signs: str) -> None:
    said = f"2 Shoulder peg is 0.040 mm {way} for what joint shoulder asks of it: steel left on purpose"
    found = chinese(said)
    assert signs in found
    assert "shoulder" in found
    assert chinese("steel left on purpose") in found
