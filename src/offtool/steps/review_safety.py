"""The lines that own tests of the law and the small-parts cylinder answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from offtool.core.values import Verdict
from offtool.handbook.release_list import Change
from offtool.handbook.toy_law import MARKETS
from offtool.steps.review_changes import of_part, of_shape
from offtool.steps.review_found import ReviewFact, ReviewSource, ReviewTarget, SourceKind
from offtool.steps.review_ground import EVERYTHING, ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.small_parts_of import PartInGauge
from offtool.steps.toy_standing import MarketStanding, TestStanding

SAFETY = ReviewTarget(page="safety")
PULLS_ON_PARTS = ("torque", "tension")
"""The tests that show whether a part stays on."""
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
    stays_on = _stays_on(ground)
    for part in standing.parts:
        verdict = stays_on if part.fits else Verdict.NOT_SHOWN if part.fits is None else Verdict.HOLDS
        yield ground.fact(
            _far_from_the_gauge(asked, part),
            part.part,
            f"{part.part} {part.name}".rstrip() + f": {part.words}",
            verdict,
            day=part.read_at.date() if part.read_at is not None else None,
            rests_on=frozenset((of_shape(part.part),)),
            target=ReviewTarget(page="part", names=(part.part,)),
            again=_what_to_do(part),
        )
    for code in standing.without_mesh:
        yield ground.fact(
            asked,
            code,
            f"{code}: no mesh to try in the small-parts cylinder",
            None,
            target=ReviewTarget(page="part", names=(code,)),
            again=f"Read the mesh of {code}, or try the part itself and give the evidence.",
        )
    for off in standing.came_off:
        yield ground.fact(
            asked, f"came off {off.piece}", off.words, off.verdict, day=off.done_on, target=SAFETY
        )


def _what_to_do(part: PartInGauge) -> str:
    if part.fits:
        return f"{part.part} fits: show by torque and tension that it stays on, or make it larger."
    return f"Try {part.part} itself in the cylinder, in every position, and give the evidence."


def _stays_on(ground: ReviewGround) -> Verdict:
    """Whether parts are shown to stay on: a part that fits into the cylinder must never come off."""
    verdicts = [
        test.verdict if test.runs else Verdict.NOT_SHOWN
        for market in ground.safety.by_market
        for test in market.tests
        if test.test in PULLS_ON_PARTS
    ]
    if Verdict.FAILS in verdicts:
        return Verdict.FAILS
    is_shown = bool(verdicts) and all(one is Verdict.HOLDS for one in verdicts)
    return Verdict.HOLDS if is_shown else Verdict.NOT_SHOWN


def _far_from_the_gauge(asked: AskedLine, part: PartInGauge) -> AskedLine:
    """A cut takes hundredths of a millimetre: it makes no part fit that stands far out of the gauge."""
    if part.out_mm is None or abs(part.out_mm) < FAR_MM:
        return asked
    return replace(asked, stale_by=tuple(one for one in asked.stale_by if one is not Change.STEEL))
