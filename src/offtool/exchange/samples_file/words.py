"""The words by which registers of samples are headed, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge.
"""

from __future__ import annotations

from functools import lru_cache

from offtool.exchange.headed_tables import Field, Sort, Vocabulary

FIELDS: dict[str, Field] = {
    # the walk through a table knows the column that names its rows as piece
    "number": Field(
        name="piece",
        words="""
            sample, sample number, sample no, sample nr, sample id, number, no, nr, tag, tag number, label,
            piece, bag, Muster, Musternummer, Muster Nr, Nummer, Beutel, 样品, 样品编号, 样件, 样件编号, 编号
        """,
        sort=Sort.NAME,
    ),
    "name": Field(
        name="what",
        words="what, what it is, name, description, article, Bezeichnung, Beschreibung, was, 名称, 品名",
        sort=Sort.NAME,
    ),
    "part": Field(
        name="part",
        words="part, part number, part no, part code, component, Teil, Teilenummer, 零件, 零件号, 部件, 料号",
        sort=Sort.NAME,
    ),
    "label": Field(
        name="part label",
        words="""
            part label, which part, side, position of the part, called, welches Teil, Seite, 部位, 左右
        """,
        sort=Sort.NAME,
    ),
    "tool": Field(
        name="tool",
        words="tool, tool number, tool no, mould, mold, mould number, Werkzeug, Form, 模具, 模具号, 模号",
        sort=Sort.NAME,
    ),
    "state": Field(
        name="tool state",
        words="""
            tool state, state, steel, steel state, steel revision, tool revision, Werkzeugstand, Stand,
            Stahlstand, 模具状态, 钢料状态, 模具版本
        """,
        sort=Sort.NAME,
    ),
    "cavity": Field(
        name="cavity",
        words="cavity, cavity number, cavity no, cav, impression, Nest, Kavität, 穴, 穴号, 模穴, 型腔",
        sort=Sort.NAME,
    ),
    "trial": Field(
        name="trial",
        words="trial, trial number, tryout, sampling, run, Bemusterung, Abmusterung, Versuch, 试模, 试模次数",
        sort=Sort.NAME,
    ),
    "shot": Field(
        name="shot",
        words="shot, shot number, shot no, cycle, Schuss, Schussnummer, 模次, 啤数, 射次",
        sort=Sort.COUNT,
    ),
    "colour": Field(name="colour", words="colour, color, Farbe, 颜色, 色", sort=Sort.NAME),
    "build": Field(
        name="build",
        words="build, engineering build, assembled in, pilot run, Aufbau, Baustand, 装配, 试产, 组装批次",
        sort=Sort.NAME,
    ),
    "purpose": Field(
        name="purpose",
        words="purpose, kept for, use, used for, Zweck, Verwendung, 用途, 目的",
        sort=Sort.NAME,
    ),
    "disposition": Field(
        name="disposition",
        words="disposition, what to do, keep or scrap, status, Verbleib, Entscheid, 处置, 处理, 状态",
        sort=Sort.NAME,
    ),
    "place": Field(
        name="place",
        words="""
            place, where, location, drawer, shelf, box, lies in, Ort, Lagerort, Schublade, 位置, 存放位置
        """,
        sort=Sort.NAME,
    ),
    "holder": Field(
        name="holder",
        words="holder, who has it, kept by, owner, with, Besitzer, bei wem, liegt bei, 保管人, 持有人",
        sort=Sort.NAME,
    ),
    "found_on": Field(
        name="found on",
        words="""
            found on, found, date, day, taken on, received on, date found, Datum, gefunden am, erhalten am,
            日期, 发现日期, 收到日期
        """,
        sort=Sort.NAME,
    ),
    "note": Field(
        name="note",
        words="note, notes, remark, remarks, comment, comments, Bemerkung, Notiz, 备注, 说明",
        sort=Sort.NAME,
    ),
}
"""By the name of the field in a row: how its column is headed."""

OF_SAMPLE = ("name", "build", "purpose", "disposition", "place", "holder", "found_on", "note")
"""What is said of the whole sample: its rows may repeat it, not contradict it."""


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """The words of a register."""
    return Vocabulary(tuple(FIELDS.values()))
