"""The words by which tables of tasks are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import meanings

FIELDS: dict[str, Field] = {
    # the walk through a table knows the column that names its rows as piece
    "task": Field(
        name="piece",
        words="""
            task, task name, operation, operation name, work element, element, work step, step, activity, job,
            Arbeitsgang, Arbeitsgänge, Vorgang, Arbeitsschritt, Schritt, Tätigkeit, Aufgabe,
            工序, 工序名称, 作业, 作业名称, 工步, 任务, 操作, 步骤
        """,
        sort=Sort.NAME,
    ),
    "number": Field(
        name="number",
        words="no, number, #, nr, item, pos, position, id, Nummer, lfd Nr, 序号, 编号, 工序号",
        sort=Sort.NAME,
    ),
    "title": Field(
        name="title",
        words="title, description, in words, details, Beschreibung, Bezeichnung, 说明, 描述, 内容",
        sort=Sort.NAME,
    ),
    "time_s": Field(
        name="time",
        words="""
            time, task time, mean time, mean, average, average time, standard time, work time, duration,
            Zeit, Dauer, Mittelwert, mittlere Zeit, Vorgabezeit, Taktzeit, Arbeitszeit, Stückzeit, Sollzeit,
            Bearbeitungszeit, Montagezeit,
            时间, 工时, 标准工时, 平均时间, 作业时间, 平均, 耗时, 用时, 操作时间, 加工时间
        """,
        unit="s",
    ),
    "spread_s": Field(
        name="spread",
        words="""
            spread, standard deviation, std dev, stdev, sd, sigma, deviation,
            Standardabweichung, Stdabw, Streuung, 标准差, 标准偏差, 偏差, 波动
        """,
        unit="s",
    ),
    "readings": Field(
        name="readings",
        words="""
            readings, timed, times timed, cycles timed, cycles, samples, count, n, observations,
            Messungen, Anzahl Messungen, gemessen, Anzahl, Messwerte, 测量次数, 次数, 样本数, 样本量
        """,
        sort=Sort.COUNT,
    ),
    "after": Field(
        name="after",
        words="""
            after, predecessors, predecessor, immediate predecessors, preceded by, comes after, before it,
            must be done before, needs done, depends on,
            nach, vorher, davor, zuvor, Vorgänger, Vorgaenger, kommt nach, vorher fertig, vorher nötig,
            vorausgehend, muss vorher fertig sein,
            紧前工序, 紧前作业, 前工序, 前道工序, 上道工序, 先行工序, 先行作业, 前序, 前置, 前置工序
        """,
        sort=Sort.NAME,
    ),
    "needs": Field(
        name="needs",
        words="""
            needs, equipment, machine, machines, tool, tools, resource, resources,
            Betriebsmittel, Maschine, Maschinen, Gerät, Geräte, Werkzeug, Werkzeuge, Vorrichtung, Ausrüstung,
            braucht, benötigt, 设备, 机器, 工具, 治具, 所需设备
        """,
        sort=Sort.NAME,
    ),
    "together": Field(
        name="together",
        words="""
            together, together with, same station, tied to, zusammen, zusammen mit, gemeinsam mit,
            gleiche Station, 同工位, 同一工位
        """,
        sort=Sort.NAME,
    ),
    "apart": Field(
        name="apart",
        words="""
            apart, apart from, not with, other station, getrennt, getrennt von, nicht mit, andere Station,
            不同工位
        """,
        sort=Sort.NAME,
    ),
    "side": Field(name="side", words="side, Seite, 侧, 边, 左右", sort=Sort.WORD),
    "station": Field(
        name="station",
        words="station, at station, workstation, workplace, place, Arbeitsplatz, Platz, 工位, 工作站",
        sort=Sort.NAME,
    ),
    "fixed_station": Field(
        name="fixed station",
        words="fixed station, fixed at, fixed to, must be at, feste Station, fest an, 固定工位",
        sort=Sort.NAME,
    ),
    "part": Field(name="part", words="part, component, Teil, Bauteil, 零件, 部件", sort=Sort.NAME),
    "joint": Field(name="joint", words="joint, Gelenk, Verbindung, 关节", sort=Sort.NAME),
    "seam": Field(name="seam", words="seam, weld seam, Naht, Schweißnaht, 焊缝", sort=Sort.NAME),
}
"""By the name in a row: how its column is headed."""

SIDES = meanings(
    {
        "left": "left, l, links, 左, 左侧",
        "right": "right, r, rechts, 右, 右侧",
        "either": "either, both, any, beide, beliebig, egal, 任意, 均可, 两侧",
    }
)
VOCABULARY = Vocabulary(tuple(FIELDS.values()))
TIMES = {"s": "seconds", "min": "minutes"}
"""In what times may be given where the file does not say so."""
