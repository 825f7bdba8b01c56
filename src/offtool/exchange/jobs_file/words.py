"""The words by which lists of jobs are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Vocabulary
from offtool.exchange.headed_tables.fields import meanings

FIELDS: dict[str, Field] = {
    # the walk through a table knows the column that names its rows as piece
    "job": Field(
        name="piece",
        words="job, code, job number, job no, order, order number, order no, works order, Auftrag, 工单",
        sort=Sort.NAME,
    ),
    "press": Field(
        name="press",
        words="press, machine, press no, machine no, moulding machine, Maschine, Presse, 机台, 注塑机, 机号",
        sort=Sort.NAME,
    ),
    "product": Field(name="product", words="product, article, Produkt, Artikel, 产品, 品名", sort=Sort.NAME),
    "what": Field(name="part", words="part, what, component, Teil, 零件, 部件", sort=Sort.NAME),
    "resin": Field(
        name="resin", words="resin, material, plastic, Material, Kunststoff, 材料, 原料", sort=Sort.NAME
    ),
    "colour": Field(name="colour", words="colour, color, Farbe, 颜色", sort=Sort.NAME),
    "lightness": Field(name="L", words="lightness, L, L*, Helligkeit, 明度", unit_may_be_missing=True),
    "a": Field(name="a", words="a, a*", unit_may_be_missing=True, may_be_negative=True),
    "b": Field(name="b", words="b, b*", unit_may_be_missing=True, may_be_negative=True),
    "begins": Field(
        name="begins",
        words="begins, began, begin, start, from, first day, Beginn, von, ab, 开始, 开工",
        sort=Sort.NAME,
    ),
    "ends": Field(
        name="ends", words="ends, ended, end, until, to, last day, Ende, bis, 结束, 完工", sort=Sort.NAME
    ),
    "may_stop": Field(
        name="may stop",
        words="may stop, may be stopped, can stop, may interrupt, darf stehen, unterbrechbar, 可停, 可中断",
        sort=Sort.WORD,
    ),
    "margin_per_h": Field(
        name="margin per hour",
        words="""
            margin per hour, margin an hour, margin_per_h, contribution per hour, margin, contribution,
            Deckungsbeitrag, Deckungsbeitrag je Stunde, 每小时毛利, 毛利
        """,
        unit_may_be_missing=True,
    ),
    "restart_min": Field(
        name="restart minutes",
        words="restart minutes, restart_min, restart, minutes to restart, Anfahren, 重启分钟",
        unit_may_be_missing=True,
    ),
}
"""By the name of the field in a row: how its column is headed."""

YES_OR_NO = meanings({"yes": "yes, y, ja, j, true, 1, 是, 可", "no": "no, n, nein, false, 0, 否, 不可"})
VOCABULARY = Vocabulary(tuple(FIELDS.values()))
