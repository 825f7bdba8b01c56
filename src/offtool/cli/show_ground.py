"""What pieces are told apart by, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, heading, sentence, steps, table_or_bullets
from offtool.reports.words import NONE, day, listed
from offtool.steps.ground_found import ColourKnown, DetailsKnown, GroundFound, JobKnown, RunKnown

THERE = {True: "there", False: "not there", None: NONE}


def ground_lines(found: GroundFound) -> list[str]:
    """All lines: what is missing first, then runs, details, builds, presses with their jobs."""
    lines = sentence(found.headline)
    if found.actions:
        lines += [*heading("What to enter"), *steps([(one.do, one.because) for one in found.actions])]
    runs = [[f"{tool.tool} {run.name}", *_run(run)] for tool in found.tools for run in tool.runs]
    lines += _section("Runs", runs)
    for one in found.details:
        lines += _details(one)
    builds = [
        [one.code, one.stage.value, listed([" ".join(run) for run in one.runs]), _pieces(one.pieces)]
        for one in found.builds
    ]
    lines += _section("Builds", builds)
    for press in found.presses:
        holds = f"holds {', '.join(press.holds)}" if press.holds else "may hold any tool"
        title = ", ".join(filter(None, (f"Press {press.code}", press.name, holds)))
        lines += _section(title, [_job(job) for job in press.jobs]) or heading(title)
    return lines


def _section(title: str, rows: list[list[str]]) -> list[str]:
    if not rows:
        return []
    return [*heading(title), *table_or_bullets(rows, [", ".join(filter(None, row)) for row in rows])]


def _run(one: RunKnown) -> list[str]:
    said = "" if one.stage_is_said else ", by its name"
    interrupted = f"interrupted {': '.join(one.interrupted)}" if one.interrupted is not None else ""
    when = day(one.shot_on) if one.shot_on is not None else ""
    colour = _colour(one.colour)
    return [f"state {one.state}", f"{one.stage.value}{said}", when, _pieces(one.pieces), colour, interrupted]


def _details(found: DetailsKnown) -> list[str]:
    """A table of details by states; where no detail tells two states apart, that is said."""
    if not found.details:
        return []
    rows = [["", *(f"state {one}" for one in found.states), ""]]
    rows += [
        [one.name or one.code, *(THERE[there] for there in one.in_states), one.where] for one in found.details
    ]
    said = [
        f"{one.name or one.code}: "
        + ", ".join(
            f"{THERE[there]} in {state}" for state, there in zip(found.states, one.in_states, strict=True)
        )
        for one in found.details
    ]
    alike = [f"no detail tells states {before} and {after} apart" for before, after in found.alike]
    return [
        *heading(f"Details of {found.part}, tool {found.tool}"),
        *table_or_bullets(rows, said),
        *bullets(alike),
    ]


def _job(one: JobKnown) -> list[str]:
    ends = f" to {day(one.ends)}" if one.ends is not None else " until now"
    return [one.code, ", ".join(_named(one)), _colour(one.colour), f"{day(one.begins)}{ends}"]


def _named(one: JobKnown) -> Iterator[str]:
    yield from filter(None, (one.product, one.what))


def _colour(one: ColourKnown) -> str:
    if one.lightness is None or one.a is None or one.b is None:
        return one.words
    lab = f"L* {one.lightness:.1f}, a* {one.a:.1f}, b* {one.b:.1f}"
    return f"{one.words} ({lab})" if one.words else lab


def _pieces(pieces: int | None) -> str:
    return "" if pieces is None else f"{pieces:,} pieces" if pieces != 1 else "1 piece"
