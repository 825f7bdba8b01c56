"""The words by which gauge rooms head their tables, in English, German and Chinese; all in this one place.

Common words of the trade, from general knowledge. Each is compared in the form `heading_key` gives it, so
that capitals, dots and hyphens do not matter. A word belongs to one role only; a test holds it.
"""

from __future__ import annotations

from enum import StrEnum

from offtool.exchange.readings.text import heading_key


class Role(StrEnum):
    """What a column of a table is for; the value is the word used in messages."""

    CHARACTERISTIC = "characteristic"
    NUMBER = "number"
    CAVITY = "cavity"
    SHOT = "shot"
    PART = "part"
    VALUE = "value"
    NOMINAL = "nominal"
    UPPER_LIMIT = "upper limit"
    LOWER_LIMIT = "lower limit"
    UPPER_DEVIATION = "upper tolerance"
    LOWER_DEVIATION = "lower tolerance"
    TOLERANCE = "tolerance"
    UNIT = "unit"
    RESULT = "result"
    """Readings or judgements: the cells below decide."""
    VERDICT = "judgement"
    MAXIMUM = "maximum"
    """A limit beside a nominal, a statistic behind readings: the place decides."""
    MINIMUM = "minimum"
    STATISTIC = "statistic"
    OFFSET = "deviation from nominal"
    TIME = "time"
    OPERATOR = "operator"
    GAUGE = "gauge"
    REMARK = "remark"
    OTHER = "other"


def _split(words: str) -> tuple[str, ...]:
    return tuple(word for line in words.splitlines() for piece in line.split(",") if (word := piece.strip()))


