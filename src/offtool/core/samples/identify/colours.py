"""What the colour of a part says: which of the recorded runs made parts in this colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offtool.core.colour import Lab
from offtool.core.samples.colour import NO_COLOUR_LOG_DENSITY, colour_log_likelihood
from offtool.core.samples.identify.capping import MEASURED_CAP, capped
from offtool.core.samples.identify.hypotheses import Finding, Weight
from offtool.core.values import ImpossibleInput

OTHER_COLOUR = 0.02
"""How often a part is not in the colour of its run: faded, painted over, measured in the wrong place; common
practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourRecord:
    """The colour of a run, or the colours it may have had, each with its share; shares may leave a rest.

    `spread_de` is how far its pieces scatter, a standard deviation along each axis of CIEDE2000.
    """

    candidates: tuple[tuple[Lab, float], ...]
    spread_de: float

    @classmethod
    def of(cls, lab: Lab, spread_de: float) -> ColourRecord:
        """A colour that was recorded."""
        return cls(candidates=((lab, 1.0),), spread_de=spread_de)


def colour_finding(lab: Lab, uncertainty_de: float, references: Sequence[ColourRecord | None]) -> Finding:
    """What the measured colour of one part says of the makes, and of none of these.

    L = (1 - o) sum_k w_k D(x, k) + (1 - (1 - o) sum_k w_k) F; k the colours a make may have, w their shares,
    D the density of `colour_log_likelihood`, o how often a part is not in the colour of its run, F the
    density of any colour at all. A make with nothing recorded has F, and so has none of these.

    Returns: Finding, ten thousand to one at most. Raises: ImpossibleInput for a colour, an uncertainty or
    shares that cannot be.
    """
    _refuse_impossible(lab, uncertainty_de, references)
    any_colour = np.exp(NO_COLOUR_LOG_DENSITY)
    known = [
        (make, reference, share, one.spread_de)
        for make, one in enumerate(references)
        if one is not None
        for reference, share in one.candidates
    ]
    like = np.full(len(references) + 1, any_colour)
    if known:
        makes, labs, shares, spreads = (np.array(column) for column in zip(*known, strict=True))
        beside = np.exp(colour_log_likelihood(lab, uncertainty_de, labs, spreads)) - any_colour
        like += (1 - OTHER_COLOUR) * np.bincount(makes, shares * beside, minlength=like.size)
    logs, was_capped = capped(np.log(like), MEASURED_CAP)
    lightness, a, b = lab
    return Finding(
        about="colour",
        found=f"L* {lightness:.1f}, a* {a:.1f}, b* {b:.1f}",
        weight=Weight.MEASURED,
        log_likelihood=logs,
        capped=was_capped,
    )


def _refuse_impossible(lab: Lab, uncertainty_de: float, references: Sequence[ColourRecord | None]) -> None:
    if not np.isfinite(lab).all():
        raise ImpossibleInput("colour", lab, "", "must be three finite numbers", "give L*, a* and b*")
    if not (np.isfinite(uncertainty_de) and uncertainty_de >= 0):
        limit = "must be at least 0"
        raise ImpossibleInput("uncertainty_de", uncertainty_de, "ΔE", limit, "1 is usual from a photograph")
    for one in references:
        shares = [share for _, share in one.candidates] if one is not None else []
        if any(share < 0 for share in shares) or sum(shares) > 1 + 1e-9:
            raise ImpossibleInput(
                "shares of colours", shares, "", "must not be below 0 or add up to more than 1"
            )
