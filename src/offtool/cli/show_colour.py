"""A change of colour on the terminal: how long, what to do, in which colour to shoot, all changes."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import how_it_was_read, left_out_cells, refused_cells, to_do
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.planning.colour_change import Amount, ColourDecision, ColourOption
from offtool.reports.break_even_drawing import break_even_in_words
from offtool.reports.washout_drawing import shots_in_words
from offtool.reports.words import day, number
from offtool.steps.colour_found import ChangeCell, ChangeSeen, ColourFound
from offtool.steps.keep_colour_change import ChangeKept, ChangePreview


def colour_lines(found: ColourFound) -> list[str]:
    """All lines of a change; a rule that hurts people stands before everything."""
    never = found.cautions[:1] if found.there.never is not None else ()
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    return [
        *(sentence(f"Before all else: {never[0].text}") if never else []),
        *([""] if never else []),
        *sentence(found.headline),
        *sentence(_which(found)),
        *heading("What to do"),
        *steps([(one.do, one.because) for one in found.actions]),
        *(_decision(found.decision, found.currency) if found.decision is not None else []),
        *_table(found),
        *_measured(found),
        *heading("What it rests on"),
        *table(rows, width=width(), indent=2),
        *cautions([one for one in found.cautions if one not in never]),
    ]


def _which(found: ColourFound) -> str:
    tool = f", tool {found.tool}" if found.tool else ""
    return (
        f"{found.programme_title}: {found.old.plastic.name} to {found.new.plastic.name} on "
        f"{found.press}{tool}, {day(found.on)}; back: {found.back.words}."
    )


def _decision(decision: ColourDecision, currency: str) -> list[str]:
    lines = [
        *heading("In which colour to shoot"),
        *sentence(f"{decision.why[:1].upper()}{decision.why[1:]}."),
    ]
    lines += bullets([_option(one, currency) for one in decision.options])
    if decision.break_even is not None:
        lines += sentence(break_even_in_words(decision.break_even, currency=currency) + ".")
    return [*lines, *bullets([f"Missing: {one}." for one in decision.missing])]


def _option(one: ColourOption, currency: str) -> str:
    money = f", {_amount(one.money, 0)} {currency}".rstrip() if one.money is not None else ""
    if one.is_forbidden:
        serves = "never without a full purge"
    elif one.cannot:
        serves = f"says nothing of {', '.join(purpose.value for purpose in one.cannot)}"
    else:
        serves = "serves all that is asked"
    return f"{one.words}; {_amount(one.minutes, 0)} min, {_amount(one.kg, 1)} kg{money}; {serves}"


def _amount(amount: Amount, decimals: int) -> str:
    value, low, high = (number(one, decimals) for one in (amount.value, amount.low, amount.high))
    return value if low == high else f"{value} ({low} to {high})"


def _table(found: ColourFound) -> list[str]:
    """Shots from each to each; in words where the terminal is too narrow."""
    if len(found.plastics) < 2:
        return []
    names = [f"{place} {one.words}" for place, one in enumerate(found.plastics, 1)]
    rows = [["in the barrel", *(f"to {place}" for place in range(1, len(names) + 1))]]
    rows += [[name, *map(_cell, cells)] for name, cells in zip(names, found.table, strict=True)]
    said = [_said(cell) for cells in found.table for cell in cells if cell is not None]
    return [
        *heading(f"Shots from each colour to each other on {found.press}"),
        *table_or_bullets(rows, said, sides="<" + ">" * len(names)),
    ]


def _cell(cell: ChangeCell | None) -> str:
    if cell is None:
        return "-"
    if cell.never:
        return "never"
    return number(cell.shots.value, 0) + ("" if cell.is_known else "?")


def _said(cell: ChangeCell) -> str:
    if cell.never:
        return f"{cell.old} to {cell.new}: never without a full purge"
    unsure = "" if cell.is_known else ", by the shop's rule"
    return f"{cell.old} to {cell.new}: {shots_in_words(cell.shots)}{unsure}"


def _measured(found: ColourFound) -> list[str]:
    if not found.observed:
        return []
    fit = sentence(f"{found.fit.words}.") if found.fit is not None else []
    return [
        *heading(f"Measured changes of {found.press}"),
        *fit,
        *bullets(list(map(_change, found.observed))),
    ]


def _change(one: ChangeSeen) -> str:
    when = f", {day(one.done_on)}" if one.done_on else ""
    said = (
        f"{one.name}: {one.old_name or 'old'} to {one.new_name or 'new'}, {counted(one.shots, 'shot')}{when}"
    )
    if one.set_aside:
        return f"{said}; set aside: {one.set_aside}"
    return (
        said if one.fit is None else f"{said}; by the fit {shots_in_words(one.fit.shots_needed)} are outside"
    )


def shots_lines(found: ChangePreview, *, refused: bool = False) -> list[str]:
    """All lines of measured shots that are not kept yet, or that were refused."""
    things = to_do(found, refused=refused)
    understood = f"{found.file.name}: {counted(found.shots, 'shot')} on {found.press} understood"
    return [
        *sentence(f"{understood}{refused_cells(found)}. Nothing is kept yet."),
        *sentence(f"{found.fit_words}."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *how_it_was_read(found, list(_about(found))),
        *cautions(found.cautions),
    ]


def kept_shots_lines(kept: ChangeKept, found: ChangePreview) -> list[str]:
    """All lines of measured shots that are now in the record."""
    said = f"Kept: {counted(kept.shots, 'shot')} of {kept.file} as {kept.change} of {kept.press}"
    return [
        *sentence(f"{said}{left_out_cells(kept.left_out)}."),
        *sentence(f"{found.fit_words}."),
        *heading("What to do"),
        *steps([(f"offtool colour {kept.programme} {kept.press!r} says what it means.", "")]),
        *how_it_was_read(found, list(_about(found))),
        *cautions(found.cautions),
    ]


def _about(found: ChangePreview) -> Iterator[list[str]]:
    yield ["Colours", f"{found.old_name or 'old'} to {found.new_name or 'new'}"]
    for about, shot, off in (
        ("First", found.first, found.first_difference),
        ("Last", found.last, found.last_difference),
    ):
        yield [about, f"shot {shot}" + ("" if off is None else f", ΔE {off:.1f} from the new colour")]
