"""The findings of a trial on the terminal: the verdict, what to do, why, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from offtool.cli.limit_bar import KEY, limit_bars
from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import GAP, LEAST_LAST_COLUMN, flow, paragraph, table, widths
from offtool.core.inspection import CavityFinding
from offtool.core.values import Verdict
from offtool.reports.words import between, day, number, percent, reach
from offtool.steps.findings import JudgedSize, PredictionSeen, TrialFindings

WIDEST_BAR, NARROWEST_BAR = 41, 15
ROOM_FOR_ALL = 80
"""Columns from which spread and number of parts stand beside the bar too."""
INDENT = 4


def findings_lines(found: TrialFindings, *, everything: bool) -> list[str]:
    """All lines; `everything` shows every cavity of the sizes that hold and every prediction as well."""
    hold = [size for size in found.sizes if size.verdict is Verdict.HOLDS]
    open_ = [size for size in found.sizes if size.verdict is not Verdict.HOLDS]
    bar = _bar_columns(found.sizes if everything else open_)
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    if found.sizes:
        lines += [*heading("Why"), *flow(KEY, width=width(), indent="  ")]
    lines += [line for size in open_ for line in _cavity_by_cavity(size, bar)]
    if hold:
        lines += heading(f"{counted(len(hold), 'size')} {'holds' if len(hold) == 1 else 'hold'}")
        lines += (
            [line for size in hold for line in _cavity_by_cavity(size, bar)]
            if everything
            else _in_short(hold)
        )
    lines += _readings(found)
    lines += _cavities(found, everything=everything)
    lines += _at_press(found)
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


def _cavity_by_cavity(size: JudgedSize, bar: int) -> list[str]:
    finding = size.finding
    bars = limit_bars(finding, finding.cavities, columns=bar)
    labels = [cavity.cavity or "?" for cavity in finding.cavities]
    head, *rows = _numbers(size)
    rows = [[label, one, *row] for label, one, row in zip(labels, bars, rows, strict=True)]
    why = paragraph(size.why, width=width(), indent=" " * INDENT) if size.why else []
    numbers = table([["", "", *head], *rows], width=width(), sides=">" * 7, indent=INDENT)
    return ["", *_title(size), *why, *numbers]


def _title(size: JudgedSize) -> list[str]:
    required = size.finding.required_index
    asked = between(size.finding.lower, size.finding.upper, decimals=size.decimals)
    index = "each part inside" if required is None else f"Ppk {number(required, 2)} asked"
    said = f"{name_of(size)}, {asked} {size.unit}, {size.weight_class}, {index}: {size.verdict.value}"
    return paragraph(said, width=width(), indent=" " * INDENT, first="  ".ljust(INDENT - 2))


def name_of(size: JudgedSize) -> str:
    """Part, number and name of a size."""
    return " ".join(f"{size.part} {size.number} {size.name}".split())


def _numbers(size: JudgedSize) -> list[list[str]]:
    """The columns beside the bars of a size, with their heading."""
    d, asked = size.decimals, size.finding.required_index
    rows = [["mean", "95 %", "sd", "parts", "outside" if asked is None else "Ppk (at least)"]] + [
        [number(one.mean, d), f"± {reach(one.interval.half_width, d)}", number(one.sd, d + 1), str(one.parts),
         _index(one, size)]
        for one in size.finding.cavities
    ]  # fmt: skip
    return rows if width() >= ROOM_FOR_ALL else [[*row[:2], row[-1]] for row in rows]


def _bar_columns(sizes: Sequence[JudgedSize]) -> int:
    """As much as the numbers of all these sizes leave, so that all bars are alike."""
    beside = 0
    for size in sizes:
        labels = ["", *(cavity.cavity for cavity in size.finding.cavities)]
        columns = widths([[label, *row] for label, row in zip(labels, _numbers(size), strict=True)])
        beside = max(beside, INDENT + sum(columns) + GAP * len(columns))
    return _bar_within(beside)


def _bar_within(beside: int) -> int:
    return max(NARROWEST_BAR, min(width() - beside, WIDEST_BAR))


def _index(cavity: CavityFinding, size: JudgedSize) -> str:
    if size.finding.required_index is None:
        return f"{cavity.parts_outside} of {cavity.parts}"
    return (
        "none" if cavity.index is None else f"{number(cavity.index.value, 2)} ({number(cavity.index.low, 2)})"
    )


def _in_short(sizes: Sequence[JudgedSize]) -> list[str]:
    """A line a size, with the bar of the cavity that comes nearest to failing."""
    worst = [min(size.finding.cavities, key=_strength) for size in sizes]
    rows = [
        [f"{size.part} {size.number}",
         f"cavity {cavity.cavity or '?'}" if len(size.finding.cavities) > 1 else "",
         f"{'outside' if size.finding.required_index is None else 'Ppk'} {_index(cavity, size)}"]
        for size, cavity in zip(sizes, worst, strict=True)
    ]  # fmt: skip
    bar = _bar_within(GAP + sum(widths(rows)) + GAP * 4 + LEAST_LAST_COLUMN)
    drawn = [
        limit_bars(size.finding, [cavity], columns=bar)[0] for size, cavity in zip(sizes, worst, strict=True)
    ]
    return table(
        [[row[0], one, *row[1:], size.name] for row, one, size in zip(rows, drawn, sizes, strict=True)],
        width=width(), indent=GAP,
    )  # fmt: skip


def _strength(cavity: CavityFinding) -> float:
    if cavity.index is not None:
        return cavity.index.low
    return -inf if cavity.parts_outside else inf


def _at_press(found: TrialFindings) -> list[str]:
    """What is open at the press; `offtool look --list` shows all of it."""
    if found.at_press is None:
        return []
    open_ = [
        f"{one.what}{f', cavity {one.cavity}' if one.cavity else ''}: {one.says}"
        for one in found.at_press.open
    ]
    return [*heading("Seen at the press"), *sentence(found.at_press.headline), *bullets(open_)]


def _readings(found: TrialFindings) -> list[str]:
    """Readings that stand apart, and those that a person left out."""
    decimals = {f"{size.part} {size.number}": size.decimals for size in found.sizes}
    lines: list[str] = []
    for title, readings in (("Readings that stand apart", found.pointed_at), ("Left out", found.left_out)):
        rows = [
            [one.size, f"cavity {one.cavity}" if one.cavity else "",
             "" if one.shot is None else f"shot {one.shot}",
             number(one.value, decimals.get(one.size, 4)),
             f"{one.cell}: {one.reason}" if one.reason else one.cell]
            for one in readings
        ]  # fmt: skip
        lines += [*heading(title), *table(rows, width=width(), sides="<<<>", indent=2)] if rows else []
    return lines


def _cavities(found: TrialFindings, *, everything: bool) -> list[str]:
    """How many sizes have cavities that differ by more than chance; which, when all is asked for."""
    if found.cavities is None or not found.cavities.differ:
        return []
    asked, chance_alone = found.cavities.sizes, number(found.cavities.false_alarms, 1)
    title = f"Cavities differ by more than chance in {len(found.cavities.differ)} of {counted(asked, 'size')}"
    rows = [
        [one.size, f"cavities {one.low_cavity} and {one.high_cavity}",
         f"{number(one.difference, one.decimals)} {one.unit} apart"]
        for one in found.cavities.differ
    ]  # fmt: skip
    said = f"By chance alone about {chance_alone} would seem to. --size SIZE shows one in depth."
    return [
        *heading(title),
        *paragraph(said, width=width(), indent="  "),
        *(table(rows, width=width(), indent=2) if everything else []),
    ]


def _predictions(seen: Sequence[PredictionSeen], *, everything: bool) -> list[str]:
    shown = [one for one in seen if everything or one.judged.outcome == "refuted"]
    if not shown:
        return []
    rows = [
        [one.size, f"cavity {one.cavity}",
         f"{number(one.low, one.decimals)} to {number(one.high, one.decimals)}",
         f"found {number(one.judged.observed_mean, one.decimals)} {one.unit}", one.judged.outcome.value]
        for one in shown
    ]  # fmt: skip
    which = "Predictions" if everything else "Refuted predictions"
    title = f"{which} of {shown[0].made_at}, with {percent(shown[0].confidence, 0)} intervals"
    return [*heading(title), *table(rows, width=width(), indent=2)]
