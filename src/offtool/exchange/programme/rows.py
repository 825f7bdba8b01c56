"""The rows of the folder's tables. Each field says what its cell holds: the one list for both ways."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Any, ClassVar, TypeAlias, get_type_hints

from offtool.exchange.programme.cells import (
    Cell,
    Day,
    Flag,
    Json,
    Listed,
    Moment,
    Name,
    Number,
    Text,
    Whole,
    Word,
    sha256,
    slug,
)
from offtool.exchange.programme.refused import Place
from offtool.handbook.measured_colour import DIFFERENCE, LIGHTNESS, SIDEWAYS
from offtool.handbook.terms import (
    AGE_MONTHS,
    LONGEST_FILE_NAME,
    LONGEST_NAME,
    NOT_NEGATIVE,
    POSITIVE,
    SHARE,
    SHRINKAGE_PCT,
    STEP_MM,
    Cause,
    CorrectionStatus,
    Direction,
    Feed,
    Half,
    Market,
    Outcome,
    SizeKind,
    Stage,
    Stated,
    WeightClass,
)

Shrinkage: TypeAlias = Annotated[
    float,
    Number(ends=SHRINKAGE_PCT, unit="%", remedy="give per cent of the cavity size, such as 0.5 for 0.5 %"),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table, and the line it was read from.

    `table` is the file it stands in; `key` names the columns that tell the rows of a table apart.
    """

    table: ClassVar[str] = "programme.toml"
    key: ClassVar[tuple[str, ...]] = ()
    line: int = field(default=0, compare=False)

    @property
    def names(self) -> tuple[str, ...]:
        """What tells this row from the others of its table."""
        return tuple(str(getattr(self, column)) for column in self.key)

    def place(self, column: str = "") -> Place:
        """Where it was read, for an error."""
        return Place(self.table, self.line, column)


_CELLS: dict[type[Row], dict[str, Cell]] = {}


