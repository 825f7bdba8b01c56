"""offtool evidence, concession, change and limit-sample: what people give to a release review."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from offtool.cli.options import (
    DAY,
    FILE,
    command,
    open_for_reading,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.review import day_of, show_review, today

SAYS = ("holds", "does not hold")
CHANGES = (
    *("steel", "resin", "colour", "paint", "mask", "joint", "seam", "pack", "line", "gauge", "drawing"),
)
KINDS = ("signed sample", "good", "limit", "refused")
PLACES = ("tool", "part", "joint", "seam")
"""The words of the handbook, written here so that help stays quick; a test holds them."""

BECAUSE = click.option("--because", default="", help="Why; kept with your name.")


@command(
    example="offtool evidence harbour-otter packaging --says holds --tested-on 2026-04-02 --lab 'own room'"
)
@click.argument("programme")
@click.argument("code")
@click.option("--says", type=click.Choice(SAYS), help="Whether the line holds by it.")
@click.option("--tested-on", type=DAY, metavar="YYYY-MM-DD", help="The day of the test.")
@click.option("--lab", default="", help="Who tested.")
@click.option("--number", default="", help="The number of the report.")
@click.option("--accredited", is_flag=True, help="The laboratory is accredited for this test.")
@click.option("--steel", "states", multiple=True, metavar="'TOOL STATE'",
              help="State that its pieces were of, such as 'M1 c'; repeat it.")  # fmt: skip
@click.option("--file", type=FILE, help="The file, kept byte for byte.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--instead-of", type=int, multiple=True, metavar="NUMBER",
              help="Evidence that it takes the place of; repeat it.")  # fmt: skip
@click.option("--set-aside", type=int, metavar="NUMBER", help="Let evidence count no longer; it stays.")
@BECAUSE
@shared_options
def evidence(
    programme: str, code: str, says: str | None, tested_on: datetime | None, lab: str, number: str,
    accredited: bool, states: tuple[str, ...], file: Path | None, note: str, instead_of: tuple[int, ...],
    set_aside: int | None, because: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Give evidence for a line of the review, or set it aside.

    It is kept as it is and never changed. What was measured and does not hold stays so whatever a paper says:
    that takes offtool concession.
    """
    given = ("--lab", "--number", "--accredited", "--steel", "--file", "--note", "--instead-of")
    refuse_left_over(((*given, "--tested-on"), ("--says",)), (("--because",), ("--set-aside",)))
    if (says is None) == (set_aside is None):
        raise click.UsageError("give --says with --tested-on, or --set-aside with --because")
    if says is not None and tested_on is None:
        raise click.UsageError("give the day with --tested-on")
    open_for_reading(record)
    from offtool.steps.keep_evidence import EvidenceSaid, keep_evidence, set_evidence_aside

    if set_aside is not None:
        line = set_evidence_aside(programme, set_aside, reason=because, made_by=who())
        show_review(programme, line, [f"Evidence {set_aside} counts no longer."], as_json=as_json)
        return
    from offtool.handbook.terms import EvidenceSays

    said = EvidenceSaid(
        code=code,
        says=EvidenceSays(says or ""),
        tested_on=(tested_on or datetime.now()).date(),
        lab=lab,
        number=number,
        accredited=accredited,
        states=states,
        note=note,
        instead_of=instead_of,
    )
    kept = keep_evidence(
        programme,
        said,
        today=datetime.now().astimezone().date(),
        given_at=datetime.now(UTC),
        given_by=who(),
        file_name=file.name if file is not None else "",
        content=file.read_bytes() if file is not None else b"",
    )
    show_review(programme, code, [f"Evidence {kept.key} is kept."], as_json=as_json)


