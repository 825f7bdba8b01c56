"""Makes the font files of the pages and of the PDF from four packages of the npm registry; run by hand, once.

    npm pack source-sans @fontsource/noto-sans-sc @fontsource/noto-sans-math @fontsource/noto-sans-symbols-2
    (unpack each into its own folder under FOLDER: source-sans, noto-sans-sc, …)
    python tools/make_fonts.py FOLDER      needs fonttools and brotli

- Source Sans 3 is copied as its makers ship it: its licence reserves the name for unchanged files.
- Noto Sans SC comes as woff2, which typst cannot read, under the inside name of another weight.
- Offtool Signs holds the few drawing signs that neither has (⌀ ⌒ ⌓ ⌖ ◎ ✕), from two
  Noto fonts that reserve no name.
"""

from __future__ import annotations

import sys
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

from fontTools.merge import Merger
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

HERE = Path(__file__).resolve().parents[1] / "src" / "offtool"
PDF, WEB = HERE / "reports" / "fonts", HERE / "web" / "static" / "fonts"
WEIGHTS = {"Regular": 400, "Semibold": 600}
SIGNS_OF_MATH = "⌀⌒⌓"
SIGNS_OF_SYMBOLS = "✕⌖◎"


def copy_source_sans(package: Path) -> None:
    for weight in WEIGHTS:
        copyfile(package / "TTF" / f"SourceSans3-{weight}.ttf", PDF / f"SourceSans3-{weight}.ttf")
        woff2 = f"SourceSans3-{weight}.ttf.woff2"
        copyfile(package / "WOFF2" / "TTF" / woff2, WEB / woff2)
    for folder in (PDF, WEB):
        copyfile(package / "LICENSE.md", folder / "OFL-source-sans-3.txt")


def convert_noto_sans_sc(package: Path) -> None:
    for weight, number in WEIGHTS.items():
        font = TTFont(package / "files" / f"noto-sans-sc-chinese-simplified-{number}-normal.woff2")
        rename(font, "Noto Sans SC", weight)
        font.flavor = None
        font.save(PDF / f"NotoSansSC-{weight}.ttf")
    regular = package / "files" / "noto-sans-sc-chinese-simplified-400-normal.woff2"
    copyfile(regular, WEB / "NotoSansSC-Regular.woff2")
    for folder in (PDF, WEB):
        copyfile(package / "LICENSE", folder / "OFL-noto-sans-sc.txt")


def gather_signs(math: Path, symbols: Path) -> None:
    parts = [
        (math / "files" / "noto-sans-math-latin-400-normal.woff2", SIGNS_OF_MATH),
        (symbols / "files" / "noto-sans-symbols-2-symbols-400-normal.woff2", SIGNS_OF_SYMBOLS),
    ]
    with TemporaryDirectory() as folder:
        cut = [Path(folder) / f"{order}.ttf" for order in range(len(parts))]
        for (source, wanted), target in zip(parts, cut, strict=True):
            cut_out(source, wanted, target)
        font = Merger().merge([str(path) for path in cut])
    rename(font, "Offtool Signs", "Regular")
    font.save(PDF / "OfftoolSigns-Regular.ttf")
    font.flavor = "woff2"
    font.save(WEB / "OfftoolSigns-Regular.woff2")
    licence = (math / "LICENSE").read_text().splitlines(keepends=True)
    symbols_line = (symbols / "LICENSE").read_text().splitlines(keepends=True)[0]
    for folder_out in (PDF, WEB):
        (folder_out / "OFL-offtool-signs.txt").write_text(licence[0] + symbols_line + "".join(licence[1:]))


def cut_out(source: Path, wanted: str, target: Path) -> None:
    options = Options(
        layout_features=[], hinting=False, notdef_outline=True, drop_tables=["MATH", "vhea", "vmtx"]
    )
    font = TTFont(source)
    subsetter = Subsetter(options)
    subsetter.populate(text=wanted)
    subsetter.subset(font)
    font.flavor = None
    font.save(target)


def rename(font: TTFont, family: str, weight: str) -> None:
    names = font["name"]
    copyright_line = names.getDebugName(0)
    names.names = []
    plain = family.replace(" ", "")
    entries = {0: copyright_line, 1: f"{family} {weight}", 2: "Regular", 3: f"offtool {plain}-{weight}"}
    entries |= {4: f"{family} {weight}", 6: f"{plain}-{weight}", 16: family, 17: weight}
    for name_id, text in entries.items():
        names.setName(text, name_id, 3, 1, 0x409)
    font["OS/2"].usWeightClass = WEIGHTS[weight]


if __name__ == "__main__":
    packages = Path(sys.argv[1])
    copy_source_sans(packages / "source-sans")
    convert_noto_sans_sc(packages / "noto-sans-sc")
    gather_signs(packages / "noto-sans-math", packages / "noto-sans-symbols-2")
