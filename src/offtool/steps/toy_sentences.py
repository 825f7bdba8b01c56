"""The sentences of the safety of a toy: the verdict over own tests, what to do, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.values import Verdict
from offtool.handbook.toy_law import MARKETS
from offtool.steps.findings import Action, Fact
from offtool.steps.sentences import count, listed, per_cent
from offtool.steps.small_parts_of import SmallPartsStanding
from offtool.steps.toy_judged import PartJudged, worst
from offtool.steps.toy_standing import RunSeen, SafetyStanding, TestStanding

DECIDE = "An accredited laboratory and the law of the place decide; own tests only prepare for them."
NOTHING_SAID = "Say where it will be sold and for which ages: then the tests of the law are told."
NO_TEST = "No test is known here for these ages and markets: ask an accredited laboratory."
TO_LAB = Action(
    do="Send pieces made as they will be sold to an accredited laboratory.",
    because="Its report, for this steel, resin and paint, is what the law and the customer ask for.",
    leads_to="",
)


def headline(standing: SafetyStanding) -> str:
    """Own tests in one sentence, and in another what came off."""
    if not standing.by_market:
        return NOTHING_SAID
    tests = _by_test(standing)
    if not tests:
        return NO_TEST
    tried = {name: found for name, found in tests.items() if any(one.runs for one in found)}
    if not tried:
        return f"No own test is kept yet: {listed(list(tests))} are asked."
    return f"Own tests: {'; '.join(_groups(tests, standing.share))}. {_came_off(standing)}".rstrip()


def _by_test(standing: SafetyStanding) -> dict[str, list[TestStanding]]:
    """The standings of each test over the markets, in the order in which a sample goes through them."""
    found: dict[str, list[TestStanding]] = {}
    for market in standing.by_market:
        for one in market.tests:
            found.setdefault(one.test, []).append(one)
    return found


def _groups(tests: dict[str, list[TestStanding]], share: float) -> Iterator[str]:
    """Tests that came out alike are named together; what does not hold comes first."""
    verdicts = {name: worst([one.verdict for one in found if one.runs]) for name, found in tests.items()}
    tried = {name: any(one.runs for one in found) for name, found in tests.items()}
    fails = [name for name in tests if tried[name] and verdicts[name] is Verdict.FAILS]
    for name in fails:
        yield f"{name} does not hold, {_failed(tests[name])}"
    holds = [name for name in tests if tried[name] and verdicts[name] is Verdict.HOLDS]
    if holds:
        yield f"{listed(holds)} {_hold(holds)} on {_pieces(tests, holds)}"
    few = [name for name in tests if tried[name] and verdicts[name] is Verdict.NOT_SHOWN]
    stood = [name for name in few if all(_all_stood(one) for one in tests[name] if one.runs)]
    if stood:
        yield f"{listed(stood)} stood on {_pieces(tests, stood)}, too few to show {per_cent(share, 0)}"
    if rest := [name for name in few if name not in stood]:
        yield f"{listed(rest)} {_is(rest)} not shown by {_pieces(tests, rest)}"
    if missing := [name for name in tests if not tried[name]]:
        yield f"{listed(missing)} {'was' if len(missing) == 1 else 'were'} not tried"


def _all_stood(test: TestStanding) -> bool:
    return bool(test.judged) and all(one.judged.stood == one.judged.tried for one in test.judged)


def _hold(names: Sequence[str]) -> str:
    return "holds" if len(names) == 1 else "hold"


def _is(names: Sequence[object]) -> str:
    return "is" if len(names) == 1 else "are"


def _failed(found: Sequence[TestStanding]) -> str:
    judged = [one.judged for test in found for one in test.judged]
    worst_of = max(judged, key=lambda one: one.failed)
    return f"{worst_of.failed} of {worst_of.stood + worst_of.failed} failed"


def _pieces(tests: dict[str, list[TestStanding]], names: Sequence[str]) -> str:
    """How many pieces: one number, or from and to."""
    numbers = sorted(
        {sum(run.pieces for run in test.runs) for name in names for test in tests[name] if test.runs}
    )
    return count(numbers[0], "piece") if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]} pieces"


def _came_off(standing: SafetyStanding) -> str:
    off = standing.small_parts.came_off
    if not any(one.test for one in standing.runs if not one.set_aside):
        return ""
    if not off:
        return "No small part is told to have come off."
    small = sum(one.verdict is Verdict.FAILS for one in off)
    largest = max(one.largest_mm for one in off)
    if small:
        return f"{count(small, 'small part')} came off."
    return f"{count(len(off), 'piece')} came off, up to {largest:g} mm."


def actions(standing: SafetyStanding) -> Iterator[Action]:
    """What to do, in the order of effect."""
    if standing.missing[:2] and not standing.by_market:
        yield Action(
            do=f"Say {listed(standing.missing)}.",
            because="Which tests the law asks hangs on market, age and mass.",
            leads_to="market",
        )
        return
    yield from _failing(standing)
    yield from _small(standing.small_parts)
    yield from _to_try(standing)
    yield from _again(standing.runs)
    if standing.mass_kg is None:
        because = "From a mass on the law drops the toy otherwise, or not at all."
        yield Action(do="Say what the whole toy weighs.", because=because, leads_to="market")
    yield TO_LAB


def _failing(standing: SafetyStanding) -> Iterator[Action]:
    for market in standing.by_market:
        for test in market.tests:
            for one in test.judged:
                if one.judged.verdict is Verdict.FAILS:
                    of = f" of {one.part}" if one.part else ""
                    counted = one.judged.stood + one.judged.failed
                    yield Action(
                        do=f"Find out why {one.judged.failed} of {counted}{of} failed the {test.title}.",
                        because=f"{MARKETS[market.market]}, {test.section}: none may fail at {test.in_law}.",
                        leads_to="tests",
                    )


def _small(small: SmallPartsStanding) -> Iterator[Action]:
    if small.asked and small.fitting:
        names = listed([one.part for one in small.fitting])
        yield Action(
            do=f"See that {names} can never come off and {_is(small.fitting)} never loose.",
            because="It fits into the small-parts cylinder, and the toy is for children under three.",
            leads_to="small",
        )
    if small.asked and any(one.verdict is Verdict.NOT_SHOWN for one in small.came_off):
        yield Action(
            do="Put what came off into the small-parts cylinder.",
            because="Its largest size alone does not say whether it fits.",
            leads_to="small",
        )
    if small.without_mesh and small.asked:
        yield Action(
            do=f"Read the shape of {listed(small.without_mesh)}, or try the part in the cylinder.",
            because="Without a shape nothing is said of it.",
            leads_to="parts",
        )


def _to_try(standing: SafetyStanding) -> Iterator[Action]:
    """What was not tried, and where too few pieces stood."""
    for market in standing.by_market:
        if market.not_tried:
            yield Action(
                do=f"Try {listed(market.not_tried)}.",
                because=f"The law of {_place(market.market)} asks it for these ages; no own test is kept.",
                leads_to="read",
            )
        more = [
            (test, one, (one.judged.pieces_needed or 0) - one.judged.stood)
            for test in market.tests
            for one in test.judged
            if one.judged.verdict is Verdict.NOT_SHOWN and one.judged.pieces_needed
        ]
        if more:
            most = max(lacking for _, _, lacking in more)
            yield Action(
                do=f"Try up to {most} more pieces: {listed(_names(more))}.",
                because=f"So few pieces do not show that {per_cent(standing.share, 0)} of all stand it.",
                leads_to="read",
            )


def _names(more: Sequence[tuple[TestStanding, PartJudged, int]]) -> list[str]:
    return [f"{test.test} of {one.part}" if one.part else test.test for test, one, _ in more]


def _place(market: str) -> str:
    return {"US": "the United States", "EU": "the European Union"}.get(market, "that market")


def _again(runs: Sequence[RunSeen]) -> Iterator[Action]:
    """Tests of pieces as they are not made any more."""
    for run in runs:
        if run.changes_since and not run.set_aside:
            more = f", and {len(run.changes_since) - 1} more" if len(run.changes_since) > 1 else ""
            yield Action(
                do=f"Try {run.test} again: {run.name} is of pieces as they were.",
                because=f"Since then: {run.changes_since[0]}{more}.",
                leads_to="read",
            )


def facts(standing: SafetyStanding) -> Iterator[Fact]:
    """For whom, what is to be shown, and on which days it was tried."""
    yield Fact(about="Sold in", says=listed([MARKETS[one] for one in standing.markets]) or "not said")
    yield Fact(about="For ages", says=ages_in_words(standing.from_months, standing.to_months))
    mass = f"{standing.mass_kg:g} kg" if standing.mass_kg is not None else "not said"
    yield Fact(about="Mass", says=mass)
    sure = per_cent(standing.confidence, 0)
    yield Fact(
        about="To be shown",
        says=f"{per_cent(standing.share, 0)} of all pieces stand, {sure} sure; the law lets none fail",
    )
    days = [one.done_on for one in standing.runs if one.done_on is not None and not one.set_aside]
    if days:
        yield Fact(about="Own tests", says=f"{min(days):%Y-%m-%d} to {max(days):%Y-%m-%d}")
    yield Fact(about="Small parts", says=standing.small_parts.section)


def ages_in_words(from_months: float | None, to_months: float | None) -> str:
    """From 36 to 96 months; from 36 months."""
    if from_months is None:
        return "not said"
    return f"from {from_months:g}" + (f" to {to_months:g} months" if to_months is not None else " months on")
