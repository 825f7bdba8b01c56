"""offtool sampling: how many pieces to look at, what that lets through, and what it does not promise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from offtool.cli.options import ABOVE_ZERO, FILE, command, json_option, options_typed
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.sampling_asked import Asked

LEVELS = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")
WHOLE = click.IntRange(min=0)
OF_A_TABLE = ("--aql", "--level", "--severity")
BELONGS = {
    "--lots": (*OF_A_TABLE[:2], "--lot", "--reduced-allowed"),
    "--aql": (*OF_A_TABLE, "--lot", "--bad"),
    "--zero": ("--lot", "--confidence", "--failures"),
    "--find": ("--lot", "--risks"),
    "--measure": ("--limits", "--known-spread", "--risks", "--pieces", "--factor"),
    "--pieces": ("--accept", "--lot", "--good", "--bad", "--flaws"),
}
"""Which option asks which question, the first that was typed; and what may stand beside it."""


@command(example="offtool sampling --lot 2000 --aql 0.65")
@click.option("--lot", type=int, help="Pieces in the lot.")
@click.option("--aql", type=ABOVE_ZERO, help="Quality limit of the public tables, in per cent.")
@click.option("--level", type=click.Choice(LEVELS), help="Inspection level; II is usual.")
@click.option("--severity", type=click.Choice(("normal", "tightened", "reduced")), help="Normal to begin.")
@click.option("--pieces", type=WHOLE, help="A plan of your own: pieces looked at, or measured.")
@click.option("--accept", type=WHOLE, help="Bad pieces up to which the lot passes.")
@click.option("--good", type=ABOVE_ZERO, help="Per cent bad at which a lot should pass.")
@click.option("--bad", type=ABOVE_ZERO, help="Per cent bad at which a lot should not pass.")
@click.option("--flaws", is_flag=True, help="Flaws are counted, on 100 pieces, not bad pieces.")
@click.option("--find", nargs=2, type=ABOVE_ZERO, metavar="GOOD BAD",
              help="The smallest plan that passes lots with GOOD % bad, not with BAD %.")  # fmt: skip
@click.option("--risks", nargs=2, type=ABOVE_ZERO, metavar="REFUSED PASSED",
              help="Good lots refused and bad ones passed, of 100; else 5 10.")  # fmt: skip
@click.option("--zero", type=ABOVE_ZERO, metavar="SHARE",
              help="Pieces that must all hold to show that SHARE % of all do.")  # fmt: skip
@click.option("--confidence", type=ABOVE_ZERO, help="In per cent; else 95.")
@click.option("--failures", type=WHOLE, help="Failures that are allowed on the way; else none.")
@click.option("--measure", nargs=2, type=ABOVE_ZERO, metavar="GOOD BAD",
              help="One size measured: per cent outside its limits.")  # fmt: skip
@click.option("--known-spread", is_flag=True, help="Its standard deviation is known and steady.")
@click.option("--limits", type=click.Choice(("one", "two")), help="It has one limit, or two.")
@click.option("--factor", type=ABOVE_ZERO, help="Standard deviations from mean to limit.")
@click.option("--lots", type=FILE, help="Lots so far: a line a lot, its size and what was found.")
@click.option("--reduced-allowed", is_flag=True, help="Smaller samples are agreed, production is steady.")
@json_option
def sampling(as_json: bool, **typed: object) -> None:
    """Say how many pieces to look at, and what that lets through.

    A lot by the public tables (--lot, --aql), a plan of your own (--pieces, --accept), one for two risks
    (--find), a test without failures (--zero), one size measured (--measure), or the lots that came before
    (--lots, --aql). Shares are in per cent. Nothing is kept.
    """
    question = _question()
    from offtool.setup import work_without_record

    work_without_record()
    from offtool.steps.plain import as_plain
    from offtool.steps.plan_sampling import plan_sampling

    found = plan_sampling(_asked(question, typed))
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_sampling import sampling_lines

    say(sampling_lines(found))


def _question() -> str:
    """The option that asks the question. Raises UsageError where none does, or another stands beside it."""
    typed = options_typed()
    question = next((one for one in BELONGS if one in typed), None)
    if question is None and "--lot" in typed:
        raise click.UsageError("--lot needs --aql, or --pieces and --accept")
    if question is None:
        raise click.UsageError("say what you want to know: --lot and --aql, --pieces and --accept, --find …")
    odd = [one for one in typed if one not in (question, "--json", *BELONGS[question])]
    if odd:
        raise click.UsageError(f"{odd[0]} does not belong to {question}")
    needed = {"--aql": "--lot", "--pieces": "--accept", "--lots": "--aql"}.get(question)
    if needed and needed not in typed:
        raise click.UsageError(f"{question} needs {needed}")
    return question


def _asked(question: str, typed: dict[str, object]) -> Asked:
    """What the step takes. Raises OfftoolError for shares that cannot be."""
    from offtool.cli.sampling_typed import ASKED

    return ASKED[question](typed)
