"""Read the shape of a part: shown as it is understood, then kept. Its unit is asked for, never assumed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from offtool.core.planning.geometry import UnitGuess, guess_unit
from offtool.core.planning.geometry.units import box_in_words
from offtool.core.values import Caution, ImpossibleInput
from offtool.exchange.meshes import MeshRead
from offtool.exchange.meshes import read_mesh as read_file
from offtool.handbook.resins import resin_default
from offtool.handbook.terms import LengthUnit, MeshKind
from offtool.records.models import Part
from offtool.records.operations import MeshNew, keep_mesh
from offtool.records.queries import find_programme
from offtool.steps.know_part import METHOD, completed, find_part, know_part, weighed_of
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.part_found import MeshKept, MeshPreview, MeshSeen, PartFound
from offtool.steps.part_geometry import ShapeMeasured, density_of, known_in, measure_shape
from offtool.steps.part_sentences import unit_in_words
from offtool.steps.read_readings import CannotKeep

AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
WITHOUT_UNIT = "the file does not say its unit"
"""The problem of a file that is measured only once its unit is given."""

CONFIRM = "give the right unit or the right file, or confirm that it is right as it is"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshAbout:
    """What a file does not say itself."""

    unit: str = ""
    """mm, cm, m or in; empty for what the file says."""
    direction: tuple[float, float, float] = AXES["z"]
    thin_mm: float | None = None
    """Ask for the share of the surface with a thinner wall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlace:
    """Which part a shape is read for."""

    programme: str
    programme_title: str
    invented: bool
    part: str
    name: str


def place_of_part(programme: str, part: str) -> PartPlace:
    """Where a shape would be kept. Raises NotInRecord."""
    found = find_programme(programme)
    one = find_part(found, part)
    return PartPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        part=one.code,
        name=one.name,
    )


def preview_mesh(content: bytes, name: str, *, programme: str, part: str, about: MeshAbout) -> MeshPreview:
    """How a shape would be read and what it measures; nothing is kept.

    Raises FileRefused for a file that cannot be read, NotInRecord for an unknown programme or part.
    """
    return preview_with_picture(content, name, programme=programme, part=part, about=about)[0]


def preview_with_picture(
    content: bytes, name: str, *, programme: str, part: str, about: MeshAbout
) -> tuple[MeshPreview, bytes]:
    """As `preview_mesh`, and the picture of the part; empty where the unit is not known."""
    one = find_part(find_programme(programme), part)
    understood = _Understood(content, name, about, one)
    picture = understood.measured.picture if understood.measured is not None else b""
    return understood.preview(), picture


def measure_file(content: bytes, name: str, *, about: MeshAbout, resin: str = "") -> MeshPreview:
    """What a shape measures, without any programme. Raises FileRefused; ImpossibleInput for a resin that is
    not on the list."""
    if resin and resin_default(resin) is None:
        raise ImpossibleInput("resin", resin, "", "its density is not on the list", "name another, or none")
    return _Understood(content, name, about, None, resin=resin.upper()).preview()


def keep_mesh_file(
    content: bytes,
    name: str,
    *,
    programme: str,
    part: str,
    about: MeshAbout,
    read_at: datetime,
    read_by: str,
    note: str = "",
    confirmed: bool = False,
) -> MeshKept:
    """Keep a shape of a part; it counts from now on.

    `confirmed` says that a shape whose size or weight is doubted is right. Raises what `preview_mesh` raises;
    CannotKeep for a shape whose unit is not known, and for one that is doubted and not confirmed;
    AlreadyKept for the same file in the same unit and direction.
    """
    one = find_part(find_programme(programme), part)
    understood = _Understood(content, name, about, one)
    if not understood.unit or understood.measured is None:
        raise CannotKeep(WITHOUT_UNIT, where=name, remedy=f"give it: {understood.sizes.words}")
    doubt = understood.preview().doubt
    if doubt and not confirmed:
        raise CannotKeep(doubt.rstrip("."), where=name, remedy=CONFIRM)
    new = MeshNew(
        file_name=name,
        content=content,
        kind=MeshKind(understood.read.kind),
        unit=LengthUnit(understood.unit),
        axis=about.direction,
        measured=understood.measured.as_kept(),
        picture=understood.measured.picture,
        note=note,
    )
    kept = keep_mesh(one, new, read_at=read_at, read_by=read_by)
    return MeshKept(
        programme=one.programme.slug,
        part=one.code,
        file=kept.file_name,
        unit=kept.unit,
        mesh_id=kept.pk,
        found=know_part(programme, part),
    )


