"""Know the safety of a toy: what the law asks, what own tests show, and what fits into the cylinder."""

from __future__ import annotations

from datetime import date

from offtool import __version__
from offtool.core.inspection.limits import CONFIDENCE as SURE
from offtool.core.pilot.safety.judged import SHARE as SHOWN
from offtool.core.values import Verdict
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented
from offtool.steps.toy_found import SafetyFound
from offtool.steps.toy_judged import CONFIDENCE, SHARE, worst
from offtool.steps.toy_sentences import DECIDE, actions, facts, headline
from offtool.steps.toy_standing import SafetyStanding, safety_standing

METHOD = f"offtool {__version__}"


def know_safety(
    programme: str, on: date, *, share: float = SHARE, confidence: float = CONFIDENCE
) -> SafetyFound:
    """The whole answer for a programme. Raises NotInRecord; ImpossibleInput for a share that cannot be."""
    SHOWN.refuse_impossible("share", share)
    SURE.refuse_impossible("confidence", confidence)
    found = find_programme(programme)
    standing = safety_standing(found, on, share=share, confidence=confidence)
    return SafetyFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        verdict=_verdict(standing),
        headline=headline(standing),
        stands=DECIDE,
        actions=tuple(actions(standing)),
        rests_on=tuple(facts(standing)),
        standing=standing,
        method=METHOD,
        cautions=standing.cautions,
    )


def _verdict(standing: SafetyStanding) -> Verdict:
    """Own tests of all markets, and small parts where they are asked."""
    verdicts = [one.verdict for one in standing.by_market if one.verdict is not None]
    if standing.small_parts.asked:
        verdicts.append(standing.small_parts.verdict)
    return worst(verdicts)
