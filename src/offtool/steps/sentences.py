"""The sentences in which verdicts and reasons are given; short, in the trade's words."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite, log10

from offtool.core.correction import CorrectionPlan, PlannedCut, Standing
from offtool.core.inspection import CavityFinding, SizeFinding
from offtool.core.values import Interval, Verdict

MOST_DECIMALS = 4


def decimals_for(lower: float | None, upper: float | None, nominal: float) -> int:
    """Decimals that show a twentieth of the tolerance: 3 for a few hundredths of a mm."""
    span = upper - lower if lower is not None and upper is not None else abs(nominal) / 100
    if not span:
        return 3
    return min(max(ceil(-log10(span / 20)), 0), MOST_DECIMALS)


def count(number: int, thing: str, things: str = "") -> str:
    """1 size, 3 sizes."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"


def listed(names: Sequence[str]) -> str:
    """1, 2 and 3."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


def per_cent(share: float, decimals: int = 2) -> str:
    """0.0073 as 0.73 %."""
    return f"{100 * share:.{decimals}f} %".replace("-", "−")


def per_cent_span(interval: Interval, decimals: int = 2) -> str:
    """4 to 9 %; 4 % or more where there is no upper end."""
    if not isfinite(interval.high):
        return f"{per_cent(interval.low, decimals)} or more"
    return f"{per_cent(interval.low, decimals).removesuffix(' %')} to {per_cent(interval.high, decimals)}"


def at_least(chance: float) -> str:
    """A probability that is a lower end: "79 % or more", "more than 99 %"."""
    return "more than 99 %" if chance >= 0.995 else f"{per_cent(chance, 0)} or more"


def sentence(words: str) -> str:
    """Words as a sentence: a capital first, a full stop last."""
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")


def cavities_in_words(found: Sequence[str], of: int) -> str:
    """Which cavities: "all 4 cavities", "cavity 3", "cavities 1, 2 and 4"."""
    named = [label or "not recorded" for label in found]
    if len(named) == of:
        return {1: f"cavity {named[0]}", 2: "both cavities"}.get(of, f"all {of} cavities")
    if len(named) == 1:
        return f"cavity {named[0]}"
    return f"cavities {', '.join(named[:-1])} and {named[-1]}"


def verdict_sentence(fails: int, open_: int, sizes: int, *, open_inside: int, can_wait: bool) -> str:
    """The headline of a trial."""
    if sizes == 0:
        return "Nothing was measured yet: read a file of readings."
    if fails == 0 and open_ == 0:
        return f"All {sizes} sizes hold." if sizes > 1 else "The one size holds."
    parts = []
    if fails:
        parts.append(f"{fails} of {count(sizes, 'size')} {'does' if fails == 1 else 'do'} not hold")
    if open_:
        inside = f" ({'all' if open_inside == open_ else open_inside} inside so far)" if open_inside else ""
        parts.append(f"{open_} {'is' if open_ == 1 else 'are'} not shown{inside}")
    start = "Not ready: " if not can_wait else "Not shown yet: "
    return start + ", ".join(parts) + "."


def press_sentence(open_: int, headline: str) -> str:
    """The headline with what is open at the press."""
    if not open_:
        return headline
    said = f"{count(open_, 'finding')} at the press {'is' if open_ == 1 else 'are'} open"
    if headline.startswith(("All ", "The one size")):
        return f"Not ready: {headline[0].lower()}{headline[1:-1]}, but {said}."
    return f"{headline} {said[0].upper()}{said[1:]}."


def why_size(
    size: SizeFinding, unit: str, decimals: int, *, standings: Sequence[Standing], cuts: Sequence[PlannedCut]
) -> str:
    """Why a size has its verdict: where its cavities stand, what of it is steel and what shrinkage, what is
    planned."""
    if size.verdict is Verdict.HOLDS:
        return ""
    sentences = [_where(size, unit, decimals)]
    worst = max(standings, key=lambda one: abs(one.split.deviation_mm) if one.split else 0.0, default=None)
    if size.verdict is Verdict.FAILS and worst is not None and worst.split is not None:
        sentences.append(_cause(worst))
    if size.verdict is Verdict.NOT_SHOWN:
        sentences.append(_not_shown(size))
    if cuts:
        sentences.append(planned_sentence(cuts))
    return " ".join(one for one in sentences if one)


def _where(size: SizeFinding, unit: str, decimals: int) -> str:
    """How far off the open or failing cavities stand."""
    off = [one for one in size.cavities if one.verdict is size.verdict]
    if size.verdict is Verdict.NOT_SHOWN:
        return ""
    worst = max(off, key=lambda one: abs(one.offset))
    which = cavities_in_words([one.cavity for one in off], len(size.cavities))
    side = "large" if worst.offset > 0 else "small"
    amounts = sorted(abs(one.offset) for one in off)
    amount = f"{amounts[-1]:.{decimals}f}"
    if len(off) > 1 and f"{amounts[0]:.{decimals}f}" != amount:
        amount = f"up to {amount}"
    if _centred(worst, size):
        return f"Too much spread in {which}: standard deviation {worst.sd:.{decimals + 1}f} {unit}."
    return sentence(f"{amount} {unit} {side} in {which}")


def _centred(cavity: CavityFinding, size: SizeFinding) -> bool:
    """Whether the spread alone keeps a cavity from holding."""
    if cavity.index is None or cavity.index.potential is None or size.required_index is None:
        return False
    return cavity.index.potential < size.required_index


_CAUSES = {
    "steel left on purpose": "Steel left on purpose",
    "steel cut inaccurately": "The steel is cut {share:.3f} mm off its drawing",
    "shrinkage": "Shrinkage, not steel: {found} where {allowed} was allowed",
    "local shrinkage": "This size shrinks otherwise than its direction: {found}",
    "one cavity": "Cavity {cavity} shrinks otherwise than the others",
}


def _cause(standing: Standing) -> str:
    split = standing.split
    if split is None or standing.steel_mm is None:
        return ""
    cause = split.cause(standing.sd_mm)
    if cause not in _CAUSES:
        return ""
    allowed = (
        split.shrinkage_found + (split.shrinkage_mm + split.local_mm + split.cavity_mm) / standing.steel_mm
    )
    share = split.cut_inaccurately_mm if cause == "steel cut inaccurately" else 0.0
    return (
        _CAUSES[cause].format(
            share=abs(share),
            found=per_cent(split.shrinkage_found),
            allowed=per_cent(allowed),
            cavity=standing.cavity,
        )
        + "."
    )


def _not_shown(size: SizeFinding) -> str:
    open_ = [one for one in size.cavities if one.verdict is Verdict.NOT_SHOWN]
    parts = min(one.parts for one in open_)
    if size.required_index is None:
        return "The gauge cannot tell the reading from the limit: measure again with a finer gauge."
    if any(one.index is not None and one.index.low >= size.required_index for one in open_):
        return "The gauge cannot show the mean inside the limits: its uncertainty is too large for them."
    indices = [one.index.value for one in open_ if one.index is not None and isfinite(one.index.value)]
    few = count(parts, "part a cavity shows", "parts a cavity show")
    required = f"{size.required_index:.2f}"
    if not indices:
        return f"{few} no index of {required}: measure more parts."
    few = count(parts, "part")
    seen = f"{few} a cavity cannot show {required} from {min(indices):.2f} observed"
    if size.parts_needed is not None:
        return f"{seen}; {size.parts_needed} would."
    return f"{seen}; more parts alone will hardly show it: centre it or reduce the spread."


def planned_sentence(cuts: Sequence[PlannedCut]) -> str:
    """What is planned for the size, in one sentence."""
    amounts = {round(cut.amount_mm, 4) for cut in cuts}
    cut = cuts[0]
    verb = "Remove" if cut.amount_mm > 0 else "Add"
    ends = [f"{amount:.3f}".rstrip("0") for amount in (min(map(abs, amounts)), max(map(abs, amounts)))]
    span = ends[0] if ends[0] == ends[1] else " to ".join(ends)
    where = "cavity" if len(cuts) == 1 else "cavities"
    return f"{verb} {span} mm at {cut.feature} in {where} {', '.join(one.cavity for one in cuts)}."


def shrinkage_sentence(
    plan: CorrectionPlan, direction: str, allowed: float, explains: int, sizes: int
) -> str:
    """What the pooled shrinkage of a direction says against what was allowed."""
    found = plan.directions[direction]
    way = {"flow": "along flow", "cross": "across flow", "thickness": "through the wall"}.get(
        direction, "overall"
    )
    return (
        f"Shrinkage {way} is {per_cent(found.value)} ({per_cent(found.interval.low)} to "
        f"{per_cent(found.interval.high)}), allowed {per_cent(allowed)}; it explains {explains} of "
        f"{count(sizes, 'size')}"
    )
