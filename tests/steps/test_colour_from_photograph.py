"""The colours of a piece from a photograph with a card: found under any lamp, honest where they cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import strategies as st

from offtool.core.colour import ciede2000, lab_from_srgb
from offtool.core.values import ImpossibleInput, NotEnoughData, OfftoolError
from offtool.records.models import SampleColour
from offtool.records.queries.finding import NotInRecord
from offtool.steps.card_marks import CardGrid, Corners
from offtool.steps.colour_from_photograph import (
    PhotographMarks,
    PieceMark,
    colours_from_photograph,
    keep_photograph_colours,
    place_of_photograph,
)
from offtool.steps.keep_sample import PartSaid, SampleSaid, photograph_sample, register_sample
from tests.core.laws import law
from tests.labels import independent
from tests.steps import card_picture
from tests.steps.card_picture import BOX, CARD, COLUMNS, CORNERS, LABS, ROWS, TORSO
from tests.steps.told_apart import PART, make_told_apart
from tests.web.otter import NOW, SLUG

NUMBER = "0417"
MARKS = PhotographMarks(
    corners=CORNERS,
    rows=ROWS,
    columns=COLUMNS,
    card=CARD.encode(),
    card_name="card.csv",
    light="D65/2",
    piece=(PieceMark(part=PART, region=BOX, place="back"),),
)
ASKEW: Corners = ((0.60, 0.12), (0.95, 0.28), (0.82, 0.72), (0.47, 0.56))
EVEN = 0.6
"""Eight bits a channel leave about so much ΔE00."""


@pytest.fixture
def sample(db: None) -> None:
    """A piece without a tag."""
    make_told_apart()
    said = SampleSaid(number=NUMBER, parts=(PartSaid(part=PART), PartSaid(part=PART, label="other half")))
    register_sample(SLUG, said, at=NOW, by="x")


def sent(content: bytes) -> int:
    return photograph_sample(SLUG, NUMBER, content, "otter.png", at=NOW, by="x")


def off(found: object, wanted: tuple[float, float, float]) -> float:
    colour = found.colour  # type: ignore[attr-defined]
    return float(ciede2000((colour.lightness, colour.a, colour.b), wanted))


@pytest.mark.usefixtures("sample")
@pytest.mark.parametrize("corners", [CORNERS, ASKEW])
def test_the_colour_is_found_under_a_warm_lamp_however_the_card_lies(corners: Corners) -> None:
    key = sent(card_picture.photograph(corners=corners))
    found = colours_from_photograph(SLUG, NUMBER, key, replace(MARKS, corners=corners))
    assert off(found.regions[0], TORSO) < EVEN
    assert found.correction.rms_de is not None
    assert found.correction.rms_de < EVEN
    assert [one.name for one in found.patches] == [f"P{i}" for i in range(1, 13)]
    assert found.headline.startswith("The colour is measured; the card itself comes out within")


def test_without_the_card_the_lamp_would_be_taken_for_the_piece() -> None:
    """The control: what the file shows, taken as it is, is another colour."""
    raw = card_picture.seen(TORSO)
    shown = lab_from_srgb(*raw)
    assert float(ciede2000((shown.lightness, shown.a, shown.b), TORSO)) > 10


@pytest.mark.usefixtures("sample")
def test_one_grey_patch_is_enough_where_the_camera_only_sees_the_lamp() -> None:
    key = sent(card_picture.photograph())
    patch = (0.5 * (CORNERS[0][0] + CORNERS[1][0]), 0.15, CORNERS[1][0], 0.30)  # columns 3 and 4 of row 1
    box: Corners = ((patch[0], 0.15), (patch[0] + 0.095, 0.15), (patch[0] + 0.095, 0.30), (patch[0], 0.30))
    found = colours_from_photograph(
        SLUG, NUMBER, key, replace(MARKS, corners=box, grey_lightness=LABS[2][0], card=b"")
    )
    assert off(found.regions[0], TORSO) < 2 * EVEN
    assert found.correction.rms_de is None
    assert found.headline.endswith("one patch cannot show how well.")
    assert any("white balance" in str(one) for one in found.cautions)


@pytest.mark.usefixtures("sample")
def test_a_burnt_out_region_is_said_and_never_kept() -> None:
    burnt, dark = (0.35, 0.2, 0.45, 0.4), (0.35, 0.5, 0.45, 0.7)
    key = sent(
        card_picture.photograph(
            piece={BOX: card_picture.seen(TORSO), burnt: (255, 255, 250), dark: (5, 6, 7)}
        )
    )
    piece = (*MARKS.piece, PieceMark(part=PART, region=burnt), PieceMark(part="other half", region=dark))
    marks = replace(MARKS, piece=piece)
    found = colours_from_photograph(SLUG, NUMBER, key, marks)
    assert [one.colour.can_be_said for one in found.regions] == [True, False, False]
    assert [one.on_screen == "" for one in found.regions] == [False, True, True]
    assert found.headline.startswith("1 of 3 colours can be said")
    assert keep_photograph_colours(SLUG, NUMBER, key, marks, at=NOW, by="ida") == (PART,)
    only = replace(MARKS, piece=piece[1:])
    with pytest.raises(NotEnoughData):
        keep_photograph_colours(SLUG, NUMBER, key, only, at=NOW, by="ida")
    assert SampleColour.objects.count() == 1


@pytest.mark.usefixtures("sample")
def test_what_is_kept_is_what_was_shown() -> None:
    key = sent(card_picture.photograph())
    shown = colours_from_photograph(SLUG, NUMBER, key, MARKS).regions[0].colour
    keep_photograph_colours(SLUG, NUMBER, key, MARKS, at=NOW, by="ida")
    kept = SampleColour.objects.get()
    assert (kept.lightness, kept.a, kept.b) == (shown.lightness, shown.a, shown.b)
    assert (kept.uncertainty_de, kept.place, kept.by) == (shown.uncertainty_de, "back", "photograph")
    assert (kept.illuminant, kept.observer, kept.seen_by) == ("D65", 2, "ida")
    assert "otter.png" in kept.note
    assert "12 patches" in kept.note


@pytest.mark.usefixtures("sample")
@pytest.mark.parametrize(
    ("changed", "error", "said"),
    [
        ({"card": b""}, NotEnoughData, "values of the card"),
        ({"rows": 4}, ImpossibleInput, "the file has 12"),
        ({"card": b"nothing"}, OfftoolError, "card.csv"),
        ({"piece": ()}, NotEnoughData, "no region"),
        ({"grey_lightness": 0.0}, ImpossibleInput, "above 0"),
        ({"corners": (CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3])}, ImpossibleInput, "go round the card"),
        ({"corners": (CORNERS[0], *CORNERS[1:3], (1.2, 0.5))}, ImpossibleInput, "on the picture"),
        ({"piece": (PieceMark(part="tail", region=BOX),)}, NotInRecord, "tail"),
        ({"piece": (PieceMark(part=PART, region=(0.5, 0.5, 0.4, 0.6)),)}, ImpossibleInput, "left, top"),
    ],
)
def test_marks_that_cannot_be_are_refused(
    changed: dict[str, object], error: type[OfftoolError], said: str
) -> None:
    key = sent(card_picture.photograph())
    with pytest.raises(error, match=said) as refused:
        colours_from_photograph(SLUG, NUMBER, key, replace(MARKS, **changed))  # type: ignore[arg-type]
    assert refused.value.remedy
    assert not SampleColour.objects.exists()


@pytest.mark.usefixtures("sample")
def test_a_photograph_knows_its_size_and_the_parts_it_may_show() -> None:
    key = sent(card_picture.photograph())
    place = place_of_photograph(SLUG, NUMBER, key)
    assert (place.width, place.height) == (card_picture.WIDE, card_picture.HIGH)
    assert [label for label, _ in place.parts] == [PART, "other half"]
    with pytest.raises(NotInRecord):
        place_of_photograph(SLUG, NUMBER, key + 1)


CORNER = st.tuples(st.floats(0, 0.3), st.floats(0, 0.3))


@law(a=CORNER, b=CORNER, c=CORNER, d=CORNER)
def test_the_middle_patch_of_a_card_lies_where_its_diagonals_cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> None:
    """Straight lines stay straight in every photograph, and so does where they cross."""
    corners: Corners = (a, (1 - b[0], b[1]), (1 - c[0], 1 - c[1]), (d[0], 1 - d[1]))
    boxes = CardGrid(corners=corners, rows=3, columns=3).patches(900, 600)
    x0, y0, x1, y1 = boxes[4]
    p, q, r, s = (np.array(one) for one in corners)
    way = np.linalg.solve(np.column_stack([r - p, q - s]), q - p)
    crossing = p + way[0] * (r - p)
    middle = independent(crossing, way="where the two diagonals cross", rel=1e-9)
    assert middle == np.array([(x0 + x1) / 2, (y0 + y1) / 2])


@law(rows=st.integers(1, 8), columns=st.integers(1, 8))
def test_patches_of_a_card_that_lies_square_lie_in_the_middle_of_their_fields(
    rows: int, columns: int
) -> None:
    corners: Corners = ((0.2, 0.1), (0.8, 0.1), (0.8, 0.9), (0.2, 0.9))
    boxes = np.array(CardGrid(corners=corners, rows=rows, columns=columns).patches(1000, 1000))
    x = 0.2 + 0.6 * (np.arange(columns) + 0.5) / columns
    y = 0.1 + 0.8 * (np.arange(rows) + 0.5) / rows
    wanted = np.array([(one, other) for other in y for one in x])
    assert independent(wanted, way="by hand", rel=1e-9) == (boxes[:, :2] + boxes[:, 2:]) / 2
    assert float((boxes[:, 2] - boxes[:, 0]).max()) < min(0.6 / columns, 0.8 / rows)
