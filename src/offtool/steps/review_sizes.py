"""The lines that sizes answer: as drawn, capability of the critical ones, part weights."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from offtool.core.inspection.conformity import Conformity
from offtool.core.values import Verdict
from offtool.handbook.terms import SizeKind, WeightClass
from offtool.records.models import Characteristic, Part
from offtool.records.queries import place_in_time
from offtool.steps.latest_sizes import CavityMeasured, LatestSize
from offtool.steps.review_changes import of_part, of_size
from offtool.steps.review_found import ReviewFact, ReviewTarget
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.sentences import cavities_in_words, count, decimals_for, listed
from offtool.steps.what_is_asked import drawing_order, size_key

_ORDER = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)


def size_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every size of the drawing but weights: measured in every cavity, and none outside."""
    for size in ground.sizes:
        if size.kind != SizeKind.WEIGHT:
            yield from _Size(ground, asked, size).facts()


def capability_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """The index of every critical size, cavity by cavity."""
    critical = [one for one in ground.sizes if one.weight_class == WeightClass.CRITICAL]
    for size in critical:
        yield from _Capability(ground, asked, size).facts()
    if not critical:
        words = "no size is called critical"
        todo = "Say which sizes are critical, or why the line is not asked."
        yield ground.fact(asked, "critical sizes", words, None, again=todo)


def weight_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """The weight of every part."""
    weights: dict[int, list[Characteristic]] = defaultdict(list)
    for one in ground.sizes:
        if one.kind == SizeKind.WEIGHT:
            weights[one.part_id].append(one)
    for part in ground.programme.parts.order_by("code"):
        for size in weights.get(part.pk, ()):
            yield from _Weight(ground, asked, size).facts()
        if part.pk not in weights:
            yield _no_weight(ground, asked, part)


def _no_weight(ground: ReviewGround, asked: AskedLine, part: Part) -> ReviewFact:
    return ground.fact(
        asked,
        f"{part.code} weight",
        f"{part.code} {part.name}".rstrip() + ": no weight is on its list of sizes",
        None,
        rests_on=frozenset((of_part(part.code),)),
        target=ReviewTarget(page="part", names=(part.code,)),
        again=f"Put the weight of {part.code} on its list of sizes, and weigh its parts.",
    )


