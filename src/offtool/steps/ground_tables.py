"""How presses, jobs, builds, details and stages answer each other in a programme folder and in the record."""

from __future__ import annotations

from offtool.exchange.programme.ground_rows import (
    BuildPartRow,
    BuildRow,
    DetailRow,
    DetailStateRow,
    JobRow,
    PressHoldsRow,
    PressRow,
    SignShareRow,
    StageNameRow,
)
from offtool.records.models import (
    Build,
    BuildPart,
    Detail,
    DetailInState,
    Job,
    Press,
    PressHolds,
    SignShare,
    StageName,
)
from offtool.steps.answering import Table

PRESSES = Table(
    name="presses",
    row=PressRow,
    model=Press,
    kept=lambda programme: Press.objects.filter(programme=programme),
    names=lambda press: {},
    links=lambda row, known: {"programme": known.programme},
)
PRESS_HOLDS = Table(
    name="press_holds",
    row=PressHoldsRow,
    model=PressHolds,
    kept=lambda programme: PressHolds.objects.filter(press__programme=programme).select_related(
        "press", "tool"
    ),
    names=lambda holds: {"press": holds.press.code, "tool": holds.tool.code},
    links=lambda row, known: {"press": known.presses[(row.press,)], "tool": known.tools[(row.tool,)]},
)
JOBS = Table(
    name="jobs",
    row=JobRow,
    model=Job,
    kept=lambda programme: Job.objects.filter(press__programme=programme).select_related("press"),
    names=lambda job: {"press": job.press.code},
    links=lambda row, known: {"press": known.presses[(row.press,)]},
)
BUILDS = Table(
    name="builds",
    row=BuildRow,
    model=Build,
    kept=lambda programme: Build.objects.filter(programme=programme),
    names=lambda build: {},
    links=lambda row, known: {"programme": known.programme},
)
BUILD_PARTS = Table(
    name="build_parts",
    row=BuildPartRow,
    model=BuildPart,
    kept=lambda programme: BuildPart.objects.filter(build__programme=programme).select_related(
        "build", "trial__tool"
    ),
    names=lambda one: {"build": one.build.code, "tool": one.trial.tool.code, "trial": one.trial.name},
    links=lambda row, known: {
        "build": known.builds[(row.build,)],
        "trial": known.trials[row.tool, row.trial],
    },
)
DETAILS = Table(
    name="details",
    row=DetailRow,
    model=Detail,
    kept=lambda programme: Detail.objects.filter(part__programme=programme).select_related("part"),
    names=lambda detail: {"part": detail.part.code},
    links=lambda row, known: {"part": known.parts[(row.part,)]},
)
DETAIL_STATES = Table(
    name="detail_states",
    row=DetailStateRow,
    model=DetailInState,
    kept=lambda programme: DetailInState.objects.filter(detail__part__programme=programme).select_related(
        "detail__part", "state__tool"
    ),
    names=lambda one: {
        "part": one.detail.part.code,
        "detail": one.detail.code,
        "tool": one.state.tool.code,
        "state": one.state.label,
    },
    links=lambda row, known: {
        "detail": known.details[row.part, row.detail],
        "state": known.states[row.tool, row.state],
    },
)
STAGE_NAMES = Table(
    name="stage_names",
    row=StageNameRow,
    model=StageName,
    kept=lambda programme: StageName.objects.filter(programme=programme),
    names=lambda one: {},
    links=lambda row, known: {"programme": known.programme},
)
SIGN_SHARES = Table(
    name="sign_shares",
    row=SignShareRow,
    model=SignShare,
    kept=lambda programme: SignShare.objects.filter(programme=programme),
    names=lambda one: {},
    links=lambda row, known: {"programme": known.programme},
)

GROUND = (BUILDS, BUILD_PARTS, DETAILS, DETAIL_STATES, STAGE_NAMES, SIGN_SHARES)
"""What is brought in after the trials, each after what it points at; presses and jobs stand before them."""
