"""What the names on a tag mean in the record: part, tool, state, cavity, trial, build."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import TypeVar

from offtool.core.values import nearest
from offtool.exchange.samples_file import SampleRowRead
from offtool.records.models import Build, Cavity, Part, Programme, Tool, ToolState, Trial
from offtool.records.operations import NewSamplePart

T = TypeVar("T")


class CellUnknown(Exception):
    """A cell whose name means nothing in the record: which field, what it says, why, and the remedy."""

    def __init__(self, field: str, found: str, why: str, remedy: str) -> None:
        self.field, self.found, self.why, self.remedy = field, found, why, remedy
        super().__init__(why)


@dataclass(frozen=True, slots=True, kw_only=True)
class TagsInRecord:
    """All names of a programme that a tag may carry, looked up once."""

    programme: Programme
    taken: frozenset[str]
    """Numbers that samples have."""
    parts: Mapping[str, Part]
    """By code, and by the name that people call it where only one has it."""
    tools: Mapping[str, Tool]
    makers: Mapping[int, tuple[Tool, ...]]
    """The tools that make a part, by the part's key."""
    states: Mapping[int, Mapping[str, ToolState]]
    """By tool and label."""
    cavities: Mapping[tuple[int, int], Mapping[str, Cavity]]
    """By tool and part, then label."""
    trials: Mapping[int, Mapping[str, Trial]]
    builds: Mapping[str, Build]

    @classmethod
    def of(cls, programme: Programme) -> TagsInRecord:
        """Those of a programme, in seven queries."""
        parts = list(Part.objects.filter(programme=programme).order_by("code"))
        names = [one.name for one in parts]
        states: dict[int, dict[str, ToolState]] = {}
        cavities: dict[tuple[int, int], dict[str, Cavity]] = {}
        trials: dict[int, dict[str, Trial]] = {}
        makers: dict[int, dict[int, Tool]] = {}
        for state in ToolState.objects.filter(tool__programme=programme):
            states.setdefault(state.tool_id, {})[state.label] = state
        for one in Cavity.objects.filter(tool__programme=programme).select_related("tool"):
            cavities.setdefault((one.tool_id, one.part_id), {})[one.label] = one
            makers.setdefault(one.part_id, {})[one.tool_id] = one.tool
        for trial in Trial.objects.filter(tool__programme=programme):
            trials.setdefault(trial.tool_id, {})[trial.name] = trial
        return cls(
            programme=programme,
            taken=frozenset(programme.samples.values_list("number", flat=True)),
            parts={one.name: one for one in parts if names.count(one.name) == 1 and one.name}
            | {one.code: one for one in parts},
            tools={one.code: one for one in programme.tools.all()},
            makers={part: tuple(tools.values()) for part, tools in makers.items()},
            states=states,
            cavities=cavities,
            trials=trials,
            builds={one.code: one for one in programme.builds.all()},
        )

    def refuse_taken(self, number: str) -> None:
        """Raise CellUnknown for a number that the register has."""
        if number in self.taken:
            raise CellUnknown(
                "number", number, "is in the register already", "change it there, or give another number"
            )

    def build(self, code: str) -> Build | None:
        """The build that is named; None where none is. Raises CellUnknown."""
        return _named_if(self.builds, "build", code, f"is no build of {self.programme.slug}")

    def part(self, row: SampleRowRead) -> NewSamplePart:
        """The part of a row, with what its tag says. Raises CellUnknown for the first unknown name."""
        part = _named(self.parts, "part", row.part, f"is no part of {self.programme.slug}")
        tool = self._tool(row, part)
        if tool is None:
            return NewSamplePart(part=part, label=row.label, shot=row.shot, colour=row.colour)
        states, trials = self.states.get(tool.pk, {}), self.trials.get(tool.pk, {})
        cavities = self.cavities[tool.pk, part.pk]
        return NewSamplePart(
            part=part,
            label=row.label,
            tool=tool,
            state=_named_if(states, "state", row.state, f"is no state of tool {tool.code}"),
            cavity=_named_if(cavities, "cavity", row.cavity, f"is no cavity of {part.code} in {tool.code}"),
            trial=_named_if(trials, "trial", row.trial, f"is no trial of tool {tool.code}"),
            shot=row.shot,
            colour=row.colour,
        )

    def _tool(self, row: SampleRowRead, part: Part) -> Tool | None:
        """The tool that is named; else the only one that makes the part, where the tag needs one."""
        makers = self.makers.get(part.pk, ())
        if row.tool:
            tool = _named(self.tools, "tool", row.tool, f"is no tool of {self.programme.slug}")
            if tool.pk not in {one.pk for one in makers}:
                raise CellUnknown("tool", row.tool, f"does not make part {part.code}", _one_of(makers))
            return tool
        field = next((name for name in ("state", "cavity", "trial") if getattr(row, name)), None)
        if field is None:
            return None
        if len(makers) != 1:
            said = str(getattr(row, field))
            why = f"is that of a tool, and {len(makers)} tools make part {part.code}"
            raise CellUnknown(field, said, why, _one_of(makers))
        return makers[0]


def _one_of(tools: Collection[Tool]) -> str:
    return f"name one of: {', '.join(one.code for one in tools)}" if tools else "give its tool first"


def _named(known: Mapping[str, T], field: str, name: str, why: str) -> T:
    """What is called so, in large letters or small where only one is. Raises CellUnknown."""
    if name in known:
        return known[name]
    alike = {id(one): one for key, one in known.items() if key.casefold() == name.casefold()}
    if len(alike) == 1:
        return next(iter(alike.values()))
    raise CellUnknown(field, name, why, nearest(name, known) if known else "enter it first")


def _named_if(known: Mapping[str, T], field: str, name: str, why: str) -> T | None:
    """As `_named`; None where nothing is said."""
    return _named(known, field, name, why) if name else None
