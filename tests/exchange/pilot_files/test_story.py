"""The invented pilot of the otter: no station takes up, by the end of any hour, more than came to it."""

from __future__ import annotations

from itertools import accumulate, pairwise
from pathlib import Path

from offtool.exchange.pilot_files import read_pilot_counts, read_pilot_defects

SHEETS = Path(__file__).parents[3] / "examples" / "harbour_otter" / "pilot_files"


def test_pieces_are_conserved_along_the_line_hour_by_hour() -> None:
    table = read_pilot_counts((SHEETS / "P1_counts.csv").read_bytes(), "P1_counts.csv")
    stations = dict.fromkeys(one.station for one in table.rows)
    rows = [[one for one in table.rows if one.station == name] for name in stations]
    assert len(rows) == 12
    for before, here in pairwise(rows):
        gave = accumulate(one.good_first + one.reworked_good for one in before)
        took = accumulate(one.tried for one in here)
        assert all(more >= fewer for more, fewer in zip(gave, took, strict=True)), here[0].station
    started, good = (
        sum(one.tried for one in rows[0]),
        sum(one.good_first + one.reworked_good for one in rows[-1]),
    )
    lost = sum(one.scrapped or 0 for one in table.rows)
    waits = sum(
        sum(one.good_first + one.reworked_good for one in before) - sum(one.tried for one in here)
        for before, here in pairwise(rows)
    )
    assert started == good + lost + waits


def test_every_defect_says_what_its_rework_took_where_some_were_not_scrapped() -> None:
    table = read_pilot_defects((SHEETS / "P1_defects.csv").read_bytes(), "P1_defects.csv")
    assert all(
        one.rework_minutes is not None
        for one in table.rows
        if one.scrapped is None or one.scrapped < one.count
    )
