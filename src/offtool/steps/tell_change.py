"""Tell a change of the product, after which evidence of the release review is stale."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.release_list import Change
from offtool.records.models import ChangeMade, Part, Programme
from offtool.records.operations import NewChange
from offtool.records.operations import set_change_aside as put_aside
from offtool.records.operations import tell_change as keep
from offtool.records.queries import changes_of, find_joint, find_programme, find_seam, find_tool
from offtool.records.queries.finding import NotInRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSaid:
    """A change as a person tells it; without a tool, part, joint or seam it is one of the whole product."""

    what: Change
    on: date
    words: str
    tool: str = ""
    part: str = ""
    joint: str = ""
    seam: str = ""


def tell_change(programme: str, said: ChangeSaid, *, told_at: datetime, told_by: str) -> int:
    """Keep a change; its number, by which it can be set aside.

    Raises NotInRecord for names that are not there, OfftoolError without words or for several places at once.
    """
    found = find_programme(programme)
    named = [one for one in (said.tool, said.part, said.joint, said.seam) if one]
    if len(named) > 1:
        raise OfftoolError(
            f"one change is told of {' and '.join(named)} at once",
            where="tool",
            remedy="tell it of one of them, or of none for the whole product",
        )
    new = NewChange(
        what=said.what,
        on=said.on,
        words=said.words,
        tool=find_tool(found, said.tool) if said.tool else None,
        part=_part(found, said.part) if said.part else None,
        joint=find_joint(found, said.joint) if said.joint else None,
        seam=find_seam(found, said.seam) if said.seam else None,
    )
    return keep(found, new, told_at=told_at, told_by=told_by).pk


def change_places(programme: str) -> tuple[tuple[str, str], ...]:
    """What a change may be of: kind and code of every tool, part, joint and seam. Raises NotInRecord."""
    found = find_programme(programme)
    codes = {
        "tool": found.tools.values_list("code", flat=True),
        "part": found.parts.values_list("code", flat=True),
        "joint": found.joints.values_list("code", flat=True),
        "seam": found.seams.values_list("code", flat=True),
    }
    return tuple((kind, code) for kind, each in codes.items() for code in sorted(each))


def set_change_aside(programme: str, key: int, *, reason: str, made_by: str) -> None:
    """Let a change that was told count no longer, such as one told by mistake.

    Raises NotInRecord where it is not there; OfftoolError without a reason or the second time.
    """
    put_aside(_change(find_programme(programme), key), reason, made_by=made_by)


def _change(programme: Programme, key: int) -> ChangeMade:
    told = changes_of(programme)
    found = next((one for one in told if one.pk == key), None)
    if found is None:
        raise NotInRecord(f"no change {key}", remedy=nearest(str(key), [str(one.pk) for one in told]))
    return found


def _part(programme: Programme, code: str) -> Part:
    found = programme.parts.filter(code=code).first()
    if found is None:
        known = programme.parts.values_list("code", flat=True)
        raise NotInRecord(f"no part {code!r}", where="part", remedy=nearest(code, known))
    return found
