"""What a release review finds, as one object: page, command, report and JSON show this and nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Caution, Verdict, nearest
from offtool.handbook.release_list import Change, Fed
from offtool.handbook.terms import EvidenceSays, LimitKind, ReleaseWord, Role
from offtool.records.queries.finding import NotInRecord


class SourceKind(StrEnum):
    """What sort of file of the record a line rests on."""

    READINGS = "readings"
    STUDY = "gauge study"
    JOINT_TEST = "joint test"
    WELD_STUDY = "weld study"
    PILOT_FILE = "pilot file"
    TOY_TEST = "toy test"
    EVIDENCE = "evidence"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewSource:
    """A file that was kept byte for byte, and that a line rests on."""

    kind: SourceKind
    key: int
    file_name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewTarget:
    """The page that shows what a fact rests on, and the names in its address after the programme."""

    page: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewFact:
    """One thing that a line rests on: a size, a joint, a paper; with its own standing."""

    item: str
    """What it is about, as a concession names it, such as HO-04 2."""
    words: str
    standing: Standing
    verdict: Verdict | None = None
    """As it was measured or stated, whatever has changed since; None where nothing was."""
    day: date | None = None
    target: ReviewTarget | None = None
    stale_because: tuple[StaleBecause, ...] = ()
    under: str = ""
    """The concession that covers it, in words."""
    again: str = ""
    """What must be done, or done again; empty where it stands."""
    sources: tuple[ReviewSource, ...] = ()
    tools: tuple[str, ...] = ()
    """The tools whose steel it speaks of, where they are known."""

    @property
    def is_met(self) -> bool:
        """Whether it holds, or is under a concession."""
        return self.standing.is_met


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionSeen:
    """What was allowed, by whom, until when, and whether it still counts."""

    key: int
    code: str
    item: str
    amount: str
    until: date | None
    pieces: int | None
    reason: str
    risk: str
    approved_by: str
    given_on: date
    counts: bool
    why_not: str
    words: str
    closed_because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceSeen:
    """A paper or a test that a person gave for a line."""

    key: int
    says: EvidenceSays
    tested_on: date
    lab: str
    number: str
    accredited: bool
    states: tuple[str, ...]
    """The states of tools that it says its pieces were of, such as M1 c."""
    file_name: str
    sha256: str
    note: str
    given_by: str
    given_at: datetime
    is_stale: bool
    stale_because: tuple[StaleBecause, ...]
    set_aside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLine:
    """One line of the review: does it hold, by what, since when, and what is to be done."""

    code: str
    title: str
    asks: str
    fed_by: Fed
    standing: Standing
    words: str
    because: str
    since: date | None
    """The oldest day that it rests on; None where nothing is dated."""
    facts: tuple[ReviewFact, ...]
    stale_because: tuple[StaleBecause, ...]
    concessions: tuple[ConcessionSeen, ...]
    evidence: tuple[EvidenceSeen, ...]
    to_do: str
    source: str
    stale_by: tuple[Change, ...]
    stale_after_days: int | None
    is_own: bool
    """A line that is not of the usual list."""
    is_edited: bool
    """A line of the usual list that was changed for this programme."""
    edited_because: str = ""
    """Why it is asked so, as far as whoever edited it said."""
    cautions: tuple[Caution, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether production may start as far as this line goes."""
        return self.standing.is_met

    def having(self, standing: Standing) -> tuple[ReviewFact, ...]:
        """The facts that stand so."""
        return tuple(one for one in self.facts if one.standing is standing)

    @property
    def failing(self) -> tuple[ReviewFact, ...]:
        """The facts that do not hold."""
        return self.having(Standing.FAILS)

    @property
    def missing(self) -> tuple[ReviewFact, ...]:
        """The facts that nothing shows yet."""
        return self.having(Standing.MISSING)

    @property
    def stale(self) -> tuple[ReviewFact, ...]:
        """The facts that held, and something changed since."""
        return self.having(Standing.STALE)

    @property
    def sources(self) -> tuple[ReviewSource, ...]:
        """Every file that it rests on, each once."""
        return tuple(dict.fromkeys(source for fact in self.facts for source in fact.sources))


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNotAsked:
    """A line that is not asked of this product, and why."""

    code: str
    title: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewAction:
    """One thing to do; the order of the actions is the order to do them in."""

    words: str
    code: str
    """The line that it is for; empty where it is for the whole review."""
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureSeen:
    """What a person stated, and whether the review is still as it was then."""

    key: int
    role: Role
    person: str
    states: ReleaseWord
    signed_at: datetime
    stands: bool
    why_not: str
    changed: tuple[str, ...]
    """Titles of the lines that changed since."""
    note: str
    withdrawn: str
    fingerprint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSampleSeen:
    """A kept sample that stands for a limit: what area, what condition, for how long."""

    key: int
    sample: str
    sample_name: str
    station: str
    kind: LimitKind
    area: str
    accepts: str
    signed_by: str
    signed_on: date
    valid_until: date | None
    standing: Standing
    words: str
    withdrawn: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSeen:
    """What was changed, on which day, and what of the product it touched."""

    key: int
    """0 for a cut, which is read from the states of the tool."""
    what: Change
    on: date | None
    words: str
    about: str
    told_by: str
    is_told: bool
    set_aside: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseReview:
    """Whether production may start: the list, what to do, and what people have signed."""

    programme: str
    programme_title: str
    invented: bool
    on: date
    markets: tuple[str, ...]
    from_months: float | None
    to_months: float | None
    mass_kg: float | None
    release_due: date | None
    unsaid: tuple[str, ...]
    """What of market and age is not said, in words."""
    headline: str
    verdict: Verdict
    actions: tuple[ReviewAction, ...]
    lines: tuple[ReviewLine, ...]
    not_asked: tuple[LineNotAsked, ...]
    signatures: tuple[SignatureSeen, ...]
    roles_missing: tuple[Role, ...]
    limit_samples: tuple[LimitSampleSeen, ...]
    changes: tuple[ChangeSeen, ...]
    """Newest first; cuts among them."""
    fingerprint: str
    stood: str
    """The digest of every line as JSON: a signature keeps it, so that what changed since can be named."""
    may_be_released: bool
    why_not_released: tuple[str, ...]
    method: str
    of_more_roles: tuple[str, ...] = ()
    """Who signed for more than one role, in a sentence each."""
    cautions: tuple[Caution, ...] = ()

    def line(self, code: str) -> ReviewLine:
        """The line of that code. Raises NotInRecord."""
        found = next((one for one in self.lines if one.code == code), None)
        if found is None:
            raise NotInRecord(f"no line {code!r} is asked", remedy=nearest(code, self.codes))
        return found

    @property
    def codes(self) -> tuple[str, ...]:
        """The lines by their codes, in the order of the review."""
        return tuple(one.code for one in self.lines)

    @property
    def concessions(self) -> tuple[ConcessionSeen, ...]:
        """Every concession on the lines that are asked."""
        return tuple(each for one in self.lines for each in one.concessions)

    def having(self, standing: Standing) -> tuple[ReviewLine, ...]:
        """The lines that stand so."""
        return tuple(one for one in self.lines if one.standing is standing)


def oldest(days: Iterable[date | None]) -> date | None:
    """The oldest of the days that are known."""
    return min((day for day in days if day is not None), default=None)
