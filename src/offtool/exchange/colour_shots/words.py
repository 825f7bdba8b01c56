"""The words by which colours of shots are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Vocabulary

SHOT = "shot"
AXES: dict[str, Field] = {
    "lightness": Field(
        name="L",
        words="L, L*, Lstar, L value, L-Wert, lightness, Helligkeit, 明度, L值",
        unit_may_be_missing=True,
    ),
    "a": Field(
        name="a",
        words="a, a*, astar, a value, a-Wert, red green, rot grün, 红绿, a值",
        unit_may_be_missing=True,
        may_be_negative=True,
    ),
    "b": Field(
        name="b",
        words="b, b*, bstar, b value, b-Wert, yellow blue, gelb blau, 黄蓝, b值",
        unit_may_be_missing=True,
        may_be_negative=True,
    ),
}
"""The three numbers of a colour, by their name in the record."""

VOCABULARY = Vocabulary(
    (
        Field(
            name=SHOT,
            words="""
                shot, shot no, shot number, shot nr, no, nr, number, #, cycle, piece, sample, Schuss,
                Schuss Nr, Schussnummer, Zyklus, Nr, 模次, 模数, 啤数, 序号, 编号
            """,
            sort=Sort.COUNT,
        ),
        *AXES.values(),
    )
)
