"""The PDF prints both languages and the drawing signs from our own fonts, whatever the computer has."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
import typst

from offtool.places import fonts_folder

FAMILIES = '("Source Sans 3", "Noto Sans SC", "Offtool Signs")'


def compile_line(line: str, target: Path, *, families: str = FAMILIES) -> list[str]:
    source = target.with_suffix(".typ")
    source.write_text(f"#set text(font: {families})\n{line}\n", encoding="utf-8")
    pdf, warnings = typst.compile_with_warnings(
        str(source), font_paths=[str(fonts_folder())], ignore_system_fonts=True, format="pdf"
    )
    target.write_bytes(pdf)
    return [warning.message for warning in warnings]


def fonts_in(pdf: Path) -> set[str]:
    program = shutil.which("pdffonts")
    assert program, "pdffonts (poppler-utils) is needed"
    listing = subprocess.run([program, str(pdf)], check=True, capture_output=True, text=True).stdout
    return {line.split()[0].split("+")[-1] for line in listing.splitlines()[2:]}


@pytest.mark.parametrize(
    ("line", "fonts"),
    [
        ("LARGER ±0.05 −0.02 µm Δ σ ≤ ≥ → ✓", {"SourceSans3-Regular"}),
        ("*LARGER ±0.05*", {"SourceSans3-Semibold"}),
        ("零件变大，穴，型芯侧，收缩率（流动方向）", {"NotoSansSC-Regular"}),
        ("*零件变大*", {"NotoSansSC-Semibold"}),
        ("⌀⌒⌓⌖◎✕", {"OfftoolSigns-Regular"}),
    ],
)
def test_each_sign_has_its_font(line: str, fonts: set[str], tmp_path: Path) -> None:
    assert compile_line(line, tmp_path / "line.pdf") == []
    assert fonts_in(tmp_path / "line.pdf") == fonts


def test_a_font_that_is_not_ours_is_noticed(tmp_path: Path) -> None:
    warnings = compile_line("LARGER", tmp_path / "line.pdf", families='"Nowhere Sans"')
    assert any("nowhere sans" in warning for warning in warnings)
