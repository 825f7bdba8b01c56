"""The words by which weld studies are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from functools import lru_cache

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import keys, meanings
from offtool.exchange.joint_readings.words import cavity_field
from offtool.exchange.readings.text import heading_key
from offtool.handbook.terms import Appearance, Failure, Ridge

PIECE, TOP, BOTTOM, SOME_CAVITY = "piece", "top cavity", "bottom cavity", "cavity"
AMPLITUDE, STRENGTH, FAILURE, APPEARANCE, RIDGE = "amplitude", "strength", "failure", "appearance", "ridge"
PEAK, PEAK_TO_PEAK = "peak", "peak-to-peak"

_TOP_SIDE = "top, upper, top part, upper part, horn side, oben, oberes Teil, Oberteil, 上, 上件, 上盖"
_BOTTOM_SIDE = (
    "bottom, lower, bottom part, lower part, nest side, unten, unteres Teil, Unterteil, 下, 下件, 下盖"
)

_BESIDE = {
    PEAK_TO_PEAK: "peak to peak, peak peak, p p, pp, pk pk, pkpk, Spitze Spitze, ss, 峰峰值, 峰峰",
    PEAK: "peak, zero to peak, 0 p, 0 peak, pk, single, Spitze, Scheitel, 峰值, 单峰",
}
FAILURE_WORDS = meanings(
    {
        Failure.TORN.value: """
            torn, material, cohesive, broke, broken, in the material, gerissen, Material gerissen, 撕裂,
            母材断裂
        """,
        Failure.PEELED.value: """
            peeled, clean, peeled off, adhesive, seam opened, open, aufgegangen, gelöst, 剥离, 脱开
        """,
        Failure.HELD.value: """
            held, holds, not broken, no failure, stopped, did not break, gehalten, hält, 未断, 保持
        """,
    }
)
APPEARANCE_WORDS = meanings(
    {
        Appearance.GOOD.value: "good, ok, o.k., pass, i.O., io, gut, in Ordnung, 合格, 良, 好",
        Appearance.BAD.value: "bad, ng, nok, not ok, fail, n.i.O., nio, schlecht, 不合格, 不良, 差",
    }
)
RIDGE_WORDS = meanings(
    {
        Ridge.INTACT.value: "intact, whole, not melted, ganz, nicht geschmolzen, 完整, 未熔",
        Ridge.PARTLY.value: """
            partly, partial, partially melted, teilweise, teilweise geschmolzen, 部分, 部分熔化
        """,
        Ridge.MELTED.value: "melted, gone, fully melted, geschmolzen, 熔化, 全熔",
    }
)


_RESULT_AS_FAILURE = Field(
    name=FAILURE, words="result, results, test result, Ergebnis, Resultat, 结果", sort=Sort.WORD
)
_RESULT_KEYS = frozenset(keys(_RESULT_AS_FAILURE.words))


@lru_cache(maxsize=100)
def vocabulary(
    top: tuple[str, ...] = (), bottom: tuple[str, ...] = (), *, result_is_failure: bool = False
) -> Vocabulary:
    """The words for a seam, with the codes of its parts: "HO-02 cavity" is that of the part of that code.

    `result_is_failure` for a file whose column "Result" says how the seams came apart.
    """
    more = (_RESULT_AS_FAILURE,) if result_is_failure else ()
    sides = (cavity_field(BOTTOM, _BOTTOM_SIDE, bottom), cavity_field(TOP, _TOP_SIDE, top))
    return Vocabulary((*_FIELDS, *more, *NUMBERS.values(), *sides), _BESIDE)


def is_result(heading: str) -> bool:
    """Whether a heading says result and not of what."""
    return heading_key(heading) in _RESULT_KEYS


def is_failure(cell: str) -> bool:
    """Whether a cell says how a seam came apart, or that it held."""
    return heading_key(cell) in FAILURE_WORDS


NUMBERS: dict[str, Field] = {
    "time_s": Field(
        name="weld time",
        words="time, weld time, welding time, sonic time, Zeit, Schweißzeit, Schweisszeit, 时间, 焊接时间",
        unit="s",
    ),
    "pressure_bar": Field(
        name="pressure",
        words="""
            pressure, weld pressure, air pressure, trigger pressure, Druck, Schweißdruck, 压力, 气压,
            焊接压力
        """,
        unit="bar",
    ),
    "amplitude_um": Field(
        name=AMPLITUDE,
        words="amplitude, horn amplitude, amplitude at the horn, Amplitude, 振幅",
        unit="µm",
        unit_may_be_missing=True,
    ),
    "hold_s": Field(
        name="hold time",
        words="hold, hold time, holding time, Haltezeit, Nachhaltezeit, 保压时间, 保持时间",
        unit="s",
    ),
    "energy_j": Field(
        name="energy", words="energy, weld energy, Energie, Schweißenergie, 能量, 焊接能量", unit="J"
    ),
    "collapse_mm": Field(
        name="collapse",
        words="collapse, weld depth, melt depth, travel, sink, Fügeweg, Schweißweg, 塌陷, 下沉量, 焊接深度",
        unit="mm",
        unit_may_be_missing=True,
        may_be_negative=True,
    ),
    "strength_n": Field(
        name=STRENGTH,
        words="""strength, pull, pull force, pull strength, tear force, force, Festigkeit, Zugkraft,
            Abzugskraft, Haltekraft, 强度, 拉力, 拉脱力""",
        unit="N",
        may_be_a_bound=True,
    ),
    "height_mm": Field(
        name="height",
        words="height, welded height, assembled height, Höhe, Fügehöhe, 高度, 焊后高度",
        unit="mm",
        unit_may_be_missing=True,
    ),
    "flash_mm": Field(
        name="flash",
        words="flash, flash height, Grat, Austrieb, 飞边, 溢料",
        unit="mm",
        unit_may_be_missing=True,
    ),
}
"""The numbers of a run, by their name in the record."""

_FIELDS = (
    Field(
        name=PIECE,
        words="""piece, pieces, piece no, sample, sample no, specimen, run, run no, part, part no, no, nr, #,
            Teil, Teil-Nr, Muster, Probe, Versuch Nr, Nr, 样品, 样品号, 样件, 件号, 编号, 序号""",
        sort=Sort.NAME,
    ),
    Field(name=SOME_CAVITY, words="cavity, cav, cavity no, Kavität, Nest, 穴, 穴号, 型腔", sort=Sort.NAME),
    Field(name="unit", words="unit, units, Einheit, 单位", sort=Sort.WORD),
    Field(
        name=FAILURE,
        words="""
            failure, failure mode, break, how it failed, Versagen, Bruchbild, Bruchart, 失效, 失效模式,
            断裂方式
        """,
        sort=Sort.WORD,
    ),
    Field(
        name=APPEARANCE,
        words="appearance, look, looks, cosmetic, visual, Aussehen, Optik, 外观",
        sort=Sort.WORD,
    ),
    Field(
        name=RIDGE, words="ridge, energy director, Energierichtungsgeber, ERG, 导熔线, 超声线", sort=Sort.WORD
    ),
)
