"""What a line makes, on the terminal: the verdict, what to do, its stations, why not fewer."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.pilot.balance import LineBalance
from offtool.steps.findings import Action
from offtool.steps.line_found import LineFound
from offtool.steps.line_known import LineKnown
from offtool.steps.line_sentences import ADOPT, EMPTY, LONGER, NUMBERS, READ, RUN, TASKS
from offtool.steps.line_words import an_hour, moves_in_words, share_over_in_words, span_in_words


def line_lines(found: LineFound) -> list[str]:
    """All lines of a line."""
    lines = sentence(found.headline)
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, _because(one, found)) for one in found.actions])]
    shown = found.shown
    if shown is not None:
        title = "The stations as adopted" if found.is_adopted else "The stations as proposed"
        lines += [*heading(title), *_stations(found, shown)]
    lines += _compare(found)
    lines += _why(found)
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def _because(one: Action, found: LineFound) -> str:
    """Why, and the command where the page has a link."""
    own = f"{found.programme} {found.line!r}" if found.line else found.programme
    ways = {
        READ: f"offtool line {own} --read FILE --keep",
        TASKS: _tasks_way(own, one, found),
        EMPTY: f"offtool line-station {own} {next(iter(found.known.left_over), 'NUMBER')} --remove",
        NUMBERS: f"offtool define-line {own}",
        ADOPT: f"offtool line {own} --adopt",
        RUN: f"offtool run-line {own}",
        LONGER: f"offtool line {own} --seconds 60",
    }
    way = ways.get(one.leads_to, "")
    return f"{one.because} {way}".rstrip()


def _tasks_way(own: str, one: Action, found: LineFound) -> str:
    """The command for the task that is named; where more people would do, that for its station too."""
    said = f"{one.do} {one.because}"
    names = sorted((task.task for task in found.known.tasks if task.task in said), key=len, reverse=True)
    task = f"{names[0]!r}" if names else "TASK"
    people = f"; for people: offtool line-station {own} STATION --people 2" if "people" in said else ""
    return f"offtool line-task {own} {task} --time-s SECONDS{people}"


def _stations(found: LineFound, shown: LineBalance) -> list[str]:
    cycle = 3600 / found.needed_per_h if found.is_adopted and found.needed_per_h else shown.cycle_s
    head = ["station", "people", "a piece", "free", "over the cycle", "tasks"]
    rows = []
    for one in shown.stations:
        over = one.busy_s - cycle
        word = f", {over:.3g} s over" if over > cycle * 1e-9 else ", slowest" if one is shown.slowest else ""
        name = _name(found.known, one.station) if found.adopted is not None else str(one.station)
        sides = "2, facing" if one.two_sided else str(one.people)
        tasks = ", ".join(placed.task for placed in one.tasks) or "nothing"
        share = share_over_in_words(one.over) if one.tasks else ""
        rows.append(
            [name, sides, f"{one.busy_s:.4g} s{word}", f"{one.idle_s:.3g} s", share.partition(":")[0], tasks]
        )
    return table_or_bullets([head, *rows], [", ".join(filter(None, row)) for row in rows])


def _name(known: LineKnown, number: int) -> str:
    named = known.station_numbered(number)
    return f"{number} {named.name}".rstrip() if named is not None else str(number)


def _compare(found: LineFound) -> list[str]:
    adopted, proposal = found.adopted, found.proposal
    if adopted is None or proposal is None or not found.differs:
        return []
    rows = [
        ["", "as adopted", "as proposed"],
        ["pieces", an_hour(adopted.rate_per_h), an_hour(proposal.rate_per_h)],
        ["slowest station", f"{adopted.slowest.busy_s:.4g} s", f"{proposal.slowest.busy_s:.4g} s"],
        ["stations", str(len(adopted.stations)), str(len(proposal.stations))],
        ["people", str(adopted.people), str(proposal.people)],
        [
            "loads about their mean",
            f"{adopted.evenness.spread_s:.3g} s",
            f"{proposal.evenness.spread_s:.3g} s",
        ],
    ]
    return [
        *heading("As adopted, and as proposed"),
        *table(rows, width=width(), indent=2),
        *heading("What would move"),
        *bullets(list(moves_in_words(found))),
    ]


def _why(found: LineFound) -> list[str]:
    proposal = found.proposal
    if proposal is None:
        return []
    title = "Why not fewer stations" if proposal.goal == "fewest stations" else "Why not more an hour"
    return [*heading(title), *bullets(list(_bounds(found, proposal)))]


def _bounds(found: LineFound, proposal: LineBalance) -> Iterator[str]:
    yield proposal.words
    is_rate = proposal.goal == "best rate"
    for one in sorted(proposal.bounds, key=lambda one: -one.value):
        least = f"{one.value:.4g} s of cycle" if is_rate else f"{one.value:.0f}"
        yield f"{one.words}: {least} at least"
    span = span_in_words(found.shown_timed)
    if span:
        yield f"by how often its tasks were timed: {span}, at mean times"
