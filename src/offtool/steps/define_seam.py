"""Define a welded seam, change it, or take it out: its kind, its two parts, its sizes and its welder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from offtool.core.values import nearest
from offtool.handbook.joint_checks import code_faults
from offtool.handbook.seam_kinds import SEAM_KINDS
from offtool.handbook.terms import SeamKind
from offtool.records.models import Part, Programme, Seam
from offtool.records.operations import NewSize, delete_seam, store_seam
from offtool.records.queries import find_programme, find_seam
from offtool.steps.define_joint import refuse_numbers
from offtool.steps.sizes_given import DefinitionRefused, Said, Sizes, refuse_first
from offtool.steps.what_is_asked import size_key


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamDefined:
    """A seam as it is defined. None and empty stand for what is not known."""

    code: str
    kind: str
    top_part: str
    """Code of the part under the horn."""
    bottom_part: str
    """Code of the part in the nest."""
    sizes: Mapping[str, Said]
    """By role, such as ridge_height."""
    name: str = ""
    required_n: float | None = None
    largest_flash_mm: float | None = None
    frequency_khz: float | None = None
    converter_um: float | None = None
    """Peak-to-peak, at full power."""
    amplitude_pct: float = 100.0
    booster_gain: float | None = None
    horn_gain: float | None = None
    horn_distance_mm: float | None = None
    note: str = ""


_PARTS = ("top_part", "bottom_part")
_COLUMNS = tuple(one.name for one in fields(SeamDefined) if one.name not in ("sizes", *_PARTS))
_ABOVE_ZERO = (
    *("required_n", "largest_flash_mm", "frequency_khz", "converter_um"),
    *("amplitude_pct", "booster_gain", "horn_gain"),
)


def define_seam(programme: str, seam: SeamDefined, *, made_by: str) -> str:
    """Define a new seam and return its code.

    Raises NotInRecord for an unknown programme; DefinitionRefused, which names the field, for a kind, a part,
    a role, a size or a number that cannot be, and for a code that is taken. Nothing is recorded then.
    """
    found = find_programme(programme)
    _refuse_taken(found, seam.code, now=None)
    return store_seam(found, *_checked(found, seam), made_by=made_by).code


def change_seam(programme: str, code: str, seam: SeamDefined, *, made_by: str) -> str:
    """Make a seam what is given, all of it, and return its code.

    Raises what `define_seam` raises; DefinitionRefused too for another kind or another part where weld
    studies hang on the seam, since their pieces were of these.
    """
    found = find_programme(programme)
    now = find_seam(found, code)
    _refuse_taken(found, seam.code, now=now)
    columns, sizes = _checked(found, seam)
    if now.studies.exists():
        _refuse_another(now, columns)
    return store_seam(found, columns, sizes, made_by=made_by, seam=now).code


def remove_seam(programme: str, code: str, *, made_by: str) -> None:
    """Take a seam out of the record.

    Raises NotInRecord for names that are not there; OfftoolError where a weld study hangs on it.
    """
    delete_seam(find_seam(find_programme(programme), code), made_by=made_by)


def _refuse_taken(programme: Programme, code: str, *, now: Seam | None) -> None:
    refuse_first(code_faults("seam", code))
    taken = Seam.objects.filter(programme=programme, code=code.strip()).first()
    if taken is not None and (now is None or taken.pk != now.pk):
        raise DefinitionRefused(
            "code", f"there is a seam {code} already", "change that one, or give another code"
        )


def _refuse_another(now: Seam, columns: Mapping[str, Any]) -> None:
    for name in ("kind", *_PARTS):
        before, after = getattr(now, name), columns[name]
        if before != after:
            raise DefinitionRefused(
                name,
                f"weld studies of seam {now.code} with {getattr(before, 'code', before)} are kept",
                "define another seam beside it",
            )


def _checked(programme: Programme, seam: SeamDefined) -> tuple[dict[str, Any], list[NewSize]]:
    """The columns and sizes of a seam that can be. Raises DefinitionRefused."""
    known = [one.value for one in SeamKind]
    if seam.kind not in known:
        raise DefinitionRefused("kind", f"no kind of seam is called {seam.kind!r}", nearest(seam.kind, known))
    columns = {name: getattr(seam, name) for name in _COLUMNS}
    columns |= {name: _part(programme, name, getattr(seam, name)) for name in _PARTS}
    refuse_numbers(columns, _ABOVE_ZERO, ("horn_distance_mm",))
    if seam.amplitude_pct > 100:
        raise DefinitionRefused(
            "amplitude_pct", f"{seam.amplitude_pct:g} % is above the full amplitude", "give at most 100"
        )
    sizes = Sizes(programme, seam.sizes).by_roles(SEAM_KINDS[SeamKind(seam.kind)], seam.kind)
    _refuse_other_parts(sizes, columns["top_part"], columns["bottom_part"])
    return columns, sizes


def _part(programme: Programme, field: str, code: str) -> Part:
    found = programme.parts.filter(code=code.strip()).first()
    if found is None:
        known = programme.parts.values_list("code", flat=True)
        raise DefinitionRefused(field, f"no part {code!r} in {programme.slug}", nearest(code, known))
    return found


def _refuse_other_parts(sizes: Sequence[NewSize], top: Part, bottom: Part) -> None:
    """The sizes of a seam are those of the parts that are welded."""
    for size in sizes:
        if size.characteristic is not None and size.characteristic.part not in (top, bottom):
            raise DefinitionRefused(
                size.role,
                f"{size_key(size.characteristic)} is no size of {top.code} or {bottom.code}",
                "name a size of one of the two parts",
            )
