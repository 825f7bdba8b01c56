"""Which sizes of a trial are not normal by more than chance, asked of all at once: an index leans on it."""

from __future__ import annotations

import numpy as np

from offtool.core.inspection.distribution.choice import COARSE_STEP
from offtool.core.inspection.distribution.normality import p_normal, squared_distance
from offtool.core.inspection.many import control_false_discoveries
from offtool.core.values import Caution
from offtool.steps.sentences import count
from offtool.steps.trial_evidence import SizeSeen, TrialEvidence
from offtool.steps.what_is_asked import required_index_of, size_key

FEWEST, FEWEST_A_CAVITY = 25, 5
RATE = 0.05
NAMED = 5


def shapes_cautions(seen: TrialEvidence) -> tuple[Caution, ...]:
    """One caution that names the sizes; none where all may be normal."""
    asked = [(one, p) for one in seen.sizes if (p := _chance_normal(seen, one)) is not None]
    if not asked:
        return ()
    found = control_false_discoveries([p for _, p in asked], rate=RATE, dependent=True)
    doubtful = [size_key(one.characteristic) for i, (one, _) in enumerate(asked) if found.stands[i]]
    if not doubtful:
        return ()
    named = ", ".join(doubtful[:NAMED]) + (" …" if len(doubtful) > NAMED else "")
    verb = "is" if len(doubtful) == 1 else "are"
    said = f"{count(len(doubtful), 'size')} {verb} not normal by more than chance: {named}"
    text = f"{said}. See the index by the shape there"
    return (Caution(text, "Anderson and Darling; false ones held at 5 % (Benjamini and Yekutieli)"),)


def _chance_normal(seen: TrialEvidence, one: SizeSeen) -> float | None:
    """p of the readings about their cavities' means; None where they cannot tell or no index hangs on it."""
    if required_index_of(one.characteristic) is None or len(one.parts.value) < FEWEST:
        return None
    codes, labels = seen.coded_cavities(one.parts)
    values = one.parts.value
    parts = np.bincount(codes, minlength=len(labels))
    if parts.min() < FEWEST_A_CAVITY:
        return None
    apart = values - values[0]
    apart = apart - (np.bincount(codes, weights=apart) / parts)[codes]
    if not one.finding.spread_pooled:  # cavities that spread unlike are not taken for a shape
        own = np.sqrt(np.bincount(codes, weights=apart**2) / parts)
        if not own.all():
            return None
        apart = apart / own[codes] * float(own.mean())
    spread = float(apart.std())
    gauge = one.characteristic.gauge
    if not spread or (gauge is not None and gauge.resolution >= COARSE_STEP * spread):
        return None
    return p_normal(squared_distance(apart)[0], len(apart))
