"""offtool presses: which press each tool goes on, and how long a cycle will be."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import NUMBER, command, open_for_reading, options_typed, shared_options
from offtool.cli.terminal import say, say_json

TRIED = ("--parts-g", "--area-cm2", "--wall-mm", "--runner-g", "--runner-cm2")


@command(example="offtool presses harbour-otter M1 --wall-mm 2.2")
@click.argument("programme")
@click.argument("tool", required=False)
@click.option("--parts-g", type=NUMBER, help="Try this weight of all parts of a shot.")
@click.option("--area-cm2", type=NUMBER, help="Try this silhouette of all parts of a shot.")
@click.option("--wall-mm", type=NUMBER, help="Try this thickest wall.")
@click.option("--runner-g", type=NUMBER, help="Try this weight of the runner.")
@click.option("--runner-cm2", type=NUMBER, help="Try this silhouette of the runner.")
@shared_options
def presses(
    programme: str,
    tool: str | None,
    parts_g: float | None,
    area_cm2: float | None,
    wall_mm: float | None,
    runner_g: float | None,
    runner_cm2: float | None,
    record: Path | None,
    as_json: bool,
) -> None:
    """Say which press a tool goes on, and how long a cycle is.

    Clamp, shot, time in the barrel and room are compared. Without TOOL every tool is held against every
    press. Numbers that are tried are not kept.
    """
    left_over = sorted(set(options_typed()) & set(TRIED))
    if tool is None and left_over:
        raise click.UsageError(f"{left_over[0]} belongs to one tool: name it")
    open_for_reading(record)
    from offtool.cli.show_presses import fit_lines, presses_lines
    from offtool.steps.fit_presses import fit_presses, fit_tool
    from offtool.steps.plain import as_plain
    from offtool.steps.tool_at_press import ToolTyped

    if tool is None:
        found = fit_presses(programme)
        say_json(as_plain(found)) if as_json else say(presses_lines(found))
        return
    typed = ToolTyped(
        parts_g=parts_g, projected_cm2=area_cm2, wall_mm=wall_mm, runner_g=runner_g, runner_cm2=runner_cm2
    )
    fitted = fit_tool(programme, tool, typed)
    say_json(as_plain(fitted)) if as_json else say(fit_lines(fitted))
