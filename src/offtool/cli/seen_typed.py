"""What was seen on a sample as it is typed: PART: WHAT, PART: SIGN=OUTCOME, PART: SIZE=VALUE, PART: L a b."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from offtool.cli.sizes_typed import WITH_PLUS_MINUS, typed_number
from offtool.handbook.measured_colour import USUAL_UNCERTAINTY_DE

if TYPE_CHECKING:
    from offtool.steps.look_at_sample import ColourOn, FoundOn

_PLUS_MINUS = re.compile(r"(?:±|\+/?-)")


def details_typed(typed: Sequence[str], outcome: str, *, is_sure: bool) -> Iterator[FoundOn]:
    """Details that are there, or missing: "torso: date-mark"; no part where the piece has only one."""
    from offtool.steps.look_at_sample import FoundOn

    for one in typed:
        part, code = _of_part(one)
        if not code:
            raise click.UsageError(f"--{outcome} {one!r} names no detail: type it as 'torso: date-mark'")
        yield FoundOn(part=part, kind="detail", code=code, outcome=outcome, is_sure=is_sure)


def signs_typed(typed: Sequence[str], *, is_sure: bool) -> Iterator[FoundOn]:
    """Signs of the handbook: "paint=none" of the whole piece, "torso: colour=another colour" of a part."""
    from offtool.steps.look_at_sample import FoundOn

    for one in typed:
        part, said = _of_part(one)
        sign, outcome = _pair(said, f"--sign {one!r}", "'paint=none'")
        yield FoundOn(part=part, kind="sign", code=sign, outcome=outcome, is_sure=is_sure)


def sizes_seen_typed(typed: Sequence[str]) -> Iterator[FoundOn]:
    """Sizes and weights in the unit of the drawing: "torso: 4=3.974" or "torso: 4=3.974+-0.002"."""
    from offtool.steps.look_at_sample import FoundOn

    for one in typed:
        part, said = _of_part(one)
        size, value = _pair(said, f"--size {one!r}", "'torso: 4=3.974'")
        found = WITH_PLUS_MINUS.fullmatch(value)
        number = typed_number(found.group(1)) if found is not None else None
        if found is None or number is None:
            raise click.UsageError(f"--size {one!r}: {value!r} is no number, such as 3.974 or 3.974+-0.002")
        off = typed_number(found.group(2)) if found.group(2) else None
        yield FoundOn(part=part, kind="size", code=size, value=number, uncertainty=off)


def colours_typed(typed: Sequence[str], *, place: str, illuminant: str, observer: int) -> Iterator[ColourOn]:
    """Colours by an instrument: "torso: 62.1 18 40" are L*, a* and b*; ±0.3 behind them as ΔE00."""
    from offtool.handbook.measured_colour import Illuminant
    from offtool.handbook.terms import ColourBy
    from offtool.records.operations import NewColour
    from offtool.steps.look_at_sample import ColourOn

    for one in typed:
        part, said = _of_part(one)
        lab, off = colour_typed(said, f"--colour {one!r}", usual=USUAL_UNCERTAINTY_DE)
        yield ColourOn(
            part=part,
            colour=NewColour(
                lightness=lab[0],
                a=lab[1],
                b=lab[2],
                uncertainty_de=off,
                by=ColourBy.INSTRUMENT,
                place=place,
                illuminant=Illuminant(illuminant),
                observer=observer,
            ),
        )


def colour_typed(said: str, option: str, *, usual: float) -> tuple[list[float], float]:
    """L*, a* and b*, and what stands behind ±; `usual` where nothing does. Raises UsageError."""
    before, *after = _PLUS_MINUS.split(said, maxsplit=1)
    lab = [typed_number(number) for number in re.split(r"[\s;]+", before.strip())]
    off = typed_number(after[0]) if after else usual
    known = [number for number in lab if number is not None]
    if len(known) != 3 or len(lab) != 3 or off is None:
        raise click.UsageError(f"{option}: type L*, a* and b*, such as 62.1 18 40 or 62.1 18 40 +-0.3")
    return known, off


def _of_part(typed: str) -> tuple[str, str]:
    """The label of the part before the colon, and what is said of it."""
    before, colon, after = typed.partition(":")
    return (before.strip(), after.strip()) if colon else ("", typed.strip())


def _pair(said: str, option: str, example: str) -> tuple[str, str]:
    name, equals, value = said.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise click.UsageError(f"{option}: type it as NAME=VALUE, such as {example}")
    return name.strip(), value.strip()
