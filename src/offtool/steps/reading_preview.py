"""What was understood of a file of readings, before and after it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from offtool.exchange.readings import FileLeftOut, RefusedCell, Repair


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedCharacteristic:
    """A characteristic of the file beside the one of the record it is taken for; `number` is "" for a new
    one."""

    label: str
    number: str
    name: str
    part: str
    unit: str
    nominal: float | None
    lower: float | None
    upper: float | None
    readings: int
    problem: str = ""


@dataclass(frozen=True, slots=True)
class RepairInFile(Repair):
    """A repaired cell of one file among several."""

    file: str

    def __str__(self) -> str:
        return f"{self.file}, {Repair.__str__(self)}"


@dataclass(frozen=True, slots=True)
class RefusedInFile(RefusedCell):
    """A refused cell of one file among several."""

    file: str

    def __str__(self) -> str:
        return f"{self.file}, {RefusedCell.__str__(self)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FilePreview:
    """One file among several: how it is read, and which part it is of, as far as it is of one."""

    name: str
    size: int
    layout: str
    sheet: str | None
    readings: int
    cavity: str
    shot: int | None
    part: int | None
    repaired: int
    refused: int
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingPreview:
    """How a file, or several as one, is read. `problems` must be mended before it can be kept; refused cells,
    and files that are missed among several, may be left out.
    """

    file: str
    sha256: str
    size: int
    layout: str
    layouts: tuple[str, ...]
    sheet: str | None
    encoding: str
    delimiter: str
    decimal: str
    readings: int
    missing: int
    characteristics: tuple[MatchedCharacteristic, ...]
    cavities: tuple[str, ...]
    shots: tuple[int, int] | None
    repairs: tuple[Repair, ...]
    refused: tuple[RefusedCell, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]
    files: tuple[FilePreview, ...] = ()
    """Each file, where several were sent as one; else empty."""
    left_out: tuple[FileLeftOut, ...] = ()
    """Files among several that are not read."""

    @property
    def missed(self) -> tuple[FileLeftOut, ...]:
        """Files left out in which readings might be."""
        return tuple(one for one in self.left_out if one.is_missed)

    @property
    def can_be_kept(self) -> bool:
        """Whether nothing stands in the way but cells to leave out."""
        return not self.problems and self.readings > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsKept:
    """A file that is now in the record."""

    programme: str
    tool: str
    trial: str
    state: str
    source_id: int
    file: str
    readings: int
    repairs: int
    left_out: int
    predictions_judged: int
    files: tuple[str, ...] = ()
    """The files that were kept, where several were sent as one; else empty."""
    files_left_out: tuple[str, ...] = ()

    @property
    def what(self) -> str:
        """What was kept, by name: "T1.csv", "6 files", "6 files of T1.zip"."""
        count = f"{len(self.files)} file{'s' * (len(self.files) != 1)}"
        return self.file if not self.files else count if self.file == count else f"{count} of {self.file}"
