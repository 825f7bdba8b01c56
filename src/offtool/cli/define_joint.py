"""offtool define-joint: the kinds of joint there are, and one that is named, changed or taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from offtool.cli.options import command, open_for_reading, options_typed, shared_options, who
from offtool.cli.sizes_typed import size_option, sizes_typed, with_angles, with_factors, with_gap
from offtool.cli.terminal import say, say_json

if TYPE_CHECKING:
    from offtool.steps.define_joint import JointDefined

KINDS = (
    *("peg in socket", "peg in clip", "ball in socket", "cantilever snap"),
    *("screw in boss", "slip fit", "chain of sizes", "loop of sizes"),
)
"""The words of `offtool.handbook.terms.JointKind`, written here so that help stays quick; a test holds it."""
BLANKS = (
    *("lower", "upper", "limb-mass-g", "lever-mm", "friction", "inner-resin", "outer-resin"),
    *("inner-modulus-mpa", "outer-modulus-mpa", "strain-allowed-pct", "name", "note"),
)
"""What can be made blank again."""


@command(
    example="offtool define-joint harbour-otter shoulder --kind 'peg in socket' --size peg_diameter='HO-04 2'"
    " --size socket_bore='HO-02 4' --size socket_outer=7.2 --size contact_length=4"
    " --limb-mass-g 1.35 --lever-mm 17"
)
@click.argument("programme", required=False)
@click.argument("joint", required=False)
@click.option("--kind", type=click.Choice(KINDS), help="How the parts hold on each other.")
@click.option("--name", help="The joint in words.")
@size_option
@click.option("--factor", "factors", multiple=True, metavar="ROLE=FACTOR",
              help="In a chain: mm of gap a mm of this size, +1 (the usual) or -1.")  # fmt: skip
@click.option("--angle", "angles", multiple=True, metavar="ROLE=DEGREES|ROLE",
              help="In a loop: degrees against the clock, or the size that is its angle.")  # fmt: skip
@click.option("--gap", metavar="ROLE", help="In a loop: the name of the gap that closes it.")
@click.option("--lower", type=float, help="Least of what is measured: N m of torque, N of pull, mm of gap.")
@click.option("--upper", type=float, help="Most of it; without one, what the kind and the weight ask.")
@click.option("--limb-mass-g", type=float, help="Weight that the joint must hold up, g.")
@click.option("--lever-mm", type=float, help="From the joint to the middle of that weight, mm.")
@click.option("--safety-factor", type=float, help="How many times that torque it must hold; 2 if not said.")
@click.option("--friction", type=float, nargs=2, metavar="LOW HIGH",
              help="Ends of the friction, no unit; else the handbook's.")  # fmt: skip
@click.option("--inner-resin", help="Resin of the inner side; else that of its part.")
@click.option("--outer-resin", help="Resin of the outer side; else that of its part.")
@click.option(
    "--inner-modulus-mpa", type=float, help="Stiffness of the inner side, MPa; else the handbook's."
)
@click.option(
    "--outer-modulus-mpa", type=float, help="Stiffness of the outer side, MPa; else the handbook's."
)
@click.option("--strain-allowed-pct", type=float, help="Strain either side may bear, %; else the handbook's.")
@click.option("--note", help="Anything the next reader should know.")
@click.option("--change", is_flag=True, help="Change what is given of a joint that is there.")
@click.option("--blank", multiple=True, type=click.Choice(BLANKS), metavar="OPTION",
              help="With --change: make it blank again, such as --blank upper.")  # fmt: skip
@click.option("--remove", is_flag=True, help="Take the joint out; not where a test or a demand hangs on it.")
@shared_options
def define_joint(
    programme: str | None, joint: str | None, kind: str | None, change: bool, remove: bool,
    record: Path | None, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Name a joint: its kind, its sizes, what it must do.

    Without JOINT the kinds are listed with the sizes that each has. A size is one that is measured, so that
    the joint follows every trial, or a number.
    """
    if programme is None or joint is None:
        if left := [one for one in options_typed() if one not in ("--kind", "--record", "--json")]:
            raise click.UsageError(f"{left[0]}: name the joint, as in offtool define-joint PROGRAMME JOINT")
        _list(kind, as_json=as_json)
        return
    _refuse_wrong_usage(kind, change=change, remove=remove, given=given)
    open_for_reading(record)
    from offtool.steps import define_joint as step
    from offtool.steps.as_defined import joint_as_defined

    if remove:
        step.remove_joint(programme, joint, made_by=who())
        _say_removed(programme, joint, as_json=as_json)
        return
    if change:
        now = joint_as_defined(programme, joint)
        step.change_joint(programme, joint, _typed(now, kind, given), made_by=who())
    else:
        new = step.JointDefined(code=joint, kind=kind or "", sizes={})
        step.define_joint(programme, _typed(new, kind, given), made_by=who())
    from offtool.cli.joint import show_joint

    show_joint(programme, joint, as_json=as_json)


def _refuse_wrong_usage(kind: str | None, *, change: bool, remove: bool, given: dict[str, Any]) -> None:
    said = [name for name, value in given.items() if value not in (None, (), False)]
    if remove and (change or kind or said):
        raise click.UsageError("--remove takes the joint out; give it alone")
    if not (change or remove) and kind is None:
        raise click.UsageError("give --kind, or --change for a joint that is there")
    if given["blank"] and not change:
        raise click.UsageError("--blank belongs to --change")


def _typed(now: JointDefined, kind: str | None, given: dict[str, Any]) -> JointDefined:
    """The joint as it was, with what was typed."""
    from offtool.steps.sizes_given import said_of

    sizes = sizes_typed(given.pop("sizes"), {role: said_of(one) for role, one in now.sizes.items()})
    sizes = with_gap(sizes, given.pop("gap"))
    sizes = with_angles(with_factors(sizes, given.pop("factors")), given.pop("angles"))
    changed: dict[str, Any] = _blanks(given.pop("blank"))
    low, high = given.pop("friction") or (None, None)
    given |= {"friction_low": low, "friction_high": high, "kind": kind}
    changed |= {name: value for name, value in given.items() if value is not None}
    return replace(now, sizes=sizes, **changed)


def _blanks(names: Sequence[str]) -> dict[str, Any]:
    """What stands for nothing in each field, in words or in numbers."""
    found: dict[str, Any] = {}
    for name in names:
        field = name.replace("-", "_")
        if field == "friction":
            found |= {"friction_low": None, "friction_high": None}
        else:
            found[field] = "" if field in ("name", "note", "inner_resin", "outer_resin") else None
    return found


def _list(kind: str | None, *, as_json: bool) -> None:
    from offtool.handbook.joint_kinds import JOINT_KINDS
    from offtool.steps.plain import as_plain

    found = [one for one in JOINT_KINDS.values() if kind in (None, one.kind.value)]
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.show_kinds import joint_kind_lines

    say(joint_kind_lines(found))


def _say_removed(programme: str, joint: str, *, as_json: bool) -> None:
    if as_json:
        say_json({"programme": programme, "joint": joint, "removed": True})
        return
    say([f"Joint {joint} is taken out of {programme}; its history keeps it."])
