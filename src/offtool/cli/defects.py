"""offtool defects: the list of defects that a programme looks for."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import command, open_for_reading, shared_options, who
from offtool.cli.terminal import say, say_json

CLASSES = ("critical", "major", "minor")


@command(example='offtool defects harbour-otter --code whisker-line --name "whisker line"')
@click.argument("programme")
@click.option("--code", help="The defect to add or change: a short word, such as whisker-line.")
@click.option("--name", help="What it is called; a new code needs one.")
@click.option("--meaning", help="What counts as it, and what does not.")
@click.option("--class", "weight", type=click.Choice(CLASSES), help="How much hangs on it.")
@click.option("--retire", is_flag=True, help="Take it off the list; what was seen stays.")
@click.option("--restore", is_flag=True, help="Put it on the list again.")
@click.option("--reason", default="", help="Why; kept with the change.")
@click.option("--by", default="", metavar="NAME", help="Who; else the account's name.")
@shared_options
def defects(
    programme: str,
    code: str | None,
    name: str | None,
    meaning: str | None,
    weight: str | None,
    retire: bool,
    restore: bool,
    reason: str,
    by: str,
    record: Path | None,
    as_json: bool,
) -> None:
    """List the defects that are looked for, or change the list.

    Every programme starts from the same standard words. Add your own, rename one, or take one off the list;
    what was changed, by whom and when is kept.
    """
    if retire and restore:
        raise click.UsageError("--retire and --restore cannot both be meant")
    if code is None and (name or meaning or weight or retire or restore):
        raise click.UsageError("say which defect: --code flash")
    open_for_reading(record)
    from offtool.cli.show_press import defect_lines
    from offtool.handbook.terms import WeightClass
    from offtool.steps.defect_list import defect_list, edit_defect
    from offtool.steps.plain import as_plain

    if code is not None:
        edit_defect(
            programme,
            code,
            name=name,
            meaning=meaning,
            weight_class=WeightClass(weight) if weight else None,
            is_listed=True if restore else False if retire else None,
            made_by=by or who(),
            reason=reason,
        )
    rows = defect_list(programme)
    if code is not None:
        rows = tuple(row for row in rows if row.code == code.strip())
    if as_json:
        say_json(as_plain(rows))
        return
    say(defect_lines(rows))
