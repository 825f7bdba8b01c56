"""What a programme's record says by which samples can be told apart: runs, builds, details, sizes, jobs."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from django.db.models import Count, Exists, F, Manager, OuterRef, Prefetch, Sum

from offtool.core.values import nearest
from offtool.records.models import (
    Build,
    BuildPart,
    Cavity,
    Characteristic,
    Detail,
    DetailInState,
    Exclusion,
    Job,
    Move,
    Part,
    Press,
    PressHolds,
    Programme,
    Reading,
    SamplePart,
    Seam,
    SeenSign,
    SignShare,
    SourceFile,
    StageName,
    SteelSize,
    Tool,
    ToolState,
    Trial,
)
from offtool.records.queries.finding import NotInRecord
from offtool.records.queries.trials import place_in_time


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildKept:
    """A build with the runs that its parts came from."""

    build: Build
    runs: tuple[Trial, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailKept:
    """A detail, and what the record says of it by the key of a tool state; a state that is not named there is
    one of which it says nothing."""

    detail: Detail
    in_state: Mapping[int, bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeInTrial:
    """How a trial measured a characteristic in one cavity; of readings that were left out, nothing.

    `sd` is that of the readings about their mean; NaN for a single one.
    """

    trial_id: int
    characteristic_id: int
    cavity_id: int | None
    """None where the file did not say."""
    n: int
    mean: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TaggedSign:
    """What a sign showed on a sample whose tag names a trial or a build."""

    sample_id: int
    sign: str
    outcome: str
    trial_id: int | None
    build_stage: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleGround:
    """The record of a programme, as identification reads it."""

    programme: Programme
    parts: tuple[Part, ...]
    tools: tuple[Tool, ...]
    states: tuple[ToolState, ...]
    """By tool, in order of time; their tools beside them."""
    cavities: tuple[Cavity, ...]
    """Tool and part beside them: they say which tool makes which part."""
    runs: tuple[Trial, ...]
    """By tool, in order of time; tool, state, and the interrupted job with its press beside them."""
    builds: tuple[BuildKept, ...]
    details: tuple[DetailKept, ...]
    presses: tuple[Press, ...]
    jobs: tuple[Job, ...]
    """By the day they began; their presses beside them."""
    holds: Mapping[int, frozenset[int]]
    """Keys of the presses by the key of a tool; a tool that is not there may go on any."""
    steel: tuple[SteelSize, ...]
    """By feature, cavity and state, all three beside them."""
    forming: Mapping[int, int]
    """Key of the steel feature whose size is the cavity size, by the key of the characteristic."""
    stage_names: tuple[StageName, ...]
    sign_shares: tuple[SignShare, ...]
    welded: frozenset[int]
    """Keys of the parts that a seam joins; none where no seam is recorded."""
    tagged_signs: tuple[TaggedSign, ...]
    """What signs showed on samples whose tag says where they are from."""


def sample_ground(programme: Programme) -> SampleGround:
    """All that the record says but measured sizes, in some fifteen queries, however much there is."""
    tools = tuple(Tool.objects.filter(programme=programme).order_by("code"))
    states = ToolState.objects.filter(tool__programme=programme).select_related("tool")
    cavities = Cavity.objects.filter(tool__programme=programme).select_related("tool", "part__resin")
    steel = SteelSize.objects.filter(feature__tool__programme=programme)
    return SampleGround(
        programme=programme,
        parts=tuple(Part.objects.filter(programme=programme).select_related("resin").order_by("code")),
        tools=tools,
        states=tuple(states.order_by("tool__code", "ordinal")),
        cavities=tuple(cavities.order_by("tool__code", "part__code", "label")),
        runs=runs_of(programme),
        builds=builds_of(programme),
        details=details_of(programme),
        presses=tuple(Press.objects.filter(programme=programme).order_by("code")),
        jobs=jobs_of(programme),
        holds=_holds(programme),
        steel=tuple(
            steel.select_related("feature", "cavity", "state").order_by(
                "feature__code", "cavity__label", "state__ordinal", "pk"
            )
        ),
        forming=dict(
            Move.objects.filter(feature__tool__programme=programme, forms=True).values_list(
                "characteristic_id", "feature_id"
            )
        ),
        stage_names=tuple(StageName.objects.filter(programme=programme)),
        sign_shares=tuple(SignShare.objects.filter(programme=programme)),
        welded=frozenset(
            key
            for keys in Seam.objects.filter(programme=programme).values_list("top_part", "bottom_part")
            for key in keys
        ),
        tagged_signs=tuple(_tagged_signs(programme)),
    )


def _tagged_signs(programme: Programme) -> Iterator[TaggedSign]:
    """Of a build the stage is the build's; else a part has its own trial, a piece that of its parts."""
    of_parts = SamplePart.objects.filter(sample__programme=programme, trial__isnull=False)
    trial_of = dict(of_parts.order_by("-pk").values_list("sample_id", "trial_id"))
    seen = SeenSign.objects.filter(sample__programme=programme, set_aside="", is_sure=True)
    columns = ("sample_id", "sign", "outcome", "sample_part__trial_id", "sample__build__stage")
    for sample, sign, outcome, own, build in seen.order_by("pk").values_list(*columns):
        trial = own or trial_of.get(sample)
        if build or trial is not None:
            yield TaggedSign(
                sample_id=sample, sign=sign, outcome=outcome, trial_id=trial, build_stage=build or ""
            )


def runs_of(programme: Programme) -> tuple[Trial, ...]:
    """All runs of a programme's tools, by tool and in order of time."""
    runs = Trial.objects.filter(tool__programme=programme).select_related(
        "tool", "state", "interrupted__press"
    )
    return tuple(sorted(runs, key=lambda one: (one.tool.code, *place_in_time(one))))


