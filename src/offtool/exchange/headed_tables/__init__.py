"""Tables whose columns are known by their headings, a row a piece or a reading, read from CSV and XLSX."""

from offtool.exchange.headed_tables.fields import Field, Sort, Told, Vocabulary
from offtool.exchange.headed_tables.opening import OpenedTable, open_table
from offtool.exchange.headed_tables.table import FileTable
from offtool.exchange.headed_tables.walk import TableRow, TableWalk

__all__ = [
    "Field",
    "FileTable",
    "OpenedTable",
    "Sort",
    "TableRow",
    "TableWalk",
    "Told",
    "Vocabulary",
    "open_table",
]
