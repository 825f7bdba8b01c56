"""offtool calc: any formula by its name, with options made from the table of its parameters."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import json_option
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.core.formulas import Formula, Parameter

INPUT = click.Path(exists=True, dir_okay=False, allow_dash=True, path_type=Path)


class Formulas(click.Group):
    """A command for every formula there is; a new one appears by itself."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        from offtool.steps.calculate import list_formulas

        return [one.name for one in list_formulas()]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from offtool.steps.calculate import list_formulas

        name = cmd_name.replace("-", "_")
        return next((_command(one) for one in list_formulas() if one.name == name), None)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if self.get_command(ctx, args[0]) is None:
            close = get_close_matches(args[0].replace("-", "_"), self.list_commands(ctx), n=1)
            remedy = f"did you mean {close[0]}?" if close else "offtool calc --list shows them"
            raise click.UsageError(f"there is no formula {args[0]!r}; {remedy}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=Formulas, invoke_without_command=True, subcommand_metavar="[NAME] [OPTIONS]",
    epilog="Example: offtool calc shrinkage --cavity-mm 60 --part-mm 59.7",
)  # fmt: skip
@click.option("--list", "list_all", is_flag=True, help="List the formulas with what each tells.")
@json_option
@click.pass_context
def calc(ctx: click.Context, list_all: bool, as_json: bool) -> None:
    """Calculate a formula by its name.

    offtool calc NAME --help explains its parameters, units and ranges.
    """
    if ctx.invoked_subcommand is not None:
        if list_all or as_json:
            raise click.UsageError(
                "--list needs no formula, and --json of a formula stands behind its name", ctx
            )
        return
    if not list_all:
        raise click.UsageError("name a formula, or give --list", ctx)
    from offtool.cli.show_formula import formula_as_plain, list_lines
    from offtool.steps.calculate import list_formulas

    formulas = list_formulas()
    if as_json:
        say_json([formula_as_plain(one) for one in formulas])
    else:
        say(list_lines(formulas))


def _command(formula: Formula) -> click.Command:
    from offtool.cli.show_formula import example_command

    def run(input_file: Path | None, as_json: bool, **texts: str | None) -> None:
        given = {**_from_json(input_file), **{name: text for name, text in texts.items() if text is not None}}
        _answer(formula, given, as_json=as_json)

    return click.Command(
        formula.name,
        params=[
            *(_option(one) for one in formula.parameters),
            click.Option(["--input", "input_file"], type=INPUT, help="Parameters as JSON; - for stdin."),
            click.Option(["--json", "as_json"], is_flag=True, help="Answer in JSON, for scripts."),
        ],
        callback=run,
        help=f"{formula.tells}\n\nSource: {formula.source}",
        short_help=formula.tells,
        epilog=f"Example: {example_command(formula)}",
    )  # fmt: skip


def _option(parameter: Parameter) -> click.Option:
    from offtool.cli.show_formula import as_text

    default = (
        "must be given" if parameter.required else as_text(parameter.default) if parameter.default else ""
    )
    said = f"{parameter.range.meaning} ({parameter.words()})" + (f"  [{default}]" if default else "")
    return click.Option(
        [f"--{parameter.name.replace('_', '-')}", parameter.name],
        type=click.Choice(parameter.choices) if parameter.choices else str,
        metavar={"table": "JSON", "yes or no": "yes|no"}.get(
            parameter.kind, parameter.kind.upper().replace(" ", "_")
        ),
        help=said,
    )


def _from_json(path: Path | None) -> Mapping[str, Any]:
    """The parameters in a JSON file, an object of names and values. Raises OfftoolError."""
    if path is None:
        return {}
    from offtool.core.values import OfftoolError

    name = "standard input" if str(path) == "-" else str(path)
    try:
        content = sys.stdin.buffer.read() if str(path) == "-" else path.read_bytes()
        given = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise OfftoolError(f"is no JSON: {error}", where=name, remedy='write {"wall_mm": 2.0}') from error
    if not isinstance(given, dict):
        raise OfftoolError("holds no object", where=name, remedy='write parameters by name: {"wall_mm": 2.0}')
    return given


def _answer(formula: Formula, given: Mapping[str, Any], *, as_json: bool) -> None:
    from offtool.cli.show_formula import result_lines
    from offtool.steps.calculate import calculate
    from offtool.steps.plain import as_plain

    missing = [one.name for one in formula.parameters if one.required and given.get(one.name) in (None, "")]
    if missing:
        options = ", ".join(f"--{name.replace('_', '-')}" for name in missing)
        raise click.UsageError(f"{formula.name} needs {options}")
    result = calculate(formula.name, given)
    if as_json:
        say_json(as_plain(result))
    else:
        say(result_lines(formula, result))