def builds_of(programme: Programme) -> tuple[BuildKept, ...]:
    """All builds with their runs, by the day they were built, undated ones last."""
    from_runs = BuildPart.objects.select_related("trial__tool", "trial__state").order_by("pk")
    builds = Build.objects.filter(programme=programme).prefetch_related(Prefetch("from_runs", from_runs))
    return tuple(
        BuildKept(build=one, runs=tuple(row.trial for row in one.from_runs.all()))
        for one in builds.order_by(F("built_on").asc(nulls_last=True), "code")
    )


def details_of(programme: Programme) -> tuple[DetailKept, ...]:
    """All details by part and code, with what is said of each state."""
    said: dict[int, dict[int, bool]] = defaultdict(dict)
    rows = DetailInState.objects.filter(detail__part__programme=programme)
    for detail, state, is_there in rows.values_list("detail_id", "state_id", "is_there"):
        said[detail][state] = is_there
    details = Detail.objects.filter(part__programme=programme).select_related("part")
    return tuple(
        DetailKept(detail=one, in_state=said[one.pk]) for one in details.order_by("part__code", "code")
    )


def jobs_of(programme: Programme) -> tuple[Job, ...]:
    """All jobs by the day they began, their presses beside them."""
    jobs = Job.objects.filter(press__programme=programme).select_related("press")
    return tuple(jobs.order_by("begins", "press__code", "code"))


def _holds(programme: Programme) -> dict[int, frozenset[int]]:
    presses: dict[int, set[int]] = defaultdict(set)
    rows = PressHolds.objects.filter(press__programme=programme)
    for tool, press in rows.values_list("tool_id", "press_id"):
        presses[tool].add(press)
    return {tool: frozenset(keys) for tool, keys in presses.items()}


def sizes_in_trials(
    programme: Programme, characteristics: Collection[Characteristic] | None = None
) -> tuple[SizeInTrial, ...]:
    """Mean, spread and number of the readings by trial, characteristic and cavity, in three queries.

    `characteristics` are those asked for; None for all. Every shot counts, those before the press had settled
    too: any of them may have been kept.
    """
    files = SourceFile.objects.filter(programme=programme).values_list("pk", "trial_id")
    trial_of = dict(files)
    readings = Reading.objects.filter(source__in=list(trial_of))
    if characteristics is not None:
        readings = readings.filter(characteristic__in=[one.pk for one in characteristics])
    # about the nominal size: squares of whole sizes would leave no digits for the spread
    away = F("value") - F("characteristic__nominal")
    summed = (
        readings.exclude(pk__in=_left_out(list(trial_of)))
        .values_list("source_id", "characteristic_id", "cavity_id", "characteristic__nominal")
        .annotate(n=Count("pk"), total=Sum(away), squares=Sum(away * away))
        .order_by()
    )
    groups: dict[tuple[int, int, int | None], _Summed] = {}
    for source, characteristic, cavity, nominal, n, total, squares in summed:
        key = trial_of[source], characteristic, cavity
        groups.setdefault(key, _Summed(nominal)).add(n, total, squares)
    return tuple(one.as_size(*key) for key, one in sorted(groups.items(), key=_by_key))


def _by_key(group: tuple[tuple[int, int, int | None], object]) -> tuple[int, int, int]:
    trial, characteristic, cavity = group[0]
    return trial, characteristic, cavity or 0


def _left_out(sources: Collection[int]) -> list[int]:
    """The readings that are left out now: of each the newest word counts."""
    newer = Exclusion.objects.filter(reading=OuterRef("reading"), pk__gt=OuterRef("pk"))
    said = Exclusion.objects.filter(reading__source__in=sources, is_left_out=True)
    return list(said.exclude(Exists(newer)).values_list("reading_id", flat=True))


class _Summed:
    """Readings of one characteristic, added up file by file."""

    def __init__(self, nominal: float) -> None:
        self.nominal, self.n, self.total, self.squares = nominal, 0, 0.0, 0.0

    def add(self, n: int, total: float, squares: float) -> None:
        self.n, self.total, self.squares = self.n + n, self.total + total, self.squares + squares

    def as_size(self, trial: int, characteristic: int, cavity: int | None) -> SizeInTrial:
        about_mean = max(self.squares - self.total**2 / self.n, 0.0)
        return SizeInTrial(
            trial_id=trial,
            characteristic_id=characteristic,
            cavity_id=cavity,
            n=self.n,
            mean=self.nominal + self.total / self.n,
            sd=math.sqrt(about_mean / (self.n - 1)) if self.n > 1 else math.nan,
        )


def find_detail(part: Part, code: str) -> Detail:
    """The detail of this part with this code. Raises NotInRecord."""
    found = part.details.filter(code=code).first()
    return found or _raise(f"no detail {code!r} of part {part.code}", code, part.details)


def find_press(programme: Programme, code: str) -> Press:
    """The press with this code. Raises NotInRecord."""
    found = programme.presses.filter(code=code).first()
    return found or _raise(f"no press {code!r} in {programme.slug}", code, programme.presses)


def find_job(press: Press, code: str) -> Job:
    """The job of this press with this number. Raises NotInRecord."""
    found = press.jobs.filter(code=code).first()
    return found or _raise(f"no job {code!r} of press {press.code}", code, press.jobs)


def find_build(programme: Programme, code: str) -> Build:
    """The build with this code. Raises NotInRecord."""
    found = programme.builds.filter(code=code).first()
    return found or _raise(f"no build {code!r} in {programme.slug}", code, programme.builds)


def _raise(what: str, code: str, known: Manager[Any]) -> NoReturn:
    raise NotInRecord(what, remedy=nearest(code, known.values_list("code", flat=True)))
