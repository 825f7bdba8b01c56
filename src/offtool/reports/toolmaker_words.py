"""What the toolmaker reads, in English and Simplified Chinese: labels of the sheet, and words of the data.

Terms are those of mould shops; common practice, no source.
"""

from __future__ import annotations

import re
from datetime import date

from offtool.reports import words

LABELS: dict[str, tuple[str, str]] = {
    "sheet": ("Steel-change sheet", "钢料修改单"),
    "programme": ("Programme", "项目"),
    "tool": ("Tool", "模具"),
    "state": ("Tool state before", "修前模具状态"),
    "trial": ("From trial", "依据试模"),
    "date": ("Date", "日期"),
    "trial_date": ("Trial of", "试模日期"),
    "made_by": ("Made by", "制表"),
    "units": ("All sizes mm, steel at 23 °C", "所有尺寸单位 mm，钢料温度 23 °C"),
    "step": ("Toolmaker's step", "加工最小步距"),
    "worked_out": ("Worked out with", "计算"),
    "decided": ("Decided: to be cut", "已确定，按此加工"),
    "done": ("Cut already: do not cut again", "已加工完成，请勿再次加工"),
    "proposed": ("Proposal: do not cut before it is decided", "建议稿，确定之前请勿加工"),
    "nothing": ("No steel is changed.", "本次不修改钢料。"),
    "all_changes": ("All changes", "全部修改"),
    "legend": (
        "Drawings: hatched, steel; plain, part; white, removed; grey, added",
        "示意图：斜线为钢料，素色为零件，白条为去除，灰条为增加",
    ),
    "legend_lines": (
        "full line, before; broken line, after; not to scale",
        "实线为修前，虚线为修后，不按比例",
    ),
    "legend_bars": (
        "Bars: limits of the part; open dot, now; filled dot, expected next",
        "横条：零件公差；空心点为现在，实心点为预计下次试模",
    ),
    "number": ("No.", "序号"),
    "feature": ("Steel feature", "钢料部位"),
    "half": ("Half", "位置"),
    "part": ("Part", "零件"),
    "cavity": ("Cavity", "模穴"),
    "amount": ("Amount", "修改量"),
    "before": ("before", "修前"),
    "after": ("after", "修后"),
    "steel": ("Steel", "钢料"),
    "remove": ("REMOVE STEEL", "去除钢料"),
    "add": ("ADD STEEL", "加钢料"),
    "remove_short": ("remove", "去除"),
    "add_short": ("add", "增加"),
    "by_insert": ("by a new pin or insert", "换新镶针或镶件"),
    "by_welding": ("by welding and cutting again", "补焊后重新加工"),
    "larger": ("part size gets LARGER", "零件尺寸变大"),
    "smaller": ("part size gets SMALLER", "零件尺寸变小"),
    "becomes": ("Part size", "零件尺寸"),
    "larger_short": ("LARGER", "变大"),
    "smaller_short": ("SMALLER", "变小"),
    "size": ("Size of the part", "零件尺寸"),
    "now": ("now", "现在"),
    "expected": ("expected", "预计"),
    "limits": ("limits", "公差"),
    "reason": ("Reason", "原因"),
    "stops_short": ("Not the whole way", "未修到位"),
    "allowance": ("Allowance left after", "修后余量"),
    "which_end": (
        "At which end: as the tool drawing says; if it does not say, ask.",
        "加工哪一端：按模具图；图上没有注明时，请先询问。",
    ),
    "correction": ("Correction", "修改编号"),
    "measured_after": ("Steel measured after", "修后实测"),
    "signature": ("Signature", "签名"),
    "no_expectation": (
        "The readings have changed since this was decided: no expectation.",
        "确定之后测量数据有变化：不给出预计值。",
    ),
    "not_changed": ("What is NOT changed", "不修改的部位"),
    "must_not_move": (
        "All steel that is not listed above stays as it is and must not move.",
        "以上没有列出的钢料一律保持原样，不得改动。",
    ),
    "known": (
        "These sizes do not hold yet; their steel is still left alone:",
        "以下尺寸尚未合格，但其钢料暂不改动：",
    ),
    "not_decided": (
        "Proposed, but not decided. Do not cut:",
        "已建议但未确定，请勿加工：",
    ),
    "cut_already": (
        "Cut already. Do not cut again:",
        "已加工，请勿再次加工：",
    ),
    "no_longer_asked": (
        "Decided, but the readings no longer ask for it. Ask before cutting:",
        "已确定，但测量数据不再要求修改，加工前请先询问：",
    ),
    "why": ("Why", "原因"),
    "instead": ("Instead", "改为"),
    "shrinkage": ("Shrinkage", "收缩率"),
    "resin": ("Resin", "材料"),
    "direction": ("Direction", "方向"),
    "allowed": ("allowed", "设计"),
    "found": ("found", "实测"),
    "explains": ("explains", "可解释"),
    "says": ("verdict", "结论"),
    "as_allowed": ("as allowed for", "与设计相符"),
    "not_as_allowed": ("not as allowed for", "与设计不符"),
    "taken_in": (
        "not as allowed for; the amounts above take it into account",
        "与设计不符；以上修改量已计入",
    ),
    "sizes_of": ("{explains} of {sizes} sizes", "{sizes} 个尺寸中的 {explains} 个"),
    "cautions": ("Cautions", "注意事项"),
    "no_steel": (
        "No steel is removed or added. Return the tool as it is.",
        "不去除也不增加钢料。模具保持原样交回。",
    ),
    "page": ("page {page} of {pages}", "第 {page} 页，共 {pages} 页"),
    "not_given": ("not given", "未填"),
}
"""Labels and fixed sentences, each (English, Chinese)."""

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Measure the steel before you begin. Where it is not the size before within 0.01 mm, stop and ask.",
        "开始加工前先测量钢料。与“修前”尺寸相差超过 0.01 mm 时，请停止并询问。",
    ),
    (
        "Remove less rather than more: steel that is gone does not come back.",
        "宁少勿多：去掉的钢料补不回来。",
    ),
    (
        "Cut to the steel size, never to the size of the part: the part shrinks.",
        "按钢料尺寸加工，不要按零件尺寸加工：零件会收缩。",
    ),
    (
        "Measure the steel before the tool is closed, at 23 °C, and write it in the box.",
        "合模前在 23 °C 测量钢料，并填入方框。",
    ),
    (
        "Give back polish, texture and draft as they were.",
        "抛光、纹理和拔模斜度按原样恢复。",
    ),
    (
        "Ask when anything is unclear. Do not guess.",
        "有任何不清楚，请先询问，不要猜测。",
    ),
)
"""What holds for every sheet; common practice, no source."""

