"""The style sheet keeps what the look promises."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import offtool.web
from offtool.reports import colours

STATIC = Path(offtool.web.__file__).parent / "static"
CSS = (STATIC / "offtool.css").read_text(encoding="utf-8")
TOKENS = dict(re.findall(r"--(\w+):(#[0-9a-f]{6})", CSS))


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_computed_as_published() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # a well-known pair, WCAG formula


@pytest.mark.parametrize(
    ("token", "ground"),
    [
        ("ink", "paper"),
        ("quiet", "paper"),
        ("mark", "paper"),
        ("no", "paper"),
        ("doubt", "paper"),
        ("ink", "hatch"),
    ],
)
def test_text_can_be_read_on_its_ground(token: str, ground: str) -> None:
    assert contrast(TOKENS[token], TOKENS[ground]) >= 4.5


def test_white_can_be_read_on_a_button() -> None:
    assert contrast("#ffffff", TOKENS["mark"]) >= 4.5


def test_pages_and_drawings_use_the_same_colours() -> None:
    drawn = {name.lower(): value for name, value in vars(colours).items() if name.lower() in TOKENS}
    assert {"paper", "ink", "quiet", "line", "mark", "no", "doubt"} <= drawn.keys()
    assert drawn == {name: TOKENS[name] for name in drawn}
    assert TOKENS["hatch"] == colours.OUTSIDE


def test_every_file_the_style_sheet_names_is_there_and_comes_from_here() -> None:
    named = re.findall(r'url\("([^"]+)"\)', CSS)
    assert len(named) == 4
    for name in named:
        assert (STATIC / name).is_file(), name


def test_two_weights_and_no_more() -> None:
    assert set(re.findall(r"font-weight:(\w+)", CSS)) == {"400", "600"}