_HEADINGS: dict[Role, str] = {
    Role.CHARACTERISTIC: """
        characteristic, characteristics, characteristic name, dimension, dimensions, dimension name,
        dim, feature, feature name, name, description, size, item, inspection item, measured item,
        check item
        Merkmal, Merkmale, Merkmalsname, Merkmalsbezeichnung, Prüfmerkmal, Maß, Mass, Maße,
        Maßbezeichnung, Bezeichnung, Benennung, Abmessung
        尺寸, 尺寸名称, 尺寸描述, 项目, 项目名称, 检验项目, 测量项目, 检测项目, 检查项目, 特性,
        特性名称, 特征, 名称, 描述
    """,
    Role.NUMBER: """
        no, nr, number, #, item no, item number, balloon, balloon no, balloon number, bubble, bubble no,
        dim no, dimension no, dimension number, characteristic no, characteristic number, char no, pos,
        pos no
        Nummer, lfd Nr, laufende Nummer, Merkmal-Nr, Merkmalsnummer, Merkmalnummer, Merkmals-Nr, Maß-Nr,
        Maßnummer, Prüfmerkmal-Nr, Position Nr
        序号, 编号, 号码, 尺寸编号, 尺寸序号, 尺寸号, 气泡号, 球标, 球标号, 项次, 项目编号, 特性编号
    """,
    Role.CAVITY: """
        cavity, cavities, cav, cavity no, cavity number, cavity nr, cavity #, cav no, cav nr, cav #,
        impression, impression no
        Kavität, Kavitaet, Kavitäten, Kav, Kavität Nr, Kavitaet Nr, Kav Nr, Kavitätsnummer, Nest,
        Nest-Nr, Nestnummer, Formnest, Formnest-Nr
        穴, 穴号, 穴位, 模穴, 模穴号, 型腔, 型腔号, 模腔, 模腔号, 腔, 腔号
    """,
    Role.SHOT: """
        shot, shots, shot no, shot number, shot nr, shot #, press cycle, cycle no, cycle number
        Schuss, Schuß, Schuss-Nr, Schussnummer, Schuss Nummer, Zyklus, Zyklus-Nr, Zyklusnummer
        模次, 模次号, 模次编号, 射次, 注塑次数
    """,
    Role.PART: """
        part, parts, part no, part number, part #, part nr, sample, samples, sample no, sample number,
        sample #, piece, pieces, piece no, pc, pcs, specimen, specimen no
        Teil, Teile, Teil-Nr, Teilenummer, Teilnummer, Teile-Nr, Muster, Muster-Nr, Musternummer, Stück,
        Stück-Nr, Probe, Probe-Nr, Proben-Nr, Messteil
        样品, 样品号, 样品编号, 样件, 样件号, 样本, 样本号, 件号, 工件, 工件号, 产品
    """,
    Role.VALUE: """
        value, values, measured value, measured values, measured, measurement, measurements,
        measured size, actual, actual value, actual values, actual size, reading, readings, data
        Wert, Werte, Messwert, Messwerte, Istwert, Istwerte, Ist, Istmaß, Istmaße, gemessen, Messung,
        Messungen
        实测值, 测量值, 实测, 测定值, 检测值, 实测数据, 测量数据, 检测数据, 实际值, 实际尺寸, 实测尺寸,
        数据, 数值
    """,
    Role.NOMINAL: """
        nominal, nominal value, nominal size, nominal dimension, nom, nom value, spec, specification,
        target, target value, drawing dimension, drawing value, drawing size, requirement, required,
        basic size
        Nennmaß, Nennmass, Nennwert, Soll, Sollwert, Sollmaß, Vorgabe, Zeichnungsmaß, Spezifikation,
        Forderung
        标准值, 标准, 标准尺寸, 名义值, 名义尺寸, 标称值, 标称尺寸, 公称值, 公称尺寸, 规格, 规格值,
        图纸尺寸, 图面尺寸, 设计值, 基准值, 要求, 理论值, 基本尺寸
    """,
    Role.UPPER_LIMIT: """
        upper limit, upper, upper spec limit, upper specification limit, usl, upper tolerance limit,
        utl, high limit, hi limit, max limit, maximum limit, limit max, upper size
        OGW, oberer Grenzwert, obere Grenze, oberes Grenzmaß, Höchstmaß, Größtmaß, obere Toleranzgrenze,
        OTG, obere Spezifikationsgrenze, OSG, Grenze oben
        上限, 上限值, 规格上限, 上规格限, 尺寸上限, 公差上限, 最大极限尺寸
    """,
    Role.LOWER_LIMIT: """
        lower limit, lower, lower spec limit, lower specification limit, lsl, lower tolerance limit,
        ltl, low limit, lo limit, min limit, minimum limit, limit min, lower size
        UGW, unterer Grenzwert, untere Grenze, unteres Grenzmaß, Mindestmaß, Kleinstmaß,
        untere Toleranzgrenze, UTG, untere Spezifikationsgrenze, USG, Grenze unten
        下限, 下限值, 规格下限, 下规格限, 尺寸下限, 公差下限, 最小极限尺寸
    """,
    Role.UPPER_DEVIATION: """
        upper tolerance, upper tol, tolerance +, tol +, + tolerance, + tol, plus tolerance, plus tol,
        tol plus, tolerance plus, upper deviation, tolerance upper, tol upper
        obere Toleranz, ob Toleranz, Toleranz +, oberes Abmaß, ob Abmaß, Toleranz oben, Plustoleranz
        上公差, 上偏差, 正公差, 公差 +, 公差+, 公差 上, 公差上
    """,
    Role.LOWER_DEVIATION: """
        lower tolerance, lower tol, tolerance -, tol -, - tolerance, - tol, minus tolerance, minus tol,
        tol minus, tolerance minus, lower deviation, tolerance lower, tol lower
        untere Toleranz, unt Toleranz, Toleranz -, unteres Abmaß, unt Abmaß, Toleranz unten,
        Minustoleranz
        下公差, 下偏差, 负公差, 公差 -, 公差-, 公差 下, 公差下
    """,
    Role.TOLERANCE: """
        tolerance, tolerances, tol, tol ±, tolerance ±, ± tolerance, ± tol, ±
        Toleranz, Toleranzen, Toleranz ±, ± Toleranz
        公差, 公差 ±, 公差±, 允差, 公差范围
    """,
    Role.UNIT: """
        unit, units, unit of measure, uom
        Einheit, Einheiten, Maßeinheit
        单位
    """,
    Role.RESULT: """
        result, results, test result
        Ergebnis, Ergebnisse, Messergebnis, Prüfergebnis
        结果, 测量结果, 检测结果, 检验结果
    """,
    Role.VERDICT: """
        ok/ng, ok ng, ok/nok, ok nok, ok?, judgement, judgment, judge, verdict, decision, pass/fail,
        pass fail, accept, accepted, accept/reject, status, conformity, conforms
        Urteil, Bewertung, Beurteilung, iO/niO, i.O./n.i.O., iO, i.O., Entscheid, Entscheidung, Befund
        判定, 判断, 结论, 合格, 是否合格, 合格否, 判定结果
    """,
    Role.MAXIMUM: """
        max, maximum, max value, largest
        größter Wert, Maximalwert
        最大, 最大值
    """,
    Role.MINIMUM: """
        min, minimum, min value, smallest
        kleinster Wert, Minimalwert
        最小, 最小值
    """,
    Role.STATISTIC: """
        mean, mean value, average, average value, avg, ave, x bar, xbar, x̄, x̅, median, range, sigma,
        σ, 1σ, 3σ, 6σ, 3 sigma, 6 sigma, sd, stdev, std, std dev, standard deviation, st dev, cp, cpk,
        pp, ppk, cmk, count, sum, total, variance
        Mittelwert, Mittel, Mittelw, MW, Durchschnitt, Spannweite, Streuung, Standardabweichung, Stdabw,
        Std-Abw, Anzahl, Summe, Varianz
        平均, 平均值, 均值, 极差, 标准差, 标准偏差, 合计, 总计, 中位数, 方差
    """,
    Role.OFFSET: """
        deviation, dev, difference, diff, delta, δ, offset, error, out of tolerance, oot
        Abweichung, Abw, Differenz, Diff, Soll-Ist
        偏差, 差值, 误差, 超差, 超差值
    """,
    Role.TIME: """
        time, date, date/time, date time, timestamp, measured at, measured on, clock
        Datum, Zeit, Uhrzeit, Datum/Zeit, Datum Uhrzeit, Messzeit, Messdatum, Zeitstempel
        时间, 日期, 测量时间, 检测时间, 测量日期, 检测日期, 检验日期
    """,
    Role.OPERATOR: """
        operator, inspector, measured by, inspected by, checked by, appraiser, name of inspector
        Prüfer, Bediener, Werker, gemessen von, geprüft von
        操作员, 操作者, 检验员, 测量员, 检测员, 检测人, 测量人, 检验人, 测量者
    """,
    Role.GAUGE: """
        gauge, gage, instrument, measuring instrument, measuring equipment, equipment, method,
        measuring method, inspection method, device
        Messmittel, Prüfmittel, Messgerät, Messverfahren, Prüfmethode, Methode
        量具, 量测工具, 测量工具, 检测工具, 检具, 仪器, 测量仪器, 设备, 测量方法, 检测方法
    """,
    Role.REMARK: """
        remark, remarks, comment, comments, note, notes
        Bemerkung, Bemerkungen, Kommentar, Kommentare, Notiz, Notizen, Anmerkung
        备注, 说明, 注, 备考
    """,
    Role.OTHER: """
        type, kind, symbol, quantity, qty, page, frequency, material, resin, lot, lot no, batch,
        batch no, colour, color, machine, machine no, press,
        press no, trial, tool, tool no, mould, mold, mould no, mold no, zone, sheet, view, section,
        class, weight class, importance, serial, serial no, serial number, id, drawing no, revision,
        rev, part name, product name, product, customer
        Art, Typ, Symbol, Menge, Seite, Werkstoff, Charge, Chargen-Nr, Los, Los-Nr, Farbe, Maschine,
        Maschinen-Nr, Presse, Versuch,
        Werkzeug, Werkzeug-Nr, Form, Feld, Blatt, Ansicht, Schnitt, Klasse, Seriennummer, Zeichnungs-Nr,
        Zeichnungsnummer, Änderungsstand, Teilename, Teilebezeichnung, Kunde
        类型, 类别, 符号, 数量, 页, 页码, 频次, 材料, 原料, 批号, 批次, 颜色, 机台, 机台号, 机器, 模具,
        模具编号, 模号, 图区, 区域, 视图, 等级,
        重要度, 流水号, 图号, 版本, 产品名称, 零件名称, 客户
    """,
}

