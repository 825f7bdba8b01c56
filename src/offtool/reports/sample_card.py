"""The card of one sample: what it is, how sure, why, and what would change the answer, as a PDF.

It is an opinion with its reasons: never a certificate, and no word on what the piece is worth.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

from offtool.core.samples.identify.answers import Counts
from offtool.core.values import Caution
from offtool.reports import words
from offtool.reports.drawing import svg
from offtool.reports.odds_bar import draw_odds_bar
from offtool.reports.plain_text import printable_rows
from offtool.reports.sample_words import (
    WEIGHTS,
    counts_in_words,
    finding_in_words,
    moved_in_words,
    origin_in_words,
    origins_listed,
    part_lines,
)
from offtool.reports.square_code import code_of_sample, draw_square_code
from offtool.reports.state_strip import bound_in_words, draw_state_strip
from offtool.reports.typeset import typeset
from offtool.steps.sample_found import ObservationSeen, SampleFound
from offtool.steps.sentences import sentence

LAYOUT = Path(__file__).with_suffix(".typ")
PRINTED = 900
"""Pixels of the longer side of a photograph: 60 mm on paper at some 380 to the inch."""
NO_CERTIFICATE = "Not a certificate, and no word on what the piece is worth"


def sample_card(found: SampleFound, *, photograph: bytes | None = None, made_by: str = "") -> bytes:
    """The card; `photograph` is a JPEG drawn anew, as `steps.sample_photograph` gives it.

    The same sample gives the same bytes: nothing in it comes from the clock.

    Raises: LayoutFlawed, when the layout warns of anything.
    """
    return typeset(LAYOUT, printable_rows(_rows(found, photograph, made_by)))


def _rows(found: SampleFound, photograph: bytes | None, made_by: str) -> dict[str, Any]:
    product = f"{found.programme_title}{', invented' if found.invented else ''}"
    told = (NO_CERTIFICATE, product, found.method, f"Made by {made_by}" if made_by else "")
    top = found.identified.top
    return {
        "title": f"Sample card, {product}",
        "headline": found.headline,
        "footer": ". ".join(filter(None, told)),
        "number": found.number,
        "name": found.name,
        "code": draw_square_code(code_of_sample(found.programme, found.number)),
        **_photograph(photograph),
        "in_words": list(_in_words(found)),
        "kept": [[about, says] for about, says in _kept(found) if says],
        "strip": draw_state_strip(found),
        "bounds": [bound_in_words(one, found) for one in found.bounds],
        "top": origin_in_words(top, found),
        "short": top.code,
        "evidence": [_evidence(one) for one in top.evidence],
        "origins": [[origin_in_words(one, found), moved_in_words(one)] for one in origins_listed(found)],
        "parts": [[one.label, list(part_lines(one))] for one in found.identified.parts],
        "actions": [[one.do, one.because] for one in found.actions],
        "interrupted": sentence(found.interrupted.words) if found.interrupted is not None else "",
        "facts": [[one.about, one.says] for one in found.rests_on],
        "seen": [_seen(one) for one in found.observations],
        "cautions": _cautions(found),
    }


def _in_words(found: SampleFound) -> Iterator[list[str]]:
    yield ["For the engineer", found.in_words.engineer]
    yield ["For the archive", found.in_words.archive]
    if found.in_words.sense:
        yield ["As a first shot", found.in_words.sense]


def _kept(found: SampleFound) -> Iterator[tuple[str, str]]:
    tags = [f"{one.label}: {one.tag}" for one in found.parts if one.tag]
    yield "Parts", ", ".join(_part_name(one.label, one.part_name or one.part) for one in found.parts)
    yield "Tag", "; ".join(tags)
    yield "Where it lies", found.place
    yield "Who has it", found.holder
    yield "Kept for", found.purpose
    yield "What became of it", found.disposition
    yield "Found", words.day(found.found_on) if found.found_on is not None else ""
    yield "Note", found.note


def _part_name(label: str, name: str) -> str:
    return label if label == name else f"{label} ({name})"


def _evidence(one: Counts) -> list[str]:
    return [
        finding_in_words(one),
        WEIGHTS[one.weight],
        counts_in_words(one),
        draw_odds_bar(one.log_odds),
    ]


def _seen(one: ObservationSeen) -> list[str]:
    unsure = "" if one.is_sure else ", not sure"
    aside = f"set aside: {one.set_aside}" if one.set_aside else ""
    note = ". ".join(filter(None, (aside, one.note)))
    about = f"{one.part}, {one.about}" if one.part else one.about
    return [about, f"{one.found}{unsure}", f"{one.seen_by}, {words.day(one.seen_at.date())}", note]


def _cautions(found: SampleFound) -> list[str]:
    of_colour = found.interrupted.cautions if found.interrupted is not None else ()
    every: tuple[Caution, ...] = tuple(dict.fromkeys((*found.cautions, *of_colour)))
    return [f"{one.text} ({one.source})" if one.source else one.text for one in every]


def _photograph(jpeg: bytes | None) -> dict[str, Any]:
    """The picture inside a drawing, since the layout takes texts only; upright ones are fitted by height."""
    if jpeg is None:
        return {"photograph": "", "upright": False}
    with Image.open(BytesIO(jpeg), formats=("JPEG",)) as picture:
        width, height = picture.size
    place = f'width="{width}" height="{height}" href="data:image/jpeg;base64,{b64encode(jpeg).decode()}"'
    drawn = svg("photograph", float(width), float(height), "photograph of the piece", [f"<image {place}/>"])
    return {"photograph": drawn, "upright": height > width}
