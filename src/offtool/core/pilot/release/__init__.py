"""The release review: how lines stand, what makes them stale, what concessions allow, what was signed."""

from offtool.core.pilot.release.concessions import ConcessionGiven, covers, why_it_does_not_count
from offtool.core.pilot.release.fingerprint import LineAsItStands, changed_since, digests, fingerprint
from offtool.core.pilot.release.staleness import Happened, StaleBecause, touched, what_made_stale
from offtool.core.pilot.release.standing import Standing, standing_of, worst

__all__ = [
    "ConcessionGiven",
    "Happened",
    "LineAsItStands",
    "StaleBecause",
    "Standing",
    "changed_since",
    "covers",
    "digests",
    "fingerprint",
    "standing_of",
    "touched",
    "what_made_stale",
    "why_it_does_not_count",
    "worst",
]
