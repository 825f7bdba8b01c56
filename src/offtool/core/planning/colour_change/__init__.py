"""Changing colour on a press: how the old washes out, when it is no longer seen, and if it pays."""

from offtool.core.planning.colour_change.belief import (
    CONFIDENCE,
    Amount,
    Contents,
    WashoutBelief,
    contents_of_press,
    expected_washout,
)
from offtool.core.planning.colour_change.break_even import BreakEven
from offtool.core.planning.colour_change.change import (
    ChangeCurve,
    ColourChange,
    Plastic,
    ShotCosts,
    change_curve,
    change_table,
    colour_change,
)
from offtool.core.planning.colour_change.decision import (
    ColourDecision,
    ColourOption,
    ColourWay,
    Interrupted,
    decide_colour,
)
from offtool.core.planning.colour_change.fit import (
    ChangeFit,
    FittedWashout,
    MeasuredShot,
    ObservedChange,
    fit_washout,
)
from offtool.core.planning.colour_change.meeting import about_meeting
from offtool.core.planning.colour_change.mixing import MixedColour, colour_of_mixture
from offtool.core.planning.colour_change.shots_to_change import shots_to_change
from offtool.core.planning.colour_change.washout import OldLeft, Washout, old_left

__all__ = [
    "CONFIDENCE",
    "Amount",
    "BreakEven",
    "ChangeCurve",
    "ChangeFit",
    "ColourChange",
    "ColourDecision",
    "ColourOption",
    "ColourWay",
    "Contents",
    "FittedWashout",
    "Interrupted",
    "MeasuredShot",
    "MixedColour",
    "ObservedChange",
    "OldLeft",
    "Plastic",
    "ShotCosts",
    "Washout",
    "WashoutBelief",
    "about_meeting",
    "change_curve",
    "change_table",
    "colour_change",
    "colour_of_mixture",
    "contents_of_press",
    "decide_colour",
    "expected_washout",
    "fit_washout",
    "old_left",
    "shots_to_change",
]
