"""A sampling plan on the terminal: the answer, both risks, what to do, what it does not promise."""

from __future__ import annotations

from offtool.cli.shared_lines import bullets, cautions, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.pilot.sampling import AttributePlan, Switching
from offtool.core.pilot.sampling.attribute import times_in_100
from offtool.steps.sampling_found import SamplingFound
from offtool.steps.sampling_sentences import in_per_cent

CURVE_ROWS = 8


def sampling_lines(found: SamplingFound) -> list[str]:
    """All lines of an answer."""
    lines = sentence(found.headline)
    for one in found.says:
        lines += sentence(one)
    lines += _lots(found.switching) if found.switching is not None else []
    lines += [*heading("What to do"), *steps([(one.do, one.because) for one in found.actions])]
    lines += _curve(found.plan) if found.plan is not None else []
    lines += [*heading("What it does not promise"), *bullets(found.promises_not)]
    rows = [[one.about, one.says] for one in found.rests_on]
    lines += [*heading("What it rests on"), *table(rows, width=width(), indent=2)]
    return [*lines, *cautions(found.cautions)]


def _curve(plan: AttributePlan) -> list[str]:
    """A few places of the operating curve."""
    every = max(1, (len(plan.curve) - 1) // CURVE_ROWS)
    head = ["bad in the lot" if plan.counted == "pieces" else "the lot holds", "passes"]
    rows = [
        [in_per_cent(one.share, plan.counted), times_in_100(one.passes)] for one in plan.curve[every::every]
    ]
    return [*heading("How often a lot passes"), *table([head, *rows], width=width(), sides=">>", indent=2)]


def _lots(switching: Switching) -> list[str]:
    return [*heading("Lot by lot"), *bullets([one.words for one in switching.lots])]
