"""The sizes of a joint or a seam as they are typed: ROLE=VALUE, and what a chain or a loop says beside."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from offtool.steps.sizes_given import SizeSaid

F = TypeVar("F", bound=Callable[..., Any])

_NUMBER = r"[+−-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
WITH_PLUS_MINUS = re.compile(rf"\s*({_NUMBER})\s*(?:(?:±|\+/?-)\s*({_NUMBER})\s*)?")
"""7.2, and how far it may be off: 7.2±0.05, 7.2+-0.05, 7.2+/-0.05."""

size_option = click.option(
    "--size", "sizes", multiple=True, metavar="ROLE=VALUE",
    help="A size, several times: ROLE='HO-04 2' for a measured one, ROLE=7.2 or 7.2+-0.05 in its unit for a"
    " number; nothing after = takes it out.",
)  # fmt: skip
"""--size, as every definition has it."""


def sizes_typed(typed: Sequence[str], now: Mapping[str, SizeSaid] | None = None) -> dict[str, SizeSaid]:
    """The sizes by role, over those that are there now. Raises UsageError for what is no ROLE=VALUE."""
    found = dict(now or {})
    for one in typed:
        role, value = _pair(one, "--size", "peg_diameter='HO-04 2'")
        if not value:
            found.pop(role, None)
            continue
        found[role] = _said(value, found.get(role))
    return found


def with_factors(sizes: Mapping[str, SizeSaid], typed: Sequence[str]) -> dict[str, SizeSaid]:
    """The sizes of a chain with which way each moves the gap. Raises UsageError."""
    found = dict(sizes)
    for one in typed:
        role, value = _pair(one, "--factor", "tab_width=-1")
        factor = typed_number(value)
        if factor is None:
            raise click.UsageError(f"--factor {one}: {value!r} is no number, such as +1 or -1")
        found[role] = replace(_of(found, role, "--factor"), factor=factor)
    return found


def with_angles(sizes: Mapping[str, SizeSaid], typed: Sequence[str]) -> dict[str, SizeSaid]:
    """The sizes of a loop with the way each lies, or the size that is its angle. Raises UsageError."""
    found = dict(sizes)
    for one in typed:
        role, value = _pair(one, "--angle", "arm=90")
        angle = typed_number(value)
        found[role] = replace(
            _of(found, role, "--angle"), angle_deg=angle, angle_role=value if angle is None else ""
        )
    return found


def with_gap(sizes: Mapping[str, SizeSaid], gap: str | None) -> dict[str, SizeSaid]:
    """The sizes of a loop with the one that closes it, which is worked out."""
    from offtool.steps.sizes_given import SizeSaid

    return {**sizes, gap.strip(): SizeSaid()} if gap is not None else dict(sizes)


def typed_number(text: str) -> float | None:
    """A number with a point or a comma; None for anything else."""
    if not re.fullmatch(_NUMBER, text.strip()):
        return None
    return float(text.strip().replace(",", ".").replace("−", "-"))


def _said(value: str, now: SizeSaid | None) -> SizeSaid:
    """A number with or without its ±, else the part and number of a measured size."""
    from offtool.steps.sizes_given import SizeSaid

    before = now or SizeSaid()
    number = WITH_PLUS_MINUS.fullmatch(value)
    if number is None:
        return replace(before, size=value, value=None, plus_minus=0.0)
    nominal, off = (typed_number(text) for text in number.groups(default="0"))
    return replace(before, size="", value=nominal, plus_minus=off or 0.0)


def _pair(typed: str, option: str, example: str) -> tuple[str, str]:
    role, equals, value = typed.partition("=")
    if not equals or not role.strip():
        raise click.UsageError(f"{option} {typed}: type it as NAME=VALUE, such as {option} {example}")
    return role.strip(), value.strip()


def _of(sizes: Mapping[str, SizeSaid], role: str, option: str) -> SizeSaid:
    if role not in sizes:
        raise click.UsageError(f"{option} {role}: no --size has that name")
    return sizes[role]