HEADING_WORDS: dict[Role, tuple[str, ...]] = {role: _split(words) for role, words in _HEADINGS.items()}
"""The words for each role, as they are written."""

ROLE_OF: dict[str, Role] = {
    heading_key(word): role for role, words in HEADING_WORDS.items() for word in words
}
"""The role for each word in the form `heading_key` gives it."""


def _keys(words: str) -> frozenset[str]:
    return frozenset(word.casefold() for word in _split(words))


MISSING = _keys("""
    -, --, ---, ----, /, //, \\, n/a, na, n.a., n. a., n.a, none, null, not measured, nm., n.m., k.a.,
    k. a., keine angabe, nicht gemessen, entfällt, 无, 未测, 无数据, 空, 缺, 未测量
""") | {""}
"""Cells that say that there is no reading."""

JUDGED_GOOD = _keys("""
    ok, o.k., pass, passed, good, accept, accepted, yes, go, i.o., io, in ordnung, gut, √, ✓, ✔, 合格,
    良, 是, 合
""")
JUDGED_BAD = _keys("""
    ng, n.g, n.g., nok, not ok, n.ok, fail, failed, bad, reject, rejected, no, nogo, no go, no-go, n.i.o.,
    nio, n.i.o, nicht in ordnung, schlecht, ausschuss, ×, ✗, ✘, 不合格, 不良, 否, 超差
""")
"""Cells that judge instead of giving a reading."""

BEYOND_THE_GAUGE = _keys("""
    ool, oor, ol, o.l., o.l, ovl, ovr, over, over range, overrange, over limit, out of limit,
    out of limits, out of range, under, under range, underrange, ur, err, err., error, e, fault,
    überlauf, fehler, messbereich überschritten, 超量程, 超出量程, 超限, 溢出, 错误
""")
"""What a gauge shows when it could not measure."""

SPREADSHEET_ERRORS = _keys("""
    #n/a, #nv, #value!, #wert!, #div/0!, #ref!, #bezug!, #name?, #num!, #zahl!, #null!
""")
"""What a spreadsheet shows where a formula failed."""
