"""offtool colour: how long a change of colour takes, in which to shoot, and shots that were measured."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import (
    ABOVE_ZERO,
    DAY,
    FILE,
    FROM_ZERO,
    Number,
    command,
    open_for_reading,
    refuse_left_over,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.core.planning.colour_change import Plastic
    from offtool.steps.keep_colour_change import ChangeAbout

OF_A_FILE = ("--name", "--purge-kg", "--done-on", "--note", "--sheet", "--keep", "--leave-out")
OF_A_QUESTION = ("--cycle-s", "--limit", "--trial-shots", "--worth", "--on")
_NUMBER = r"\s*([-−+]?[0-9]+(?:\.[0-9]+)?)\s*"
_LAB = re.compile(rf"{_NUMBER}[,; ]{_NUMBER}[,; ]{_NUMBER}")


@command(example="offtool colour harbour-otter '80 t, no. 9' --from yellow --to 38,14,20 --shot-g 18")
@click.argument("programme")
@click.argument("press", required=False)
@click.option("--from", "old", default="", metavar="COLOUR | L,a,b",
              help="In the barrel: a job, its colour, or CIELAB; else what runs there.")  # fmt: skip
@click.option("--to", "new", default="", metavar="COLOUR | TRIAL | L,a,b",
              help="Shall be: a trial such as 'M3 T4', a job, a colour, natural, or CIELAB; else the first "
              "trial that waits.")  # fmt: skip
@click.option("--from-resin", default="", help="Resin in the barrel, where --from is CIELAB.")
@click.option("--to-resin", default="", help="Resin that follows, where --to is CIELAB.")
@click.option("--tool", default="", help="The tool: its feed and its shot count; else that of the trial.")
@click.option("--shot-g", type=ABOVE_ZERO, help="Weight of one shot with runner, g.")
@click.option("--cycle-s", type=ABOVE_ZERO, help="Cycle, s.")
@click.option("--limit", type=ABOVE_ZERO, default=1.0, show_default=True,
              help="Largest colour difference dE00 that passes.")  # fmt: skip
@click.option("--trial-shots", type=Number(least=1), help="Shots of the trial; else as its purposes take.")
@click.option("--worth", type=FROM_ZERO, help="What a shot in the product's colour is worth.")
@click.option("--on", type=DAY, metavar="YYYY-MM-DD", help="The day whose jobs run; else today.")
@click.option("--read", "file", type=FILE, help="Read measured shots, CSV or XLSX: shot, L, a, b.")
@click.option("--purge-kg", type=FROM_ZERO, default=0.0,
              help="New material that went into the open before shot 1, kg.")  # fmt: skip
@click.option("--name", default="", help="A name for the change; else that of the file.")
@click.option("--done-on", type=DAY, metavar="YYYY-MM-DD", help="The day of the change.")
@click.option("--note", default="", help="Anything the next reader should know.")
@click.option("--sheet", help="The sheet of a workbook; else the first with shots.")
@click.option("--keep", is_flag=True, help="Keep it; without, only how it is understood is shown.")
@click.option("--leave-out", is_flag=True, help="Keep the rest where cells cannot be read.")
@click.option(
    "--set-aside", metavar="CHANGE", help="Let a measured change count no longer; it stays visible."
)
@click.option("--because", default="", help="Why it is set aside; kept with your name.")
@shared_options
def colour(
    programme: str,
    press: str | None,
    old: str,
    new: str,
    from_resin: str,
    to_resin: str,
    tool: str,
    shot_g: float | None,
    file: Path | None,
    set_aside: str | None,
    because: str,
    record: Path | None,
    as_json: bool,
    on: datetime | None,
    **more: Any,
) -> None:
    """Say how many shots, kg and minutes a change of colour takes.

    Also what the way back takes, and whether a trial is better shot in what is on the press. CIELAB is for
    D65 and 10 degrees. With --read measured shots are shown as they are understood; nothing is kept until
    --keep.
    """
    if press is None and (file or set_aside):
        raise click.UsageError("name the press, as in offtool colour PROGRAMME PRESS")
    if file and set_aside:
        raise click.UsageError("read a change or set one aside, not both at once")
    refuse_left_over((OF_A_FILE, ("--read",)), (("--because",), ("--set-aside",)))
    open_for_reading(record)
    from offtool.steps.planning_day import planning_day

    day = on.date() if on else planning_day(programme, today=datetime.now(UTC).date())
    if file is not None and press is not None:
        about = _about(
            programme, old, new, day, tool=tool, shot_g=shot_g, resin=to_resin or from_resin, **more
        )
        _read(file, programme, press, about, as_json=as_json, **more)
        return
    if press is not None and set_aside is not None:
        from offtool.steps.keep_colour_change import set_change_aside

        set_change_aside(programme, press, set_aside, reason=because, made_by=who())
    from offtool.steps.colour_change import ColourAsked, find_change
    from offtool.steps.plain import as_plain

    typed_old, typed_new = _typed(old, from_resin), _typed(new, to_resin)
    asked = ColourAsked(
        press=press or "",
        old="" if typed_old else old,
        new="" if typed_new else new,
        typed_old=typed_old,
        typed_new=typed_new,
        tool=tool,
        shot_g=shot_g,
        cycle_s=more["cycle_s"],
        limit_de=more["limit"],
        trial_shots=more["trial_shots"],
        worth_per_shot=more["worth"],
    )
    found = find_change(programme, asked, on=day)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines
    from offtool.cli.show_colour import colour_lines

    done = [f"{set_aside} counts no longer."] if set_aside else []
    say([*done_lines(done), *colour_lines(found)])


def _lab(text: str) -> tuple[float, float, float] | None:
    """L, a and b where three numbers are typed."""
    found = _LAB.fullmatch(text)
    if found is None:
        return None
    lightness, a, b = (float(one.replace("−", "-")) for one in found.groups())
    return lightness, a, b


def _typed(text: str, resin: str) -> Plastic | None:
    from offtool.steps.colour_plastics import typed_plastic

    lab = _lab(text)
    return None if lab is None else typed_plastic(f"the colour {text.strip()}", lab, resin)


def _about(
    programme: str, old: str, new: str, day: date, *, tool: str, shot_g: float | None, resin: str, **more: Any
) -> ChangeAbout:
    """What the file does not say; both colours and the weight must be said."""
    from offtool.steps.keep_colour_change import ChangeAbout

    if not (old and new and shot_g):
        raise click.UsageError("a file of shots needs --from, --to and --shot-g beside it")
    (old_name, old_lab), (new_name, new_lab) = (_colour(programme, one, day) for one in (old, new))
    return ChangeAbout(
        old_lab=old_lab,
        new_lab=new_lab,
        shot_g=shot_g,
        old_name=old_name,
        new_name=new_name,
        tool=tool,
        resin=resin,
        purge_kg=more["purge_kg"],
        done_on=more["done_on"].date() if more["done_on"] else None,
        note=more["note"],
    )


def _colour(programme: str, text: str, day: date) -> tuple[str, tuple[float, float, float]]:
    """Name and CIELAB of a colour that is typed, or that the record knows."""
    typed = _lab(text)
    if typed is not None:
        return "", typed
    from offtool.core.values import NotEnoughData
    from offtool.steps.colour_plastics import plastic_named

    found = plastic_named(programme, text, on=day).plastic
    if found.lab is None:
        raise NotEnoughData(f"the colour of {found.name} is not measured", remedy="type it as L,a,b")
    return found.name, found.lab


def _read(file: Path, programme: str, press: str, about: ChangeAbout, *, as_json: bool, **more: Any) -> None:
    """Show how the shots are understood, and keep them where that is asked for."""
    from offtool.cli.reading_options import content_of
    from offtool.cli.show_colour import kept_shots_lines, shots_lines
    from offtool.cli.two_steps import preview_then_keep
    from offtool.steps.keep_colour_change import keep_colour_change, preview_colour_change

    about_it: dict[str, Any] = {
        "programme": programme,
        "press": press,
        "about": about,
        "sheet": more["sheet"],
    }
    content, name = content_of(file), more["name"] or file.stem
    when: dict[str, Any] = {
        "leave_out": more["leave_out"],
        "read_at": datetime.now(UTC),
        "read_by": who(),
    }
    preview_then_keep(
        lambda: preview_colour_change(content, file.name, **about_it),
        (lambda: keep_colour_change(content, file.name, **about_it, change=name, **when))
        if more["keep"]
        else None,
        lines=shots_lines,
        kept_lines=kept_shots_lines,
        as_json=as_json,
    )
