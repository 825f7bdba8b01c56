"""Whether a piece was ever welded, on the terminal: the answer, what speaks for it, what to look at next."""

from __future__ import annotations

from collections.abc import Iterator

from offtool.cli.shared_lines import cautions, counted, heading, sentence, steps
from offtool.cli.terminal import width
from offtool.cli.typeset import table
from offtool.core.welding.open_seam import LookNext, SeamEvidence
from offtool.reports.seam_words import newtons
from offtool.reports.words import number
from offtool.steps.ask_if_open import OpenAsked

HEIGHT_DECIMALS = 3


def open_piece_lines(found: OpenAsked) -> list[str]:
    """All lines of the answer for one piece."""
    said = found.found.words
    lines = sentence(f"Seam {found.seam}: {said}.")
    if found.found.look_next:
        lines += [*heading("What to look at next"), *steps([_look(one) for one in found.found.look_next])]
    rows = [_evidence(one) for one in found.found.evidence if one.observed]
    lines += [*heading("Why"), *table(rows, width=width(), indent=2)] if rows else []
    lines += [*heading("What it rests on"), *table(list(_rests_on(found)), width=width(), indent=2)]
    return [*lines, *cautions(found.found.cautions)]


def _look(one: LookNext) -> tuple[str, str]:
    return f"{one.where[:1].upper()}{one.where[1:]}.", "It uses the piece up." if one.destroys else ""


def _evidence(one: SeamEvidence) -> list[str]:
    times = max(one.times, 1 / one.times)
    way = "open" if one.log_odds > 0 else "welded"
    says = f"speaks for {way}, {times:.3g} to 1" if times >= 1.005 else "speaks for neither"
    return [one.name, one.found, f"{says}{', capped' if one.capped else ''}"]


def _rests_on(found: OpenAsked) -> Iterator[list[str]]:
    heights = found.heights
    if heights.welded_mm is not None:
        pieces = counted(heights.welded_pieces, "piece")
        sd = f" ± {number(heights.welded_sd_mm, HEIGHT_DECIMALS)}" if heights.welded_sd_mm is not None else ""
        yield [
            "Welded",
            f"{number(heights.welded_mm, HEIGHT_DECIMALS)}{sd} mm (one standard deviation), {pieces}",
        ]
    else:
        yield ["Welded", "no height of welded pieces is in the record"]
    if heights.open_mm is not None:
        yield ["Laid together", f"{number(heights.open_mm, HEIGHT_DECIMALS)} mm, before welding"]
    else:
        yield ["Laid together", "no height: offtool define-seam --change --size open_height=MM"]
    pull = found.heights.welded_pull_n
    yield ["Welded pieces hold", f"{newtons(pull)} in the mean" if pull is not None else "not known yet"]