class _Understood:
    """A file with its unit, and what it measures where the unit is known."""

    def __init__(
        self, content: bytes, name: str, about: MeshAbout, part: Part | None, resin: str = ""
    ) -> None:
        self.content, self.name, self.about, self.part = content, name, about, part
        self.resin = part.resin.code if part is not None else resin
        self.read: MeshRead = read_file(content, name)
        x, y, z = (float(side) for side in np.ptp(self.read.vertices, axis=0))
        self.sizes: UnitGuess = guess_unit(x, y, z)
        self.unit = about.unit or self.read.unit or ""
        self.measured: ShapeMeasured | None = (
            measure_shape(self.read, self.unit, about.direction, thin_mm=about.thin_mm) if self.unit else None
        )

    def preview(self) -> MeshPreview:
        """What was understood."""
        guess = f"; only {unit_in_words(self.sizes.guess)} is plausible, a guess" if self.sizes.guess else ""
        problems = () if self.unit else (f"{WITHOUT_UNIT}: {self.sizes.words}{guess}",)
        return MeshPreview(
            part=self.part.code if self.part is not None else "",
            file=self.name,
            kind=self.read.kind,
            unit=self.unit,
            unit_from=self._unit_from(),
            sizes=self.sizes,
            found=self._found(),
            problems=problems,
            notes=self.read.notes,
            direction=self.about.direction,
            cautions=tuple(self._cautions()),
        )

    def _cautions(self) -> Iterator[Caution]:
        if not self.unit:
            yield from self.sizes.cautions
        tried = next((one for one in self.sizes.tried if one.unit == self.unit), None)
        if tried is not None and not tried.is_plausible:
            size = box_in_words(tried.box_mm)
            yield Caution(
                f"{size} is hardly a moulded part: is {unit_in_words(self.unit)} the unit of this file?"
            )

    def _unit_from(self) -> str:
        if not self.unit:
            return "not known"
        if not self.about.unit:
            return "from the file"
        told = self.read.unit
        return f"given; the file says {told}" if told and told != self.about.unit else "given"

    def _found(self) -> PartFound | None:
        if self.measured is None:
            return None
        part = self.part
        density = density_of(part.resin) if part is not None else self._density()
        code = part.code if part is not None else ""
        known = known_in(
            self.measured.geometry, self.measured.findings, part=code, resin=self.resin, density=density
        )
        programme = part.programme if part is not None else None
        return completed(
            PartFound(
                programme=programme.slug if programme else "",
                programme_title=programme.title if programme else "",
                invented=is_invented(programme) if programme else False,
                part=code or self.name,
                name=part.name if part is not None else "",
                resin=self.resin,
                headline="",
                actions=(),
                rests_on=(),
                mesh=self._mesh(),
                known=known,
                weighed=weighed_of(part, SizesMeasured()) if part is not None else None,
                cooling=(),
                tools=(),
                said=(),
                method=METHOD,
            )
        )

    def _density(self) -> float | None:
        found = resin_default(self.resin)
        return found.density_g_cm3 if found is not None else None

    def _mesh(self) -> MeshSeen:
        return MeshSeen(
            file=self.name,
            sha256=hashlib.sha256(self.content).hexdigest(),
            kind=self.read.kind,
            unit=self.unit,
            size=len(self.content),
            read_at=None,
            read_by="",
            note="",
            mesh_id=None,
        )
