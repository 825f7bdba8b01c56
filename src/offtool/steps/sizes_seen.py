"""A size of a joint or a seam as it is shown: with its cavities where it was measured, a number as given."""

from __future__ import annotations

from offtool.records.models import JointSize, SeamSize, Trial
from offtool.steps.joint_found import CavitySeen, JointSizeSeen
from offtool.steps.latest_sizes import LatestSize
from offtool.steps.sentences import decimals_for
from offtool.steps.what_is_asked import size_key

GIVEN_DECIMALS = 3
NO_STUDY = "no gauge study: all spread is taken as the parts' own"


def size_seen(
    one: JointSize | SeamSize, latest: LatestSize | None, *, meaning: str, unit: str
) -> JointSizeSeen:
    """One size; `latest` is None where no trial measured it yet, `unit` that of a number."""
    size = one.characteristic
    if size is None:
        return JointSizeSeen(
            role=one.role,
            meaning=meaning,
            unit=unit,
            decimals=GIVEN_DECIMALS,
            value=one.value,
            plus_minus=one.plus_minus,
        )
    cavities = latest.cavities if latest is not None else ()
    gauge = latest.seen.gauge if latest is not None else None
    return JointSizeSeen(
        role=one.role,
        meaning=meaning,
        unit=size.unit,
        decimals=decimals_for(size.lower, size.upper, size.nominal),
        size=size_key(size),
        part=size.part.code,
        number=size.number,
        name=size.name,
        tool=latest.trial.tool.code if latest is not None else "",
        trial=latest.trial.name if latest is not None else "",
        state=latest.trial.state.label if latest is not None else "",
        cavities=tuple(
            CavitySeen(cavity=each.cavity, mean=each.mean, sd=each.sd, parts=each.parts) for each in cavities
        ),
        gauge=gauge.says if gauge is not None else NO_STUDY,
    )


def trial_in_words(trial: Trial | None) -> str:
    """T3 of M3, state c; empty where it is not recorded."""
    return f"{trial.name} of {trial.tool.code}, state {trial.state.label}" if trial is not None else ""