class _Size:
    """One size beside what the line asks of it."""

    def __init__(self, ground: ReviewGround, asked: AskedLine, size: Characteristic) -> None:
        self.ground, self.asked, self.size = ground, asked, size
        self.latest: LatestSize | None = ground.latest.get(size.pk)
        self.key = size_key(size)
        self.called = f"{self.key} {size.name}".rstrip()
        self.decimals = decimals_for(size.lower, size.upper, size.nominal)

    def facts(self) -> Iterator[ReviewFact]:
        """The cavities that do not hold one by one, the rest together, and what was not measured."""
        if self.latest is None:
            yield self._not_measured(f"{self.called}: not measured yet", self._first_target())
            return
        verdicts = [(one, self.verdict(one)) for one in self.latest.measured]
        failing = [one for one, verdict in verdicts if verdict is Verdict.FAILS]
        rest = [one for one, verdict in verdicts if verdict is not Verdict.FAILS]
        for one in failing:
            item = f"{self.key}, cavity {one.cavity}" if one.cavity else self.key
            yield self._fact(item, [one], Verdict.FAILS, self.says(one))
        if rest:
            least = next(
                each
                for each in _ORDER
                if each in [verdict for _, verdict in verdicts if verdict in _ORDER[1:]]
            )
            yield self._fact(self.key, rest, least, self._says_of(rest, least))
        yield from self._cavities_left_out()

    def verdict(self, one: CavityMeasured) -> Verdict:
        """Fails where a part is proven outside, or its class fails; not shown where one is unsure."""
        found = one.finding
        if found.parts_outside or found.conformity is Conformity.NOT:
            return Verdict.FAILS
        if found.verdict is Verdict.FAILS and not self._index_is_asked_apart:
            return Verdict.FAILS
        return Verdict.NOT_SHOWN if found.parts_unsure else Verdict.HOLDS

    @property
    def _index_is_asked_apart(self) -> bool:
        """The index of a critical size is a line of its own."""
        return self.size.weight_class == WeightClass.CRITICAL

    def says(self, one: CavityMeasured) -> str:
        """A cavity that does not hold."""
        found = one.finding
        mean = f"mean {found.mean:.{self.decimals}f} {self.size.unit}, {self._limits()}"
        if found.parts_outside:
            why = f"{found.parts_outside} of {count(found.parts, 'part')} outside"
        elif found.conformity is Conformity.NOT:
            why = "its mean lies outside"
        else:
            why = f"what is asked of its class fails{_index(one)}"
        return f"{self.called}, cavity {one.cavity or 'not recorded'}: {why}; {mean}"

    def holds_because(self, rest: Sequence[CavityMeasured]) -> str:
        """What is said of cavities that hold."""
        parts = sum(one.finding.parts for one in rest)
        return f"all {count(parts, 'part')} inside"

    def open_because(self, rest: Sequence[CavityMeasured]) -> str:
        """What is said of cavities that are not shown."""
        unsure = sum(one.finding.parts_unsure for one in rest)
        return f"{count(unsure, 'part')} too near a limit for the gauge to tell"

    def _says_of(self, rest: Sequence[CavityMeasured], verdict: Verdict) -> str:
        where = cavities_in_words([one.cavity for one in rest], len(self._labels()) or len(rest))
        why = self.holds_because(rest) if verdict is Verdict.HOLDS else self.open_because(rest)
        return f"{self.called}, {where}: {why}; {self._limits()}"

    def _limits(self) -> str:
        low, high, unit = self.size.lower, self.size.upper, self.size.unit
        if low is not None and high is not None:
            return f"{low:.{self.decimals}f} to {high:.{self.decimals}f} {unit} is asked"
        least = (
            f"at least {low:.{self.decimals}f}" if low is not None else f"at most {high:.{self.decimals}f}"
        )
        return f"{least} {unit} is asked"

    def _fact(
        self, item: str, cavities: Sequence[CavityMeasured], verdict: Verdict, words: str
    ) -> ReviewFact:
        trials = {one.trial.pk: one.trial for one in cavities}
        newest = max(trials.values(), key=place_in_time)
        where = listed([f"{one.name} of {one.tool.code}, state {one.state.label}" for one in trials.values()])
        return self.ground.fact(
            self.asked,
            item,
            f"{words} ({where})",
            verdict,
            rests_on=frozenset((of_size(self.size.pk),)),
            trials=tuple(trials.values()),
            target=ReviewTarget(
                page="size", names=(newest.tool.code, newest.name, self.size.part.code, self.size.number)
            ),
            again=self.what_to_do(cavities, verdict),
            redo=f"Measure {self.key} again in the next trial of {newest.tool.code}.",
        )

    def what_to_do(self, cavities: Sequence[CavityMeasured], verdict: Verdict) -> str:
        """What is to be done where it does not hold, or is not shown."""
        labels = listed([one.cavity for one in cavities if one.cavity])
        where = f" in cavity {labels}" if labels else ""
        if verdict is Verdict.FAILS:
            return f"Correct {self.key}{where}: see the correction of {cavities[0].trial.name}."
        return f"Measure {self.key}{where} again with a better gauge, or move it away from its limit."

    def _cavities_left_out(self) -> Iterator[ReviewFact]:
        """Cavities of the tool that nobody measured."""
        if self.latest is None:
            return
        seen = {one.cavity for one in self.latest.measured}
        left = [one for one in self._labels() if one not in seen] if any(seen) else []
        if left:
            trial = self.latest.trial
            where = cavities_in_words(left, len(self._labels()))
            target = ReviewTarget(page="trial", names=(trial.tool.code, trial.name))
            yield self._not_measured(f"{self.called}, {where}: not measured", target, left)

    def _labels(self) -> list[str]:
        """The cavities of the tool that it was measured in."""
        if self.latest is None:
            return []
        tool = next(one for one in self.ground.tools if one.pk == self.latest.trial.tool_id)
        here = [one.label for one in tool.cavities.all() if one.part_id == self.size.part_id]
        return sorted(here, key=drawing_order)

    def _not_measured(
        self, words: str, target: ReviewTarget | None, cavities: Sequence[str] = ()
    ) -> ReviewFact:
        item = f"{self.key}, cavity {listed(cavities)}" if cavities else self.key
        again = f"Measure {self.key}" + (
            f" in cavity {listed(cavities)}." if cavities else " in every cavity."
        )
        of = frozenset((of_size(self.size.pk),))
        return self.ground.fact(self.asked, item, words, None, rests_on=of, target=target, again=again)

    def _first_target(self) -> ReviewTarget:
        return ReviewTarget(page="part", names=(self.size.part.code,))


