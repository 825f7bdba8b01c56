"""What the shape of a part is found to be, as one object: page, command and JSON show this alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from offtool.core.planning.geometry import MeshFindings, PartGeometry, UnitGuess
from offtool.core.values import Caution
from offtool.steps.findings import Action, Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class PartKnown:
    """The numbers of a part that planning goes on with, from the newest shape of it."""

    part: str
    resin: str
    geometry: PartGeometry
    findings: MeshFindings
    density_g_cm3: float | None
    weight_g: float | None
    """None where the resin's density is not known, or the mesh has no volume to rely on."""
    thickest_mm: float | None
    """None where a fault of the mesh spoils the wall."""
    median_mm: float | None
    silhouette_mm2: float
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshSeen:
    """The file that a shape is from."""

    file: str
    sha256: str
    kind: str
    unit: str
    size: int
    read_at: datetime | None
    read_by: str
    note: str
    mesh_id: int | None
    """None for a file that is not kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingOfWall:
    """How long a wall cools, as a plate of that thickness, from the handbook's temperatures of the resin."""

    what: str
    wall_mm: float
    least_s: float
    usual_s: float
    most_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """What parts weighed at a trial."""

    weight_g: float
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFound:
    """One part: what its shape says, what to do, why."""

    programme: str
    """Empty for a file that was measured without a programme."""
    programme_title: str
    invented: bool
    part: str
    name: str
    resin: str
    headline: str
    """Begins with the doubt, where there is one."""
    actions: tuple[Action, ...]
    rests_on: tuple[Fact, ...]
    mesh: MeshSeen | None
    known: PartKnown | None
    weighed: Weighed | None
    cooling: tuple[CoolingOfWall, ...]
    tools: tuple[str, ...]
    said: tuple[str, ...]
    """Why a part of the answer is not there, in words."""
    method: str
    doubt: str = ""
    """Why this can hardly be the shape of the part: its size, or its weight; empty where nothing is."""
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsFound:
    """All parts of a product."""

    programme: str
    programme_title: str
    invented: bool
    headline: str
    parts: tuple[PartFound, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshPreview:
    """A file as it is understood; nothing is kept."""

    part: str
    file: str
    kind: str
    unit: str
    """Empty where it is neither in the file nor given: then nothing is measured."""
    unit_from: str
    sizes: UnitGuess
    found: PartFound | None
    problems: tuple[str, ...]
    notes: tuple[str, ...]
    direction: tuple[float, float, float]
    cautions: tuple[Caution, ...] = ()

    @property
    def doubt(self) -> str:
        """Why it is kept only once somebody says that it is right; empty where nothing is doubted."""
        return self.found.doubt if self.found is not None else ""

    @property
    def can_be_kept(self) -> bool:
        """Whether the shape can be kept as it is understood."""
        return not self.problems


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshKept:
    """A shape that is in the record now."""

    programme: str
    part: str
    file: str
    unit: str
    mesh_id: int
    found: PartFound
