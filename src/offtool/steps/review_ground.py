"""What a release review reads from the record, each thing once, and how a fact becomes stale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date
from functools import cached_property

from django.db.models import Prefetch

from offtool.core.pilot.release import StaleBecause, Standing, standing_of, touched, what_made_stale
from offtool.core.values import Verdict
from offtool.handbook.release_list import Change
from offtool.records.models import Cavity, Characteristic, JointReading, Programme, SourceFile, Tool, Trial
from offtool.records.queries import find_programme, pilot_files, pilots_of, place_in_time
from offtool.steps.joint_found import JointFound
from offtool.steps.judge_joint import judge_joints
from offtool.steps.judge_seam import judge_seams
from offtool.steps.latest_sizes import LatestSize, SizesMeasured
from offtool.steps.pilot_standing import PilotStanding, pilot_standing
from offtool.steps.review_changes import ProductChanges, of_part, of_shape, of_size
from offtool.steps.review_found import ReviewFact, ReviewSource, ReviewTarget, SourceKind, oldest
from offtool.steps.review_list import AskedLine
from offtool.steps.seam_found import SeamFound
from offtool.steps.toy_standing import SafetyStanding, safety_standing
from offtool.steps.what_is_asked import drawing_order

EVERYTHING: frozenset[str] = frozenset()
"""What evidence rests on where nobody says: the whole product."""
NOT_TOUCHED = "what was cut since does not touch it"


class ReviewGround:
    """The record of one programme while it is reviewed."""

    def __init__(self, slug: str, on: date, measured: SizesMeasured | None = None) -> None:
        self.programme: Programme = find_programme(slug)
        self.on = on
        self.measured = measured or SizesMeasured()

    @cached_property
    def tools(self) -> list[Tool]:
        """Every tool with its states, trials and cavities."""
        loaded = self.programme.tools.order_by("code").prefetch_related(
            "states",
            Prefetch("trials", Trial.objects.select_related("state", "tool")),
            Prefetch("cavities", Cavity.objects.select_related("part")),
        )
        return list(loaded)

    @cached_property
    def sizes(self) -> list[Characteristic]:
        """Every size of every part, in the order of the drawings."""
        found = Characteristic.objects.filter(part__programme=self.programme)
        loaded = found.select_related("part__resin", "part__programme", "gauge")
        return sorted(loaded, key=lambda one: (one.part.code, drawing_order(one.number)))

    @cached_property
    def latest(self) -> Mapping[int, LatestSize]:
        """Every size as it was measured last."""
        return self.measured.latest(self.sizes)

    @cached_property
    def joints(self) -> tuple[JointFound, ...]:
        """Every joint, judged."""
        return judge_joints(self.programme.slug, self.measured).joints

    @cached_property
    def seams(self) -> tuple[SeamFound, ...]:
        """Every seam, judged."""
        return judge_seams(self.programme.slug, self.measured).seams

    @cached_property
    def conditions(self) -> Mapping[int, set[str]]:
        """In what conditions each joint test read its pieces."""
        found: dict[int, set[str]] = defaultdict(set)
        rows = JointReading.objects.filter(test__joint__programme=self.programme)
        for test, condition in rows.values_list("test_id", "condition").distinct():
            found[test].add(condition)
        return found

    @cached_property
    def pilots(self) -> tuple[PilotStanding, ...]:
        """The newest pilot of every line."""
        return pilot_standing(self.programme.slug, self.measured)

    @cached_property
    def safety(self) -> SafetyStanding:
        """Own tests of the law and small parts."""
        return safety_standing(self.programme, self.on)

    @cached_property
    def changes(self) -> ProductChanges:
        """What was changed, and what that touched."""
        return ProductChanges(self.programme, self.tools)

    @cached_property
    def _files(self) -> Mapping[int, list[ReviewSource]]:
        """The files of readings of every trial."""
        found: dict[int, list[ReviewSource]] = defaultdict(list)
        for one in SourceFile.objects.filter(programme=self.programme).defer("content").order_by("pk"):
            source = ReviewSource(kind=SourceKind.READINGS, key=one.pk, file_name=one.name, sha256=one.sha256)
            found[one.trial_id].append(source)
        return found

    def files_of(self, trials: Iterable[Trial]) -> tuple[ReviewSource, ...]:
        """The files that were read into these trials."""
        return tuple(source for one in trials for source in self._files.get(one.pk, ()))

    def pilot_files(self, line: str, pilot: str) -> tuple[ReviewSource, ...]:
        """The files of a pilot that count."""
        found = [one for one in pilots_of(self.programme) if (one.line.name, one.name) == (line, pilot)]
        return tuple(
            ReviewSource(
                kind=SourceKind.PILOT_FILE, key=file.pk, file_name=file.file_name, sha256=file.sha256
            )
            for one in found
            for file in pilot_files(one, counting=True)
        )

    def trial_named(self, tool: str, trial: str) -> Trial | None:
        """A trial by its names; None where it is not there."""
        runs = (each for one in self.tools if one.code == tool for each in one.trials.all())
        return next((one for one in runs if one.name == trial), None)

    def trial_in(self, words: str) -> Trial | None:
        """The trial that words such as "T3 of M3, state c" name."""
        names = words.partition(",")[0].rpartition(" of ")
        return self.trial_named(names[2], names[0])

    def made_stale(
        self,
        asked: AskedLine,
        day: date | None,
        *,
        rests_on: frozenset[str] = EVERYTHING,
        trials: Collection[Trial] = (),
        ordinals: Mapping[int, int] | None = None,
        is_whole: bool = False,
    ) -> tuple[StaleBecause, ...]:
        """Why evidence says nothing any more of what is made today.

        Steel is judged by the states that the pieces were of, where they are known: a cut after them that
        touched what the evidence rests on. Everything else is judged by days; so is the steel of the other
        tools where the pieces were whole products, of which only some states are known.
        """
        known = dict(ordinals or {})
        for one in trials:
            known[one.tool_id] = min(known.get(one.tool_id, one.state.ordinal), one.state.ordinal)
        cuts = tuple(self._cuts_since(asked, day, known, rests_on, is_whole=is_whole))
        told = what_made_stale(
            day,
            self.changes.happened,
            rests_on=rests_on,
            stale_by=asked.stale_by,
            stale_after_days=asked.stale_after_days,
            on=self.on,
        )
        return (*cuts, *told)

    def _cuts_since(
        self,
        asked: AskedLine,
        day: date | None,
        known: Mapping[int, int],
        rests_on: frozenset[str],
        *,
        is_whole: bool,
    ) -> Iterator[StaleBecause]:
        if Change.STEEL not in asked.stale_by:
            return
        by_day = []
        for one in self.changes.cuts:
            if one.happened.on is not None and one.happened.on > self.on:
                continue
            if one.tool.pk not in known:
                by_day += [one.happened] if is_whole or not known else []
            elif one.state.ordinal > known[one.tool.pk] and touched(one.happened.touches, rests_on):
                yield StaleBecause(change=Change.STEEL.value, on=one.happened.on, words=one.happened.words)
        yield from what_made_stale(day, by_day, rests_on=rests_on, stale_by=asked.stale_by, on=self.on)

    def fact(
        self,
        asked: AskedLine,
        item: str,
        words: str,
        verdict: Verdict | None,
        *,
        day: date | None = None,
        rests_on: frozenset[str] = EVERYTHING,
        trials: Collection[Trial] = (),
        ordinals: Mapping[int, int] | None = None,
        is_whole: bool = False,
        target: ReviewTarget | None = None,
        again: str = "",
        redo: str = "",
        sources: tuple[ReviewSource, ...] = (),
    ) -> ReviewFact:
        """A fact with its standing; `again` is what to do where it is not met, `redo` where it is stale."""
        days = oldest(one.shot_on for one in trials) if day is None and trials else day
        stale = (
            self.made_stale(
                asked, days, rests_on=rests_on, trials=trials, ordinals=ordinals, is_whole=is_whole
            )
            if verdict is not None
            else ()
        )
        standing = standing_of(verdict, is_stale=bool(stale))
        if standing is Standing.HOLDS and self._was_cut_since(trials):
            words = f"{words}; {NOT_TOUCHED}"
        todo = "" if standing.is_met else (redo or again) if stale else again
        return ReviewFact(
            item=item,
            words=words,
            standing=standing,
            verdict=verdict,
            day=days,
            target=target,
            stale_because=stale,
            again=todo,
            sources=(*self.files_of(trials), *sources),
            tools=() if is_whole else self._tools_of(trials, ordinals or {}, rests_on),
        )

    def _tools_of(
        self, trials: Collection[Trial], ordinals: Mapping[int, int], rests_on: frozenset[str]
    ) -> tuple[str, ...]:
        """The tools of the pieces; where none is known, those that make what it rests on."""
        keys = {*(one.tool_id for one in trials), *ordinals}
        codes = {one.code for one in self.tools if one.pk in keys}
        made = {code for each in rests_on for code in self._made_by.get(each, ())}
        return tuple(sorted(codes or made))

    @cached_property
    def _made_by(self) -> Mapping[str, set[str]]:
        """The tools that make each size and part."""
        found: dict[str, set[str]] = defaultdict(set)
        for tool in self.tools:
            for cavity in tool.cavities.all():
                found[of_part(cavity.part.code)].add(tool.code)
                found[of_shape(cavity.part.code)].add(tool.code)
        for size in self.sizes:
            found[of_size(size.pk)] = found[of_part(size.part.code)]
        return found

    def _was_cut_since(self, trials: Collection[Trial]) -> bool:
        """Whether any of the tools was cut since the pieces ran."""
        ordinals = {one.tool_id: one.state.ordinal for one in trials}
        return any(one.state.ordinal > ordinals.get(one.tool.pk, 10**9) for one in self.changes.cuts)

    def newest_trial(self, tool: Tool) -> Trial | None:
        """The trial of a tool that ran last."""
        return max(tool.trials.all(), key=place_in_time, default=None)
