"""The reference values of a card, from a file with a row a patch: its name, L, a and b."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.headed_tables import Field, FileTable, Sort, TableRow, TableWalk, Vocabulary, open_table
from offtool.exchange.headed_tables.cells import Quantity, read_quantity
from offtool.exchange.readings.cells import Missing
from offtool.exchange.readings.numbers import Unread

PATCH, LIGHTNESS, A, B = "patch", "L", "a", "b"
_REMEDY = "head the columns patch, L, a, b"
_LARGEST_LIGHTNESS, _LARGEST = 150.0, 500.0

_WORDS = Vocabulary(
    (
        Field(
            name=PATCH,
            words="""
                patch, patches, name, field, colour, color, no, nr, id, Feld, Farbfeld, Farbe, 色块, 名称,
                编号
            """,
            sort=Sort.NAME,
        ),
        Field(
            name=LIGHTNESS,
            words="L, L*, lightness, CIE L, CIE L*, Lab L, Helligkeit, 明度",
            unit_may_be_missing=True,
        ),
        Field(name=A, words="a, a*, CIE a, CIE a*, Lab a", may_be_negative=True),
        Field(name=B, words="b, b*, CIE b, CIE b*, Lab b", may_be_negative=True),
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchValues:
    """The reference CIELAB of one patch; the row counts from 1 as a spreadsheet shows the file."""

    name: str
    lightness: float
    a: float
    b: float
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTable:
    """The patches of a card, in the order of the file."""

    file: FileTable
    patches: tuple[PatchValues, ...]


def read_card(content: bytes, name: str, *, sheet: str | None = None) -> CardTable:
    """The reference values of a card from a CSV or XLSX file.

    Returns a CardTable; rows with a cell that cannot be read are left out and the cell listed as refused.
    Raises FileRefused when no card can be made of the file, for any bytes; nothing else is raised.
    """
    opened = open_table(
        content, name, sheet=sheet, vocabulary=_WORDS, needed=(LIGHTNESS, A, B), remedy=_REMEDY
    )
    walk = TableWalk(opened)
    patches: dict[str, PatchValues] = {}
    for row in walk.rows():
        found = _patch(walk, row, len(patches) + 1)
        if found is not None and found.name in patches:
            _refuse_second(walk, row, patches[found.name].row)
        elif found is not None:
            patches[found.name] = found
    if not patches:
        raise walk.nothing_read("patch with L, a and b")
    return CardTable(file=walk.about_the_file(name), patches=tuple(patches.values()))


def _patch(walk: TableWalk, row: TableRow, number: int) -> PatchValues | None:
    name = walk.name(row, PATCH)
    values = [_value(walk, row, field) for field in (LIGHTNESS, A, B)]
    lightness, a, b = values
    if isinstance(name, Unread) or lightness is None or a is None or b is None:
        return None
    return PatchValues(name=name or str(number), lightness=lightness, a=a, b=b, row=row.number + 1)


def _value(walk: TableWalk, row: TableRow, field: str) -> float | None:
    """A number without a unit; None where there is none, or it is refused."""
    told = walk.column(field)
    if told is None:
        return None
    opened = walk.opened
    found = read_quantity(row.cell(told), told.field, opened.decimal, from_sheet=opened.sheet is not None)
    if isinstance(found, Missing):
        walk.ledger.missing += 1
        return None
    checked = found if isinstance(found, Unread) else _as_colour(found, field)
    if isinstance(checked, Unread):
        walk.refuse(row, told, checked)
        return None
    if checked.why:
        walk.ledger.repair(row.number, told.column, row.text(told), f"{checked.value:.10g}", checked.why)
    return checked.value


def _as_colour(found: Quantity, field: str) -> Quantity | Unread:
    """The number, or why it is none of a colour."""
    if found.unit is not None:
        return Unread(f"has a unit, {found.unit.shown}: {field} of a colour has none", "check the column")
    low, high = (0.0, _LARGEST_LIGHTNESS) if field == LIGHTNESS else (-_LARGEST, _LARGEST)
    if not low <= found.value <= high:
        return Unread(f"is no {field} of a colour: it lies between {low:g} and {high:g}", "check the cell")
    return found


def _refuse_second(walk: TableWalk, row: TableRow, first: int) -> None:
    told = walk.column(PATCH)
    if told is not None:
        why = f"names a second patch: the first is in row {first}"
        walk.refuse(row, told, Unread(why, "give each patch a name of its own"))
