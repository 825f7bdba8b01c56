"""How large a file of readings may be and how large a reading, each limit with its reason."""

from __future__ import annotations

from offtool.core.values import Range
from offtool.exchange.readings.table import FileRefused

MAX_BYTES = 100_000_000
MAX_UNPACKED_BYTES = 400_000_000
MAX_ROWS = 2_000_000
MAX_COLUMNS = 4_000
MAX_SHEET_CELLS = 12_000_000
MAX_READINGS = 4_000_000
MAX_CHARACTERISTICS = 5_000
MAX_CAVITIES = 1_000
MAX_REFUSED_CELLS = 10_000
MAX_SIZE = 1e6
MAX_COUNT = 1_000_000_000
MAX_ELEMENTS = 3_000_000
MAX_HELD_ELEMENTS = 500_000
MAX_DEPTH = 100
MAX_TEXT = 100_000
MAX_FILES = 2_000
MAX_TOGETHER = 400_000_000
MAX_PACKED = 300

LIMITS: dict[str, Range] = {
    "bytes": Range(
        meaning="size of a file",
        unit="bytes",
        at_most=MAX_BYTES,
        source="1,000,000 readings in the long layout take about 30 MB; three times that is read at one go",
        remedy="send the trial in several files",
    ),
    "unpacked bytes": Range(
        meaning="size of a workbook once unpacked",
        unit="bytes",
        at_most=MAX_UNPACKED_BYTES,
        source="a sheet filled to its last row with five columns unpacks to about 250 MB; more is no table",
        remedy="save only the sheet with the readings as a new workbook or as CSV",
    ),
    "rows": Range(
        meaning="rows of a file",
        at_most=MAX_ROWS,
        source="twice the rows of the largest spreadsheet",
        remedy="send the trial in several files",
    ),
    "columns": Range(
        meaning="columns of a file",
        at_most=MAX_COLUMNS,
        source="64 cavities with 60 parts each, a column each",
        remedy="send the readings in the long layout, a row a reading",
    ),
    "sheet cells": Range(
        meaning="cells of the rectangle a sheet uses",
        at_most=MAX_SHEET_CELLS,
        source="the sheet is held in memory as a whole, up to 32 bytes a cell",
        remedy="delete stray cells far from the table, or save the sheet as CSV",
    ),
    "readings": Range(
        meaning="readings of a file",
        at_most=MAX_READINGS,
        source="40 bytes a reading are held twice while they are put together",
        remedy="send the trial in several files",
    ),
    "characteristics": Range(
        meaning="characteristics of a file",
        at_most=MAX_CHARACTERISTICS,
        source="a drawing has some hundred sizes (common practice, no source); more is a column misread",
        remedy="check that the column of characteristics holds names, not values",
    ),
    "cavities": Range(
        meaning="cavities of a file",
        at_most=MAX_CAVITIES,
        source="a tool has at most some hundred cavities (common practice, no source)",
        remedy="check that the column of cavities holds their labels",
    ),
    "refused cells": Range(
        meaning="cells that could not be read",
        at_most=MAX_REFUSED_CELLS,
        source="nobody goes through more by hand; so many mean that the file is not what it was taken for",
        remedy="check layout, separator and decimal mark",
    ),
    "size": Range(
        meaning="a reading in mm, deg, g, N or N·m, without its sign",
        at_most=MAX_SIZE,
        source="1 km, 1 t, 1 MN: no moulded product is measured in such sizes (common practice, no source)",
        remedy="check the cell and its unit",
    ),
    "count": Range(
        meaning="number of a shot or a part",
        at_least=0,
        at_most=MAX_COUNT,
        source="no tool makes a thousand million shots (common practice, no source)",
        remedy="check the cell",
    ),
    "elements": Range(
        meaning="elements of an XML file",
        at_most=MAX_ELEMENTS,
        source="400,000 measurements of QIF take some 2,400,000; the file is gone through in seconds",
        remedy="export the results without the model of the part, or send the trial in several files",
    ),
    "held elements": Range(
        meaning="elements of an XML file that describe characteristics and parts",
        at_most=MAX_HELD_ELEMENTS,
        source="5,000 characteristics take 100,000, and 100,000 parts 400,000; they are held in memory",
        remedy="send the trial in several files",
    ),
    "depth": Range(
        meaning="XML elements inside one another",
        at_most=MAX_DEPTH,
        source="results of QIF lie some ten deep; an expression or a model of the part goes deeper",
        remedy="export the results without the model of the part",
    ),
    "text of an element": Range(
        meaning="text of one XML element",
        unit="characters",
        at_most=MAX_TEXT,
        source="a value has some twenty characters, a description a page",
        remedy="export the results anew; look at what stands in that line",
    ),
    "bytes together": Range(
        meaning="size of the files of one trial together",
        unit="bytes",
        at_most=MAX_TOGETHER,
        source="four of the largest files; they are held in memory at one time",
        remedy="send the trial in several archives",
    ),
    "packing": Range(
        meaning="how many times a file of an archive is larger than its packed form",
        at_most=MAX_PACKED,
        source="tables of readings pack 5 to 50 times; the packing in use cannot pass 1032 times",
        remedy="ask where the archive comes from; send the files unpacked",
    ),
    "files": Range(
        meaning="files of one trial",
        at_most=MAX_FILES,
        source="a file a part: more parts than anyone measures in one trial (common practice, no source)",
        remedy="send the trial in several archives",
    ),
}


def refuse_beyond(limit: str, count: int, *, where: str) -> None:
    """Raise FileRefused when a file goes beyond one of the LIMITS; the message says by how much."""
    allowed = LIMITS[limit]
    if allowed.at_most is not None and count > allowed.at_most:
        unit = f" {allowed.unit}" if allowed.unit else ""
        what = f"{allowed.meaning}: {count:,}{unit}, at most {allowed.at_most:,.0f} are read"
        raise FileRefused(what, where=where, remedy=allowed.remedy)
