"""offtool sign and release-line: a person states what they decide, and the list that they decide by."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from offtool.cli.options import command, open_for_reading, refuse_left_over, shared_options, who
from offtool.cli.review import day_of, show_review
from offtool.cli.review_words import BECAUSE, CHANGES

ROLES = ("tooling", "product", "quality", "production", "other")
STATES = ("released", "released with its concessions", "not released")
"""The words of the handbook, written here so that help stays quick; a test holds them."""
EDITS = (
    *("--title", "--asks", "--fed-by", "--stale-by", "--never-stale", "--stale-after-days", "--source"),
    "--not-asked",
)
"""The options that edit a line."""


@command(
    example="offtool sign harbour-otter --person 'A. Moor' --role quality --states 'not released'"
    " --read 1f0c9a52e77b03d4"
)
@click.argument("programme")
@click.option("--person", metavar="NAME", help="Your own name: it is typed, never filled in.")
@click.option("--role", type=click.Choice(ROLES), help="For what you sign.")
@click.option("--states", type=click.Choice(STATES), help="What you state.")
@click.option("--read", metavar="FINGERPRINT",
              help="The review that you read, as offtool review shows it at its end.")  # fmt: skip
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--withdraw", type=int, metavar="NUMBER", help="Withdraw a signature; it stays to be seen.")
@BECAUSE
@shared_options
def sign(
    programme: str, person: str | None, role: str | None, states: str | None, read: str | None, note: str,
    withdraw: int | None, because: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Sign the review as it stands, or withdraw a signature.

    The program signs nothing and fills in nobody. It can be signed as released only while every line holds or
    is under a concession; that it is not released can always be signed. A signature stands while the review
    is as it was read.
    """
    refuse_left_over((("--because",), ("--withdraw",)))
    if withdraw is None and None in (person, role, states, read):
        raise click.UsageError("give --person, --role, --states and --read; or --withdraw NUMBER")
    open_for_reading(record)
    from offtool.steps.sign_review import withdraw_signature

    if withdraw is not None:
        now = datetime.now(UTC)
        withdraw_signature(programme, withdraw, reason=because, withdrawn_at=now, made_by=who())
        show_review(programme, None, [f"Signature {withdraw} is withdrawn."], as_json=as_json)
        return
    _sign(programme, person or "", role or "", states or "", read or "", note)
    show_review(programme, None, [f"{person} signed: {states}."], as_json=as_json)


def _sign(programme: str, person: str, role: str, states: str, read: str, note: str) -> None:
    """Keep a signature; the fingerprint may be typed by its beginning."""
    from offtool.handbook.terms import ReleaseWord, Role
    from offtool.steps.review_release import review_release
    from offtool.steps.sign_review import LEAST_READ, SignatureSaid, sign_review

    on = day_of(programme)
    now = review_release(programme, on).fingerprint
    is_this = len(read) >= LEAST_READ and now.startswith(read.strip().lower())
    said = SignatureSaid(
        role=Role(role), person=person, states=ReleaseWord(states), read=now if is_this else read, note=note
    )
    sign_review(programme, said, on=on, signed_at=datetime.now(UTC))


@command(
    example="offtool release-line harbour-otter drop-in-box --title 'Drop in its box'"
    " --asks 'the packed toy dropped ten times and whole' --fed-by 'packing and transit tests'"
)
@click.argument("programme")
@click.argument("code")
@click.option("--title", help="The line in words.")
@click.option("--asks", help="What must stand in the record for it to hold.")
@click.option("--fed-by", metavar="WORDS", help="What answers it, as offtool review CODE writes it.")
@click.option(
    "--stale-by", multiple=True, type=click.Choice(CHANGES), help="A change after which it is stale."
)
@click.option("--never-stale", is_flag=True, help="No change makes it stale.")
@click.option("--stale-after-days", type=click.IntRange(min=0), help="Days; 0: age alone does not.")
@click.option("--source", help="Who asks it.")
@click.option("--not-asked", metavar="REASON", help="Why it is not asked; '' to ask it again.")
@click.option("--restore", is_flag=True, help="As the usual list has it; an own line goes.")
@BECAUSE
@shared_options
def release_line(
    programme: str, code: str, restore: bool, because: str, never_stale: bool, record: Path | None,
    as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Edit a line of the review's list, or add your own.

    What is not given stays as it is; --because says why, and is shown with the line.
    """
    refuse_left_over((("--because",), ("--restore", *EDITS)))
    if never_stale and given["stale_by"]:
        raise click.UsageError("a line is stale by some changes or by none, not both")
    open_for_reading(record)
    from offtool.steps.release_line_edit import edit_release_line, restore_release_line

    if restore:
        is_usual = restore_release_line(programme, code, because=because, made_by=who())
        said = "stands as the usual list has it" if is_usual else "is taken out"
        show_review(programme, code if is_usual else None, [f"Line {code} {said}."], as_json=as_json)
        return
    line = _as_typed(programme, code, given, never_stale=never_stale)
    edit_release_line(programme, line, made_by=who(), because=because)
    show_review(programme, None if line.not_asked else code, [f"Line {code} is kept."], as_json=as_json)


def _as_typed(programme: str, code: str, given: dict[str, Any], *, never_stale: bool) -> Any:
    """The line as it is, with what was typed in place."""
    from dataclasses import replace

    from offtool.core.values import OfftoolError, nearest
    from offtool.handbook.release_list import Change, Fed
    from offtool.records.queries.finding import NotInRecord
    from offtool.steps.release_line_edit import ReleaseLineSaid, release_line_now

    try:
        now = release_line_now(programme, code)
    except NotInRecord:
        now = ReleaseLineSaid(code=code, title="", asks="", fed_by=Fed.PLAN)
        if given["fed_by"] is None:
            raise click.UsageError("a new line says what answers it: give --fed-by") from None
    typed = {
        name: given[name] for name in ("title", "asks", "source", "not_asked") if given[name] is not None
    }
    if given["fed_by"] is not None:
        if given["fed_by"] not in list(Fed):
            known = nearest(given["fed_by"], [one.value for one in Fed])
            raise OfftoolError(f"nothing of the record is called {given['fed_by']!r}", remedy=known)
        typed["fed_by"] = Fed(given["fed_by"])
    if given["stale_by"] or never_stale:
        typed["stale_by"] = tuple(Change(one) for one in given["stale_by"])
    if given["stale_after_days"] is not None:
        typed["stale_after_days"] = given["stale_after_days"] or None
    return replace(now, **typed)
