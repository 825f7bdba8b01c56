"""programme.toml: the programme, its resins, parts, gauges, tools with cavities and states, trials, joints
and seams."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from offtool.core.values import nearest
from offtool.exchange.programme.cells import Cell, Refused
from offtool.exchange.programme.files import find_file, read_text
from offtool.exchange.programme.joint_rows import JointRow, JointSizeRow
from offtool.exchange.programme.limits import LARGEST_TOML_BYTES
from offtool.exchange.programme.refused import FolderRefused, Place
from offtool.exchange.programme.rows import (
    CavityRow,
    GaugeRow,
    PartRow,
    ProgrammeRow,
    ResinRow,
    Row,
    StateRow,
    ToolRow,
    TrialRow,
    cells_of,
)
from offtool.exchange.programme.seam_rows import SeamRow, SeamSizeRow
from offtool.exchange.programme.toml_sizes import SIZE, size_shown, size_told
from offtool.exchange.programme.toml_text import KeyPath, lines_of, toml_table

FILE = "programme.toml"
TABLES = ("programme", "resin", "part", "gauge", "tool", "trial", "joint", "seam")
R = TypeVar("R", bound=Row)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeToml:
    """What programme.toml says."""

    programme: ProgrammeRow
    resins: tuple[ResinRow, ...]
    parts: tuple[PartRow, ...]
    gauges: tuple[GaugeRow, ...]
    tools: tuple[ToolRow, ...]
    cavities: tuple[CavityRow, ...]
    states: tuple[StateRow, ...]
    trials: tuple[TrialRow, ...]
    joints: tuple[JointRow, ...] = ()
    joint_sizes: tuple[JointSizeRow, ...] = ()
    seams: tuple[SeamRow, ...] = ()
    seam_sizes: tuple[SeamSizeRow, ...] = ()


def read_toml(folder: Path) -> ProgrammeToml:
    """Read and check programme.toml. Raises FolderRefused naming line and key."""
    path = find_file(folder, FILE)
    if path is None:
        raise Place(FILE).refuse("it is not there", f"is {folder} a programme folder?")
    text = read_text(path, FILE, LARGEST_TOML_BYTES)
    try:
        told = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise _no_toml(error) from error
    return _Reader(text, told).read()


def _no_toml(error: Exception) -> FolderRefused:
    at = re.search(r" \(at line (\d+), column \d+\)", str(error))
    what = str(error).replace(at[0], "") if at else str(error)
    return Place(FILE, int(at[1]) if at else 0).refuse(what, "texts go in quotation marks, tables in [[ ]]")


class _Reader:
    """Turns the parsed TOML into rows; knows on which line each table and key stands."""

    def __init__(self, text: str, told: Mapping[str, Any]) -> None:
        self.told, self.lines = told, lines_of(text)

    def read(self) -> ProgrammeToml:
        self._refuse_unknown(self.told, TABLES, ())
        programme = self.told.get("programme")
        if not isinstance(programme, dict):
            raise self._place("programme").refuse(
                "no table [programme]", "begin with [programme], slug, title"
            )
        tools = self._tables(self.told, "tool")
        joints, seams = self._tables(self.told, "joint"), self._tables(self.told, "seam")
        return ProgrammeToml(
            programme=self._row(ProgrammeRow, programme, ("programme",)),
            resins=self._rows(ResinRow, "resin"),
            parts=self._rows(PartRow, "part"),
            gauges=self._rows(GaugeRow, "gauge"),
            tools=tuple(self._row(ToolRow, tool, at, beside=("cavities", "state")) for at, tool in tools),
            cavities=tuple(cavity for at, tool in tools for cavity in self._cavities(at, tool)),
            states=tuple(state for at, tool in tools for state in self._states(at, tool)),
            trials=self._rows(TrialRow, "trial"),
            joints=tuple(self._row(JointRow, joint, at, beside=("sizes",)) for at, joint in joints),
            joint_sizes=tuple(size for at, joint in joints for size in self._sizes_in_order(at, joint)),
            seams=tuple(self._row(SeamRow, seam, at, beside=("sizes",)) for at, seam in seams),
            seam_sizes=tuple(size for at, seam in seams for size in self._sizes(SeamSizeRow, at, seam)),
        )

    def _rows(self, row: type[R], name: str) -> tuple[R, ...]:
        return tuple(self._row(row, table, at) for at, table in self._tables(self.told, name))

    def _cavities(self, at: KeyPath, tool: Mapping[str, Any]) -> Iterator[CavityRow]:
        """[tool.cavities]: part = list of labels."""
        cavities = tool.get("cavities", {})
        if not isinstance(cavities, dict):
            raise self._place(*at, "cavities").refuse(
                "it is no table", "write [tool.cavities], then part = [1, 2]"
            )
        for part, labels in cavities.items():
            here = (*at, "cavities", part)
            if not isinstance(labels, list):
                raise self._place(*here).refuse(
                    f"{labels!r} is no list", "write the labels in brackets: [1, 2]"
                )
            for label in labels:
                yield self._row(CavityRow, {"label": label}, here, given={"tool": tool["code"], "part": part})

    def _states(self, at: KeyPath, tool: Mapping[str, Any]) -> Iterator[StateRow]:
        """[[tool.state]], in order of time unless they number themselves."""
        for ordinal, (here, state) in enumerate(self._tables(tool, "state", at), start=1):
            yield self._row(StateRow, {"ordinal": ordinal, **state}, here, given={"tool": tool["code"]})

    def _sizes_in_order(self, at: KeyPath, joint: Mapping[str, Any]) -> Iterator[JointSizeRow]:
        for ordinal, size in enumerate(self._sizes(JointSizeRow, at, joint)):
            yield replace(size, ordinal=ordinal)

    def _sizes(self, row: type[R], at: KeyPath, owner: Mapping[str, Any]) -> Iterator[R]:
        """[joint.sizes] or [seam.sizes]: role = what it is."""
        name = str(at[0])
        sizes = owner.get("sizes", {})
        if not isinstance(sizes, dict):
            remedy = f'write [{name}.sizes], then each size as: role = "part number", or a number'
            raise self._place(*at, "sizes").refuse("it is no table", remedy)
        for role, said in sizes.items():
            here = (*at, "sizes", role)
            try:
                told = size_told(said)
            except Refused as refused:
                raise self._place(*here).refuse(refused.what, refused.remedy) from refused
            given = {name: owner["code"], "role": role}
            yield self._row(row, told, here, given=given, beside=(SIZE,))

    def _tables(
        self, within: Mapping[str, Any], name: str, at: KeyPath = ()
    ) -> list[tuple[KeyPath, Mapping[str, Any]]]:
        """The tables of an array, each with its path."""
        tables = within.get(name, [])
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            header = ".".join([*(step for step in at if isinstance(step, str)), name])
            raise self._place(*at, name).refuse(
                f"{header} is no array of tables", f"write [[{header}]] before each"
            )
        return [((*at, name, index), table) for index, table in enumerate(tables)]

    def _row(
        self,
        row: type[R],
        table: Mapping[str, Any],
        at: KeyPath,
        *,
        beside: Iterable[str] = (),
        given: Mapping[str, Any] = MappingProxyType({}),
    ) -> R:
        """A row from a table; `given` is known from around it, `beside` are its tables within."""
        cells = cells_of(row)
        self._refuse_unknown(table, [*(key for key in cells if key not in given), *beside], at)
        told = {**table, **given}
        values = {
            key: self._value(cell, told.get(key, ""), self._place(*at, key)) for key, cell in cells.items()
        }
        return row(line=self._place(*at).line, **values)

    def _value(self, cell: Cell, value: Any, place: Place) -> Any:
        if value == "":
            if cell.may_be_blank:
                return cell.blank
            raise place.refuse("must be given", "add it")
        try:
            return cell.check(value)
        except Refused as refused:
            raise place.refuse(refused.what, refused.remedy) from refused

    def _refuse_unknown(self, table: Mapping[str, Any], known: Sequence[str], at: KeyPath) -> None:
        for key in table:
            if key not in known:
                raise self._place(*at, key).refuse(f"unknown key {key!r}", nearest(key, known))

    def _place(self, *path: str | int) -> Place:
        """The line of a table or key, or of the nearest table around it."""
        around = (self.lines.get(path[:steps]) for steps in range(len(path), 0, -1))
        line = next((line for line in around if line), 0)
        return Place(FILE, line, ".".join(step for step in path if isinstance(step, str)))


def toml_text(told: ProgrammeToml) -> str:
    """programme.toml as text; reads back as the same rows."""
    tables = [
        toml_table("[programme]", _entries(told.programme)),
        *(toml_table("[[resin]]", _entries(resin)) for resin in told.resins),
        *(toml_table("[[part]]", _entries(part)) for part in told.parts),
        *(toml_table("[[gauge]]", _entries(gauge)) for gauge in told.gauges),
        *(_tool_text(tool, told) for tool in told.tools),
        *(toml_table("[[trial]]", _entries(trial)) for trial in told.trials),
        *(_with_sizes("joint", joint, told.joint_sizes) for joint in told.joints),
        *(_with_sizes("seam", seam, told.seam_sizes) for seam in told.seams),
    ]
    return "\n".join(tables)


def _entries(row: Row, *left_out: str) -> dict[str, Any]:
    return {key: getattr(row, key) for key in cells_of(type(row)) if key not in left_out}


def _tool_text(tool: ToolRow, told: ProgrammeToml) -> str:
    labels: dict[str, list[str]] = {}
    for cavity in told.cavities:
        if cavity.tool == tool.code:
            labels.setdefault(cavity.part, []).append(cavity.label)
    states = [state for state in told.states if state.tool == tool.code]
    tables = [
        toml_table("[[tool]]", _entries(tool)),
        toml_table("[tool.cavities]", labels),
        *(toml_table("[[tool.state]]", _entries(state, "tool")) for state in states),
    ]
    return "\n".join(tables)


def _with_sizes(name: str, owner: JointRow | SeamRow, sizes: Sequence[JointSizeRow | SeamSizeRow]) -> str:
    shown = {size.role: size_shown(size) for size in sizes if size.owner == owner.code}
    return "\n".join([toml_table(f"[[{name}]]", _entries(owner)), toml_table(f"[{name}.sizes]", shown)])
