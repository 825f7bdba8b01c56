"""The words by which lists of jobs are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from offtool.exchange.headed_tables import Field, Sort, Told, Vocabulary
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
            margin per hour, margin per h, margin an hour, margin/h, margin h, margin,
            contribution per hour, contribution per h, contribution/h, contribution h, contribution,
            Deckungsbeitrag, Deckungsbeitrag je Stunde, Deckungsbeitrag pro Stunde, Deckungsbeitrag je h,
            Deckungsbeitrag pro h, Deckungsbeitrag/h, Deckungsbeitrag h, DB, DB je Stunde, DB pro Stunde,
            DB je h, DB pro h, DB/h, DB h, 每小时毛利, 毛利
        """,
        unit_may_be_missing=True,
    ),
    "restart_min": Field(
        name="restart",
        words="restart, minutes to restart, Anfahren, Anfahrzeit, 重启, 重启分钟",
        unit="min",
        unit_may_be_missing=True,
    ),
}
"""By the name of the field in a row: how its column is headed."""

YES_OR_NO = meanings({"yes": "yes, y, ja, j, true, 1, 是, 可", "no": "no, n, nein, false, 0, 否, 不可"})
CURRENCIES = {
    "EUR": "EUR, €, Euro",
    "USD": "USD, US$, $",
    "CNY": "CNY, RMB, 元",
    "GBP": "GBP, £",
    "CHF": "CHF",
    "JPY": "JPY",
    "HKD": "HKD, HK$",
}
"""Of codes as in ISO 4217, how they are written beside a margin."""
_BESIDE = {
    code: ", ".join(f"{word}, in {word}" for word in words.split(", ")) for code, words in CURRENCIES.items()
}
VOCABULARY = Vocabulary(tuple(FIELDS.values()), _BESIDE)


def currency_of(margin: Told | None) -> str:
    """The currency that the heading of the margins says; empty where it says none."""
    return next(iter(margin.said), "") if margin is not None else ""
