"""The words by which toy tests are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import meanings
from offtool.handbook.toy_law import ToyTestKind

PIECE, PART, DROPS, HEIGHT, HELD, CAME_OFF = "piece", "part", "drops", "height", "held", "came off"
YES, NO = "yes", "no"

LOADS: dict[ToyTestKind, Field] = {
    "torque": Field(
        name="torque",
        words="torque, torque test, turned to, moment, Drehmoment, Drehmomentprüfung, 扭矩, 扭力, 扭力测试",
        unit="N·m",
        may_be_a_bound=True,
    ),
    "tension": Field(
        name="tension",
        words="""
            tension, tension test, pull, pull test, pulled to, pull force, Zug, Zugkraft, Zugprüfung, 拉力,
            拉力测试
        """,
        unit="N",
        may_be_a_bound=True,
    ),
    "seam": Field(
        name="seam",
        words="seam, seam tension, seam test, seam pull, Naht, Nahtzug, Nahtprüfung, 接缝拉力, 缝线拉力",
        unit="N",
        may_be_a_bound=True,
    ),
    "compression": Field(
        name="compression",
        words="compression, compression test, pressed to, pressure force, Druckkraft, Druckprüfung, 压力测试",
        unit="N",
        may_be_a_bound=True,
    ),
}
"""The tests with a load, by their word in the record."""

HELD_WORDS = meanings(
    {
        YES: """
            yes, y, held, holds, whole, intact, survived, stood, passed, pass, ok, good, x, 1, true, ja,
            gehalten, ganz, i.O., io, 是, 合格, 完好
        """,
        NO: """
            no, n, broke, broken, came off, came apart, failed, fail, ng, nok, not ok, bad, 0, false, nein,
            gebrochen, abgerissen, n.i.O., nio, 否, 不合格, 脱落, 破裂
        """,
    }
)

_FIELDS = (
    Field(
        name=PIECE,
        words="""piece, pieces, piece no, sample, sample no, specimen, toy, no, nr, #, Teil-Nr, Muster, Probe,
            Muster-Nr, Probe-Nr, Stück, Stück-Nr, Spielzeug, Prüfling, Nr, 样品, 样品号, 样件, 编号, 序号""",
        sort=Sort.NAME,
    ),
    Field(
        name=PART,
        words="part, part code, component, projection, what was pulled, Teil, Bauteil, 零件, 部件",
        sort=Sort.NAME,
    ),
    Field(
        name=DROPS,
        words="drops, falls, number of drops, times dropped, Stürze, Fallzahl, Anzahl Stürze, 跌落次数",
        sort=Sort.COUNT,
    ),
    Field(
        name=HEIGHT, words="height, drop height, height of fall, Fallhöhe, Höhe, 高度, 跌落高度", unit="mm"
    ),
    Field(
        name=HELD,
        words="""
            held, result, whole, intact, survived, stood, passed, condition after, Ergebnis, gehalten, hält,
            结果, 判定
        """,
        sort=Sort.WORD,
    ),
    Field(
        name=CAME_OFF,
        words="""
            came off, size of what came off, largest piece that came off, detached, detached size, abgelöst,
            Größe des abgelösten Teils, abgegangen, abgefallen, abgebrochen, abgerissenes Teil,
            脱落尺寸, 脱落件尺寸
        """,
        unit="mm",
        unit_may_be_missing=True,
    ),
    Field(name="unit", words="unit, units, Einheit, 单位", sort=Sort.WORD),
)

VOCABULARY = Vocabulary((*_FIELDS, *LOADS.values()))
