"""What a release rests on, made up for a programme folder."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from offtool.exchange.programme.release_rows import (
    ChangeRow,
    ConcessionRow,
    EvidenceRow,
    EvidenceStateRow,
    LimitSampleRow,
    ReleaseLineRow,
    SignatureRow,
    StepDaysRow,
    ToyTestPieceRow,
    ToyTestRow,
)
from offtool.exchange.programme.rows import PartRow, StateRow, ToolRow
from offtool.handbook.release_list import RELEASE_LIST, Change, Fed
from offtool.handbook.terms import EvidenceSays, LimitKind, Market, ReleaseWord, Role
from offtool.handbook.toy_law import TOY_TESTS_NAMED
from tests.exchange.programme.inspected import Contents, content_of, with_files
from tests.exchange.programme.made_up import (
    days,
    distinct,
    flags,
    moments,
    names,
    not_negative,
    notes,
    positive,
    some,
    words,
)
from tests.exchange.programme.piloted import a_later_day, how_many

dates = st.dates(date(1950, 1, 1))


def for_whom(draw: DrawFn) -> dict[str, Any]:
    """Markets, ages, weight and the day of release of a programme."""
    low, high = draw(st.sampled_from([(None, None), (36.0, None), (0.0, 96.5)]))
    return {
        "markets": draw(st.sampled_from(["", "US", "US EU", "EU other"])),
        "from_months": low,
        "to_months": high,
        "mass_kg": draw(st.none() | positive),
        "release_due": draw(days),
    }


def release_tables(
    draw: DrawFn,
    parts: Sequence[PartRow],
    tools: Sequence[ToolRow],
    states: Sequence[StateRow],
    beside: dict[str, Any],
    contents: Contents,
) -> dict[str, Any]:
    """The list, evidence, tests of the law, and what was told, given and signed; files join the contents."""
    own = [_own_line(draw, code) for code in distinct(draw, 0, 1)]
    codes = [RELEASE_LIST[0].code, *(one.code for one in own)]
    papers = [_paper(draw, draw(st.sampled_from(codes)), at, contents) for at in _moments(draw)]
    tests = [_toy_test(draw, name, contents) for name in distinct(draw, 0, 1)]
    return {
        "release_lines": tuple(own),
        "evidence": _with_files(papers),
        "evidence_states": tuple(
            EvidenceStateRow(code=paper.code, given_at=paper.given_at, tool=one.tool, state=one.label)
            for paper in papers
            for one in some(draw, states)
        ),
        "toy_tests": with_files(tests),
        "toy_test_pieces": tuple(
            _piece(draw, run, row, parts) for run in tests for row in range(2, draw(st.integers(3, 4)))
        ),
        "changes": tuple(_change(draw, at, parts, tools, beside) for at in _moments(draw)),
        "concessions": tuple(
            _concession(draw, draw(st.sampled_from(codes)), i) for i in distinct(draw, 0, 2)
        ),
        "limit_samples": tuple(
            _limit_sample(draw, one, beside) for one in some(draw, beside["samples"], most=1)
        ),
        "signatures": tuple(_signature(draw, at) for at in _moments(draw)),
        "step_days": tuple(
            StepDaysRow(step=step, low_days=2.5, high_days=draw(st.floats(2.5, 1e6)))
            for step in distinct(draw, 0, 1)
        ),
    }


def _moments(draw: DrawFn) -> list[Any]:
    return draw(st.lists(moments, max_size=1, unique=True))


def _own_line(draw: DrawFn, code: str) -> ReleaseLineRow:
    return ReleaseLineRow(
        code=code,
        title=draw(notes),
        asks=draw(notes),
        fed_by=draw(words(Fed)),
        stale_by="; ".join(some(draw, [one.value for one in Change])),
        stale_after_days=draw(how_many),
        source=draw(notes),
        not_asked=draw(notes),
    )


def _paper(draw: DrawFn, code: str, at: Any, contents: Contents) -> EvidenceRow:
    has_file = draw(flags)
    return EvidenceRow(
        code=code,
        says=draw(words(EvidenceSays)),
        tested_on=draw(dates),
        lab=draw(notes),
        number=draw(notes),
        accredited=draw(flags),
        note=draw(notes),
        file="",
        file_name=draw(names) if has_file else "",
        sha256=content_of(draw, contents) if has_file else "",
        given_at=at,
        given_by=draw(notes),
        set_aside=draw(notes),
    )


def _with_files(papers: Sequence[EvidenceRow]) -> tuple[EvidenceRow, ...]:
    named = iter(with_files([one for one in papers if one.sha256]))
    return tuple(next(named) if one.sha256 else one for one in papers)


def _toy_test(draw: DrawFn, name: str, contents: Contents) -> ToyTestRow:
    return ToyTestRow(
        name=name,
        market=draw(words(Market)),
        test=draw(st.sampled_from([*TOY_TESTS_NAMED])),
        done_on=draw(days),
        note=draw(notes),
        file="",
        file_name=draw(names),
        sha256=content_of(draw, contents),
        read_at=draw(moments),
        read_by=draw(notes),
        set_aside=draw(notes),
    )


def _piece(draw: DrawFn, run: ToyTestRow, row: int, parts: Sequence[PartRow]) -> ToyTestPieceRow:
    return ToyTestPieceRow(
        run=run.name,
        piece=draw(names),
        part=draw(st.sampled_from(["", *(one.code for one in parts)])),
        value=draw(st.none() | not_negative),
        unit=draw(notes),
        drops=draw(how_many),
        height_m=draw(st.none() | positive),
        held=draw(flags),
        came_off_mm=draw(st.none() | positive),
        row=row,
    )


def _change(
    draw: DrawFn, at: Any, parts: Sequence[PartRow], tools: Sequence[ToolRow], beside: dict[str, Any]
) -> ChangeRow:
    def one_of(rows: Sequence[Any]) -> str:
        return draw(st.sampled_from(["", *(one.code for one in rows)]))

    return ChangeRow(
        what=draw(words(Change)),
        on=draw(dates),
        words=draw(names),
        tool=one_of(tools),
        part=one_of(parts),
        joint=one_of(beside["joints"]),
        seam=one_of(beside["seams"]),
        told_at=at,
        told_by=draw(notes),
        set_aside=draw(notes),
    )


def _concession(draw: DrawFn, code: str, item: str) -> ConcessionRow:
    given_on = draw(dates)
    until, closed_on = a_later_day(draw, given_on), a_later_day(draw, given_on)
    return ConcessionRow(
        code=code,
        item=item,
        amount=draw(names),
        until=until,
        pieces=draw(st.integers(1, 99)) if until is None else draw(how_many),
        reason=draw(names),
        risk=draw(notes),
        approved_by=draw(names),
        given_on=given_on,
        closed_on=closed_on,
        closed_because=draw(names) if closed_on else "",
    )


def _limit_sample(draw: DrawFn, sample: Any, beside: dict[str, Any]) -> LimitSampleRow:
    signed_on = draw(dates)
    stations = [(one.in_line, one.number) for one in beside["line_stations"]]
    line, station = draw(st.sampled_from([("", None), *stations]))
    return LimitSampleRow(
        sample=sample.number,
        kind=draw(words(LimitKind)),
        area=draw(notes),
        in_line=line,
        station=station,
        accepts=draw(notes),
        signed_by=draw(names),
        signed_on=signed_on,
        valid_until=a_later_day(draw, signed_on),
        withdrawn=draw(notes),
    )


def _signature(draw: DrawFn, at: Any) -> SignatureRow:
    withdrawn = draw(notes)
    return SignatureRow(
        role=draw(words(Role)),
        person=draw(names),
        states=draw(words(ReleaseWord)),
        signed_at=at,
        fingerprint=draw(st.sampled_from(["0" * 64, "ab" * 32])),
        stood=draw(notes),
        note=draw(notes),
        withdrawn=withdrawn,
        withdrawn_at=draw(moments) if withdrawn else None,
    )