class _Capability(_Size):
    """A critical size beside the index it must show."""

    def verdict(self, one: CavityMeasured) -> Verdict:
        """As the trial judged it."""
        return one.finding.verdict

    def says(self, one: CavityMeasured) -> str:
        """A cavity whose index is shown to be too low."""
        where = f"{self.called}, cavity {one.cavity or 'not recorded'}"
        return f"{where}: {self._asked(one)} is not reached{_index(one)}"

    def holds_because(self, rest: Sequence[CavityMeasured]) -> str:
        """All of them are shown."""
        return f"{self._asked(rest[0])} is shown{_least_index(rest)}"

    def open_because(self, rest: Sequence[CavityMeasured]) -> str:
        """Which cavities are not shown, and with how many parts they would be."""
        open_ = [one for one in rest if one.finding.verdict is not Verdict.HOLDS]
        needed = max((one.seen.finding.parts_needed or 0 for one in open_), default=0)
        more = f"; {needed} parts a cavity would show it" if needed else ""
        return f"{self._asked(rest[0])} is not shown{_least_index(open_)}{more}"

    def _asked(self, one: CavityMeasured) -> str:
        index = one.seen.finding.required_index
        return f"Ppk {index:g}" if index is not None else "every part inside"

    def what_to_do(self, cavities: Sequence[CavityMeasured], verdict: Verdict) -> str:
        """More parts where it is open; a correction where it fails."""
        if verdict is Verdict.FAILS:
            return super().what_to_do(cavities, verdict)
        needed = max((one.seen.finding.parts_needed or 0 for one in cavities), default=0)
        if needed:
            return f"Measure {needed} parts a cavity of {self.key}."
        return (
            f"Bring the mean of {self.key} nearer to the middle: no number of parts shows it where it stands."
        )


class _Weight(_Size):
    """The weight of a part: it also has to be known that the press had settled."""

    def verdict(self, one: CavityMeasured) -> Verdict:
        """A weight from shots that nobody numbered shows nothing of a settled press."""
        found = super().verdict(one)
        settled = self.ground.measured.settled_from(one.trial)
        return Verdict.NOT_SHOWN if found is Verdict.HOLDS and settled is None else found

    def open_because(self, rest: Sequence[CavityMeasured]) -> str:
        """Most often nothing says that the press had settled."""
        if any(one.finding.parts_unsure for one in rest):
            return super().open_because(rest)
        return "nothing says from which shot the press had settled"

    def what_to_do(self, cavities: Sequence[CavityMeasured], verdict: Verdict) -> str:
        """Shots with their numbers."""
        if verdict is Verdict.NOT_SHOWN and not any(one.finding.parts_unsure for one in cavities):
            return f"Weigh {self.size.part.code} shot by shot, with the numbers of the shots."
        return super().what_to_do(cavities, verdict)


def _index(measured: CavityMeasured) -> str:
    one, asked = measured.finding.index, measured.seen.finding.required_index
    if one is None:
        return ""
    return f" (Ppk {one.value:.2f}, {_low(one.low, asked)} or more; {one.parts} parts)"


def _low(low: float, asked: float | None) -> str:
    """The lower end with so many decimals that it does not read as what is asked where it is below that."""
    places = next((n for n in (2, 3, 4) if asked is None or low >= asked or round(low, n) < asked), 5)
    return f"{low:.{places}f}"


def _least_index(cavities: Sequence[CavityMeasured]) -> str:
    known = [one for one in cavities if one.finding.index is not None]
    if not known:
        return ""
    least = min(known, key=lambda one: one.finding.index.low if one.finding.index else 0.0)
    where = f", least in cavity {least.cavity}" if len(known) > 1 and least.cavity else ""
    return f"{_index(least)}{where}"
