"""The lines that tested joints and welded seams answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.joints.tested import ConditionFound
from offtool.core.values import Verdict
from offtool.handbook.terms import JointCondition
from offtool.records.models import Trial
from offtool.steps.joint_found import JointFound, JointSizeSeen, TestSeen
from offtool.steps.review_changes import of_joint, of_part, of_seam, of_shape, of_size
from offtool.steps.review_found import ReviewFact, ReviewSource, ReviewTarget, SourceKind
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.seam_found import SeamFound, WeldStudySeen
from offtool.steps.sentences import count, listed, per_cent

TEAR = "Tear and turn pieces hour by hour in the pilot, and read the table of audits."
NOTHING_DEFINED = "none is defined yet"
FRESH = JointCondition.FRESH.value


def fresh_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every joint as its sizes put it together and as fresh pieces were read."""
    for one in ground.joints:
        yield _Joint(ground, asked, one).fresh()
    if not ground.joints:
        yield _none(ground, asked, "joints", "joint", "joints")


def aged_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every joint after heat, cold and cycles."""
    for one in ground.joints:
        yield _Joint(ground, asked, one).aged()
    if not ground.joints:
        yield _none(ground, asked, "joints", "joint", "joints")


def seam_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every seam by its pulls, and what the audits of the pilot say."""
    for one in ground.seams:
        yield _seam(ground, asked, one)
    if not ground.seams:
        yield _none(ground, asked, "seams", "seam", "seams")
    yield from _audits(ground, asked)


def _none(ground: ReviewGround, asked: AskedLine, item: str, one: str, page: str) -> ReviewFact:
    return ground.fact(
        asked,
        item,
        f"{item}: {NOTHING_DEFINED}",
        None,
        target=ReviewTarget(page=page),
        again=f"Define every {one}; or say why the line is not asked, where the product has none.",
    )


class _Joint:
    """One joint beside what the line asks of it."""

    def __init__(self, ground: ReviewGround, asked: AskedLine, found: JointFound) -> None:
        self.ground, self.asked, self.found = ground, asked, found
        self.counting = [one for one in found.tests if not one.set_aside]
        self.called = called(found.joint, found.name)

    def fresh(self) -> ReviewFact:
        """Fails where sizes or pieces say so; holds where fresh pieces hold and nothing speaks against."""
        read = [one for one in self._conditions if one.condition == FRESH]
        found = _of(read)
        if Verdict.FAILS in (found, self.found.verdict):
            found = Verdict.FAILS
        elif found is Verdict.HOLDS and self.found.verdict is Verdict.NOT_SHOWN:
            found = Verdict.NOT_SHOWN
        tests = [one for one in self.counting if FRESH in self.ground.conditions.get(one.test_id, ())]
        return self._fact(found, tests, self._says(read, "no fresh piece was read"), self.found.headline)

    def aged(self) -> ReviewFact:
        """By the pieces that were read after heat, cold or cycles."""
        read = [one for one in self._conditions if one.condition != FRESH]
        tests = [one for one in self.counting if self.ground.conditions.get(one.test_id, set()) - {FRESH}]
        return self._fact(
            _of(read), tests, self._says(read, "no piece was read after heat, cold or cycles"), ""
        )

    @property
    def _conditions(self) -> tuple[ConditionFound, ...]:
        return self.found.compared.conditions if self.found.compared is not None else ()

    def _says(self, read: Sequence[ConditionFound], nothing: str) -> str:
        if not read:
            return nothing
        return listed(
            [
                f"{one.condition}: {one.pieces or one.readings} pieces, mean "
                f"{one.mean:.{self.found.decimals}f} {self.found.unit}"
                for one in read
            ]
        )

    def _fact(self, verdict: Verdict | None, tests: Sequence[TestSeen], says: str, more: str) -> ReviewFact:
        """The newest of the tests decides how old it is; without one, the trials of the sizes."""
        because = f"; {_small(more)}" if more else ""
        return self.ground.fact(
            self.asked,
            self.found.joint,
            f"{self.called}: {says}{because}",
            verdict,
            day=tests[0].done_on if tests else None,
            rests_on=self._rests_on(tests),
            trials=self._ran(tests),
            target=ReviewTarget(page="joint", names=(self.found.joint,)),
            again=self._what_to_do(verdict),
            redo=f"Test joint {self.found.joint} again with parts as they are made now.",
            sources=tuple(
                ReviewSource(
                    kind=SourceKind.JOINT_TEST, key=one.test_id, file_name=one.file, sha256=one.sha256
                )
                for one in tests
            ),
        )

    def _ran(self, tests: Sequence[TestSeen]) -> tuple[Trial, ...]:
        """The trials that the pieces of the newest test are from; without a test, those of the sizes."""
        if tests:
            return _known(self.ground, _trials(tests[0]))
        found = (self.ground.trial_named(one.tool, one.trial) for one in self.found.sizes if one.trial)
        return tuple({one.pk: one for one in found if one is not None}.values())

    def _rests_on(self, tests: Sequence[TestSeen]) -> frozenset[str]:
        """The joint, its sizes and their parts; where no size is told, all parts of the tools it ran on."""
        rests = frozenset(_of_sizes(self.ground, self.found.sizes))
        if not rests:
            tools = {one.tool.pk for one in self._ran(tests)} or {one.pk for one in self.ground.tools}
            rests = frozenset(
                key
                for tool in self.ground.tools
                if tool.pk in tools
                for each in tool.cavities.all()
                for key in (of_part(each.part.code), of_shape(each.part.code))
            )
        return rests | {of_joint(self.found.joint)}

    def _what_to_do(self, verdict: Verdict | None) -> str:
        if verdict is Verdict.FAILS and self.found.actions:
            return f"{self.found.joint}: {self.found.actions[0].do}"
        if self.asked.fed_by.value.endswith("aged"):
            return f"Age pieces of joint {self.found.joint} as agreed, and read them fresh and aged."
        return f"Read fresh pieces of joint {self.found.joint}, of every pair of cavities that may meet."


