"""The order of a lot: which pieces are early and which late, from the changes of steel they show."""

from offtool.core.samples.order.found import (
    CellToLook,
    DetailStep,
    LotGroup,
    LotOrder,
    OddCell,
    PlacedSample,
    UndoneDetail,
)
from offtool.core.samples.order.lot import Cell, ColumnKind, Lot, TellsNothing
from offtool.core.samples.order.order_lot import order_lot

__all__ = [
    "Cell",
    "CellToLook",
    "ColumnKind",
    "DetailStep",
    "Lot",
    "LotGroup",
    "LotOrder",
    "OddCell",
    "PlacedSample",
    "TellsNothing",
    "UndoneDetail",
    "order_lot",
]