@command(
    example="offtool concession harbour-otter sizes --item 'HO-02 8' --amount 'down to 23.93 mm'"
    " --pieces 5000 --reason 'glued pin' --approved-by 'A. Moor'"
)
@click.argument("programme")
@click.argument("code")
@click.option("--item", default="", help="What of the line it is for, as the review names it; else all.")
@click.option("--amount", default="", help="How far it may be off.")
@click.option("--until", type=DAY, metavar="YYYY-MM-DD", help="Its last day.")
@click.option("--pieces", type=click.IntRange(min=1), help="For how many pieces.")
@click.option("--reason", default="", help="Why it is given.")
@click.option("--risk", default="", help="What may come of it.")
@click.option("--approved-by", default="", metavar="NAME", help="The person who gives it.")
@click.option("--given-on", type=DAY, metavar="YYYY-MM-DD", help="The day it is given; else today.")
@click.option("--end", type=int, metavar="NUMBER", help="End a concession; it stays to be seen.")
@BECAUSE
@shared_options
def concession(
    programme: str, code: str, item: str, amount: str, until: datetime | None, pieces: int | None,
    reason: str, risk: str, approved_by: str, given_on: datetime | None, end: int | None, because: str,
    record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Give a concession on a line of the review, or end it.

    It has an amount, a reason, a person and an end. It allows nothing that the law forbids.
    """
    refuse_left_over((("--because",), ("--end",)))
    open_for_reading(record)
    from offtool.steps.give_concession import ConcessionSaid, close_concession, give_concession

    if end is not None:
        ends = given_on.date() if given_on else day_of(programme)
        close_concession(programme, end, on=ends, because=because, made_by=who())
        show_review(programme, code, [f"Concession {end} is ended."], as_json=as_json)
        return
    said = ConcessionSaid(
        code=code,
        item=item,
        amount=amount,
        until=until.date() if until else None,
        pieces=pieces,
        reason=reason,
        risk=risk,
        approved_by=approved_by,
        given_on=given_on.date() if given_on else today(),
    )
    key = give_concession(programme, said, made_by=who())
    show_review(programme, code, [f"Concession {key} is kept."], as_json=as_json)


@command(
    example="offtool change harbour-otter paint 'new yellow, lot 4471' --on 2026-04-14 --of 'part HO-02'"
)
@click.argument("programme")
@click.argument("what", type=click.Choice(CHANGES), required=False)
@click.argument("words", required=False)
@click.option("--on", "day", type=DAY, metavar="YYYY-MM-DD", help="From which day.")
@click.option("--of", "about", default="", metavar="'KIND CODE'",
              help="Of one tool, part, joint or seam; else of the whole product.")  # fmt: skip
@click.option("--set-aside", type=int, metavar="NUMBER", help="Let a change count no longer; it stays.")
@BECAUSE
@shared_options
def change(
    programme: str, what: str | None, words: str | None, day: datetime | None, about: str,
    set_aside: int | None, because: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Tell a change that makes evidence stale, or set it aside.

    Only evidence that hangs on what was changed is stale. New steel need not be told where the tool has a
    new state. Changes have numbers in offtool review --json.
    """
    refuse_left_over((("--because",), ("--set-aside",)))
    if set_aside is None and (what is None or words is None or day is None):
        raise click.UsageError("say what was changed, in words, and --on which day; or --set-aside NUMBER")
    kind, _, code = about.partition(" ")
    if about and (kind not in PLACES or not code.strip()):
        raise click.BadParameter(f"write a kind and a code, such as 'part HO-02': {', '.join(PLACES)}")
    open_for_reading(record)
    from offtool.handbook.release_list import Change
    from offtool.steps.tell_change import ChangeSaid, set_change_aside, tell_change

    if set_aside is not None:
        set_change_aside(programme, set_aside, reason=because, made_by=who())
        show_review(programme, None, [f"Change {set_aside} counts no longer."], as_json=as_json)
        return
    said = ChangeSaid(
        what=Change(what or ""),
        on=(day or datetime.now()).date(),
        words=words or "",
        **({kind: code.strip()} if about else {}),
    )
    key = tell_change(programme, said, told_at=datetime.now(UTC), told_by=who())
    show_review(programme, None, [f"Change {key} is kept."], as_json=as_json)


@command(
    example="offtool limit-sample harbour-otter 0401 --kind limit --area 'left eye'"
    " --accepts 'edge up to 0.3 mm over' --signed-by 'A. Moor'"
)
@click.argument("programme")
@click.argument("sample", required=False)
@click.option("--kind", type=click.Choice(KINDS), help="What it stands for.")
@click.option("--station", default="", help="Line and station where it lies, such as 'otter 9 paint'.")
@click.option("--area", default="", help="Which area it is for.")
@click.option("--accepts", default="", help="Which condition is accepted there.")
@click.option("--signed-by", default="", metavar="NAME", help="The person who signed it.")
@click.option("--signed-on", type=DAY, metavar="YYYY-MM-DD", help="The day; else today.")
@click.option("--valid-until", type=DAY, metavar="YYYY-MM-DD", help="The last day on which it counts.")
@click.option("--withdraw", type=int, metavar="NUMBER", help="Let one count no longer; it stays.")
@BECAUSE
@shared_options
def limit_sample(
    programme: str, sample: str | None, kind: str | None, station: str, area: str, accepts: str,
    signed_by: str, signed_on: datetime | None, valid_until: datetime | None, withdraw: int | None,
    because: str, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say what a limit sample accepts, or withdraw it.

    Samples are those of offtool samples; the numbers to withdraw stand in offtool review --json.
    """
    refuse_left_over((("--because",), ("--withdraw",)))
    if withdraw is None and (sample is None or kind is None):
        raise click.UsageError("name the sample and its --kind, or --withdraw NUMBER")
    open_for_reading(record)
    from offtool.handbook.terms import LimitKind
    from offtool.steps.limit_samples import LimitSampleSaid, define_limit_sample, withdraw_limit_sample

    if withdraw is not None:
        withdraw_limit_sample(programme, withdraw, reason=because, made_by=who())
        show_review(programme, None, [f"Limit sample {withdraw} counts no longer."], as_json=as_json)
        return
    said = LimitSampleSaid(
        sample=sample or "",
        kind=LimitKind(kind or ""),
        signed_by=signed_by,
        signed_on=signed_on.date() if signed_on else today(),
        station=station,
        area=area,
        accepts=accepts,
        valid_until=valid_until.date() if valid_until else None,
    )
    key = define_limit_sample(programme, said, made_by=who())
    show_review(programme, "limit-samples", [f"Limit sample {key} is kept."], as_json=as_json)
