"""How samples and what was seen of them answer each other in a programme folder and in the record.

The name of a file inside the folder is left blank here: it depends on all the other files.
"""

from __future__ import annotations

from typing import Any

from offtool.exchange.programme.sample_rows import (
    SampleColourRow,
    SamplePartRow,
    SamplePhotographRow,
    SampleRow,
    SampleSizeRow,
    SeenDetailRow,
    SeenSignRow,
)
from offtool.records.models import (
    Sample,
    SampleColour,
    SamplePart,
    SamplePhotograph,
    SampleSize,
    SeenDetail,
    SeenSign,
)
from offtool.steps.answering import Known, Table


def _tag_names(part: SamplePart) -> dict[str, Any]:
    return {
        "sample": part.sample.number,
        "part": part.part.code,
        "tool": part.tool.code if part.tool else "",
        "state": part.state.label if part.state else "",
        "cavity": part.cavity.label if part.cavity else "",
        "trial": part.trial.name if part.trial else "",
    }


def _tag_links(row: SamplePartRow, known: Known) -> dict[str, Any]:
    return {
        "sample": known.samples[(row.sample,)],
        "part": known.parts[(row.part,)],
        "tool": known.tools[(row.tool,)] if row.tool else None,
        "state": known.states[row.tool, row.state] if row.state else None,
        "cavity": known.cavities[row.tool, row.part, row.cavity] if row.cavity else None,
        "trial": known.trials[row.tool, row.trial] if row.trial else None,
    }


def _part_names(seen: Any) -> dict[str, str]:
    return {"sample": seen.sample_part.sample.number, "sample_part": seen.sample_part.label}


def _part_of(row: Any, known: Known) -> SamplePart:
    return known.sample_parts[row.sample, row.sample_part]


def _names_on_sample(seen: Any) -> dict[str, str]:
    """Of what may be on the whole piece."""
    part = seen.sample_part
    return {"sample": seen.sample.number, "sample_part": part.label if part else ""}


def _links_on_sample(row: Any, known: Known) -> dict[str, Any]:
    part = _part_of(row, known) if row.sample_part else None
    return {"sample": known.samples[(row.sample,)], "sample_part": part}


SAMPLES = Table(
    name="samples",
    row=SampleRow,
    model=Sample,
    kept=lambda programme: Sample.objects.filter(programme=programme).select_related("build"),
    names=lambda sample: {"build": sample.build.code if sample.build else "", "lies_in": sample.place},
    links=lambda row, known: {
        "programme": known.programme,
        "build": known.builds[(row.build,)] if row.build else None,
        "place": row.lies_in,
    },
    settled=("registered_at", "registered_by"),
)
SAMPLE_PARTS = Table(
    name="sample_parts",
    row=SamplePartRow,
    model=SamplePart,
    kept=lambda programme: SamplePart.objects.filter(sample__programme=programme).select_related(
        *("sample", "part", "tool", "state", "cavity", "trial")
    ),
    names=_tag_names,
    links=_tag_links,
    settled=("part",),
    is_used=lambda part, column: part.seen_details.exists() or part.sizes.exists(),
)
SEEN_DETAILS = Table(
    name="seen_details",
    row=SeenDetailRow,
    model=SeenDetail,
    kept=lambda programme: SeenDetail.objects.filter(sample_part__sample__programme=programme).select_related(
        "sample_part__sample", "detail"
    ),
    names=lambda seen: {**_part_names(seen), "detail": seen.detail.code},
    links=lambda row, known: {
        "sample_part": _part_of(row, known),
        "detail": known.details[_part_of(row, known).part.code, row.detail],
    },
    settled=("is_there", "is_sure", "note"),
)
SEEN_SIGNS = Table(
    name="seen_signs",
    row=SeenSignRow,
    model=SeenSign,
    kept=lambda programme: SeenSign.objects.filter(sample__programme=programme).select_related(
        "sample", "sample_part"
    ),
    names=_names_on_sample,
    links=_links_on_sample,
    settled=("outcome", "is_sure", "note"),
)
SAMPLE_SIZES = Table(
    name="sample_sizes",
    row=SampleSizeRow,
    model=SampleSize,
    kept=lambda programme: SampleSize.objects.filter(sample_part__sample__programme=programme).select_related(
        "sample_part__sample", "characteristic"
    ),
    names=lambda size: {**_part_names(size), "characteristic": size.characteristic.number},
    links=lambda row, known: {
        "sample_part": _part_of(row, known),
        "characteristic": known.characteristics[_part_of(row, known).part.code, row.characteristic],
    },
    settled=("value", "uncertainty", "note"),
)
SAMPLE_COLOURS = Table(
    name="sample_colours",
    row=SampleColourRow,
    model=SampleColour,
    kept=lambda programme: SampleColour.objects.filter(
        sample_part__sample__programme=programme
    ).select_related("sample_part__sample"),
    names=lambda colour: {**_part_names(colour), "colour_place": colour.place},
    links=lambda row, known: {"sample_part": _part_of(row, known), "place": row.colour_place},
    settled=(
        *("lightness", "a", "b", "uncertainty_de", "by"),
        *("illuminant", "observer", "clipped_share", "note"),
    ),
)
SAMPLE_PHOTOGRAPHS = Table(
    name="sample_photographs",
    row=SamplePhotographRow,
    model=SamplePhotograph,
    kept=lambda programme: (
        SamplePhotograph.objects.filter(sample__programme=programme)
        .select_related("sample", "sample_part")
        .defer("content")
    ),
    names=lambda picture: {**_names_on_sample(picture), "file": ""},
    links=_links_on_sample,
    settled=(
        *("sample_part", "name", "media_type", "width", "height"),
        *("note", "added_at", "added_by"),
    ),
)

SEEN = (SEEN_DETAILS, SEEN_SIGNS, SAMPLE_SIZES, SAMPLE_COLOURS)
SAMPLED = (SAMPLES, SAMPLE_PARTS, *SEEN, SAMPLE_PHOTOGRAPHS)
"""All tables of samples, each after what it points at."""
