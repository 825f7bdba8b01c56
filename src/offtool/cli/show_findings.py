"""The findings of a trial on the terminal: the verdict, what to do, why, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from offtool.cli.limit_bar import KEY, limit_bars
from offtool.cli.shared_lines import cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.core.inspection import CavityFinding
from offtool.core.values import Verdict
from offtool.reports.words import between, day, number, percent, reach
from offtool.steps.findings import JudgedSize, PredictionSeen, TrialFindings

WIDEST_BAR, NARROWEST_BAR = 41, 21
BESIDE_THE_BAR = 62
"""Columns that the numbers beside a bar take."""


def findings_lines(found: TrialFindings, *, everything: bool) -> list[str]:
    """All lines; `everything` shows every cavity of the sizes that hold and every prediction as well."""
    hold = [size for size in found.sizes if size.verdict is Verdict.HOLDS]
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    if found.sizes:
        lines += [*heading("Why"), *paragraph(KEY, width=width(), indent="  ")]
    for size in found.sizes:
        if size.verdict is not Verdict.HOLDS:
            lines += _cavity_by_cavity(size)
    if hold:
        lines += heading(f"{counted(len(hold), 'size')} {'holds' if len(hold) == 1 else 'hold'}")
        lines += [line for size in hold for line in _cavity_by_cavity(size)] if everything else _in_short(hold)
    lines += _predictions(found.predictions, everything=everything)
    if found.rests_on:
        rows = [[fact.about, fact.says] for fact in found.rests_on]
        lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _which(found: TrialFindings) -> str:
    tool = found.tool if found.tool_name in ("", found.tool) else f"{found.tool} ({found.tool_name})"
    facts = [
        f"shot {day(found.shot_on)}" if found.shot_on else "",
        f"press {found.press}" if found.press else "",
        found.colour,
        f"measured after {found.age_h:g} h" if found.age_h is not None else "",
    ]
    trial = f"{found.programme_title}, tool {tool} in state {found.state}, trial {found.trial}"
    return ", ".join([trial, *(fact for fact in facts if fact)]) + "."


def _cavity_by_cavity(size: JudgedSize) -> list[str]:
    finding = size.finding
    rows = [
        [cavity.cavity or "?", bar, *_numbers(cavity, size)]
        for cavity, bar in zip(finding.cavities, _bars(size, finding.cavities), strict=True)
    ]
    head = ["", "", f"mean in {size.unit}", "95 %", "sd", "parts", _index_heading(size), ""]
    why = paragraph(size.why, width=width(), indent="    ") if size.why else []
    return ["", *_title(size), *why, *table([head, *rows], width=width(), sides=">>>>>>>>", indent=4)]


def _title(size: JudgedSize) -> list[str]:
    asked = between(size.finding.lower, size.finding.upper, decimals=size.decimals)
    what = " ".join(f"{size.part} {size.number} {size.name}".split())
    said = f"{what}, {asked} {size.unit}, {size.weight_class}: {size.verdict.value}"
    return paragraph(said, width=width(), indent="    ", first="  ")


def _numbers(cavity: CavityFinding, size: JudgedSize) -> list[str]:
    return [
        number(cavity.mean, size.decimals),
        f"± {reach(cavity.interval.half_width, size.decimals)}",
        number(cavity.sd, size.decimals + 1),
        str(cavity.parts),
        _index(cavity, size),
        "" if cavity.verdict is size.verdict else cavity.verdict.value,
    ]


def _index_heading(size: JudgedSize) -> str:
    required = size.finding.required_index
    return "outside" if required is None else f"Ppk (at least), {number(required, 2)} asked"


def _index(cavity: CavityFinding, size: JudgedSize) -> str:
    if size.finding.required_index is None:
        return f"{cavity.parts_outside} of {cavity.parts}"
    return "none" if cavity.index is None else f"{number(cavity.index.value, 2)} ({number(cavity.index.low, 2)})"


def _bars(size: JudgedSize, cavities: Sequence[CavityFinding]) -> list[str]:
    columns = max(NARROWEST_BAR, min(width() - BESIDE_THE_BAR, WIDEST_BAR))
    return limit_bars(size.finding, cavities, columns=columns)


def _in_short(sizes: Sequence[JudgedSize]) -> list[str]:
    """A line a size, with the bar of the cavity that comes nearest to failing."""
    rows = []
    for size in sizes:
        worst = min(size.finding.cavities, key=_strength)
        which = f"cavity {worst.cavity or '?'}" if len(size.finding.cavities) > 1 else ""
        index = _index(worst, size) if size.finding.required_index is None else f"Ppk {_index(worst, size)}"
        rows.append([f"{size.part} {size.number}", *_bars(size, [worst]), which, index, size.name])
    return table(rows, width=width(), indent=2)


def _strength(cavity: CavityFinding) -> float:
    if cavity.index is not None:
        return cavity.index.low
    return -inf if cavity.parts_outside else inf


def _predictions(seen: Sequence[PredictionSeen], *, everything: bool) -> list[str]:
    shown = [one for one in seen if everything or one.judged.outcome == "refuted"]
    if not shown:
        return []
    rows = [
        [one.size, f"cavity {one.cavity}", f"{number(one.low, one.decimals)} to {number(one.high, one.decimals)}",
         f"found {number(one.judged.observed_mean, one.decimals)} {one.unit}", one.judged.outcome.value]
        for one in shown
    ]  # fmt: skip
    which = "Predictions" if everything else "Refuted predictions"
    title = f"{which} of {shown[0].made_at}, with {percent(shown[0].confidence, 0)} intervals"
    return [*heading(title), *table(rows, width=width(), indent=2)]
