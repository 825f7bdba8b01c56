"""offtool define-seam: the kinds of welded seam there are, and one that is named, changed or taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import command, open_for_reading, options_typed, shared_options, who
from offtool.cli.sizes_typed import size_option, sizes_typed
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.define_seam import SeamDefined

KINDS = ("ridge", "step", "tongue and groove", "shear joint")
"""The words of `offtool.handbook.terms.SeamKind`, written here so that help stays quick; a test holds it."""
BLANKS = (
    *("required-n", "largest-flash-mm", "frequency-khz", "converter-um", "booster", "horn"),
    *("horn-distance-mm", "name", "note"),
)
"""What can be made blank again."""
_FIELDS = {"booster": "booster_gain", "horn": "horn_gain", "top": "top_part", "bottom": "bottom_part"}
"""What an option is called in the definition, where it has another name there."""


@command(
    example="offtool define-seam harbour-otter torso --kind step --top HO-02 --bottom HO-03"
    " --size joint_width=1.6 --size seam_length=92 --size ridge_height=0.45 --size side_gap=0.08"
    " --required-n 180"
)
@click.argument("programme", required=False)
@click.argument("seam", required=False)
@click.option("--kind", type=click.Choice(KINDS), help="How the two parts meet.")
@click.option("--top", metavar="PART", help="The part under the horn.")
@click.option("--bottom", metavar="PART", help="The part in the nest.")
@click.option("--name", help="The seam in words.")
@size_option
@click.option("--required-n", type=float, help="Pull that it must hold, N.")
@click.option("--largest-flash-mm", type=float, help="Flash that may stand out at most, mm.")
@click.option("--frequency-khz", type=float, help="Frequency of the welder, kHz.")
@click.option("--converter-um", type=float,
              help="Amplitude of the converter at full power, um peak-to-peak (twice a peak).")  # fmt: skip
@click.option("--amplitude-pct", type=float, help="Amplitude set at the welder, % of full; 100 if not said.")
@click.option("--booster", type=float, help="Gain of the booster, no unit, such as 1.5.")
@click.option("--horn", type=float, help="Gain of the horn, no unit, such as 2.")
@click.option("--horn-distance-mm", type=float, help="From the face of the horn to the seam, mm.")
@click.option("--note", help="Anything the next reader should know.")
@click.option("--change", is_flag=True, help="Change what is given of a seam that is there.")
@click.option("--blank", multiple=True, type=click.Choice(BLANKS), metavar="OPTION",
              help="With --change: make it blank again, such as --blank required-n.")  # fmt: skip
@click.option("--remove", is_flag=True, help="Take the seam out; not where a weld study hangs on it.")
@shared_options
def define_seam(
    programme: str | None, seam: str | None, kind: str | None, change: bool, remove: bool,
    record: Path | None, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Name a welded seam: its kind, its parts, the welder.

    Without SEAM the kinds are listed with the sizes that each has. A size is one that is measured, or a
    number.
    """
    if programme is None or seam is None:
        if left := [one for one in options_typed() if one not in ("--kind", "--record", "--json")]:
            raise click.UsageError(f"{left[0]}: name the seam, as in offtool define-seam PROGRAMME SEAM")
        _list(kind, as_json=as_json)
        return
    _refuse_wrong_usage(kind, change=change, remove=remove, given=given)
    open_for_reading(record)
    from offtool.steps import define_seam as step
    from offtool.steps.as_defined import seam_as_defined

    if remove:
        step.remove_seam(programme, seam, made_by=who())
        _say_removed(programme, seam, as_json=as_json)
        return
    if change:
        now = seam_as_defined(programme, seam)
        step.change_seam(programme, seam, _typed(now, kind, given), made_by=who())
    else:
        new = step.SeamDefined(code=seam, kind=kind or "", top_part="", bottom_part="", sizes={})
        step.define_seam(programme, _typed(new, kind, given), made_by=who())
    from offtool.cli.seam import show_seam

    show_seam(programme, seam, as_json=as_json)


def _refuse_wrong_usage(kind: str | None, *, change: bool, remove: bool, given: dict[str, Any]) -> None:
    said = [name for name, value in given.items() if value not in (None, (), False)]
    if remove and (change or kind or said):
        raise click.UsageError("--remove takes the seam out; give it alone")
    if not (change or remove) and (kind is None or given["top"] is None or given["bottom"] is None):
        raise click.UsageError("give --kind, --top and --bottom, or --change for a seam that is there")
    if given["blank"] and not change:
        raise click.UsageError("--blank belongs to --change")


def _typed(now: SeamDefined, kind: str | None, given: dict[str, Any]) -> SeamDefined:
    """The seam as it was, with what was typed."""
    from offtool.steps.sizes_given import said_of

    sizes = sizes_typed(given.pop("sizes"), {role: said_of(one) for role, one in now.sizes.items()})
    changed: dict[str, Any] = _blanks(given.pop("blank"))
    given["kind"] = kind
    changed |= {_FIELDS.get(name, name): value for name, value in given.items() if value is not None}
    return replace(now, sizes=sizes, **changed)


def _blanks(names: Sequence[str]) -> dict[str, Any]:
    """What stands for nothing in each field, in words or in numbers."""
    fields = [_FIELDS.get(name, name.replace("-", "_")) for name in names]
    return {field: "" if field in ("name", "note") else None for field in fields}


def _list(kind: str | None, *, as_json: bool) -> None:
    from offtool.handbook.seam_kinds import SEAM_KINDS
    from offtool.steps.plain import as_plain

    found = {one.value: roles for one, roles in SEAM_KINDS.items() if kind in (None, one.value)}
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_kinds import seam_kind_lines

    say(seam_kind_lines(found))


def _say_removed(programme: str, seam: str, *, as_json: bool) -> None:
    if as_json:
        say_json({"programme": programme, "seam": seam, "removed": True})
        return
    say([f"Seam {seam} is taken out of {programme}; its history keeps it."])
