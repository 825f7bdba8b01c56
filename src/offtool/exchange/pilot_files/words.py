"""The words by which sheets of a pilot are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import keys

STATION, HOUR, TRIED, GOOD, REWORKED, SCRAPPED, FAILED, YIELD = (
    *("station", "hour", "tried", "good first", "reworked good", "scrapped", "failed", "yield"),
)
DEFECT, COUNT, MINUTES = "defect", "count", "rework minutes"
TASK, TIME, OPERATOR = "task", "time", "operator"
WHAT, SEAM, JOINT, VALUE = "seam or joint", "seam", "joint", "value"

_STATION = Field(
    name=STATION,
    words="""
        station, stations, station name, work station, workstation, work place, workplace, operation,
        process step, station no, station number, station nr, Station, Arbeitsplatz, Platz, Arbeitsgang,
        Stationsnummer, Stations-Nr, 工位, 工站, 工序, 站点, 工位号
    """,
    sort=Sort.NAME,
)
_CLOCK = """
    hour, hour of the pilot, hour no, h, clock, clock time, time of day, at, from, when, Stunde, Std, Uhrzeit,
    Uhr, von, 小时, 时段, 时刻, 点钟, 第几小时
"""
_HOUR = Field(name=HOUR, words=_CLOCK, sort=Sort.NAME)
_HOUR_OR_TIME = Field(name=HOUR, words=f"{_CLOCK}, time, Zeit, 时间", sort=Sort.NAME)
_SCRAPPED = Field(
    name=SCRAPPED,
    words="scrapped, scrap, thrown away, Ausschuss, verschrottet, 报废, 报废数, 废品, 废品数",
    sort=Sort.COUNT,
)

COUNTS = Vocabulary(
    (
        _STATION,
        _HOUR_OR_TIME,
        Field(
            name=TRIED,
            words="""
                tried, started, taken up, in, input, total, all, pieces, checked, inspected, tested, quantity,
                qty, Eingang, gestartet, geprüft, gesamt, Stück, Stückzahl, Menge, 投入, 投入数, 总数, 检验数,
                数量
            """,
            sort=Sort.COUNT,
        ),
        Field(
            name=GOOD,
            words="""
                good first, first good, good at once, good the first time, good first time, first pass,
                passed first time, good, good pieces, ok, pass, passed, sofort gut, gut beim ersten Mal,
                beim ersten Mal gut, auf Anhieb gut, gut auf Anhieb, gut, Gutteile, i.O., in Ordnung,
                一次合格, 一次合格数, 一次良品, 直通, 合格, 合格数, 良品, 良品数
            """,
            sort=Sort.COUNT,
        ),
        Field(
            name=REWORKED,
            words="""
                reworked good, good after rework, rework good, rework ok, good in the end, repaired, reworked,
                rework, nach Nacharbeit gut, Nacharbeit gut, Nacharbeit i.O., nachgearbeitet, Nacharbeit,
                返工合格, 返工合格数, 返修合格, 返工, 返修
            """,
            sort=Sort.COUNT,
        ),
        _SCRAPPED,
        Field(
            name=FAILED,
            words="""
                failed, fail, fails, not good, bad, ng, nok, not ok, rejected, rejects, reject, n.i.O.,
                nicht in Ordnung, schlecht, fehlerhaft, Schlechtteile, 不合格, 不合格数, 不良, 不良品, 不良数
            """,
            sort=Sort.COUNT,
        ),
        Field(
            name=YIELD,
            words="""
                yield, first yield, first pass yield, Ausbeute, Gutanteil, 良率, 合格率, 直通率, 一次合格率
            """,
            sort=Sort.NAME,
        ),
    )
)
MAY_MEAN_MORE = {
    GOOD: (
        frozenset(keys("good, good pieces, ok, pass, passed, gut, Gutteile, i.O., in Ordnung, 合格, 良品")),
        "good the first time, before rework",
    ),
    REWORKED: (
        frozenset(keys("repaired, reworked, rework, nachgearbeitet, Nacharbeit, 返工, 返修")),
        "good after rework",
    ),
}
"""Headings that could mean two things, and what they are taken for."""

DEFECTS = Vocabulary(
    (
        _STATION,
        _HOUR_OR_TIME,
        Field(
            name=DEFECT,
            words="""
                defect, defects, fault, flaw, finding, kind of defect, reason, Fehler, Fehlerart, Mangel,
                缺陷, 不良项目, 不良现象, 缺陷名称
            """,
            sort=Sort.NAME,
        ),
        Field(
            name=COUNT,
            words="""
                count, how often, found, number, pieces, quantity, qty, Anzahl, Häufigkeit, Stück, 数量, 次数,
                个数
            """,
            sort=Sort.COUNT,
        ),
        _SCRAPPED,
        Field(
            name=MINUTES,
            words="""
                rework minutes, rework time, rework each, minutes of rework, minutes each, time of rework,
                Nacharbeitszeit, Nacharbeitsminuten, Nacharbeit, 返工时间, 返修时间, 返工分钟
            """,
            unit="min",
            unit_may_be_missing=True,
        ),
    )
)

TIMES = Vocabulary(
    (
        _STATION,
        _HOUR,
        Field(
            name=TASK,
            words="""
                task, work, work step, job, Aufgabe, Arbeit, Arbeitsschritt, Tätigkeit, 任务, 作业, 作业内容
            """,
            sort=Sort.NAME,
        ),
        Field(
            name=TIME,
            words="""
                time, cycle, cycle time, station time, measured time, seconds, took, Zeit, Taktzeit, Dauer,
                Zykluszeit, gemessene Zeit, 时间, 周期, 节拍, 作业时间, 工时
            """,
            unit="s",
            unit_may_be_missing=True,
        ),
        Field(
            name=OPERATOR,
            words="""
                operator, who, person, worker, name, Werker, Werkerin, Mitarbeiter, Bediener, 操作员, 作业员
            """,
            sort=Sort.NAME,
        ),
    )
)

AUDITS = Vocabulary(
    (
        _HOUR_OR_TIME,
        Field(
            name=WHAT,
            words="seam or joint, what, audit, audit of, of, Prüfung, 项目, 检验项目",
            sort=Sort.NAME,
        ),
        Field(name=SEAM, words="seam, weld, welded seam, Naht, Schweißnaht, 焊缝, 焊接", sort=Sort.NAME),
        Field(name=JOINT, words="joint, Gelenk, Verbindung, 关节, 接头", sort=Sort.NAME),
        Field(
            name=VALUE,
            words="""
                value, result, reading, measured, pull, strength, force, pull force, pull off, torque,
                breakaway, breakaway torque, Wert, Messwert, Ergebnis, Kraft, Zugkraft, Festigkeit,
                Drehmoment, Losbrechmoment, 值, 测量值, 结果, 拉力, 强度, 力, 扭矩, 扭力
            """,
            sort=Sort.NAME,  # its unit follows from what was audited, so it is read row by row
        ),
        Field(name="unit", words="unit, units, Einheit, 单位", sort=Sort.NAME),
    )
)

TOTALS = frozenset(
    keys(
        """
        total, totals, sum, sums, subtotal, sub total, grand total, overall, all, all stations, all hours,
        line, whole line, shift, Summe, Gesamtsumme, Zwischensumme, gesamt, insgesamt, alle, Linie, Schicht,
        合计, 总计, 小计, 总和
        """
    )
)
"""A row of these adds up the others."""