CHINESE: dict[str, str] = {
    "cavity half": "型腔侧",
    "core half": "型芯侧",
    "slide": "滑块",
    "insert": "镶件",
    "on diameter": "直径",
    "per side": "单边",
    "in length": "长度",
    "flow": "流动方向",
    "cross": "垂直流动方向",
    "thickness": "厚度方向",
    "direction not given": "方向未注明",
    "steel left on purpose": "预留的钢料",
    "steel cut inaccurately": "钢料加工有误差",
    "shrinkage": "收缩率与设计不符",
    "local shrinkage": "此处收缩与同方向其他尺寸不同",
    "one cavity": "此模穴收缩与其他模穴不同",
    "mixed": "多种原因",
    "noise": "偏差在波动之内",
    "not told apart": "钢料与收缩无法区分",
    "the steel-safe allowance ends there": "余量到此为止",
    "more could overshoot the far limit": "再多可能超过另一极限",
    "steel would have to be added, for too little gain": "需要加钢料，收益太小",
    "the spread is too wide: no steel makes it hold": "波动太大，修改钢料不能使其合格",
    "no steel feature is recorded that moves it": "没有登记影响此尺寸的钢料部位",
    "say which steel forms it, and which way it moves": "请说明由哪处钢料成型、向哪个方向变化",
    "its steel was never measured: steel and shrinkage cannot be told apart": "钢料未测量，无法与收缩区分",
    "it stands well, too few parts show it": "位置良好，但测量件数太少",
    "measure more parts": "请多测量一些零件",
    "no cut makes it more likely to hold": "修改钢料不会使其更可能合格",
    "reduce the spread, or ask for wider limits": "减小波动，或申请放宽公差",
    "a new insert, or welding and cutting again: decide with the toolmaker": "换镶件或补焊：与模具师商定",
    "a new insert, other settings, or other limits": "换镶件，或改工艺参数，或改公差",
    "ask the toolmaker for a finer cut, or reduce the spread first": "请加工更细，或先减小波动",
    "reduce the spread in the process first, or ask for wider limits": "先减小波动，或放宽公差",
}
"""Words and sentences that come with the data."""

PATTERNS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"measure (?P<what>.+) in the steel"), "请测量钢料：{what}"),
    (
        re.compile(r"(?P<what>.+) is (?P<mm>[\d.]+) mm small(?:: (?P<because>.+))?"),
        "{what} 偏小 {mm} mm{because}",
    ),
    (
        re.compile(r"(?P<what>.+) is (?P<mm>[\d.]+) mm large(?:: (?P<because>.+))?"),
        "{what} 偏大 {mm} mm{because}",
    ),
    (
        re.compile(
            r"(?P<what>.+) is (?P<mm>[\d.]+) mm small for what joint (?P<joint>.+?) asks of it"
            r"(?:: (?P<because>.+))?"
        ),
        "按配合 {joint} 的要求，{what} 偏小 {mm} mm{because}",
    ),
    (
        re.compile(
            r"(?P<what>.+) is (?P<mm>[\d.]+) mm large for what joint (?P<joint>.+?) asks of it"
            r"(?:: (?P<because>.+))?"
        ),
        "按配合 {joint} 的要求，{what} 偏大 {mm} mm{because}",
    ),
    (re.compile(r"(?P<what>.+) does not stand where it holds"), "{what} 不在合格的位置"),
    (
        re.compile(r"only (?P<count>\d+) sizes? in this direction: shrinkage is not well pooled"),
        "此方向只有 {count} 个尺寸：收缩率不够可靠",
    ),
)
"""Sentences that carry names and numbers."""


def label(name: str, **values: object) -> tuple[str, str]:
    """A label in both languages."""
    english, chinese = LABELS[name]
    return english.format(**values), chinese.format(**values)


def chinese(text: str) -> str:
    """A word or sentence of the data in Chinese; empty where there is no translation."""
    if text in CHINESE:
        return CHINESE[text]
    for pattern, wording in PATTERNS:
        if found := pattern.fullmatch(text):
            given = {name: value or "" for name, value in found.groupdict().items()}
            if given.get("because"):
                given["because"] = f"：{chinese(given['because']) or given['because']}"
            return wording.format(**given)
    return ""


def both(text: str) -> tuple[str, str]:
    """Words of the data in both languages; what has no translation stands in English alone."""
    return text, chinese(text)


def day_in_both(when: date | None) -> tuple[str, str]:
    """14 March 2026, 2026年3月14日."""
    if when is None:
        return label("not_given")
    return words.day(when), f"{when.year}年{when.month}月{when.day}日"
