"""The numbers of a press or a tool on the terminal."""

from __future__ import annotations

from offtool.cli.shared_lines import bullets, heading, sentence, table_or_bullets
from offtool.steps.own_numbers import NumberKnown, NumbersKnown

_WORD = {"press": ("Days it runs", "Monday to Saturday"), "tool": ("Feed", "not said")}


def own_number_lines(found: NumbersKnown) -> list[str]:
    """What is known, then what is missing with where it is to be read."""
    says, blank = _WORD[found.thing]
    known = [[one.says, _shown(one)] for one in found.numbers if one.value is not None]
    known.append([says, found.word or blank])
    lines = [*sentence(found.headline), *heading("Known")]
    lines += table_or_bullets(known, [": ".join(row) for row in known])
    if found.missing:
        missing = [f"{one.says} ({_option(one)}): {one.read_at}" for one in found.missing]
        lines += [*heading("Missing"), *bullets(missing)]
    return lines


def _shown(one: NumberKnown) -> str:
    return f"{one.value:g} {one.unit}".rstrip()


def _option(one: NumberKnown) -> str:
    return f"--{one.name.replace('_', '-')}"
