"""Finding what a user named; a name that is not there is answered with the nearest one that is."""

from __future__ import annotations

from offtool.core.values import OfftoolError, nearest
from offtool.records.models import Programme, SteelSize, Tool, ToolState, Trial


class NotInRecord(OfftoolError):
    """A name that the record does not have; says which names it has."""


def find_programme(slug: str) -> Programme:
    """The programme with this short name. Raises NotInRecord."""
    found = Programme.objects.filter(slug=slug).first()
    if found is None:
        known = Programme.objects.values_list("slug", flat=True)
        raise NotInRecord(f"no programme {slug!r}", remedy=nearest(slug, known))
    return found


def find_tool(programme: Programme, code: str) -> Tool:
    """The tool with this code. Raises NotInRecord."""
    found = programme.tools.filter(code=code).first()
    if found is None:
        known = programme.tools.values_list("code", flat=True)
        raise NotInRecord(f"no tool {code!r} in {programme.slug}", remedy=nearest(code, known))
    return found


def find_trial(tool: Tool, name: str) -> Trial:
    """The trial of this tool with this name. Raises NotInRecord."""
    found = tool.trials.filter(name=name).first()
    if found is None:
        known = tool.trials.values_list("name", flat=True)
        raise NotInRecord(f"no trial {name!r} of tool {tool.code}", remedy=nearest(name, known))
    return found


def latest_state(tool: Tool) -> ToolState | None:
    """The steel as it is now; None for a tool without a state."""
    return tool.states.order_by("-ordinal").first()


def steel_in_state(state: ToolState) -> list[SteelSize]:
    """The steel as measured in a state, by feature and cavity."""
    return list(
        state.steel_sizes.select_related("feature", "cavity").order_by("feature__code", "cavity__label", "pk")
    )