def _of(read: Sequence[ConditionFound]) -> Verdict | None:
    """The worst of what is shown of limits and of change; None where nothing was read."""
    verdicts = [limit.verdict for one in read for limit in one.limits]
    verdicts += [one.change.verdict for one in read if one.change is not None]
    if not read:
        return None
    order = (Verdict.FAILS, Verdict.NOT_SHOWN, Verdict.HOLDS)
    return next((one for one in order if one in verdicts), Verdict.NOT_SHOWN)


def _seam(ground: ReviewGround, asked: AskedLine, found: SeamFound) -> ReviewFact:
    counting = [one for one in found.studies if not one.set_aside]
    sizes = frozenset(_of_sizes(ground, found.sizes))
    shapes = frozenset(of_shape(one) for one in (found.top, found.bottom)) if not sizes else frozenset()
    parts = frozenset(of_part(one) for one in (found.top, found.bottom))
    pulled = found.strength.verdict if found.strength is not None else None
    looks = found.setting.looks_verdict if found.setting is not None else None
    verdict = Verdict.FAILS if looks is Verdict.FAILS and pulled is not None else pulled
    return ground.fact(
        asked,
        found.seam,
        f"{called(found.seam, found.name)}: {_pulls(found)}",
        verdict,
        day=counting[0].done_on if counting else None,
        rests_on=frozenset((of_seam(found.seam),)) | sizes | shapes | parts,
        trials=_known(ground, [one for study in counting[:1] for one in _trials(study)]),
        target=ReviewTarget(page="seam", names=(found.seam,)),
        again=found.actions[0].do if found.actions else f"Weld and pull pieces of seam {found.seam}.",
        redo=f"Weld and pull seam {found.seam} again with parts as they are made now.",
        sources=tuple(
            ReviewSource(kind=SourceKind.WELD_STUDY, key=one.study_id, file_name=one.file, sha256=one.sha256)
            for one in counting
        ),
    )


def _pulls(found: SeamFound) -> str:
    """What the pulls show of what is asked."""
    one = found.strength
    if one is None:
        return "what it must hold is not said" if found.required_n is None else "no piece has been pulled yet"
    low = f"{one.low_n:.0f} N" if one.low_n is not None else "nothing"
    pulls = count(one.pulls, "pull")
    return f"{per_cent(one.share, 0)} are shown to hold {low} by {pulls}, {one.required_n:g} N are asked"


def _audits(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """What was torn and turned hour by hour in the pilot."""
    for one in ground.pilots:
        yield ground.fact(
            asked,
            f"audits of {one.pilot}",
            f"Audits of pilot {one.pilot} of {one.line}: {one.audits.words}",
            one.audits.verdict,
            day=one.ran_on,
            target=ReviewTarget(page="pilot", names=(one.pilot,)),
            again=TEAR if one.audits.verdict is None else f"See what the audits of pilot {one.pilot} say.",
        )


def _of_sizes(ground: ReviewGround, sizes: Sequence[JointSizeSeen]) -> Iterator[str]:
    """The measured sizes and the parts that they are of."""
    keys = {(one.part.code, one.number): one.pk for one in ground.sizes}
    for one in sizes:
        if one.part:
            yield of_part(one.part)
        if (one.part, one.number) in keys:
            yield of_size(keys[one.part, one.number])


def _trials(one: TestSeen | WeldStudySeen) -> tuple[str, ...]:
    """The trials of both sides in words."""
    if isinstance(one, TestSeen):
        return one.inner_trial, one.outer_trial
    return one.top_trial, one.bottom_trial


def _known(ground: ReviewGround, words: Sequence[str]) -> tuple[Trial, ...]:
    """The trials, where both sides are known: else the day of the test decides."""
    found = [ground.trial_in(one) for one in words if one]
    return tuple(one for one in found if one is not None) if words and all(words) else ()


def called(code: str, name: str) -> str:
    """Code and name, each once."""
    if not name or name.casefold().startswith(code.casefold()):
        return name or code
    return f"{code}, {name}"


def _small(words: str) -> str:
    """A sentence as the end of another."""
    first = words[:1].lower() if words[1:2].islower() else words[:1]
    return (first + words[1:]).removesuffix(".")
