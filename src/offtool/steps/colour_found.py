"""What a change of colour is found to take, as one object: page, command and JSON show this alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.planning.colour_change import (
    Amount,
    ChangeCurve,
    ChangeFit,
    ColourChange,
    ColourDecision,
    FittedWashout,
    Plastic,
)
from offtool.core.values import Caution
from offtool.steps.colour_known import ShotTaken
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class PlasticSeen:
    """A plastic that can be in a barrel, and where it is known from; `key` is how it is asked for."""

    key: str
    where: str
    plastic: Plastic
    on_screen: str
    """The colour as a screen shows it; empty where it is not measured."""
    runs: bool = False
    """Whether it runs on the press on that day."""

    @property
    def words(self) -> str:
        """The colour and its resin."""
        return f"{self.plastic.name}, {self.plastic.resin}" if self.plastic.resin else self.plastic.name


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeCell:
    """One change of the table, without what the whole answer holds."""

    old: str
    new: str
    shots: Amount
    kg: Amount
    minutes: Amount
    never: bool
    is_known: bool
    """Whether both colours are measured; else it is the shop's rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSeen:
    """One measured change of the press, and how it fits; `fit` is None where it does not count."""

    name: str
    old_name: str
    new_name: str
    shots: int
    file: str
    sha256: str
    done_on: date | None
    read_by: str
    note: str
    set_aside: str
    fit: ChangeFit | None
    change_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourFound:
    """From one plastic to the next on one press, the way back, the decision, what is known of the press."""

    programme: str
    programme_title: str
    invented: bool
    currency: str
    press: str
    press_name: str
    tool: str
    """The tool that would be in the press; empty where none is asked about."""
    request: str
    """The trial asked for, such as M3 T4; empty where the colour is not that of one."""
    on: date
    old: PlasticSeen
    new: PlasticSeen
    there: ColourChange
    back: ColourChange
    curve_there: ChangeCurve | None
    curve_back: ChangeCurve | None
    decision: ColourDecision | None
    """None where no trial is asked about: then there is nothing to decide."""
    plastics: tuple[PlasticSeen, ...]
    """Those of the table, in its order."""
    table: tuple[tuple[ChangeCell | None, ...], ...]
    """What runs on that day, what trials ask for, and the uncoloured resin: a row for what is in the barrel,
    a column for what shall be."""
    fit: FittedWashout | None
    observed: tuple[ChangeSeen, ...]
    shot: ShotTaken
    washout_says: str
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    missing: tuple[str, ...]
    method: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourPlace:
    """What can be asked about: presses, tools, and the plastics of the record on a day."""

    programme: str
    programme_title: str
    invented: bool
    presses: tuple[tuple[str, str], ...]
    """Code and words."""
    tools: tuple[str, ...]
    plastics: tuple[PlasticSeen, ...]
    on: date
