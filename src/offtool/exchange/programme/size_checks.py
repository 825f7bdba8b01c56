"""What must hold of the sizes of a joint or a seam: roles that its kind has, one source each, the unit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Protocol

from offtool.core.values import nearest
from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.refused import Place, refuse_unknown
from offtool.exchange.programme.rows import Row
from offtool.handbook.joint_checks import Fault
from offtool.handbook.joint_kinds import Role

Names = tuple[str, ...]


class Size(Protocol):
    """What the sizes of joints and seams have in common."""

    @property
    def owner(self) -> str: ...
    @property
    def role(self) -> str: ...
    @property
    def part(self) -> str: ...
    @property
    def characteristic(self) -> str: ...
    @property
    def value(self) -> float | None: ...

    def place(self, column: str = "") -> Place: ...


@dataclass(frozen=True, slots=True)
class Units:
    """The units of all characteristics, and their names for what is misspelt."""

    names: Mapping[str, Set[Names]]
    of_size: Mapping[Names, str]

    @classmethod
    def of(cls, told: ProgrammeFolder, names: Mapping[str, Set[Names]]) -> Units:
        """Those of a folder."""
        return cls(names, {size.names: size.unit for size in told.characteristics})

    def refuse_wrong(self, size: Size, unit: str, *, remedy: str = "or give a number") -> None:
        """Raise FolderRefused unless the size has one source at most, which is there and has this unit."""
        place = size.place(size.role)
        if not size.part and not size.characteristic:
            return
        if size.value is not None:
            what = f"{size.part} {size.characteristic} beside the number {size.value!r}"
            raise place.refuse(what, "keep one of them: a size is measured or is a number")
        if not size.part or not size.characteristic:
            what = f"characteristic {size.characteristic!r} with part {size.part!r}"
            raise place.refuse(what, 'give both, or both in one as "part number"')
        refuse_unknown(place, (size.part,), self.names["parts"])
        refuse_unknown(place, (size.part, size.characteristic), self.names["characteristics"])
        found = self.of_size[size.part, size.characteristic]
        if found != unit:
            wanted = "a plain number" if unit == "1" else f"in {unit}"
            what = f"{size.part} {size.characteristic} is in {found}, and {size.role} is {wanted}"
            raise place.refuse(what, f"name a size that is {wanted}, {remedy}")


def refuse_first(owner: Row, sizes: Sequence[Size], faults: Iterable[Fault]) -> None:
    """Raise FolderRefused for the first thing that cannot be, at its size or its column."""
    for fault in faults:
        at = next((size for size in sizes if size.role == fault.field), owner)
        raise at.place(fault.field).refuse(fault.what, fault.remedy)


def refuse_no_source(size: Size) -> None:
    """Raise FolderRefused for a size that is neither measured nor a number."""
    if not size.part and not size.characteristic and size.value is None:
        raise size.place(size.role).refuse("it says no size", 'write "part number", or a number')


def refuse_other_roles(owner: Place, kind: str, sizes: Sequence[Size], roles: Sequence[Role]) -> None:
    """Raise FolderRefused for a size that the kind has not, or one it needs and that is not given."""
    for size in sizes:
        if size.role not in {role.name for role in roles}:
            what = f"a {kind} has no size {size.role!r}"
            raise size.place(size.role).refuse(what, nearest(size.role, [role.name for role in roles]))
    given = {size.role for size in sizes}
    for role in roles:
        if role.name not in given and role.usual is None:
            remedy = f'add {role.name} = "part number", or a number in {role.unit}'
            raise owner.refuse(f"a {kind} needs {role.name}: {role.meaning}", remedy)
