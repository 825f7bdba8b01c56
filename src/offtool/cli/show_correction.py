"""The correction of a tool on the terminal: what to cut, what is left alone, what both rest on."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.reports.words import between, chance, decimals_to_write, listed, number, percent, span
from offtool.steps.steel_changes import DirectionShrinkage, SizeExpected, SteelChange, ToolCorrection

WAYS = {"flow": "along flow", "cross": "across flow", "thickness": "through the wall"}
STATED = {"diameter": "on diameter", "per side": "per side", "length": "in length"}
STEEL_DECIMALS = 3


def correction_lines(found: ToolCorrection) -> list[str]:
    """All lines: the cuts feature by feature, a line a cavity; then what is not cut and why."""
    tool = found.tool if found.tool_name in ("", found.tool) else f"{found.tool} ({found.tool_name})"
    lines = [
        *sentence(found.headline),
        *sentence(f"{found.programme_title}, tool {tool} in state {found.state}, after trial {found.trial}."),
    ]
    for _, changes in groupby(found.changes, key=lambda one: one.feature):
        lines += _feature(list(changes))
    if found.not_changed:
        lines += [*heading("Not cut"), *bullets([
            f"{_size(one.part, one.number, one.name)}, {_cavities(one.cavities)}: {one.why}; {one.remedy}."
            for one in found.not_changed
        ])]  # fmt: skip
    lines += [*heading("What it rests on"), *table(_rests_on(found), width=width(), indent=2)]
    return [*lines, *cautions(found.cautions), *_kept(found)]


def _feature(changes: Sequence[SteelChange]) -> list[str]:
    """The cuts of one feature: a table of the steel, and below it what each size gets."""
    one = changes[0]
    where = f"{one.half} of {_size(one.part, '', one.part_name)}"
    title = f"{one.feature}  {one.feature_name}, {where}; amounts {STATED.get(one.stated, one.stated)}"
    lines = ["", *paragraph(title, width=width(), indent="    ", first="  ")]
    head = ["cavity", "cut", "steel in mm", "left", "holds after"]
    lines += table([head, *map(_steel, changes)], width=width(), sides=">", indent=4)
    for size in dict.fromkeys((each.part, each.number) for change in changes for each in change.expected):
        lines += _moved(size, changes)
    return lines + _reasons(changes)


def _steel(change: SteelChange) -> list[str]:
    before, after = (number(size, STEEL_DECIMALS) for size in (change.size_before_mm, change.size_after_mm))
    left = number(change.allowance_left_mm, STEEL_DECIMALS)
    return [change.cavity, amount(change.amount_mm), f"{before} → {after}", left,
            f"{chance(change.holds_after)}, now {chance(change.holds_now)}"]  # fmt: skip


def amount(amount_mm: float) -> str:
    """remove 0.03, add 0.015."""
    size = abs(amount_mm)
    return f"{'remove' if amount_mm > 0 else 'add'} {number(size, decimals_to_write([round(size, 4)], 2))}"


def _moved(size: tuple[str, str], changes: Sequence[SteelChange]) -> list[str]:
    """What one size should measure at the next trial, a line a cavity."""
    found = [
        (change.cavity, one)
        for change in changes
        for one in change.expected
        if (one.part, one.number) == size
    ]
    one = found[0][1]
    gets = " or ".join(sorted({each.gets for _, each in found}))
    asked = between(one.lower, one.upper, decimals=one.decimals)
    if one.asked_by:
        asked += f" ({one.asked_by})"
    title = (
        f"{_size(one.part, one.number, one.name)} gets {gets}, limits {asked}; expected at the next trial:"
    )
    rows = [["cavity " + cavity, *_expected(each)] for cavity, each in found]
    return [*paragraph(title, width=width(), indent="    "), *table(rows, width=width(), indent=6)]


def _expected(one: SizeExpected) -> list[str]:
    said = f"{number(one.now, one.decimals)} → {number(one.expected, one.decimals)}"
    return [said, f"({span(one.interval, one.decimals)} with {percent(one.interval.confidence, 0)})"]


def _reasons(changes: Sequence[SteelChange]) -> list[str]:
    lines: list[str] = []
    for reason, alike in groupby(changes, key=_reason):
        lines += paragraph(
            f"Why {_cavities([one.cavity for one in alike])}: {reason}", width=width(), indent="    "
        )
    return lines


def _reason(change: SteelChange) -> str:
    said = f"{change.reason}."
    if change.short_because:
        said += f" Not further: {change.short_because}."
    if not change.removes:
        said += " Steel is added by a new pin or insert." if change.by_insert else " Steel must be welded on."
    return said


def _cavities(labels: Sequence[str]) -> str:
    return f"{'cavity' if len(labels) == 1 else 'cavities'} {listed([label or '?' for label in labels])}"


def _size(part: str, number_: str, name: str) -> str:
    return " ".join(f"{part} {number_} {name}".split())


def _rests_on(found: ToolCorrection) -> list[list[str]]:
    cutting = found.cutting
    seen = (
        f"{counted(cutting.cuts, 'cut')} measured again" if cutting.cuts else "no cut was measured again yet"
    )
    more = "more" if cutting.bias_mm > 0 else "less"
    bias = (
        f", {number(abs(cutting.bias_mm), STEEL_DECIMALS)} mm {more} than asked on average"
        if cutting.cuts
        else ""
    )
    return [
        *(["Shrinkage", _shrinkage(one)] for one in found.directions),
        [
            "Toolmaker",
            f"cuts with a standard deviation of {number(cutting.sd_mm, STEEL_DECIMALS)} mm{bias}; {seen}",
        ],
        ["Set-ups", f"move all sizes of a direction by {percent(found.setup_sd)} (standard deviation)"],
        ["Step", f"cuts are in whole steps of {number(found.step_mm, STEEL_DECIMALS)} mm"],
        ["Method", found.method],
    ]


def _shrinkage(one: DirectionShrinkage) -> str:
    interval = one.found.interval
    said = (
        f"{one.resin} {WAYS.get(one.direction, 'overall')} {percent(one.found.value)}"
        f" ({percent(interval.low)} to {percent(interval.high)}), allowed {percent(one.allowed)}"
    )
    return said + (
        f"; it explains {one.explains} of {counted(one.sizes, 'size')}" if one.off else "; as allowed"
    )


def _kept(found: ToolCorrection) -> list[str]:
    if not found.kept:
        return []
    rows = [
        [one.feature, f"cavity {one.cavity}", amount(one.amount_mm),
         f"to {number(one.size_after_mm, STEEL_DECIMALS)} mm",
         f"{one.status}, state {one.resulting_state}" if one.resulting_state else one.status]
        for one in found.kept
    ]  # fmt: skip
    return [*heading("Decided after this trial"), *table(rows, width=width(), indent=2)]
