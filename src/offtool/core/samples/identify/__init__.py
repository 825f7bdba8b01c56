"""What is this piece: the probability of every origin, with the evidence, and what to look at next."""

from offtool.core.samples.identify.answers import NONE, Answer, Identified
from offtool.core.samples.identify.colours import ColourRecord, colour_finding
from offtool.core.samples.identify.details import detail_finding
from offtool.core.samples.identify.hypotheses import Finding, Make, Occasion, PartCase, PieceCase, Weight
from offtool.core.samples.identify.next_look import Look, look_at_size, look_for_detail, look_for_sign
from offtool.core.samples.identify.piece import identify
from offtool.core.samples.identify.pooled import pool_runs
from offtool.core.samples.identify.signs import sign_finding, tag_finding
from offtool.core.samples.identify.sizes import MeasuredSize, SizeRecord, size_finding

__all__ = [
    "NONE",
    "Answer",
    "ColourRecord",
    "Finding",
    "Identified",
    "Look",
    "Make",
    "MeasuredSize",
    "Occasion",
    "PartCase",
    "PieceCase",
    "SizeRecord",
    "Weight",
    "colour_finding",
    "detail_finding",
    "identify",
    "look_at_size",
    "look_for_detail",
    "look_for_sign",
    "pool_runs",
    "sign_finding",
    "size_finding",
    "tag_finding",
]
