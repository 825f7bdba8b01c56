"""What was seen at the press, as one object: page, command and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from offtool.core.inspection.attributes import CavityShares, ShareAlongTrial, ShareFinding
from offtool.core.values import Caution


class Standing(StrEnum):
    """Where a finding stands over the states of the tool."""

    OPEN = "open"
    """Seen in the trial that was looked at last."""
    NOT_SHOWN_GONE = "not shown gone"
    """Not seen any more, by too few pieces to say so."""
    NOT_LOOKED_AT = "not looked at since"
    """Nobody looked since the trial in which it was seen."""
    GONE = "shown gone"
    """A later trial shows it, by the exact test."""
    NOT_LOOKED_FOR = "off the list"
    """The defect was taken off the list while it was open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectOnList:
    """A defect of a programme's list: its own words, the handbook's actions where it is a standard one."""

    code: str
    name: str
    also_called: str
    meaning: str
    weight_class: str
    process: str
    steel: str
    is_listed: bool
    is_common: bool
    is_standard: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialShare:
    """What one trial says of one finding."""

    trial: str
    state: str
    seen: int
    looked_at: int

    def __str__(self) -> str:
        return f"{self.seen} of {self.looked_at} in {self.trial}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingFollowed:
    """One defect in one cavity, at one place where places were given, over the trials of the tool."""

    defect: str
    name: str
    weight_class: str
    cavity: str
    """Empty where nobody knows."""
    place: str
    """Empty where a place was not always given: then the cavity is followed as a whole."""
    standing: Standing
    says: str
    since: TrialShare
    """The trial in which it was seen first, or first again after it was shown gone."""
    last_seen: TrialShare
    last_looked_at: TrialShare
    pieces_needed: int | None
    """So many pieces without it, in one trial, would show it gone; None where it is, or no number would."""
    here: ShareFinding | None
    """Its share in this trial; None where nobody looked."""
    trials: tuple[TrialShare, ...]

    @property
    def is_open(self) -> bool:
        """Whether something is still to be done about it."""
        return self.standing in (Standing.OPEN, Standing.NOT_SHOWN_GONE, Standing.NOT_LOOKED_AT)

    @property
    def what(self) -> str:
        """flash, left ear."""
        return f"{self.name}, {self.place}" if self.place else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class PartCompared:
    """The cavities of one part, side by side in this trial."""

    part: str
    shares: CavityShares
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectSeen:
    """A defect that was seen on this tool in this trial or before."""

    code: str
    name: str
    weight_class: str
    process: str
    steel: str
    source: str
    here: ShareFinding | None
    """Over all cavities of this trial; None where nobody looked."""
    followed: tuple[FindingFollowed, ...]
    compared: tuple[PartCompared, ...]
    along: ShareAlongTrial | None
    """None where fewer than two shots of this trial have a number."""
    along_says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlawShown:
    """A flaw as it was recorded."""

    defect: str
    name: str
    pieces: int
    place: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographShown:
    """A photograph, without its bytes."""

    number: int
    name: str
    shows: str
    media_type: str
    width: int
    height: int
    sha256: str
    note: str
    link: str = ""
    """Where a page shows it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookShown:
    """A look as it was recorded; one that was set aside does not count and stays to be seen."""

    number: int
    cavity: str
    shot: int | None
    pieces: int
    flaws: tuple[FlawShown, ...]
    photographs: tuple[PhotographShown, ...]
    note: str
    looked_at: datetime
    looked_by: str
    set_aside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFindings:
    """What was seen on a trial at the press, and where every finding of the tool stands."""

    programme: str
    programme_title: str
    tool: str
    trial: str
    state: str
    pieces: int
    """Looked at in this trial."""
    next_shot: int
    headline: str
    defects: tuple[DefectSeen, ...]
    looks: tuple[LookShown, ...]
    """Of this trial, the latest first."""
    significance: float
    confidence: float
    cautions: tuple[Caution, ...] = ()

    @property
    def followed(self) -> tuple[FindingFollowed, ...]:
        """Every finding, defect by defect."""
        return tuple(one for defect in self.defects for one in defect.followed)

    @property
    def open(self) -> tuple[FindingFollowed, ...]:
        """The findings that no trial has shown gone."""
        return tuple(one for one in self.followed if one.is_open)
