"""What was changed in a product and what it touched: cuts by the record of the steel, the rest as told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from offtool.core.pilot.release import Happened
from offtool.handbook.release_list import Change
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import ChangeMade, Characteristic, Correction, Move, Programme, Tool, ToolState
from offtool.records.queries import changes_of
from offtool.steps.review_found import ChangeSeen
from offtool.steps.sentences import listed
from offtool.steps.what_is_asked import drawing_order

MOST_FEATURES = 3
"""Cut features that are named; the correction of the trial has all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelChanged:
    """Steel as it was cut from one state to the next, and what that touched."""

    tool: Tool
    state: ToolState
    happened: Happened


def of_size(key: int) -> str:
    """How a size is named among the things that a change touches."""
    return f"size:{key}"


def of_shape(part: str) -> str:
    """The moulded shape of a part: cut steel touches it."""
    return f"shape:{part}"


def of_part(part: str) -> str:
    """A part with all that is of it: resin, colour, paint."""
    return f"part:{part}"


def of_joint(joint: str) -> str:
    """A joint."""
    return f"joint:{joint}"


def of_seam(seam: str) -> str:
    """A seam."""
    return f"seam:{seam}"


class ProductChanges:
    """The changes of one programme, read once."""

    def __init__(self, programme: Programme, tools: Sequence[Tool]) -> None:
        self.programme, self.tools = programme, tools

    @cached_property
    def told(self) -> tuple[ChangeMade, ...]:
        """What people told, also what they set aside."""
        return tuple(changes_of(self.programme))

    @cached_property
    def cuts(self) -> tuple[SteelChanged, ...]:
        """Every state of every tool but the first, with what was cut to reach it."""
        return tuple(
            SteelChanged(tool=tool, state=state, happened=self._cut(tool, state))
            for tool in self.tools
            for state in sorted(tool.states.all(), key=lambda one: one.ordinal)[1:]
        )

    @cached_property
    def happened(self) -> tuple[Happened, ...]:
        """What people told and did not set aside, as core takes it."""
        return tuple(self._told(one) for one in self.told if not one.set_aside)

    def seen(self) -> tuple[ChangeSeen, ...]:
        """All of them, newest first; a day that is not known comes last."""
        cuts = (
            ChangeSeen(
                key=0,
                what=Change.STEEL,
                on=one.happened.on,
                words=one.happened.words,
                about=one.tool.code,
                told_by="",
                is_told=False,
            )
            for one in self.cuts
        )
        return tuple(
            sorted((*map(_seen, self.told), *cuts), key=lambda one: one.on or date.min, reverse=True)
        )

    def _cut(self, tool: Tool, state: ToolState) -> Happened:
        corrections = self._corrections.get(state.pk, [])
        what = f" ({_features(corrections)})" if corrections else ""
        return Happened(
            change=Change.STEEL.value,
            on=state.made_on or _first_run(tool, state),
            words=f"{tool.code} was cut to state {state.label}{what}",
            touches=frozenset(self._touched(tool, corrections)),
        )

    def _touched(self, tool: Tool, corrections: Sequence[Correction]) -> Iterator[str]:
        """The sizes that the cut features move, and those of the same part of which nobody wrote what moves
        them; without a record of what was cut, all that the tool makes.
        """
        parts = {one.feature.part_id for one in corrections} or {one.part_id for one in tool.cavities.all()}
        features = {one.feature_id for one in corrections}
        for size in self._sizes:
            moved_by = self._moves.get(size.pk, set())
            if size.part_id in parts and (not features or not moved_by):
                yield of_size(size.pk)
            if moved_by & features:
                yield of_size(size.pk)
        for key, code in self._codes.items():
            if key in parts:
                yield of_shape(code)

    def _told(self, one: ChangeMade) -> Happened:
        return Happened(
            change=one.what, on=one.on, words=_in_words(one), touches=frozenset(self._touched_by_word(one))
        )

    def _touched_by_word(self, one: ChangeMade) -> Iterator[str]:
        parts = {one.part_id} if one.part_id else set()
        if one.tool_id and not one.part_id:
            tool = next(each for each in self.tools if each.pk == one.tool_id)
            parts = {each.part_id for each in tool.cavities.all()}
        for key in parts:
            if key in self._codes:
                yield of_part(self._codes[key])
                yield of_shape(self._codes[key])
        yield from (of_size(size.pk) for size in self._sizes if size.part_id in parts)
        if one.joint is not None:
            yield of_joint(one.joint.code)
        if one.seam is not None:
            yield of_seam(one.seam.code)

    @cached_property
    def _codes(self) -> Mapping[int, str]:
        return dict(self.programme.parts.values_list("pk", "code"))

    @cached_property
    def _sizes(self) -> list[Characteristic]:
        return list(Characteristic.objects.filter(part__programme=self.programme).only("pk", "part_id"))

    @cached_property
    def _moves(self) -> Mapping[int, set[int]]:
        """The features that move each size."""
        found: dict[int, set[int]] = defaultdict(set)
        rows = Move.objects.filter(feature__tool__programme=self.programme)
        for size, feature in rows.values_list("characteristic_id", "feature_id"):
            found[size].add(feature)
        return found

    @cached_property
    def _corrections(self) -> Mapping[int, list[Correction]]:
        """What was cut to reach each state."""
        found: dict[int, list[Correction]] = defaultdict(list)
        cut = Correction.objects.filter(
            feature__tool__programme=self.programme, status=CorrectionStatus.CUT.value
        )
        for one in cut.select_related("feature", "cavity").order_by("feature__code", "cavity__label"):
            if one.resulting_state_id is not None:
                found[one.resulting_state_id].append(one)
        return found


def _features(corrections: Iterable[Correction]) -> str:
    """CP3 in cavities 1 and 2."""
    cavities: dict[str, set[str]] = defaultdict(set)
    for one in corrections:
        cavities[one.feature.code].add(one.cavity.label)
    named = [
        f"{code} in {_cavities(labels)} {listed(sorted(labels, key=drawing_order))}"
        for code, labels in cavities.items()
    ]
    more = len(named) - MOST_FEATURES
    return listed([*named[:MOST_FEATURES], *([f"{more} more"] if more > 0 else [])])


def _cavities(labels: Collection[str]) -> str:
    return "cavity" if len(labels) == 1 else "cavities"


def _first_run(tool: Tool, state: ToolState) -> date | None:
    """The first day on which that steel ran: it was cut before."""
    days = [one.shot_on for one in tool.trials.all() if one.state_id == state.pk and one.shot_on]
    return min(days, default=None)


def _in_words(one: ChangeMade) -> str:
    about = _about(one)
    return f"{one.what}{f' of {about}' if about else ''}: {one.words}"


def _about(one: ChangeMade) -> str:
    named = (one.tool, one.part, one.joint, one.seam)
    return listed([each.code for each in named if each is not None])


def _seen(one: ChangeMade) -> ChangeSeen:
    return ChangeSeen(
        key=one.pk,
        what=Change(one.what),
        on=one.on,
        words=one.words,
        about=_about(one),
        told_by=one.told_by,
        is_told=True,
        set_aside=one.set_aside,
    )
