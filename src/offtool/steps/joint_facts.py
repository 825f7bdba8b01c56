"""What the verdict on a joint rests on, a line each."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.steps.findings import Fact
from offtool.steps.joint_found import JointFound, JointSizeSeen
from offtool.steps.joint_sentences import asked_share
from offtool.steps.sentences import count


def facts(found: JointFound) -> Iterator[Fact]:
    """What the verdict rests on."""
    for about, end in (("Least", found.lower), ("Most", found.upper)):
        if end.value is not None:
            yield Fact(about=about, says=f"{end.value:.{found.decimals}f} {found.unit}: {end.says}")
    for one in found.sizes:
        yield Fact(about=one.size or one.role.replace("_", " "), says=_size_in_words(one))
    yield from _pressed(found)
    if found.friction is not None:
        span = found.friction.span
        yield Fact(about="Friction", says=f"{span.low:.3g} to {span.high:.3g}: {found.friction.says}")
    assembled = found.assembled
    if assembled is not None:
        yield Fact(
            about="Put together",
            says=f"{assembled.combinations:,} joints drawn over {count(len(assembled.pairs), 'pair')} of "
            f"cavities; intervals over {assembled.draws:,} sets of plausible means, spreads and frictions",
        )
    yield Fact(
        about="Good asked", says=f"{asked_share()} of joints (acceptable quality 2.5, common practice)"
    )


def _pressed(found: JointFound) -> Iterator[Fact]:
    """Interference and strain beside what is good and what is borne."""
    if found.interference_mm is not None:
        word = "interference" if found.interference_mm >= 0 else "clearance"
        good = ""
        if found.good_from_mm is not None:
            to = f" to {found.good_to_mm:.3f}" if found.good_to_mm is not None else " on"
            good = f"; an interference from {found.good_from_mm:.3f}{to} is good"
        yield Fact(about="Press", says=f"{abs(found.interference_mm):.3f} mm {word} in the mean{good}")
    if found.strain_use is not None:
        used = f"{100 * found.strain_use:.0f} %"
        yield Fact(about="Strain", says=f"{used} of what the more strained side bears, in the mean")
    for about, one in (("Inner side", found.inner), ("Outer side", found.outer)):
        if one is not None:
            borne = f"{one.modulus_mpa:,.0f} MPa, bears {100 * one.strain_allowed:.2g} %"
            yield Fact(about=about, says=f"{one.name or 'material'}: {borne} ({one.source})")


def _size_in_words(one: JointSizeSeen) -> str:
    if one.is_measured:
        parts = sum(each.parts for each in one.cavities)
        return (
            f"{one.meaning}: {count(parts, 'part')} in {count(len(one.cavities), 'cavity', 'cavities')}, "
            f"{one.trial} of {one.tool}, state {one.state}; {one.gauge}"
        )
    if one.value is None:
        return f"{one.meaning}: {'not measured yet' if one.size else 'worked out'}"
    plus = f" ± {one.plus_minus:g}" if one.plus_minus else ""
    return f"{one.meaning}: {one.value:g}{plus} {one.unit}, as given"
