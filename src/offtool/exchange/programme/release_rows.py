"""The rows of a release: its list, evidence, tests of the law, changes, and what people said and signed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar

from offtool.exchange.programme.cells import (
    Day,
    Flag,
    Listed,
    Moment,
    Name,
    Number,
    Pattern,
    Text,
    Whole,
    Word,
    sha256,
)
from offtool.exchange.programme.line_rows import HowMany, Station
from offtool.exchange.programme.rows import Row
from offtool.handbook.release_list import Change, Fed
from offtool.handbook.terms import (
    LONGEST_FILE_NAME,
    NOT_NEGATIVE,
    POSITIVE,
    EvidenceSays,
    LimitKind,
    Market,
    ReleaseWord,
    Role,
)
from offtool.handbook.toy_law import TOY_TESTS_NAMED

Today = Annotated[date, Day(may_be_blank=False)]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseLineRow(Row):
    """A line of the programme's own list."""

    table: ClassVar = "release_lines.csv"
    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    title: Annotated[str, Name(may_be_blank=True)]
    asks: Annotated[str, Text()]
    fed_by: Annotated[str, Word(words=Fed)]
    stale_by: Annotated[str, Listed(words=tuple(Change))]
    stale_after_days: HowMany
    source: Annotated[str, Text()]
    not_asked: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow(Row):
    """A paper or a test; `file` lies in evidence/, or is blank where only its number is known."""

    table: ClassVar = "evidence.csv"
    folder: ClassVar = "evidence"
    key: ClassVar = ("code", "given_at")
    code: Annotated[str, Name()]
    says: Annotated[str, Word(words=EvidenceSays)]
    tested_on: Today
    lab: Annotated[str, Name(may_be_blank=True)]
    number: Annotated[str, Name(may_be_blank=True)]
    accredited: Annotated[bool, Flag()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(may_be_blank=True, longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256(may_be_blank=True)]
    given_at: Annotated[datetime, Moment()]
    given_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceStateRow(Row):
    """A state of a tool that evidence hangs on."""

    table: ClassVar = "evidence_states.csv"
    key: ClassVar = ("code", "given_at", "tool", "state")
    code: Annotated[str, Name()]
    given_at: Annotated[datetime, Moment()]
    tool: Annotated[str, Name()]
    state: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestRow(Row):
    """A test of the law on own pieces; `file` lies in toy_tests/."""

    table: ClassVar = "toy_tests.csv"
    folder: ClassVar = "toy_tests"
    key: ClassVar = ("name",)
    name: Annotated[str, Name()]
    market: Annotated[str, Word(words=Market)]
    test: Annotated[
        str, Pattern(form=re.compile("|".join(TOY_TESTS_NAMED)), example=" or ".join(TOY_TESTS_NAMED))
    ]
    done_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    file_name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyTestPieceRow(Row):
    """One piece that was pulled, turned or dropped."""

    table: ClassVar = "toy_test_pieces.csv"
    key: ClassVar = ("run", "row")
    run: Annotated[str, Name()]
    piece: Annotated[str, Name()]
    part: Annotated[str, Name(may_be_blank=True)]
    value: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)]
    unit: Annotated[str, Name(may_be_blank=True)]
    drops: HowMany
    height_m: Annotated[float | None, Number(ends=POSITIVE, unit="m", may_be_blank=True)]
    held: Annotated[bool, Flag(may_be_blank=False)]
    came_off_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)]
    row: Annotated[int, Whole(at_least=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow(Row):
    """A change that was told."""

    table: ClassVar = "changes.csv"
    key: ClassVar = ("what", "told_at")
    what: Annotated[str, Word(words=Change)]
    on: Today
    words: Annotated[str, Text(may_be_blank=False)]
    tool: Annotated[str, Name(may_be_blank=True)]
    part: Annotated[str, Name(may_be_blank=True)]
    joint: Annotated[str, Name(may_be_blank=True)]
    seam: Annotated[str, Name(may_be_blank=True)]
    told_at: Annotated[datetime, Moment()]
    told_by: Annotated[str, Name(may_be_blank=True)]
    set_aside: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionRow(Row):
    """Leave to ship with something off."""

    table: ClassVar = "concessions.csv"
    key: ClassVar = ("code", "item", "given_on")
    code: Annotated[str, Name()]
    item: Annotated[str, Name(may_be_blank=True)]
    amount: Annotated[str, Text(may_be_blank=False)]
    until: Annotated[date | None, Day()]
    pieces: HowMany
    reason: Annotated[str, Text(may_be_blank=False)]
    risk: Annotated[str, Text()]
    approved_by: Annotated[str, Name()]
    given_on: Today
    closed_on: Annotated[date | None, Day()]
    closed_because: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSampleRow(Row):
    """A kept sample that shows what is accepted; its station by line and number."""

    table: ClassVar = "limit_samples.csv"
    key: ClassVar = ("sample", "kind", "area", "signed_on")
    sample: Annotated[str, Name()]
    kind: Annotated[str, Word(words=LimitKind)]
    area: Annotated[str, Name(may_be_blank=True)]
    in_line: Annotated[str, Name(may_be_blank=True)]
    station: Station
    accepts: Annotated[str, Text()]
    signed_by: Annotated[str, Name()]
    signed_on: Today
    valid_until: Annotated[date | None, Day()]
    withdrawn: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureRow(Row):
    """What a person stated of the review with this fingerprint."""

    table: ClassVar = "signatures.csv"
    key: ClassVar = ("role", "person", "signed_at")
    role: Annotated[str, Word(words=Role)]
    person: Annotated[str, Name()]
    states: Annotated[str, Word(words=ReleaseWord)]
    signed_at: Annotated[datetime, Moment()]
    fingerprint: Annotated[str, sha256()]
    stood: Annotated[str, Text()]
    note: Annotated[str, Text()]
    withdrawn: Annotated[str, Text()]
    withdrawn_at: Annotated[datetime | None, Moment(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDaysRow(Row):
    """How many days a step to the release takes in this shop."""

    table: ClassVar = "step_days.csv"
    key: ClassVar = ("step",)
    step: Annotated[str, Name()]
    low_days: Annotated[float, Number(ends=NOT_NEGATIVE, unit="days")]
    high_days: Annotated[float, Number(ends=NOT_NEGATIVE, unit="days")]
