"""The program `offtool`: its commands, and how a refusal leaves it.

`offtool --help` must come at once, so the command modules import nothing heavy; each imports its step when
it is run.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from offtool.cli.archive import archive
from offtool.cli.calc import calc
from offtool.cli.colour import colour
from offtool.cli.correct import correct
from offtool.cli.defects import defects
from offtool.cli.define_joint import define_joint
from offtool.cli.define_line import define_line, line_break, line_press, line_station, line_task
from offtool.cli.define_seam import define_seam
from offtool.cli.demo import demo
from offtool.cli.dossier import dossier
from offtool.cli.dump import dump
from offtool.cli.gauge import gauge
from offtool.cli.inspect import inspect
from offtool.cli.joint import joint
from offtool.cli.leave_out import leave_out
from offtool.cli.line import line
from offtool.cli.load import load
from offtool.cli.look import look
from offtool.cli.open_piece import open_piece
from offtool.cli.order import order
from offtool.cli.own_numbers import press, tool
from offtool.cli.part import part
from offtool.cli.pilot import pilot
from offtool.cli.plan import plan
from offtool.cli.presses import presses
from offtool.cli.prices import prices
from offtool.cli.programme import programme
from offtool.cli.ramp import ramp
from offtool.cli.read import read
from offtool.cli.register import register
from offtool.cli.request import request
from offtool.cli.review import review
from offtool.cli.review_words import change, concession, evidence, limit_sample
from offtool.cli.run_line import run_line
from offtool.cli.safety import safety
from offtool.cli.sample import sample
from offtool.cli.samples import labels, samples
from offtool.cli.sampling import sampling
from offtool.cli.saw import photograph, saw
from offtool.cli.seam import seam
from offtool.cli.serve import serve
from offtool.cli.settle import settle
from offtool.cli.sign import release_line, sign
from offtool.cli.slots import jobs, slots
from offtool.cli.start import start
from offtool.cli.tell_apart import tell_apart
from offtool.cli.terminal import USUAL, never_fail_to_write
from offtool.cli.times import times

if TYPE_CHECKING:
    from offtool.core.values import OfftoolError


class Program(click.Group):
    """Turns what a user can cause into one sentence and exit code 1; wrong usage leaves with 2."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except Exception as error:
            from offtool.core.values import OfftoolError  # here, because it brings numpy

            if isinstance(error, OfftoolError):
                raise click.ClickException(self._as_typed(ctx, error)) from error
            raise

    def _as_typed(self, ctx: click.Context, error: OfftoolError) -> str:
        """The error in words; where it speaks of an option, as it is typed: --until and not until."""
        command = self.get_command(ctx, ctx.invoked_subcommand or "")
        options = [one for one in (command.params if command else []) if isinstance(one, click.Option)]
        option = next((one for one in options if one.name and one.name == error.where), None)
        return str(error) if option is None else f"{option.opts[0]}{str(error).removeprefix(error.where)}"

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the job, not of the alphabet."""
        return list(self.commands)


@click.group(
    cls=Program,
    context_settings={"max_content_width": USUAL},
    epilog="The way in: offtool demo, or offtool start TITLE FILE with your own report.",
)
@click.version_option(package_name="offtool", message="%(prog)s %(version)s")
def main() -> None:
    """From the first shots off a new steel tool to the start of production.

    Plans a trial, reads what was measured on it, says what holds, and writes the corrections of the steel;
    years later it says of a piece that was kept where it comes from.
    """
    never_fail_to_write()


for command in (
    *(demo, start, load, programme),
    *(part, press, tool, prices, presses, colour, jobs, request, plan, slots, times),
    *(gauge, look, defects, read, settle, inspect, leave_out),
    *(correct,),
    *(define_joint, joint, define_seam, seam, open_piece),
    *(line, define_line, line_station, line_task, line_press, line_break),
    *(run_line, pilot, ramp),
    *(safety, sampling),
    *(review, evidence, change, concession, limit_sample, release_line, sign, dossier),
    *(archive, tell_apart, register, samples, saw, photograph, sample, order, labels),
    *(dump, serve, calc),
):
    main.add_command(command)
