"""The sizes of a joint or a seam as they are given, checked against what its kind is made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TypeAlias

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.joint_checks import Fault, number_faults
from offtool.handbook.joint_kinds import Role
from offtool.handbook.terms import LARGEST_NUMBER
from offtool.records.models import Characteristic, Programme
from offtool.records.operations import NewSize
from offtool.records.queries.finding import NotInRecord
from offtool.steps.what_is_asked import size_key, size_named


class DefinitionRefused(OfftoolError):
    """One field of a definition that cannot be; `field` is its name in the form."""

    def __init__(self, field: str, what: str, remedy: str) -> None:
        self.field = field
        super().__init__(what, where=field, remedy=remedy)


def refuse_first(faults: Iterable[Fault]) -> None:
    """Raise DefinitionRefused for the first thing that cannot be."""
    for fault in faults:
        raise DefinitionRefused(fault.field, fault.what, fault.remedy)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeSaid:
    """One size as it is given: a measured one by part and number, such as HO-04 2, or a number.

    In a chain, `factor` is which way it moves the gap. In a loop `angle_deg` is the way it lies, or
    `angle_role` the size that is its angle; the gap of a loop has neither size nor number.
    """

    size: str = ""
    value: float | None = None
    plus_minus: float = 0.0
    factor: float = 1.0
    angle_deg: float | None = None
    angle_role: str = ""


Said: TypeAlias = SizeSaid | str | float | tuple[float, float]
"""In short: part and number, or a number, or a number and how far it may be off."""


def said_of(given: Said) -> SizeSaid:
    """What was given, in full."""
    if isinstance(given, SizeSaid):
        return given
    if isinstance(given, str):
        return SizeSaid(size=given)
    if isinstance(given, tuple):
        return SizeSaid(value=given[0], plus_minus=given[1])
    return SizeSaid(value=given)


class Sizes:
    """The sizes of one definition with the programme that their characteristics are of."""

    def __init__(self, programme: Programme, given: Mapping[str, Said]) -> None:
        self._programme = programme
        self.said = {role.strip(): said_of(one) for role, one in given.items()}
        asked = Characteristic.objects.filter(part__programme=programme)
        self._known = list(asked.select_related("part__resin")) if self.said else []

    def by_roles(self, roles: Sequence[Role], kind: str) -> list[NewSize]:
        """The sizes of a kind with roles of its own, in the kind's order. Raises DefinitionRefused."""
        names = [role.name for role in roles]
        for name in self.said:
            if name not in names:
                raise DefinitionRefused(name, f"a {kind} has no size of that name", nearest(name, names))
        sizes = list(self._of_roles(roles, kind))
        refuse_first(number_faults(roles, sizes))
        return sizes

    def _of_roles(self, roles: Sequence[Role], kind: str) -> Iterator[NewSize]:
        for role in roles:
            said = self.said.get(role.name, SizeSaid())
            self._refuse_what_only_chains_have(role.name, said)
            size = self.size(role.name, said, role.unit)
            if size.characteristic is None and size.value is None:
                if role.usual is None:
                    raise DefinitionRefused(
                        role.name,
                        f"a {kind} needs its {role.meaning}",
                        f"give a size that is measured, such as HO-04 2, or a number in {role.unit}",
                    )
                continue
            yield size

    def size(self, role: str, said: SizeSaid, unit: str) -> NewSize:
        """One size with its characteristic found, in the unit that it must have. Raises DefinitionRefused."""
        if said.size.strip() and said.value is not None:
            raise DefinitionRefused(
                role, f"both the size {said.size} and the number {said.value:g}", "give one of the two"
            )
        for name, value in (("number", said.value), ("plus_minus", said.plus_minus), ("factor", said.factor),
                            ("angle_deg", said.angle_deg)):  # fmt: skip
            if value is not None and not (isfinite(value) and abs(value) <= LARGEST_NUMBER):
                raise DefinitionRefused(role, f"{name} {value:g} is no size", "give a finite number")
        if said.plus_minus < 0:
            raise DefinitionRefused(
                role, f"plus_minus {said.plus_minus:g} is below 0", "give how far it may be off, either way"
            )
        return NewSize(
            role=role,
            characteristic=self._characteristic(role, said.size, unit),
            value=said.value,
            plus_minus=said.plus_minus if said.value is not None else 0.0,
            factor=said.factor,
            angle_deg=said.angle_deg,
            angle_role=said.angle_role.strip(),
        )

    def _characteristic(self, role: str, name: str, unit: str) -> Characteristic | None:
        if not name.strip():
            return None
        try:
            found = size_named(self._known, name, not_there=f"in {self._programme.slug}")
        except NotInRecord as error:
            raise DefinitionRefused(role, error.what, error.remedy) from error
        if found.unit != unit:
            raise DefinitionRefused(
                role,
                f"{size_key(found)} is in {found.unit}, and this size is in {unit}",
                f"name a size that is measured in {unit}",
            )
        return found

    def _refuse_what_only_chains_have(self, role: str, said: SizeSaid) -> None:
        if said.factor != 1 or said.angle_deg is not None or said.angle_role:
            raise DefinitionRefused(
                role, "factor and angle belong to chains and loops", "leave them out, or make it a chain"
            )
