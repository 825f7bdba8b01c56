"""The lines that the press and the toolmaker answer: open findings, steel as built."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from offtool.core.values import Verdict
from offtool.handbook.terms import CorrectionStatus
from offtool.records.models import Correction, SteelSize, Tool, ToolState, Trial
from offtool.steps.press_findings import FindingFollowed, PressFindings
from offtool.steps.press_on_trial import press_of
from offtool.steps.review_found import ReviewFact, ReviewTarget
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_list import AskedLine
from offtool.steps.sentences import count


def finding_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """Every finding that no trial has shown gone, and corrections that are decided and not cut."""
    for tool in ground.tools:
        trial = ground.newest_trial(tool)
        press = press_of(trial) if trial is not None else None
        yield from _of_tool(ground, asked, tool, trial, press)
    yield from _to_be_cut(ground, asked)


def _of_tool(
    ground: ReviewGround, asked: AskedLine, tool: Tool, trial: Trial | None, press: PressFindings | None
) -> Iterator[ReviewFact]:
    if trial is None or press is None:
        yield ground.fact(
            asked,
            tool.code,
            f"{tool.code}: nobody has looked at pieces of this tool",
            None,
            target=_look(tool, trial),
            again=f"Look at pieces of {tool.code} from every cavity with the list of defects.",
        )
        return
    for one in press.open:
        yield _open(ground, asked, tool, trial, one)
    if not press.open:
        gone = count(len(press.followed), "finding")
        yield ground.fact(
            asked,
            tool.code,
            f"{tool.code}: {gone} followed, none open in {trial.name}",
            Verdict.HOLDS,
            day=trial.shot_on,
            target=_look(tool, trial),
        )


def _open(
    ground: ReviewGround, asked: AskedLine, tool: Tool, trial: Trial, one: FindingFollowed
) -> ReviewFact:
    where = f", {one.cavity}" if one.cavity else ""
    return ground.fact(
        asked,
        f"{tool.code} {one.what}{where}",
        f"{tool.code}, {one.what}{where} ({one.weight_class}): {one.says.removesuffix('.')}",
        Verdict.FAILS,
        day=trial.shot_on,
        target=_look(tool, trial),
        again=f"Close on {tool.code}{where}: {one.what}; or give a concession for it.",
    )


def _look(tool: Tool, trial: Trial | None) -> ReviewTarget:
    """The page of the press; of a tool that never ran, the programme."""
    if trial is None:
        return ReviewTarget(page="programme")
    return ReviewTarget(page="look", names=(tool.code, trial.name))


def _to_be_cut(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """A correction that was decided is an open point until it is cut."""
    waiting: dict[tuple[str, str], int] = defaultdict(int)
    decided = Correction.objects.filter(
        feature__tool__programme=ground.programme, status=CorrectionStatus.PROPOSED.value
    )
    for tool, trial in decided.values_list("feature__tool__code", "trial__name"):
        waiting[tool, trial] += 1
    for (tool, trial), cuts in sorted(waiting.items()):
        yield ground.fact(
            asked,
            f"{tool} steel",
            f"{tool}: {count(cuts, 'correction')} decided on {trial} and not cut yet",
            Verdict.FAILS,
            target=ReviewTarget(page="correction", names=(tool, trial)),
            again=f"Cut the {count(cuts, 'correction')} of {tool}, or drop them with a reason.",
        )


def steel_facts(ground: ReviewGround, asked: AskedLine) -> Iterator[ReviewFact]:
    """The steel of every feature in every cavity, as it is in the newest state."""
    measured = _measured(ground)
    for tool in ground.tools:
        there = [one for one in tool.states.all() if one.made_on is None or one.made_on <= ground.on]
        if not there:
            yield _no_state(ground, asked, tool)
            continue
        newest = max(there, key=lambda one: one.ordinal)
        yield _steel(ground, asked, newest, measured.get(tool.pk, {}), _wanted(tool))


def _no_state(ground: ReviewGround, asked: AskedLine, tool: Tool) -> ReviewFact:
    return ground.fact(
        asked,
        tool.code,
        f"{tool.code}: no state of its steel is recorded",
        None,
        target=ReviewTarget(page="programme"),
        again=f"Write down the steel of {tool.code} as it was cut.",
    )


def _steel(
    ground: ReviewGround,
    asked: AskedLine,
    state: ToolState,
    measured: Mapping[tuple[int, int], int],
    wanted: int,
) -> ReviewFact:
    """Steel that was not cut since it was measured is as it was measured."""
    tool = state.tool
    old = _cut_after(state, measured)
    missing = max(wanted - len(measured), 0)
    page = ReviewTarget(page="programme")
    if missing or not measured:
        words = f"{tool.code}, state {state.label}: {len(measured)} of {wanted} steel sizes are recorded"
        todo = f"Measure the steel of {tool.code} in state {state.label} and write it down."
        return ground.fact(asked, tool.code, words, None, target=page, again=todo)
    words = f"{tool.code}, state {state.label}: all {wanted} steel sizes are recorded"
    if old:
        words = f"{tool.code}, state {state.label}: {count(old, 'feature')} cut since they were measured"
    return ground.fact(
        asked,
        tool.code,
        words,
        Verdict.NOT_SHOWN if old else Verdict.HOLDS,
        day=state.made_on,
        ordinals={tool.pk: state.ordinal},
        target=page,
        again=f"Measure what was cut in {tool.code} and write it down." if old else "",
    )


def _wanted(tool: Tool) -> int:
    """One size for every feature in every cavity of its part."""
    cavities: dict[int, int] = defaultdict(int)
    for one in tool.cavities.all():
        cavities[one.part_id] += 1
    return sum(cavities[part] for part in tool.features.values_list("part_id", flat=True))


def _measured(ground: ReviewGround) -> dict[int, dict[tuple[int, int], int]]:
    """By tool: the ordinal of the newest state in which each feature of each cavity was measured."""
    found: dict[int, dict[tuple[int, int], int]] = defaultdict(dict)
    rows = SteelSize.objects.filter(feature__tool__programme=ground.programme)
    told = rows.values_list("feature__tool_id", "feature_id", "cavity_id", "state__ordinal")
    for tool, feature, cavity, ordinal in told.order_by("state__ordinal"):
        found[tool][feature, cavity] = ordinal
    return found


def _cut_after(state: ToolState, measured: Mapping[tuple[int, int], int]) -> int:
    """Features that were cut, up to this state, after the one in which they were measured."""
    cut = Correction.objects.filter(
        feature__tool=state.tool,
        status=CorrectionStatus.CUT.value,
        resulting_state__ordinal__lte=state.ordinal,
    )
    rows = cut.values_list("feature_id", "cavity_id", "resulting_state__ordinal")
    return sum(ordinal > measured.get((feature, cavity), 0) for feature, cavity, ordinal in rows if ordinal)
