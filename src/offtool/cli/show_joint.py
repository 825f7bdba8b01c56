"""A joint on the terminal: does it hold, what to do, which cavities, which steel, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.cli.joint_pairs import mix_lines, pairs_lines
from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps, table_or_bullets
from offtool.cli.show_joint_tests import tests_lines
from offtool.cli.terminal import width
from offtool.cli.typeset import paragraph, table
from offtool.core.joints.assembled import AssembledJoint, Contribution
from offtool.core.joints.steel import SteelCandidate
from offtool.reports.joint_words import (
    asked_in_words,
    contribution_in_words,
    demand_in_words,
    friction_effect_in_words,
    good_in_words,
    share_in_words,
    size_in_words,
    size_of_joint,
    slope_in_words,
)
from offtool.reports.words import between, day, number, percent
from offtool.steps.joint_found import DemandSeen, JointFound, JointsFound

SIZE_DECIMALS = 3


def joints_lines(found: JointsFound) -> list[str]:
    """For each joint its word, its share and what is asked of it; below it the first thing to do."""
    lines = sentence(found.headline)
    if not found.joints:
        return [*lines, *sentence(f"offtool define-joint {found.programme} JOINT names one.")]
    rows: list[list[str]] = []
    for one in found.joints:
        good = f", {share_in_words(one.assembled.mix.good)} good" if one.assembled is not None else ""
        rows.append([one.joint, f"{one.word}{good if _is_asked(one) else ''}; {_asked(one)}"])
        rows += [["", one.actions[0].do]] if one.actions else []
    return [*lines, "", *table(rows, width=width(), indent=2)]


def joint_lines(found: JointFound) -> list[str]:
    """All lines of a joint."""
    lines = [*sentence(found.headline), *sentence(_which(found))]
    if found.actions:
        lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    if found.assembled is not None:
        lines += [*pairs_lines(found.assembled), *mix_lines(found.assembled, found.decimals)]
        lines += _moves(found, found.assembled)
    lines += [*_steel(found), *_demands(found.demands), *tests_lines(found)]
    lines += [*heading("Sizes"), *bullets([size_in_words(one) for one in found.sizes])]
    rows = [[fact.about, fact.says] for fact in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)] if rows else []
    return [*lines, *cautions(found.cautions)]


def _which(found: JointFound) -> str:
    measure = f"{found.measure} in {found.unit}" if found.unit != "1" else found.measure
    return f"{found.programme_title}, joint {found.joint}, {found.kind}: {measure}; {_asked(found)}."


def _is_asked(found: JointFound) -> bool:
    return found.lower.value is not None or found.upper.value is not None


def _asked(found: JointFound) -> str:
    return f"asked: {asked_in_words(found)}" if _is_asked(found) else "nothing is asked of it yet"


def _moves(found: JointFound, assembled: AssembledJoint) -> list[str]:
    """What each size adds to the spread; friction, which is not known, beside it."""
    head = ["", "of the variance", "between cavities", "within", "a mm more at the mean"]
    rows = [_contribution(one, found.unit) for one in assembled.contributions]
    rest = assembled.rest_of_variance
    if rows and abs(rest) >= 0.005:
        rows.append(["bends, sizes acting together", percent(rest, 0), "", "", ""])
    effect = assembled.friction_effect
    said = (
        [friction_effect_in_words(effect, decimals=found.decimals, unit=found.unit)]
        if effect is not None
        else []
    )
    if not rows and not said:
        return []
    in_words = [contribution_in_words(one, unit=found.unit) for one in assembled.contributions]
    set_in = table_or_bullets([head, *rows], in_words, sides="<>>>>") if rows else []
    return [*heading("What moves it"), *set_in, *bullets(said)]


def _contribution(one: Contribution, unit: str) -> list[str]:
    of = f" of {one.part}" if one.part else ""
    shares = [percent(share, 0) for share in (one.share, one.between, one.within)]
    per = "" if one.unit == "mm" else f" a {one.unit}"
    slope = f"{slope_in_words(one.slope)} {unit}{per}" if unit != "1" else slope_in_words(one.slope)
    return [f"{size_of_joint(one.role)}{of}", *shares, slope if one.slope else "nothing: clear there"]


def _steel(found: JointFound) -> list[str]:
    """Each way with its number, which --ask-for takes; or why there is none."""
    if found.steel is None:
        return []
    lines = heading("Which steel")
    for way, one in enumerate(found.steel.candidates, 1):
        lines += paragraph(f"{demand_in_words(one)}: {good_in_words(one)}.", width=width(), indent="     ",
                           first=f"{way:>3}. ")  # fmt: skip
        lines += [f"   {line}" for text in _way(one) for line in _bullet(text)]
    lines += bullets(found.steel.why_not)
    if found.steel.candidates and all(one.dropped for one in found.demands):
        example = f"offtool joint {found.programme} {found.joint} --ask-for 1"
        lines += sentence(f"{example} asks the correction for the first.")
    return lines


def _bullet(text: str) -> list[str]:
    return paragraph(text, width=width() - 3, indent="    ", first="  - ")


def _way(one: SteelCandidate) -> Iterator[str]:
    """What is cut, what comes of it, and whether that can be taken back."""
    yield from one.reasons
    yield "steel must be added" if one.adds_steel else "steel is only removed"


def _demands(demands: Sequence[DemandSeen]) -> list[str]:
    if not demands:
        return []
    return [*heading("Asked of sizes"), *bullets([_demand(one) for one in demands])]


def _demand(one: DemandSeen) -> str:
    ends = between(one.lower, one.upper, decimals=SIZE_DECIMALS + 1)
    room = f" ({ends})" if one.lower is not None or one.upper is not None else ""
    said = f"{one.size}: {number(one.target, SIZE_DECIMALS)} in the mean{room}, by {one.made_by or 'no name'}"
    state = f"; dropped: {one.dropped}" if one.dropped else f"; {one.reason}"
    return f"{said}, {day(one.made_at.date())}{state}"
