"""What a piece shows and where it comes from: colour, evidence, origin, and the order of a lot."""

from offtool.core.samples.colour import (
    CardCorrection,
    CardPatch,
    InterruptedRun,
    Job,
    PartColour,
    PieceColour,
    correct_card,
    correct_colour,
    interrupted_run,
)
from offtool.core.samples.identify import Identified, PieceCase, identify
from offtool.core.samples.identify.resin import ResinByWeight, resin_by_weight
from offtool.core.samples.identify.stage_only import StageOfPiece, stage_of_piece
from offtool.core.samples.order import Lot, LotOrder, order_lot

__all__ = [
    "CardCorrection",
    "CardPatch",
    "Identified",
    "InterruptedRun",
    "Job",
    "Lot",
    "LotOrder",
    "PartColour",
    "PieceCase",
    "PieceColour",
    "ResinByWeight",
    "StageOfPiece",
    "correct_card",
    "correct_colour",
    "identify",
    "interrupted_run",
    "order_lot",
    "resin_by_weight",
    "stage_of_piece",
]
