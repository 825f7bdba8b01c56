"""The correction that a photographed card gives: by which method, how well, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special

from offtool.core.colour.difference import ciede2000
from offtool.core.colour.spaces import (
    Colours,
    Lab,
    Light,
    lab_from_linear,
    linear_from_lab,
    xyz_from_linear,
)
from offtool.core.samples.colour.card_fit import LEAST_PATCHES, CardFit, Method, fit_card, is_grey
from offtool.core.values import Caution, ImpossibleInput, NotEnoughData

CLIPPED, DARK = 0.02, 0.2
"""Share of a patch's pixels that may be clipped, or too dark, before it is left out. Our own."""
BALANCE_DE = 5.0
"""What a white balance alone leaves along each axis: 4.6 with 120 drawn cameras in the tests, rounded up."""
BALANCE_COUNTS = 3
"""So many patches' worth of that stand beside the coloured patches there are. Our own."""
SHOWN_BY = 4
"""So many coloured patches that come out right show how a camera sees colours. Our own."""
FEW = 12
"""With fewer patches the errors left are known only roughly."""
SLOPE = 0.05
"""A share of the light from one side of the card to the other that is worth saying. Our own."""
SLOPE_PATCHES = 6
_ROUGH = 3.0
"""An error of a patch above so many times the rest is pointed at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPatch:
    """One patch of a card: its reference CIELAB, and the linear light that the camera saw, 0 to 1.

    `x` and `y` say where it stands in the picture, in any unit; blank where that is not known.
    """

    name: str
    lab: Lab
    rgb: tuple[float, float, float]
    clipped_share: float = 0.0
    dark_share: float = 0.0
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchLeftOut:
    """A patch that was not used, and why."""

    name: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchError:
    """How far a patch comes out from its reference when the correction is made without it."""

    name: str
    difference: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodTried:
    """A method and the root mean square of its patch errors; None where there was one patch."""

    method: Method
    rms_de: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CardCorrection:
    """How a picture's colours are corrected, and how far they may still be off.

    `rms_de` is the root mean square of `errors`; `uncertainty_de` the standard uncertainty it leaves along
    each of the three axes of CIEDE2000, so that the whole difference is √3 larger.
    """

    method: Method
    fit: CardFit
    used: tuple[str, ...]
    left_out: tuple[PatchLeftOut, ...]
    errors: tuple[PatchError, ...]
    tried: tuple[MethodTried, ...]
    rms_de: float | None
    uncertainty_de: float
    mean_leverage: float
    light_fall: float | None
    """Share by which the light differs from one side of the card to the other; None where not known."""
    labs: tuple[Lab, ...]
    """What the patches used come out as, under D65 and 2°."""
    light: Light
    patches: tuple[CardPatch, ...]
    cautions: tuple[Caution, ...] = ()


def correct_card(patches: Sequence[CardPatch], *, light: Light) -> CardCorrection:
    """The correction of a picture from a card in it, in linear light.

    One to five patches give white balance and exposure. From six on, four of them coloured, a root polynomial
    of degree 1, from twelve on, eight coloured, also one of degree 2, is taken where it errs less on patches
    left out one at a time. Four greys or more show the camera's tone curve. `light` is that of the reference
    values.

    Returns: CardCorrection. Raises: NotEnoughData where no patch can be used; ImpossibleInput for a name
    given twice, or light below zero.

    Holds when: card and piece lie side by side in the same light, without glare on either.
    """
    _refuse_impossible(patches)
    left_out = tuple(_left_out(patches))
    dropped = {one.name for one in left_out}
    used = [one for one in patches if one.name not in dropped]
    if not used:
        raise NotEnoughData(
            "no patch of the card can be used", remedy="expose so that none is white or black, and try again"
        )
    seen = np.array([one.rgb for one in used])
    wanted = linear_from_lab(np.array([one.lab for one in used]), light)
    tried = {method: _errors(seen, wanted, method) for method in _methods(is_grey(wanted))}
    method = min(tried, key=lambda one: _rms(tried[one]) or 0.0)
    errors, fit = tried[method], fit_card(seen, wanted, method)
    fall = _light_fall(used, fit.light(seen), wanted)
    coloured = errors[~is_grey(wanted)] if errors.size else errors
    return CardCorrection(
        method=method,
        fit=fit,
        used=tuple(one.name for one in used),
        left_out=left_out,
        errors=tuple(
            PatchError(name=one.name, difference=float(error))
            for one, error in zip(used, errors, strict=False)
        ),
        tried=tuple(MethodTried(method=one, rms_de=_rms(found)) for one, found in tried.items()),
        rms_de=_rms(errors),
        uncertainty_de=_uncertainty(method, errors, coloured),
        mean_leverage=float(fit.leverage(seen).mean()),
        light_fall=fall,
        labs=tuple((float(l), float(a), float(b)) for l, a, b in lab_from_linear(fit.light(seen))),
        light=light,
        patches=tuple(patches),
        cautions=tuple(_cautions(used, left_out, method, errors, fall, wanted, fit)),
    )


def _refuse_impossible(patches: Sequence[CardPatch]) -> None:
    names = [one.name for one in patches]
    for one in patches:
        if names.count(one.name) > 1:
            raise ImpossibleInput("patch", one.name, "", "names two patches", "give each a name of its own")
        if not all(0 <= value < float("inf") for value in one.rgb):
            raise ImpossibleInput(f"light of {one.name}", one.rgb, "", "must be at least 0")
        if not (0 <= one.lab[0] <= 150 and all(abs(value) <= 500 for value in one.lab)):
            raise ImpossibleInput(f"reference of {one.name}", one.lab, "", "is no CIELAB colour")


def _methods(greys: NDArray[np.bool_]) -> list[Method]:
    """Those that there are patches enough for."""
    coloured = int((~greys).sum())
    return [one for one, (all_, some) in LEAST_PATCHES.items() if greys.size >= all_ and coloured >= some]


def _left_out(patches: Sequence[CardPatch]) -> Iterator[PatchLeftOut]:
    for one in patches:
        if one.clipped_share > CLIPPED:
            yield PatchLeftOut(name=one.name, why=f"{one.clipped_share:.0%} of it is clipped")
        elif one.dark_share > DARK or not any(one.rgb):
            yield PatchLeftOut(name=one.name, why="it is too dark")


def _errors(seen: Colours, wanted: Colours, method: Method) -> NDArray[np.float64]:
    """How far each patch comes out when the fit is made without it; none where there is one patch."""
    if len(seen) < 2:
        return np.empty(0)
    keep = ~np.eye(len(seen), dtype=bool)
    made = [
        fit_card(seen[others], wanted[others], method).light(seen[place]) for place, others in enumerate(keep)
    ]
    return ciede2000(lab_from_linear(np.array(made)), lab_from_linear(wanted))


def _rms(errors: NDArray[np.float64]) -> float | None:
    return sqrt(float((errors**2).mean())) if errors.size else None


def _uncertainty(method: Method, errors: NDArray[np.float64], coloured: NDArray[np.float64]) -> float:
    """Along each axis. Greys show nothing of how a camera sees colours, so a white balance is never believed
    from them alone; enough coloured patches that come out right show that it does."""
    if method != "white balance" or coloured.size >= SHOWN_BY:
        return sqrt(float((errors**2).mean()) / 3)
    squares = float((coloured**2).sum()) / 3 + BALANCE_COUNTS * BALANCE_DE**2
    return sqrt(squares / (coloured.size + BALANCE_COUNTS))


def _light_fall(used: Sequence[CardPatch], made: Colours, wanted: Colours) -> float | None:
    """A plane through the logarithm of brightness made over wanted; 0 where it is no more than chance."""
    places = [(one.x, one.y) for one in used if one.x is not None and one.y is not None]
    if len(places) < max(SLOPE_PATCHES, len(used)):
        return None
    flat = np.column_stack([np.ones(len(places)), np.array(places, dtype=float)])
    bright = [np.maximum(xyz_from_linear(light)[:, 1], 1e-4) for light in (made, wanted)]
    found = np.log(bright[0] / bright[1])
    plane = flat @ np.linalg.lstsq(flat, found, rcond=None)[0]
    explained, left = float(((plane - found.mean()) ** 2).sum()), float(((found - plane) ** 2).sum())
    freedom = len(places) - 3
    if left > 0 and special.fdtrc(2, freedom, explained / 2 / (left / freedom)) > 0.01:
        return 0.0
    return float(np.expm1(plane.max() - plane.min()))


def _cautions(
    used: Sequence[CardPatch],
    left_out: Sequence[PatchLeftOut],
    method: Method,
    errors: NDArray[np.float64],
    fall: float | None,
    wanted: Colours,
    fit: CardFit,
) -> Iterator[Caution]:
    if method == "white balance" and (~is_grey(wanted)).sum() < SHOWN_BY:
        yield Caution(
            "white balance and exposure only: how this camera sees colours is not corrected; a card of "
            "twelve patches or more would"
        )
    if not is_grey(wanted).any():
        yield Caution("no patch used is grey: the white balance is taken from coloured ones")
    if 1 < len(used) < FEW:
        yield Caution(f"{len(used)} patches: the errors left are known only roughly")
    if left_out:
        said = ", ".join(f"{one.name} ({one.why})" for one in left_out)
        yield Caution(f"left out: {said}")
    if fall is not None and fall > SLOPE:
        yield Caution(
            f"the light differs by {fall:.0%} across the card: light it evenly, or move card and piece"
        )
    if fit.gamma != 1:
        yield Caution(f"the camera's tone curve was straightened by a power of {fit.gamma:.2f}")
    for one, error in zip(used, errors, strict=False):
        if len(used) >= FEW and error > _ROUGH * (_rms(errors) or error):
            yield Caution(f"{one.name} comes out {error:.0f} off: is it marked rightly, and clean?")
