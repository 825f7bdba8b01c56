"""What a seam is found to be, as one object: page, command, report and JSON show this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.values import Caution, Verdict
from offtool.core.welding.amplitude import HornAmplitude
from offtool.core.welding.audit import WeldAudit
from offtool.core.welding.design import SeamDesign
from offtool.core.welding.energy import WeldEnergy
from offtool.core.welding.melt import SeamMelt
from offtool.core.welding.open_seam import OpenSeam
from offtool.core.welding.strength import StrengthFinding
from offtool.core.welding.study import SettingFinding, WeldWindow
from offtool.core.welding.weibull import WeibullFit
from offtool.steps.findings import Action, Fact
from offtool.steps.joint_found import JointSizeSeen


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceNotWelded:
    """A piece of a study that seems to be open, or of which it cannot be told."""

    study: str
    piece: str
    setting: str
    found: OpenSeam


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldStudySeen:
    """A weld study, and where its pieces are from."""

    name: str
    file: str
    sha256: str
    done_on: date | None
    read_by: str
    runs: int
    gauge: str
    gauge_says: str
    top_trial: str
    bottom_trial: str
    is_stale: bool
    """Whether steel of a part was cut since the trial that its pieces are from."""
    note: str
    set_aside: str
    study_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamFound:
    """One seam: does it hold, what to do, why."""

    programme: str
    programme_title: str
    invented: bool
    seam: str
    name: str
    kind: str
    top: str
    bottom: str
    top_resin: str
    bottom_resin: str
    required_n: float | None
    largest_flash_mm: float | None
    verdict: Verdict
    headline: str
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    sizes: tuple[JointSizeSeen, ...]
    missing: tuple[str, ...]
    design: SeamDesign | None
    melt: SeamMelt | None
    energy: WeldEnergy | None
    amplitude: HornAmplitude | None
    window: WeldWindow | None
    """All runs of the studies that count together."""
    setting: SettingFinding | None
    """The setting whose pulls are judged: the one that stands best by its own runs."""
    strength: StrengthFinding | None
    weibull: WeibullFit | None
    audit: WeldAudit | None
    not_welded: tuple[PieceNotWelded, ...]
    studies: tuple[WeldStudySeen, ...]
    said: tuple[str, ...]
    """Why a part of the answer is not there, in words."""
    method: str
    pulled: int = 0
    """Pieces that were pulled, of the studies that count."""
    pulled_welded: int = 0
    """Those of them that are not seen to be open: only they say anything of the weld."""
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamsFound:
    """All seams of a product."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    seams: tuple[SeamFound, ...]
