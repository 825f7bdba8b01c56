"""The lines that own tests of the law and the small-parts cylinder answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from offtool.core.values import Verdict
from offtool.handbook.release_list import Change
from offtool.handbook.toy_law import MARKETS
from offtool.steps.review_changes import of_part, of_shape
from offtool.steps.review_found import ReviewFact, ReviewSource, ReviewTarget, SourceKind, oldest
from offtool.steps.review_ground import EVERYTHING, ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.small_parts_of import CameOff, PartInGauge
from offtool.steps.toy_standing import MarketStanding, TestStanding

SAFETY = ReviewTarget(page="safety")
PULLS_ON_PARTS = ("torque", "tension")
"""The tests that show whether a part stays on."""
STAYS_ON = {
    Verdict.HOLDS: "it is shown to stay on",
    Verdict.FAILS: "and it does not stay on",
    Verdict.NOT_SHOWN: "it is not shown to stay on",
}
FAR_MM = 1.0
"""A part farther from fitting, or from not fitting, does not change over by a cut of steel. Our own."""


def toy_test_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every test that the law of a market asks for the age, by own pieces."""
    standing = ground.safety
    wanted = {one.value for one in asked.markets}
    found = [one for one in standing.by_market if not wanted or one.market in wanted]
    for market in found:
        for test in market.tests:
            yield _test(ground, asked, market, test)
        if not market.tests:
            yield _nothing_known(ground, asked, market)
    if not found:
        said = "which tests are asked is not known: market or age is not said"
        todo = "Say for which markets and from which age the product is."
        yield ground.fact(asked, asked.code, said, None, target=SAFETY, again=todo)


def _test(ground: ReviewGround, asked: AskedLine, market: MarketStanding, one: TestStanding) -> ReviewFact:
    return ground.fact(
        asked,
        f"{market.market} {one.title}",
        f"{MARKETS[market.market]}, {one.title} ({one.in_law}, {one.section}): {one.words}",
        one.verdict if one.runs else None,
        day=one.done_on,
        rests_on=_tested_parts(one),
        target=SAFETY,
        again=_find_out_or_test(one),
        redo=f"Test again with pieces as they are made now: {one.title} at {one.in_law}.",
        sources=tuple(
            ReviewSource(kind=SourceKind.TOY_TEST, key=run.key, file_name=run.file, sha256=run.sha256)
            for run in one.runs
        ),
    )


def _find_out_or_test(one: TestStanding) -> str:
    if one.runs and one.verdict is Verdict.FAILS:
        return f"Find out why pieces failed the {one.title}, put it right, and test again."
    return f"Test pieces of production: {one.title} at {one.in_law}, {one.section}."


def _tested_parts(one: TestStanding) -> frozenset[str]:
    """The parts that were pulled and turned; the whole toy where any piece was tested whole."""
    parts = {each.part for each in one.judged}
    if not all(parts):
        return EVERYTHING
    return frozenset(key for part in parts for key in (of_shape(part), of_part(part)))


def _nothing_known(ground: ReviewGround, asked: AskedLine, market: MarketStanding) -> ReviewFact:
    return ground.fact(
        asked,
        market.market,
        f"{MARKETS[market.market]}: {market.words}",
        None,
        target=SAFETY,
        again="Ask the laboratory of that market which tests it makes, and give its report as evidence.",
    )


def small_part_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every part by its mesh, parts without one, and what came off in the tests."""
    standing = ground.safety.small_parts
    for part in standing.parts:
        yield _it_fits(ground, asked, part) if part.fits else _shape(ground, asked, part)
    for code in standing.without_mesh:
        yield ground.fact(
            asked,
            code,
            f"{code}: no mesh to try in the small-parts cylinder",
            None,
            rests_on=frozenset((of_shape(code),)),
            target=ReviewTarget(page="part", names=(code,)),
            again=f"Read the mesh of {code}, or try the part itself and give the evidence.",
        )
    for off in standing.came_off:
        yield _came_off(ground, asked, off)


def _came_off(ground: ReviewGround, asked: AskedLine, off: CameOff) -> ReviewFact:
    """A piece that came off in a test; it is as large as it was, whatever changes later."""
    return ground.fact(
        replace(asked, stale_by=()),
        f"came off {off.run} {off.piece}",
        f"Came off in {off.run}, piece {off.piece}: {off.words}",
        off.verdict,
        day=off.done_on,
        rests_on=frozenset((of_shape(off.part), of_part(off.part))) if off.part else EVERYTHING,
        target=SAFETY,
        again="Find out why it came off, put that right, and test again."
        if off.verdict is Verdict.FAILS
        else f"Put what came off piece {off.piece} of {off.run} into the cylinder, and give the evidence.",
    )


def _shape(ground: ReviewGround, asked: AskedLine, part: PartInGauge) -> ReviewFact:
    """A part that does not fit, or of which it is not shown."""
    return ground.fact(
        _by_shape_alone(asked, part),
        part.part,
        f"{_called(part)}: {part.words}",
        Verdict.NOT_SHOWN if part.fits is None else Verdict.HOLDS,
        day=part.read_at.date() if part.read_at is not None else None,
        rests_on=frozenset((of_shape(part.part),)),
        target=ReviewTarget(page="part", names=(part.part,)),
        again=f"Try {part.part} itself in the cylinder, in every position, and give the evidence.",
    )


def _it_fits(ground: ReviewGround, asked: AskedLine, part: PartInGauge) -> ReviewFact:
    """A part that fits must never come off: by pulls and turns of this part, an arm says nothing of a leg."""
    pulls = _pulls(ground, asked)
    tests = [one for one in pulls if _of_part(one, part.part) is not None]
    verdict = _stays_on([_of_part(one, part.part) for one in pulls])
    return ground.fact(
        asked,
        part.part,
        f"{_called(part)}: {part.words}; {STAYS_ON[verdict]}",
        verdict if tests else None,
        day=oldest(one.done_on for one in tests),
        rests_on=frozenset((of_shape(part.part), of_part(part.part))),
        target=SAFETY if tests else ReviewTarget(page="part", names=(part.part,)),
        again=f"{part.part} fits: show by its own torque and tension that it stays on, or make it larger.",
        redo=f"Turn and pull {part.part} again, on pieces as they are made now.",
    )


def _pulls(ground: ReviewGround, asked: AskedLine) -> list[TestStanding]:
    """Torque and tension of every market that asks it."""
    markets = [one for one in ground.safety.by_market if not asked.markets or one.market in asked.markets]
    return [test for market in markets for test in market.tests if test.test in PULLS_ON_PARTS]


def _of_part(test: TestStanding, part: str) -> Verdict | None:
    return next((one.judged.verdict for one in test.judged if one.part == part), None)


def _stays_on(verdicts: Sequence[Verdict | None]) -> Verdict:
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    is_shown = bool(verdicts) and all(one is Verdict.HOLDS for one in verdicts)
    return Verdict.HOLDS if is_shown else Verdict.NOT_SHOWN


def _called(part: PartInGauge) -> str:
    return f"{part.part} {part.name}".rstrip()


def _by_shape_alone(asked: AskedLine, part: PartInGauge) -> AskedLine:
    """Of what makes the line stale only steel changes a shape, by hundredths of a millimetre: no part that
    stands far out of the gauge fits after a cut.
    """
    is_near = part.out_mm is None or abs(part.out_mm) < FAR_MM
    shape = (Change.STEEL, Change.DRAWING) if is_near else (Change.DRAWING,)
    return replace(asked, stale_by=tuple(one for one in asked.stale_by if one in shape))
