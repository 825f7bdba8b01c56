"""The safety of a toy on the terminal: the verdict, what to do, what the law asks, small parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps
from offtool.cli.show_pieces_file import how_it_was_read, left_out_cells, refused_cells, to_do
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.handbook.toy_law import MARKETS
from offtool.reports.words import day
from offtool.steps.findings import Action
from offtool.steps.keep_toy_test import ToyTestKept, ToyTestPreview
from offtool.steps.small_parts_of import SmallPartsStanding
from offtool.steps.toy_found import SafetyFound
from offtool.steps.toy_standing import MarketStanding, RunSeen


def safety_lines(found: SafetyFound) -> list[str]:
    """All lines of the answer."""
    standing = found.standing
    lines = [*sentence(found.headline), *sentence(found.stands)]
    lines += [*heading("What to do"), *steps([(one.do, _because(found, one)) for one in found.actions])]
    for market in standing.by_market:
        lines += _market(market)
    lines += _small(standing.small_parts)
    lines += (
        [*heading("Tests that were read"), *bullets([_run(one) for one in standing.runs])]
        if standing.runs
        else []
    )
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _because(found: SafetyFound, action: Action) -> str:
    """Why, and the command where there is one."""
    if action.leads_to != "market":
        return action.because
    return f"{action.because} offtool safety {found.programme} --market US,EU --from-months 36"


def _market(market: MarketStanding) -> list[str]:
    tests = [f"{one.title}, {one.in_law}, {one.section}: {one.verdict}; {one.words}" for one in market.tests]
    only = dict(market.only_where)
    asked = [
        f"{one.words}, {one.section}; {one.surety}" + (f"; {only[one]}" if one in only else "")
        for one in market.asked.tests
    ]
    name = MARKETS[market.market]
    nothing = ["nothing is known here for these ages: ask an accredited laboratory"]
    return [
        *([*heading(f"Own tests, {name}"), *bullets(tests)] if tests else []),
        *heading(f"What the law asks, {name}"),
        *bullets(asked or nothing),
    ]


def _small(small: SmallPartsStanding) -> list[str]:
    said = [f"{one.part} {one.name}".rstrip() + f": {one.words}" for one in small.parts]
    said += [f"piece {one.piece}, test {one.run}: {one.words}" for one in small.came_off]
    said += [f"no shape is read of {one}" for one in small.without_mesh]
    return [*heading(f"Small parts: {_whether_asked(small)}"), *bullets(said or [small.words])]


def _whether_asked(small: SmallPartsStanding) -> str:
    if not small.ages_said:
        return "none may fit for children under three; the age is not said"
    return "none may fit, the toy is for children under three" if small.asked else "not asked for these ages"


def _run(one: RunSeen) -> str:
    when = day(one.done_on) if one.done_on else "day not said"
    since = f"; since then: {'; '.join(one.changes_since)}" if one.changes_since else ""
    state = f"set aside: {one.set_aside}" if one.set_aside else "counts"
    return f"{one.name}: {one.market}, {one.test}, {counted(one.pieces, 'piece')}, {when}; {state}{since}"


def toy_test_lines(found: ToyTestPreview, *, refused: bool = False) -> list[str]:
    """All lines of a test that is not kept yet, or that was refused."""
    things = to_do(found, refused=refused)
    return [
        *sentence(f"{_understood(found)} Nothing is kept yet."),
        *([*heading("What to do"), *steps(things)] if things else []),
        *how_it_was_read(found, list(_about(found)), names_gauge=False),
        *cautions(found.cautions),
    ]


def kept_toy_test_lines(kept: ToyTestKept, found: ToyTestPreview) -> list[str]:
    """All lines of a test that is now in the record."""
    said = (
        f"Kept: {counted(kept.pieces, 'piece')} of {kept.file} as {kept.test} test {kept.name} of programme "
        f"{kept.programme}{left_out_cells(kept.left_out)}."
    )
    return [
        *sentence(said),
        *heading("What to do"),
        *steps([(f"offtool safety {kept.programme} says what it means.", "")]),
        *how_it_was_read(found, list(_about(found)), names_gauge=False),
        *cautions(found.cautions),
    ]


def _understood(found: ToyTestPreview) -> str:
    test = f" of a {found.test} test" if found.test else ""
    return (
        f"{found.file.name}: {counted(found.pieces, 'piece')}{test} understood, {found.held} held"
        f"{refused_cells(found)}."
    )


def _about(found: ToyTestPreview) -> Iterator[Sequence[str]]:
    if found.lowest is not None and found.highest is not None:
        yield ["Loads", f"{found.lowest:g} to {found.highest:g} {found.unit}"]
    for part, pieces in found.parts:
        yield [part or "Whole toy", counted(pieces, "piece")]
