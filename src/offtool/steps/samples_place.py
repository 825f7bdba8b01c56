"""What a page about samples can offer to choose from: parts, runs, states of steel, builds; and the next
number of the register."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offtool.records.models import Cavity, Part, Programme, ToolState
from offtool.records.queries import builds_of, find_programme, runs_of
from offtool.steps.keep_sample import next_number
from offtool.steps.overview import is_invented


@dataclass(frozen=True, slots=True, kw_only=True)
class RunToChoose:
    """A run that a tag can name; without a name it is the tool alone."""

    tool: str
    run: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StateToChoose:
    """A state of a tool's steel that a tag can name."""

    tool: str
    state: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesPlace:
    """Where samples are registered."""

    programme: str
    programme_title: str
    invented: bool
    next_number: str
    parts: tuple[tuple[str, str], ...]
    """Code and words of each."""
    runs: Mapping[str, RunToChoose]
    """By a key of their own."""
    states: Mapping[str, StateToChoose]
    builds: tuple[tuple[str, str], ...]
    cavities: Mapping[tuple[str, str], tuple[str, ...]]
    """By the codes of tool and part: the labels of the cavities that make it."""

    def tools_of(self, part: str) -> tuple[str, ...]:
        """The tools that make a part."""
        return tuple(tool for tool, made in self.cavities if made == part)


def place_of_samples(programme: str) -> SamplesPlace:
    """What a piece of this programme can be said to be. Raises NotInRecord."""
    found = find_programme(programme)
    return SamplesPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        next_number=next_number(found),
        parts=tuple((one.code, _part_in_words(one)) for one in found.parts.order_by("code")),
        runs=_runs(found),
        states=_states(found),
        builds=tuple((one.build.code, f"{one.build.code}, {one.build.stage}") for one in builds_of(found)),
        cavities=_cavities(found),
    )


def _part_in_words(part: Part) -> str:
    return f"{part.code} {part.name}".rstrip()


def _runs(programme: Programme) -> dict[str, RunToChoose]:
    tools = programme.tools.order_by("code").values_list("code", flat=True)
    alone = [RunToChoose(tool=code, run="", words=f"{code}, run not said") for code in tools]
    named = [
        RunToChoose(
            tool=one.tool.code, run=one.name, words=f"{one.name} of {one.tool.code}, state {one.state.label}"
        )
        for one in runs_of(programme)
    ]
    return {f"{one.tool}/{one.run}": one for one in (*named, *alone)}


def _states(programme: Programme) -> dict[str, StateToChoose]:
    rows = ToolState.objects.filter(tool__programme=programme).select_related("tool")
    return {
        f"{one.tool.code}/{one.label}": StateToChoose(
            tool=one.tool.code, state=one.label, words=f"state {one.label} of {one.tool.code}"
        )
        for one in rows.order_by("tool__code", "ordinal")
    }


def _cavities(programme: Programme) -> dict[tuple[str, str], tuple[str, ...]]:
    found: dict[tuple[str, str], list[str]] = {}
    rows = Cavity.objects.filter(tool__programme=programme).select_related("tool", "part")
    for one in rows.order_by("tool__code", "part__code", "label"):
        found.setdefault((one.tool.code, one.part.code), []).append(one.label)
    return {key: tuple(labels) for key, labels in found.items()}
