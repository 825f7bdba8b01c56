"""The words by which tests of joints are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import keys, meanings
from offtool.exchange.headed_tables.units import without_unit
from offtool.exchange.readings.text import heading_key
from offtool.handbook.terms import JointCondition, JointReadingKind

PIECE = "piece"
INNER, OUTER, SOME_CAVITY = "inner cavity", "outer cavity", "cavity"
WHAT, VALUE, UNIT = "kind of reading", "reading", "unit"
CONDITION, HOURS, CYCLES, OPERATOR, REPEAT = "condition", "hours", "cycles", "operator", "repeat"

_KINDS: dict[JointReadingKind, str] = {
    JointReadingKind.BREAKAWAY: """
        breakaway torque, breakaway, break away torque, break away, starting torque, static torque,
        torque to start, Losbrechmoment, Losreißmoment, Anlaufmoment, 启动扭矩, 起动力矩, 静扭矩
    """,
    JointReadingKind.RUNNING: """
        running torque, running, turning torque, dynamic torque, kinetic torque, torque while turning,
        Laufmoment, Drehmoment laufend, Gleitmoment, 转动扭矩, 动扭矩, 运行扭矩
    """,
    JointReadingKind.PULL_OFF: """
        pull off, pull off force, pulloff, pull out, pull out force, pull off strength, removal force,
        Abzugskraft, Auszugskraft, Abziehkraft, 拔出力, 拉拔力, 拉脱力
    """,
    JointReadingKind.DROOP: """
        droop, droop angle, sag, sag angle, Absinken, Absinkwinkel, Durchhang, 下垂, 下垂角, 下垂角度
    """,
}
_VAGUE: dict[JointReadingKind, str] = {
    JointReadingKind.BREAKAWAY: "torque, torque to turn, moment, Drehmoment, 扭矩, 扭力",
    JointReadingKind.PULL_OFF: "pull, pull force, force, Kraft, 拉力",
}
"""Words that say less than the record keeps; a note says what they are taken for."""
_VAGUE_KEYS = {key for words in _VAGUE.values() for key in keys(words)}
_CONDITIONS: dict[str, str] = {
    JointCondition.FRESH.value: """
        fresh, new, as assembled, as moulded, before, initial, neu, frisch, vorher, 新, 初始
    """,
    JointCondition.AGED.value: """
        aged, after ageing, after aging, ageing, old, gealtert, nach Alterung, 老化, 老化后
    """,
    JointCondition.CYCLED.value: (
        "cycled, after cycling, after cycles, worn, bewegt, nach Zyklen, nach Bewegung, 循环后, 寿命后"
    ),
}
_CAVITY = "cavity, cav, cavity no, impression, Kavität, Kav, Nest, Formnest, 穴, 穴号, 模穴, 型腔, 腔号"
_INNER_SIDE = "inner, inner part, peg, ball, shaft, pin, finger, screw, Zapfen, Kugel, innen, 内, 轴, 销"
_OUTER_SIDE = "outer, outer part, socket, bore, clip, boss, hole, Buchse, Pfanne, Bohrung, außen, 外, 孔, 座"

CONDITION_WORDS = meanings(_CONDITIONS)
LOOSE_WORDS = frozenset(
    keys("""
        loose, falls, falls freely, falls down, fell, drops, free, freely, turns freely, turned freely, spins,
        lose, locker, fällt, frei, dreht frei, 松, 松动, 自由, 自由下垂
    """)
)
"""Cells of a torque that say that nothing held: a torque of 0."""
KIND_WORDS = meanings({kind.value: words for kind, words in _KINDS.items()})


READINGS: dict[str, Field] = {
    kind.value: Field(
        name=kind.value,
        words=f"{words}, {_VAGUE.get(kind, '')}",
        unit=kind.unit,
        unit_may_be_missing=kind is JointReadingKind.DROOP,
        may_be_negative=kind is JointReadingKind.DROOP,
    )
    for kind, words in _KINDS.items()
}
"""The fields of what is read of a joint, by its word in the record."""


def is_loose(cell: str) -> bool:
    """Whether a cell says in a word that the joint did not hold."""
    return heading_key(cell) in LOOSE_WORDS


def is_vague(heading: str) -> bool:
    """Whether a heading says torque or pull and not which."""
    return heading_key(without_unit(heading)[0]) in _VAGUE_KEYS


@lru_cache(maxsize=100)
def vocabulary(inner: tuple[str, ...] = (), outer: tuple[str, ...] = ()) -> Vocabulary:
    """The words for a joint, with the codes of its parts: "HO-04 cavity" is that of the inner part."""
    sides = (cavity_field(OUTER, _OUTER_SIDE, outer), cavity_field(INNER, _INNER_SIDE, inner))
    return Vocabulary((*_FIELDS, *READINGS.values(), *sides), _CONDITIONS)


def cavity_field(name: str, sides: str, codes: Iterable[str]) -> Field:
    """The column of one side's cavities, in both orders: "peg cavity", "cavity of peg", "Kavität HO-04"."""
    side_words = [*(side.strip() for side in sides.split(",")), *codes]
    cavity_words = [word.strip() for word in _CAVITY.split(",")]
    pairs = [
        pair
        for side in side_words
        for word in cavity_words
        for pair in (f"{side} {word}", f"{word} {side}", f"{word} of {side}", f"{side}{word}")
    ]
    return Field(name=name, words=", ".join([*pairs, *codes]), sort=Sort.NAME)


_FIELDS = (
    Field(
        name=PIECE,
        words="""piece, pieces, piece no, pair, pair no, sample, sample no, specimen, part, part no, assembly,
            no, nr, #, Teil, Teil-Nr, Paar, Muster, Probe, Nr, 样品, 样品号, 样件, 件号, 编号, 序号""",
        sort=Sort.NAME,
    ),
    Field(name=SOME_CAVITY, words=_CAVITY, sort=Sort.NAME),
    Field(
        name=WHAT,
        words="""
            what, what was read, measured, measurement, kind, type, test, Messgröße, Art, Prüfung, 项目,
            测试项目, 类型
        """,
        sort=Sort.WORD,
    ),
    Field(name=VALUE, words="value, reading, measured value, result, Wert, Messwert, 数值, 测量值, 实测值"),
    Field(name=UNIT, words="unit, units, Einheit, 单位", sort=Sort.WORD),
    Field(name=CONDITION, words="condition, state, Zustand, 状态, 条件", sort=Sort.WORD),
    Field(
        name=HOURS,
        words="""hours, hour, age, time, hours after assembly, time after assembly, age of the joint, Stunden,
            Alter, Zeit, 小时, 时间, 装配后时间""",
        unit="h",
        unit_may_be_missing=True,
    ),
    Field(name=CYCLES, words="""
        cycles, cycle, number of cycles, movements, Zyklen, Bewegungen, 循环, 循环次数, 次数
    """, sort=Sort.COUNT),
    Field(
        name=OPERATOR,
        words="operator, appraiser, person, measured by, inspector, Prüfer, Bediener, 操作员, 检验员, 测量员",
        sort=Sort.NAME,
    ),
    Field(
        name=REPEAT,
        words="repeat, repeats, repetition, replicate, reading no, Wiederholung, Messung Nr, 重复, 测量次数",
        sort=Sort.COUNT,
    ),
)  # fmt: skip
