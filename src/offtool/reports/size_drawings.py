"""The drawings of one characteristic, from its findings: the same on the page and in the layout report."""

from __future__ import annotations

import numpy as np

from offtool.core.inspection.distribution import FAMILIES, ProbabilityPlot
from offtool.reports import words
from offtool.reports.differences_drawing import CavityApart, draw_differences
from offtool.reports.probability_drawing import PlotPoint, draw_probability_plot
from offtool.reports.run_drawing import draw_run
from offtool.reports.shares_drawing import SourceShare, draw_shares_of_variation
from offtool.steps.size_in_depth import SizeInDepth

SHARES_BELOW = (0.00135, 0.01, 0.1, 0.5, 0.9, 0.99, 0.99865)
SOURCES = {
    "cavity": "between cavities",
    "shot": "shot to shot",
    "drift": "drift",
    "part": "part to part",
    "gauge": "gauge",
}


def run_of(found: SizeInDepth, *, width: float = 1080.0, height: float = 250.0) -> str:
    """The readings in order."""
    return draw_run(
        found.analysis.readings,
        lower=found.size.finding.lower,
        upper=found.size.finding.upper,
        settled_from=found.settled_from,
        decimals=found.size.decimals,
        unit=found.size.unit,
        width=width,
        height=height,
    )


def plot_of(found: SizeInDepth, *, width: float = 420.0, height: float = 260.0) -> str:
    """The probability plot of the fitted shape; empty where no shape was fitted."""
    plot = found.analysis.plot
    if plot is None:
        return ""
    columns = (plot.values, plot.line, plot.band_low, plot.band_high, plot.positions)
    points = [
        PlotPoint(value=value, fitted=fitted, low=low, high=high, share=share)
        for value, fitted, low, high, share in zip(*(one.tolist() for one in columns), strict=True)
    ]
    of_one_cavity = found.cavity_shown is not None or len(found.analysis.cavities) == 1
    finding = found.size.finding
    return draw_probability_plot(
        points,
        _shares(plot),
        family=plot.family,
        lower=finding.lower if of_one_cavity else None,
        upper=finding.upper if of_one_cavity else None,
        decimals=found.size.decimals,
        unit=found.size.unit,
        width=width,
        height=height,
    )


def _shares(plot: ProbabilityPlot) -> list[tuple[float, float]]:
    values = FAMILIES[plot.family].quantile(np.array(SHARES_BELOW), *plot.parameters)
    return list(zip(SHARES_BELOW, values.tolist(), strict=True))


def differences_of(found: SizeInDepth, *, width: float = 420.0) -> str:
    """Each cavity against the mean of all; empty with one cavity."""
    differences = found.analysis.differences
    if differences is None:
        return ""
    apart = [
        CavityApart(cavity=one.cavity, difference=one.offset, interval=one.interval)
        for one in differences.offsets
    ]
    return draw_differences(apart, decimals=found.size.decimals, unit=found.size.unit, width=width)


def shares_of(found: SizeInDepth, *, width: float = 420.0) -> str:
    """Where the variation comes from; empty where shots are not recorded."""
    shares = found.analysis.shares
    if shares is None:
        return ""
    spread = found.size.decimals + 1
    return draw_shares_of_variation(
        [
            SourceShare(
                source=SOURCES[one.source],
                share=one.of_total,
                interval=one.of_total_interval,
                says=f"standard deviation {words.number(one.sd, spread)} {found.size.unit}",
            )
            for one in shares.shares
        ],
        width=width,
    )