def cells_of(row: type[Row]) -> dict[str, Cell]:
    """The columns of a table, in order, with what each holds."""
    if row not in _CELLS:
        hints = get_type_hints(row, include_extras=True)
        annotated = {column: hint for column, hint in hints.items() if hasattr(hint, "__metadata__")}
        _CELLS[row] = {column: hint.__metadata__[0] for column, hint in annotated.items()}
    return _CELLS[row]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeRow(Row):
    """The product."""

    key: ClassVar = ("slug",)
    slug: Annotated[str, slug()]
    title: Annotated[str, Text(may_be_blank=False, longest=200)]
    note: Annotated[str, Text()]
    currency: Annotated[str, Name(may_be_blank=True)] = ""
    markets: Annotated[str, Listed(words=tuple(Market), between=" ")] = ""
    from_months: Annotated[float | None, Number(ends=AGE_MONTHS, may_be_blank=True)] = None
    to_months: Annotated[float | None, Number(ends=AGE_MONTHS, may_be_blank=True)] = None
    mass_kg: Annotated[float | None, Number(ends=POSITIVE, unit="kg", may_be_blank=True)] = None
    release_due: Annotated[date | None, Day()] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ResinRow(Row):
    """A moulding material and the shrinkage allowed for."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    flow_pct: Shrinkage
    cross_pct: Shrinkage
    thickness_pct: Shrinkage
    semi_crystalline: Annotated[bool, Flag()]
    density_g_cm3: Annotated[float | None, Number(ends=POSITIVE, unit="g/cm³", may_be_blank=True)]
    price_per_kg: Annotated[float | None, Number(ends=NOT_NEGATIVE, may_be_blank=True)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow(Row):
    """A moulded part."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    resin: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeRow(Row):
    """What is measured with."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    resolution: Annotated[float, Number(ends=POSITIVE)]
    uncertainty: Annotated[float, Number(ends=NOT_NEGATIVE)]
    study: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolRow(Row):
    """A mould."""

    key: ClassVar = ("code",)
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    step_mm: Annotated[float, Number(ends=STEP_MM, unit="mm", may_be_blank=True, blank=0.01)]
    cut_sd_mm: Annotated[float, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True, blank=0.005)]
    wide_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    high_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    thick_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    opening_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)] = None
    ejector_mm: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True)] = None
    feed: Annotated[str, Word(words=Feed, may_be_blank=True, blank="")] = ""
    runner_g: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="g", may_be_blank=True)] = None
    runner_cm2: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="cm²", may_be_blank=True)] = None
    hot_runner_cm3: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="cm³", may_be_blank=True)] = None
    cavity_pressure_mpa: Annotated[float | None, Number(ends=POSITIVE, unit="MPa", may_be_blank=True)] = None
    setup_h: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="h", may_be_blank=True)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityRow(Row):
    """One impression of one part in a tool."""

    key: ClassVar = ("tool", "part", "label")
    tool: Annotated[str, Name()]
    part: Annotated[str, Name()]
    label: Annotated[str, Name()]


@dataclass(frozen=True, slots=True, kw_only=True)
class StateRow(Row):
    """The steel between two changes."""

    key: ClassVar = ("tool", "label")
    tool: Annotated[str, Name()]
    label: Annotated[str, Name()]
    ordinal: Annotated[int, Whole(at_least=1)]
    made_on: Annotated[date | None, Day()]
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRow(Row):
    """One time the tool is run to learn something."""

    key: ClassVar = ("tool", "name")
    tool: Annotated[str, Name()]
    name: Annotated[str, Name()]
    state: Annotated[str, Name()]
    stage: Annotated[str, Word(words=Stage, may_be_blank=True, blank="")] = ""
    shot_on: Annotated[date | None, Day()]
    ended_on: Annotated[date | None, Day()] = None
    pieces: Annotated[int | None, Whole(at_least=1, may_be_blank=True)] = None
    press: Annotated[str, Name(may_be_blank=True)]
    colour: Annotated[str, Name(may_be_blank=True)]
    lightness: Annotated[float | None, Number(ends=LIGHTNESS, may_be_blank=True)] = None
    a: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)] = None
    b: Annotated[float | None, Number(ends=SIDEWAYS, may_be_blank=True)] = None
    colour_spread_de: Annotated[float | None, Number(ends=DIFFERENCE, may_be_blank=True)] = None
    interrupted_press: Annotated[str, Name(may_be_blank=True)] = ""
    interrupted_job: Annotated[str, Name(may_be_blank=True)] = ""
    resin_lot: Annotated[str, Name(may_be_blank=True)]
    age_h: Annotated[float | None, Number(ends=NOT_NEGATIVE, unit="h", may_be_blank=True)]
    moulded_at: Annotated[datetime | None, Moment(may_be_blank=True)] = None
    measured_at: Annotated[datetime | None, Moment(may_be_blank=True)] = None
    settled_from: Annotated[int | None, Whole(may_be_blank=True)]
    settled_reason: Annotated[str, Text()] = ""
    note: Annotated[str, Text()]


@dataclass(frozen=True, slots=True, kw_only=True)
class CharacteristicRow(Row):
    """One thing that is measured, with its limits."""

    table: ClassVar = "characteristics.csv"
    key: ClassVar = ("part", "number")
    part: Annotated[str, Name()]
    number: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    kind: Annotated[str, Word(words=SizeKind)]
    unit: Annotated[str, Name(longest=12)]
    nominal: Annotated[float, Number()]
    lower: Annotated[float | None, Number(may_be_blank=True)]
    upper: Annotated[float | None, Number(may_be_blank=True)]
    target: Annotated[float | None, Number(may_be_blank=True)]
    direction: Annotated[str, Word(words=Direction, may_be_blank=True, blank="")]
    weight_class: Annotated[str, Word(words=WeightClass, may_be_blank=True, blank=WeightClass.MAJOR.value)]
    required_index: Annotated[float | None, Number(ends=POSITIVE, may_be_blank=True)]
    gauge: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureRow(Row):
    """What in the steel forms a size."""

    table: ClassVar = "steel.csv"
    key: ClassVar = ("tool", "code")
    tool: Annotated[str, Name()]
    code: Annotated[str, Name()]
    name: Annotated[str, Name(may_be_blank=True)]
    part: Annotated[str, Name()]
    half: Annotated[str, Word(words=Half)]
    stated: Annotated[str, Word(words=Stated)]
    size_change_per_mm: Annotated[float, Number()]
    drawn_mm: Annotated[float | None, Number(ends=POSITIVE, unit="mm", may_be_blank=True)]
    can_add: Annotated[bool, Flag()]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow(Row):
    """What a characteristic does when steel is removed from a feature."""

    table: ClassVar = "moves.csv"
    key: ClassVar = ("tool", "feature", "characteristic")
    tool: Annotated[str, Name()]
    feature: Annotated[str, Name()]
    characteristic: Annotated[str, Name()]
    factor: Annotated[float, Number()]
    forms: Annotated[bool, Flag()]


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelSizeRow(Row):
    """The steel as measured."""

    table: ClassVar = "steel_sizes.csv"
    key: ClassVar = ("tool", "feature", "cavity", "state")
    tool: Annotated[str, Name()]
    feature: Annotated[str, Name()]
    cavity: Annotated[str, Name()]
    state: Annotated[str, Name()]
    measured_mm: Annotated[float, Number(ends=POSITIVE, unit="mm")]
    uncertainty_mm: Annotated[float, Number(ends=NOT_NEGATIVE, unit="mm", may_be_blank=True, blank=0.003)]
    allowance_mm: Annotated[float, Number(ends=NOT_NEGATIVE, unit="mm")]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceRow(Row):
    """A file from the gauge room; `file` is its name in originals/, `name` the name it came under."""

    table: ClassVar = "sources.csv"
    folder: ClassVar = "originals"
    key: ClassVar = ("file",)
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    file: Annotated[str, Name(longest=LONGEST_FILE_NAME)]
    name: Annotated[str, Text(may_be_blank=False, longest=LONGEST_FILE_NAME)]
    sha256: Annotated[str, sha256()]
    layout: Annotated[str, Name(longest=30)]
    read_options: Annotated[dict[str, Any], Json(holds=dict)]
    repairs: Annotated[list[Any], Json(holds=list)]
    left_out: Annotated[list[Any], Json(holds=list)]
    read_at: Annotated[datetime, Moment()]
    read_by: Annotated[str, Name(may_be_blank=True)]

    @property
    def sheet(self) -> str:
        """The sheet of a workbook that was read: the same bytes may be read sheet by sheet."""
        return str(self.read_options.get("sheet") or "")[:LONGEST_NAME]

    @property
    def read(self) -> tuple[str, ...]:
        """What was read and is read only once: the bytes, and the sheet where there is one."""
        return (self.sha256, self.sheet) if self.sheet else (self.sha256,)


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionRow(Row):
    """A change to one feature in one cavity."""

    table: ClassVar = "corrections.csv"
    key: ClassVar = ("tool", "trial", "feature", "cavity", "made_at")
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    feature: Annotated[str, Name()]
    cavity: Annotated[str, Name()]
    amount_mm: Annotated[float, Number(unit="mm")]
    size_before_mm: Annotated[float, Number(ends=POSITIVE, unit="mm")]
    size_after_mm: Annotated[float, Number(ends=POSITIVE, unit="mm")]
    allowance_left_mm: Annotated[float, Number(ends=NOT_NEGATIVE, unit="mm")]
    reason: Annotated[str, Text()]
    cause: Annotated[str, Word(words=Cause)]
    method: Annotated[str, Text()]
    inputs: Annotated[dict[str, Any], Json(holds=dict)]
    status: Annotated[str, Word(words=CorrectionStatus)]
    made_at: Annotated[datetime, Moment()]
    made_by: Annotated[str, Name(may_be_blank=True)]
    resulting_state: Annotated[str, Name(may_be_blank=True)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictionRow(Row):
    """What the next trial should show; feature and made_at name the correction it belongs to, if one."""

    table: ClassVar = "predictions.csv"
    tool: Annotated[str, Name()]
    trial: Annotated[str, Name()]
    part: Annotated[str, Name()]
    characteristic: Annotated[str, Name()]
    cavity: Annotated[str, Name()]
    mean: Annotated[float, Number()]
    low: Annotated[float, Number()]
    high: Annotated[float, Number()]
    confidence: Annotated[float, Number(ends=SHARE)]
    sd: Annotated[float, Number(ends=NOT_NEGATIVE)]
    feature: Annotated[str, Name(may_be_blank=True)]
    made_at: Annotated[datetime | None, Moment(may_be_blank=True)]
    judged_in: Annotated[str, Name(may_be_blank=True)]
    outcome: Annotated[str, Word(words=Outcome, may_be_blank=True, blank="")]
