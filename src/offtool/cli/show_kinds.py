"""The kinds of joint and of seam on the terminal, each with the sizes it has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from offtool.cli.shared_lines import heading, sentence
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.handbook.joint_kinds import KindOfJoint, Role


def joint_kind_lines(found: Sequence[KindOfJoint]) -> list[str]:
    """Every kind with what is read of it and its sizes."""
    lines = sentence("Kinds of joint, and the sizes that each is made of.")
    for one in found:
        unit = f" in {one.unit}" if one.unit != "1" else ""
        said = f"{one.meaning}; {one.measure}{unit}, loose where it is {one.loose_is}"
        lines += [*heading(one.kind.value), *paragraph(said, width=width(), indent="  ")]
        lines += _roles(one.roles) or paragraph(
            "its sizes have names of your own: --size NAME=VALUE for each", width=width(), indent="    "
        )
    return lines


def seam_kind_lines(found: Mapping[str, Sequence[Role]]) -> list[str]:
    """Every kind of seam with its sizes."""
    lines = sentence("Kinds of seam, and the sizes that each is made of.")
    for kind, roles in found.items():
        lines += [*heading(kind), *_roles(roles)]
    return lines


def _roles(roles: Sequence[Role]) -> list[str]:
    rows = [[one.name, one.unit if one.unit != "1" else "", _meaning(one)] for one in roles]
    return table(rows, width=width(), indent=4)


def _meaning(role: Role) -> str:
    return role.meaning if role.usual is None else f"{role.meaning}; {role.usual:g} where it is not given"
