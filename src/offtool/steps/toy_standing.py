"""How a toy stands against the tests of the law, market by market, by its own tests and its shapes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from offtool.core.pilot.safety import AskedTest, ToyTestsAsked, toy_tests
from offtool.core.values import Caution, Verdict
from offtool.handbook.toy_law import (
    EARS_AND_SPLINTERS,
    LAW_DECIDES,
    MARKETS,
    MAY_NEED_WARNING,
    ONLY_WHERE,
    TRY_WITH_CARE,
    Market,
    Surety,
    markets_named,
)
from offtool.records.models import Programme, ToolState, ToyTestPiece, ToyTestRun
from offtool.records.queries import changes_of, toy_test_runs_of
from offtool.steps.sentences import listed
from offtool.steps.small_parts_of import SmallPartsStanding, small_parts_of
from offtool.steps.toy_judged import CONFIDENCE, SHARE, PartJudged, ToyAbout, judge_pieces, worst


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSeen:
    """One own test, and what changed since it."""

    key: int
    name: str
    market: str
    test: str
    file: str
    sha256: str
    done_on: date | None
    pieces: int
    came_off_mm: float | None
    """The largest size of what came off."""
    changes_since: tuple[str, ...]
    note: str
    set_aside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestStanding:
    """One test that is asked, and what own pieces show of it, part by part."""

    __test__ = False  # no class of tests, whatever pytest takes it for

    test: str
    title: str
    in_law: str
    section: str
    surety: Surety
    verdict: Verdict
    judged: tuple[PartJudged, ...]
    runs: tuple[RunSeen, ...]
    done_on: date | None
    """The oldest day of the tests it rests on."""
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketStanding:
    """One market: the tests that its law asks, and how they stand.

    `only_where` are tests of which nothing is kept, and that are asked of some toys only, with which.
    `verdict` is None where no test is known to be asked.
    """

    market: Market
    asked: ToyTestsAsked
    tests: tuple[TestStanding, ...]
    only_where: tuple[tuple[AskedTest, str], ...]
    verdict: Verdict | None
    newest: date | None
    not_tried: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyStanding:
    """All markets, all parts. `missing`: what nobody has said, in words."""

    programme: str
    on: date
    markets: tuple[Market, ...]
    from_months: float | None
    to_months: float | None
    mass_kg: float | None
    share: float
    confidence: float
    missing: tuple[str, ...]
    by_market: tuple[MarketStanding, ...]
    small_parts: SmallPartsStanding
    runs: tuple[RunSeen, ...]
    cautions: tuple[Caution, ...] = ()


def safety_standing(
    programme: Programme, on: date, *, share: float = SHARE, confidence: float = CONFIDENCE
) -> SafetyStanding:
    """How the programme stands on a day. Tests that were done after it are passed over."""
    kept = _kept(programme, on)
    counting = [piece for run in kept.runs for piece in kept.pieces[run.pk]]
    small = small_parts_of(programme, counting, from_months=programme.from_months)
    by_market = tuple(_markets(kept, programme, share, confidence))
    return SafetyStanding(
        programme=programme.slug,
        on=on,
        markets=markets_named(programme.markets),
        from_months=programme.from_months,
        to_months=programme.to_months,
        mass_kg=programme.mass_kg,
        share=share,
        confidence=confidence,
        missing=tuple(_missing(programme)),
        by_market=by_market,
        small_parts=small,
        runs=tuple(kept.seen.values()),
        cautions=tuple(dict.fromkeys(_cautions(by_market, small))),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """The tests that count, their pieces by key, and all tests as they are shown, those set aside too."""

    runs: tuple[ToyTestRun, ...]
    pieces: dict[int, list[ToyTestPiece]]
    seen: dict[int, RunSeen]


def _kept(programme: Programme, on: date) -> _Kept:
    runs = [one for one in toy_test_runs_of(programme) if one.done_on is None or one.done_on <= on]
    pieces: dict[int, list[ToyTestPiece]] = {one.pk: [] for one in runs}
    rows = ToyTestPiece.objects.filter(run__in=list(pieces)).select_related("part", "run")
    for piece in rows.defer("run__content").order_by("run", "row"):
        pieces[piece.run_id].append(piece)
    changes = _Changes(programme, on)
    return _Kept(
        runs=tuple(one for one in runs if not one.set_aside),
        pieces=pieces,
        seen={one.pk: _seen(one, pieces[one.pk], changes) for one in runs},
    )


def _missing(programme: Programme) -> Iterator[str]:
    if not programme.markets:
        yield "where it will be sold"
    if programme.from_months is None:
        yield "the youngest age that it is for"
    if programme.mass_kg is None:
        yield "what the whole toy weighs"


class _Changes:
    """What changed, by day: steel of a tool, and what was told."""

    def __init__(self, programme: Programme, on: date) -> None:
        states = ToolState.objects.filter(tool__programme=programme, made_on__isnull=False, made_on__lte=on)
        self._steel = [
            (one.made_on, one.tool_id, f"steel of {one.tool.code}, state {one.label}, {_day(one.made_on)}")
            for one in states.select_related("tool").order_by("made_on", "pk")
            if one.ordinal > 1
        ]
        told = [one for one in changes_of(programme, counting=True) if one.on <= on]
        self._told = [(one.on, f"{one.what}: {one.words}, {_day(one.on)}") for one in reversed(told)]

    def since(self, day: date | None, tools: set[int]) -> tuple[str, ...]:
        """Changes after that day; of steel those of these tools, or of all where none is named."""
        if day is None:
            return ()
        steel = [
            (when, said)
            for when, tool, said in self._steel
            if when is not None and when > day and (not tools or tool in tools)
        ]
        told = [(when, said) for when, said in self._told if when > day]
        return tuple(said for _, said in sorted([*steel, *told]))


def _day(day: date | None) -> str:
    return f"{day:%Y-%m-%d}" if day is not None else ""


def _seen(run: ToyTestRun, pieces: Sequence[ToyTestPiece], changes: _Changes) -> RunSeen:
    parts = {one.part for one in pieces if one.part is not None}
    whole = any(one.part is None for one in pieces)
    tools = set() if whole else {cavity.tool_id for part in parts for cavity in part.cavities.all()}
    sizes = [one.came_off_mm for one in pieces if one.came_off_mm is not None]
    return RunSeen(
        key=run.pk,
        name=run.name,
        market=run.market,
        test=run.test,
        file=run.file_name,
        sha256=run.sha256,
        done_on=run.done_on,
        pieces=len(pieces),
        came_off_mm=max(sizes, default=None),
        changes_since=changes.since(run.done_on, tools),
        note=run.note,
        set_aside=run.set_aside,
    )


def _markets(kept: _Kept, programme: Programme, share: float, confidence: float) -> Iterator[MarketStanding]:
    """Each market that is said, once the age is."""
    for market in markets_named(programme.markets):
        if programme.from_months is not None:
            about = ToyAbout(
                market=market,
                from_months=programme.from_months,
                to_months=programme.to_months,
                mass_kg=programme.mass_kg,
                share=share,
                confidence=confidence,
            )
            yield _market(kept, about)


def _market(kept: _Kept, about: ToyAbout) -> MarketStanding:
    asked = toy_tests(
        about.market, from_months=about.from_months, to_months=about.to_months, mass_kg=about.mass_kg
    )
    own = [one for one in kept.runs if one.market == about.market]
    made = {one.test for one in own}
    counts = [one for one in _once(asked.tests) if one.test not in ONLY_WHERE or one.test in made]
    tests = tuple(_test(one, [run for run in own if run.test == one.test], kept, about) for one in counts)
    days = [run.done_on for run in own if run.done_on is not None]
    return MarketStanding(
        market=about.market,
        asked=asked,
        tests=tests,
        only_where=tuple((one, ONLY_WHERE[one.test]) for one in _once(asked.tests) if one not in counts),
        verdict=worst([one.verdict for one in tests]) if tests else None,
        newest=max(days, default=None),
        not_tried=tuple(one.title for one in tests if not one.runs),
        words=_market_words(about.market, tests),
    )


def _once(asked: Sequence[AskedTest]) -> list[AskedTest]:
    """One of each test: of several loads the highest, by which a part of unknown size is judged."""
    highest: dict[str, AskedTest] = {}
    for one in asked:
        if one.test not in highest or one.value > highest[one.test].value:
            highest[one.test] = one
    return list(highest.values())


def _test(asked: AskedTest, runs: Sequence[ToyTestRun], kept: _Kept, about: ToyAbout) -> TestStanding:
    judged = judge_pieces(asked, [piece for run in runs for piece in kept.pieces[run.pk]], about)
    days = [run.done_on for run in runs if run.done_on is not None]
    return TestStanding(
        test=asked.test,
        title=asked.title,
        in_law=f"{asked.times} times {asked.in_law}" if asked.times > 1 else asked.in_law,
        section=asked.section,
        surety=asked.surety,
        verdict=worst([one.judged.verdict for one in judged]),
        judged=judged,
        runs=tuple(kept.seen[run.pk] for run in runs),
        done_on=min(days, default=None),
        words=_test_words(judged, runs),
    )


def _test_words(judged: Sequence[PartJudged], runs: Sequence[ToyTestRun]) -> str:
    if not runs:
        return "no own test is kept"
    if not judged:
        return "what is kept says nothing that can be judged here"
    return "; ".join(f"{one.part}: {one.judged.words}" if one.part else one.judged.words for one in judged)


def _market_words(market: Market, tests: Sequence[TestStanding]) -> str:
    """How the tests of a market stand, in one sentence."""
    if not tests:
        return "no test is known here for these ages: ask the laboratory"
    by_verdict = {
        verdict: [one.test for one in tests if one.runs and one.verdict is verdict] for verdict in Verdict
    }
    groups = (
        (by_verdict[Verdict.FAILS], "does not hold", "do not hold"),
        (by_verdict[Verdict.HOLDS], "holds", "hold"),
        (by_verdict[Verdict.NOT_SHOWN], "is not shown", "are not shown"),
        ([one.test for one in tests if not one.runs], "was not tried", "were not tried"),
    )
    said = (f"{listed(names)} {one if len(names) == 1 else many}" for names, one, many in groups if names)
    return f"{MARKETS[market]}: {', '.join(said)}"


def _cautions(markets: Sequence[MarketStanding], small: SmallPartsStanding) -> Iterator[Caution]:
    """What the tests of every market say, the standing one last."""
    for market in markets:
        yield from (one for one in market.asked.cautions if one not in (TRY_WITH_CARE, LAW_DECIDES))
    if small.fitting and not small.asked:
        yield MAY_NEED_WARNING
    yield TRY_WITH_CARE
    yield EARS_AND_SPLINTERS
    yield LAW_DECIDES
