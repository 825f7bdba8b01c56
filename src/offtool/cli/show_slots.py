"""The plan of trials, and a list of jobs from a file, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import bullets, cautions, counted, heading, sentence, steps, table_or_bullets
from offtool.cli.show_pieces_file import left_out_cells
from offtool.cli.show_study import cells_lines
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.steps.findings import Action
from offtool.steps.jobs_from_file import JobInFile, JobsKept, JobsPreview, left_out_in_words
from offtool.steps.slots_found import SlotsFound, TrialSlot
from offtool.steps.slots_sentences import TIMES, hours_in_words, money_in_words, short_when

SHOWN = 12
"""Jobs of a file that are listed; --json has all."""


def slots_lines(found: SlotsFound) -> list[str]:
    """All lines of a plan."""
    lines = [line for one in found.never for line in (*sentence(f"Before all else: {one.text}"), "")]
    lines += sentence(found.headline)
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, _because(one, found)) for one in found.actions])]
    lines += _placed(found)
    if found.unplaced:
        said = [f"{one.trial}: {'; '.join((*one.because, *one.remedies))}" for one in found.unplaced]
        lines += [*heading("Without a place"), *bullets(said)]
    lines += _moved(found)
    lines += _jobs(found)
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions([one for one in found.cautions if one not in found.never])]


def _because(one: Action, found: SlotsFound) -> str:
    """Why, and the command where the page has a link."""
    if one.leads_to != TIMES:
        return one.because
    return f"{one.because} offtool times {found.programme} --engineer FROM TO says so."


def _placed(found: SlotsFound) -> list[str]:
    if not found.placed:
        return []
    head = ["trial", "press", "change begins", "first shot", "press is back", "cost"]
    rows = [
        [
            f"{one.trial}, fixed" if one.is_fixed else one.trial,
            one.press,
            short_when(one.begins),
            short_when(one.first_shot),
            f"{one.followed_by} follows" if one.followed_by else short_when(one.ends),
            money_in_words(one.cost, found.currency),
        ]
        for one in found.placed
    ]
    why = [f"{one.trial}: {_why(one, found)}" for one in found.placed]
    return [
        *heading("Trials, in order of time"),
        *table_or_bullets([head, *rows], [", ".join(row) for row in rows]),
        *heading("Why there, and not elsewhere"),
        *bullets(why),
    ]


def _why(one: TrialSlot, found: SlotsFound) -> str:
    stands = f"the {one.stops} stands {hours_in_words(one.stands_h)}" if one.stops else "the press is free"
    said = [f"{stands}; {one.colour}"]
    for other in one.elsewhere:
        if other.more is None:
            said.append(
                other.because if other.because.startswith(other.press) else f"{other.press}: {other.because}"
            )
        else:
            said.append(f"{other.press} would cost {money_in_words(max(other.more, 0), found.currency)} more")
    return "; ".join(said)


def _moved(found: SlotsFound) -> list[str]:
    slip = found.slip
    if slip is None:
        return []
    moves = [
        f"{one.trial}: to {short_when(one.now)} on {one.now_press}" if one.now else f"{one.trial}: no place"
        for one in slip.moves
    ]
    return [*heading("What moves"), *sentence(slip.headline), *bullets(moves)]


def _jobs(found: SlotsFound) -> list[str]:
    stopped = [
        f"{one.job} on {one.press} stands {hours_in_words(one.stands_h)}"
        + (f" and ends {short_when(one.ends)}" if one.ends is not None else "")
        for one in found.jobs
        if one.stands_h > 0
    ]
    stopped += [
        f"{one.job} on {one.press} begins {hours_in_words(one.begins_later_h)} later than said"
        for one in found.jobs
        if one.begins_later_h > 0
    ]
    return [*heading("Jobs that stand, or begin later"), *bullets(stopped)] if stopped else []


def jobs_file_lines(found: JobsPreview, *, refused: bool = False) -> list[str]:
    """All lines of a file that is not kept yet, or that was refused."""
    things = list(_to_do(found, refused=refused))
    cannot = f"; {counted(len(found.refused), 'cell')} cannot be read" if found.refused else ""
    without = left_out_in_words(found.left_out)
    said = f"{found.file.name}: {counted(len(found.jobs), 'job')} understood{cannot}. Nothing is kept yet."
    return [
        *sentence(" ".join(filter(None, (said, without)))),
        *([*heading("What to do"), *steps(things)] if things else []),
        *_of_file(found),
    ]


def kept_jobs_lines(kept: JobsKept, found: JobsPreview) -> list[str]:
    """All lines of a file whose jobs are now in the record."""
    said = (
        f"Kept: {counted(kept.new, 'new job')} of {kept.file}, {counted(kept.changed, 'job')} changed"
        f"{left_out_cells(kept.left_out)}."
    )
    without = left_out_in_words(kept.jobs_left_out)
    go_on = f"offtool slots {kept.programme} plans the trials around them."
    return [
        *sentence(" ".join(filter(None, (said, without)))),
        *heading("What to do"),
        *steps([(go_on, "")]),
        *_of_file(found),
    ]


def _to_do(found: JobsPreview, *, refused: bool) -> Iterator[tuple[str, str]]:
    yield from ((f"Mend: {problem}", "") for problem in found.problems)
    if found.refused and not found.problems:
        yield "Correct the refused cells below, or leave them out: --keep --leave-out.", ""
    elif not found.problems and not refused:
        yield "Look through how it was read, then add --keep.", ""


def _of_file(found: JobsPreview) -> list[str]:
    rows = [_job(one) for one in found.jobs[:SHOWN]]
    more = len(found.jobs) - SHOWN
    return [
        *heading("The jobs"),
        *table_or_bullets(rows, [", ".join(filter(None, row)) for row in rows]),
        *(bullets([f"and {more:,} more; --json lists all"]) if more > 0 else []),
        *heading("How it was read"),
        *bullets(found.file.notes),
        *cells_lines("repaired", found.file.repairs),
        *cells_lines("refused", found.refused),
        *cautions(found.cautions),
    ]


def _job(one: JobInFile) -> list[str]:
    stops = {True: "may be stopped", False: "must not be stopped", None: "stop not said"}[one.may_stop]
    ends = str(one.ends) if one.ends is not None else "no end said"
    return [one.job, one.press, one.says, f"{one.begins} to {ends}", stops, one.standing]
