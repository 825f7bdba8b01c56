"""Edit the list of a release review: what a line asks, what feeds it, what makes it stale, own lines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.release_list import RELEASE_LIST, Change, Fed, ReleaseRequirement, changes_named
from offtool.records.models import Programme, ReleaseLine
from offtool.records.operations import define_release_line
from offtool.records.operations import drop_release_line as drop
from offtool.records.queries import find_programme, release_lines_of
from offtool.records.queries.finding import NotInRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseLineSaid:
    """A line of the list as a person wants it; `not_asked` says why it is not asked, empty where it is."""

    code: str
    title: str
    asks: str
    fed_by: Fed
    stale_by: tuple[Change, ...] = ()
    stale_after_days: int | None = None
    source: str = ""
    not_asked: str = ""


def release_line_now(programme: str, code: str) -> ReleaseLineSaid:
    """A line as it stands: the programme's own, else that of the usual list. Raises NotInRecord."""
    found = find_programme(programme)
    own = {one.code: one for one in release_lines_of(found)}
    usual = {one.code: one for one in RELEASE_LIST}
    if code not in own and code not in usual:
        raise NotInRecord(f"no line {code!r}", remedy=nearest(code, [*usual, *own]))
    if code in usual and code not in own:
        one = usual[code]
        return ReleaseLineSaid(
            code=code,
            title=one.title,
            asks=one.asks,
            fed_by=one.fed_by,
            stale_by=one.stale_by,
            stale_after_days=one.stale_after_days,
            source=one.source,
        )
    return _own(own[code], usual.get(code))


def _own(row: ReleaseLine, usual: ReleaseRequirement | None) -> ReleaseLineSaid:
    return ReleaseLineSaid(
        code=row.code,
        title=row.title or (usual.title if usual else ""),
        asks=row.asks or (usual.asks if usual else ""),
        fed_by=Fed(row.fed_by),
        stale_by=changes_named(row.stale_by),
        stale_after_days=row.stale_after_days,
        source=row.source or (usual.source if usual else ""),
        not_asked=row.not_asked,
    )


def edit_release_line(programme: str, said: ReleaseLineSaid, *, made_by: str, because: str = "") -> str:
    """Keep a line of the programme's own, in place of the usual one of that code or beside the list.

    `because` says why it is edited; it is shown on the line until it is edited again.

    Raises NotInRecord for an unknown programme; OfftoolError for a line without a title or without what it
    asks, and where the signatures would not be asked: somebody decides in the end.
    """
    found = find_programme(programme)
    if not said.code.strip():
        raise OfftoolError("it has no short name", where="code", remedy="give one, such as drop-in-box")
    for name, lacks, asked in (
        ("title", "it has no title", "say what it is called"),
        ("asks", "it asks nothing", "say what must stand in the record"),
    ):
        if not getattr(said, name).strip():
            raise OfftoolError(lacks, where=name, remedy=asked)
    _keep_the_signatures(said)
    columns: Mapping[str, Any] = {
        "title": said.title,
        "asks": said.asks,
        "fed_by": said.fed_by.value,
        "stale_by": "; ".join(one.value for one in said.stale_by),
        "stale_after_days": said.stale_after_days,
        "source": said.source,
        "not_asked": said.not_asked,
    }
    return define_release_line(found, said.code.strip(), columns, made_by=made_by, because=because).code


def _keep_the_signatures(said: ReleaseLineSaid) -> None:
    usual = next((one for one in RELEASE_LIST if one.code == said.code), None)
    if usual is None or usual.fed_by is not Fed.SIGNATURES:
        return
    if said.not_asked or said.fed_by is not Fed.SIGNATURES:
        raise OfftoolError(
            "somebody decides in the end",
            where="not_asked" if said.not_asked else "fed_by",
            remedy="the line of the signatures stays on the list",
        )


def restore_release_line(programme: str, code: str, *, because: str, made_by: str) -> bool:
    """Take the programme's own line out; whether a line of the usual list stands in its place again.

    Raises NotInRecord where the programme has no line of its own of that code; OfftoolError without a reason.
    """
    found: Programme = find_programme(programme)
    own = {one.code: one for one in release_lines_of(found)}
    if code not in own:
        raise NotInRecord(f"no line {code!r} of its own", remedy=nearest(code, own))
    drop(own[code], because, made_by=made_by)
    return any(one.code == code for one in RELEASE_LIST)
