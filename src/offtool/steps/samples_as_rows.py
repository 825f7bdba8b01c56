"""The register of a programme as rows of a table: what is written to CSV and to a workbook."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from offtool.exchange.samples_file import SampleRowRead
from offtool.records.models import SamplePart
from offtool.records.queries import SampleListed, find_programme, samples_of


def samples_as_rows(programme: str, *, words: str = "") -> tuple[SampleRowRead, ...]:
    """The samples by number, a row a part; a sample without parts has one row.

    `words` choose samples as in the register's search. Raises NotInRecord.
    """
    listed = samples_of(find_programme(programme), words=words)
    rows = (row for one in listed for row in _rows(one))
    return tuple(SampleRowRead(**row, row=at) for at, row in enumerate(rows, start=2))


def _rows(listed: SampleListed) -> Iterator[dict[str, Any]]:
    one = listed.sample
    told = {
        "number": one.number,
        "name": one.name,
        "build": one.build.code if one.build else "",
        "purpose": one.purpose,
        "disposition": one.disposition,
        "place": one.place,
        "holder": one.holder,
        "found_on": one.found_on,
        "note": one.note,
    }
    if not listed.parts:
        yield told
    for part in listed.parts:
        yield told | _of_part(part)


def _of_part(part: SamplePart) -> dict[str, Any]:
    return {
        "part": part.part.code,
        "label": "" if part.label == part.part.code else part.label,
        "tool": part.tool.code if part.tool else "",
        "state": part.state.label if part.state else "",
        "cavity": part.cavity.label if part.cavity else "",
        "trial": part.trial.name if part.trial else "",
        "shot": part.shot,
        "colour": part.colour,
    }
