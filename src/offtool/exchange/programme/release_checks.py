"""What must hold between the list, evidence, tests of the law, changes, and what people said and signed."""

from __future__ import annotations

from datetime import date

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.line_checks import All, refuse_no_station
from offtool.exchange.programme.refused import refuse_unknown
from offtool.exchange.programme.release_rows import ConcessionRow, EvidenceRow, LimitSampleRow, SignatureRow
from offtool.exchange.programme.rows import Row
from offtool.handbook.release_list import RELEASE_LIST


def check_release(told: ProgrammeFolder, names: All) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    codes = {(one.code,) for one in RELEASE_LIST} | {one.names for one in told.release_lines}
    for paper in told.evidence:
        refuse_unknown(paper.place("code"), (paper.code,), codes)
        _refuse_half_file(paper)
    for hangs in told.evidence_states:
        refuse_unknown(hangs.place("given_at"), (hangs.code, str(hangs.given_at)), names["evidence"])
        refuse_unknown(hangs.place("tool"), (hangs.tool,), names["tools"])
        refuse_unknown(hangs.place("state"), (hangs.tool, hangs.state), names["states"])
    _toy_tests(told, names)
    for change in told.changes:
        for column, table in (("tool", "tools"), ("part", "parts"), ("joint", "joints"), ("seam", "seams")):
            _refuse_unknown_if(change, column, table, names)
    for concession in told.concessions:
        refuse_unknown(concession.place("code"), (concession.code,), codes)
        _concession(concession)
    for limit in told.limit_samples:
        _limit_sample(limit, names)
    for signature in told.signatures:
        _signature(signature)
    _ages_and_days(told)


def _refuse_half_file(paper: EvidenceRow) -> None:
    parts = {bool(paper.file), bool(paper.file_name), bool(paper.sha256)}
    if len(parts) > 1:
        what = f"file {paper.file!r}, file_name {paper.file_name!r} and its checksum"
        raise paper.place("file").refuse(what, "give all three, or none where there is no file")


def _toy_tests(told: ProgrammeFolder, names: All) -> None:
    """A test has pieces; a piece names its test, and its part if any."""
    tried = {piece.run for piece in told.toy_test_pieces}
    for run in told.toy_tests:
        if run.name not in tried:
            what = f"{run.name!r} has no pieces"
            raise run.place("name").refuse(what, "give its pieces, or take the row out")
    for piece in told.toy_test_pieces:
        refuse_unknown(piece.place("run"), (piece.run,), names["toy_tests"])
        _refuse_unknown_if(piece, "part", "parts", names)


def _refuse_unknown_if(row: Row, column: str, table: str, names: All) -> None:
    name = getattr(row, column)
    if name:
        refuse_unknown(row.place(column), (name,), names[table])


def _concession(one: ConcessionRow) -> None:
    if one.until is None and one.pieces is None:
        raise one.place("until").refuse("it has no end", "say until when, or for how many pieces")
    _refuse_before(one, "until", one.until, "given_on", one.given_on)
    _refuse_before(one, "closed_on", one.closed_on, "given_on", one.given_on)
    if (one.closed_on is None) != (not one.closed_because):
        raise one.place("closed_because").refuse(
            "a concession that ended has a day and a reason", "give both or neither"
        )


def _refuse_before(row: Row, column: str, day: date | None, first: str, then: date) -> None:
    if day is not None and day < then:
        raise row.place(column).refuse(f"{day} is before {first} {then}", "look at the two days")


def _limit_sample(limit: LimitSampleRow, names: All) -> None:
    refuse_unknown(limit.place("sample"), (limit.sample,), names["samples"])
    if bool(limit.in_line) != (limit.station is not None):
        what = f"station {limit.station or 'blank'} with line {limit.in_line!r}"
        raise limit.place("station").refuse(what, "give both or neither: stations are counted by line")
    refuse_no_station(limit, limit.in_line, limit.station, names, "station")
    _refuse_before(limit, "valid_until", limit.valid_until, "signed_on", limit.signed_on)


def _signature(signature: SignatureRow) -> None:
    if bool(signature.withdrawn) != (signature.withdrawn_at is not None):
        raise signature.place("withdrawn_at").refuse(
            "a withdrawal has a time and a reason", "give both or neither"
        )


def _ages_and_days(told: ProgrammeFolder) -> None:
    """The ages of the product and the days of steps are in order."""
    ages = told.programme
    if ages.from_months is not None and ages.to_months is not None and ages.to_months <= ages.from_months:
        what = f"{ages.to_months:g} is not above from_months {ages.from_months:g}"
        raise ages.place("to_months").refuse(what, "look at the two")
    for step in told.step_days:
        if step.high_days < step.low_days:
            what = f"{step.high_days:g} is below low_days {step.low_days:g}"
            raise step.place("high_days").refuse(what, "look at the two")
