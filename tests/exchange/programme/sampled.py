"""Samples with what was seen of them, made up for a programme folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.ground_rows import DetailRow
from offtool.exchange.programme.rows import CavityRow, CharacteristicRow, PartRow, StateRow, TrialRow
from offtool.exchange.programme.sample_rows import (
    SampleColourRow,
    SamplePartRow,
    SamplePhotographRow,
    SampleRow,
    SampleSizeRow,
    SeenDetailRow,
    SeenSignRow,
)
from offtool.handbook.measured_colour import OBSERVERS, Illuminant
from offtool.handbook.terms import ColourBy, PictureType
from tests.exchange.programme.ground import OUTCOMES, differences, lightness, sideways
from tests.exchange.programme.inspected import Contents, content_of, with_files
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    notes,
    sizes,
    some,
    words,
)


def sampled_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    states: Sequence[StateRow],
    characteristics: Sequence[CharacteristicRow],
    ground: Mapping[str, Any],
    contents: Contents,
) -> dict[str, Any]:
    """Samples, their parts, and what was seen and measured; their photographs join the contents."""
    builds = ["", *(build.code for build in ground["builds"])]
    samples = [_sample(draw, number, builds) for number in distinct(draw, 0, 2)]
    pieces = [
        _piece(draw, sample.number, label, draw(st.sampled_from(parts)).code, trials, cavities, states)
        for sample in samples
        for label in distinct(draw, 0, 2)
    ]
    labels = {
        sample.number: ["", *(piece.label for piece in pieces if piece.sample == sample.number)]
        for sample in samples
    }
    return {
        "samples": tuple(samples),
        "sample_parts": tuple(pieces),
        "seen_details": tuple(row for one in pieces for row in _details(draw, one, ground["details"])),
        "seen_signs": tuple(row for one in samples for row in _signs(draw, one, labels[one.number])),
        "sample_sizes": tuple(row for one in pieces for row in _sizes(draw, one, characteristics)),
        "sample_colours": tuple(row for one in pieces for row in _colours(draw, one)),
        "sample_photographs": with_files(
            [row for one in samples for row in _pictures(draw, one, labels[one.number], contents)]
        ),
    }


def _seen(draw: DrawFn) -> dict[str, Any]:
    return {
        "seen_at": draw(moments),
        "seen_by": draw(notes),
        "note": draw(notes),
        "set_aside": draw(notes),
    }


def _sample(draw: DrawFn, number: str, builds: Sequence[str]) -> SampleRow:
    return SampleRow(
        number=number,
        name=draw(notes),
        build=draw(st.sampled_from(builds)),
        found_on=draw(days),
        lies_in=draw(notes),
        holder=draw(notes),
        purpose=draw(notes),
        disposition=draw(notes),
        note=draw(notes),
        registered_at=draw(moments),
        registered_by=draw(notes),
    )


def _piece(
    draw: DrawFn,
    sample: str,
    label: str,
    part: str,
    trials: Sequence[TrialRow],
    cavities: Sequence[CavityRow],
    states: Sequence[StateRow],
) -> SamplePartRow:
    """A part whose tag names a tool that makes it, or none."""
    cavity = draw(st.sampled_from([None, *(one for one in cavities if one.part == part)]))
    tool = cavity.tool if cavity else ""
    return SamplePartRow(
        sample=sample,
        label=label,
        part=part,
        tool=tool,
        state=draw(st.sampled_from(["", *(one.label for one in states if one.tool == tool)])),
        cavity=draw(st.sampled_from(["", cavity.label])) if cavity else "",
        trial=draw(st.sampled_from(["", *(one.name for one in trials if one.tool == tool)])),
        shot=draw(st.none() | st.integers(0, 2**62)),
        colour=draw(notes),
        note=draw(notes),
    )


def _details(draw: DrawFn, piece: SamplePartRow, details: Sequence[DetailRow]) -> list[SeenDetailRow]:
    return [
        SeenDetailRow(
            sample=piece.sample,
            sample_part=piece.label,
            detail=detail.code,
            is_there=draw(flags),
            is_sure=draw(flags),
            **_seen(draw),
        )
        for detail in some(draw, [one for one in details if one.part == piece.part])
    ]


def _signs(draw: DrawFn, sample: SampleRow, labels: Sequence[str]) -> list[SeenSignRow]:
    """Of one sign one outcome, on the whole piece or on a part."""
    outcomes = dict(some(draw, OUTCOMES, most=2))
    return [
        SeenSignRow(
            sample=sample.number,
            sample_part=draw(st.sampled_from(labels)),
            sign=sign,
            outcome=outcome,
            is_sure=draw(flags),
            **_seen(draw),
        )
        for sign, outcome in outcomes.items()
    ]


def _sizes(
    draw: DrawFn, piece: SamplePartRow, characteristics: Sequence[CharacteristicRow]
) -> list[SampleSizeRow]:
    """Each size once or, at one moment, several times."""
    rows = []
    for size in some(draw, [one for one in characteristics if one.part == piece.part], most=2):
        at, by = draw(moments), draw(notes)
        for repeat in range(1, draw(st.integers(1, 2)) + 1):
            told = _seen(draw) | {"seen_at": at, "seen_by": by}
            rows.append(
                SampleSizeRow(
                    sample=piece.sample,
                    sample_part=piece.label,
                    characteristic=size.number,
                    value=draw(sizes),
                    uncertainty=draw(st.none() | not_negative),
                    repeat=repeat,
                    **told,
                )
            )
    return rows


def _colours(draw: DrawFn, piece: SamplePartRow) -> list[SampleColourRow]:
    return [
        SampleColourRow(
            sample=piece.sample,
            sample_part=piece.label,
            colour_place=place,
            lightness=draw(lightness),
            a=draw(sideways),
            b=draw(sideways),
            uncertainty_de=draw(differences),
            by=draw(words(ColourBy)),
            illuminant=draw(words(Illuminant)),
            observer=draw(st.sampled_from(OBSERVERS)),
            clipped_share=draw(st.none() | st.floats(0, 1)),
            repeat=draw(st.integers(1, 2**31 - 1)),
            **_seen(draw),
        )
        for place in draw(st.sampled_from([[], [""], ["back", "=1"]]))
    ]


def _pictures(
    draw: DrawFn, sample: SampleRow, labels: Sequence[str], contents: Contents
) -> list[SamplePhotographRow]:
    pictures = {content_of(draw, contents) for _ in range(draw(st.integers(0, 2)))}
    return [
        SamplePhotographRow(
            sample=sample.number,
            sample_part=draw(st.sampled_from(labels)),
            file="",
            name=draw(names),
            sha256=sha256,
            media_type=draw(words(PictureType)),
            width=draw(st.integers(1, 2**31 - 1)),
            height=draw(st.integers(1, 2**31 - 1)),
            note=draw(notes),
            added_at=draw(moments),
            added_by=draw(notes),
        )
        for sha256 in sorted(pictures)
    ]
