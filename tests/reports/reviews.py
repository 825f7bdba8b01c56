"""An invented release review of the harbour otter, for tests of what is shown and handed over.

review()                 lines that hold, fail, are stale, missing, and under a concession
review(headline="...")   any field of ReleaseReview given anew
line("sizes")            one line; any field of ReviewLine given anew
dossier_files()          the dossier of it, with files whose bytes are made here
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from hashlib import sha256
from typing import Any

from offtool.core.pilot.release import StaleBecause, Standing
from offtool.core.values import Caution, Verdict
from offtool.handbook.release_list import RELEASE_LIST, Change
from offtool.handbook.terms import EvidenceSays, LimitKind, ReleaseWord, Role
from offtool.steps.review_found import (
    ChangeSeen,
    ConcessionSeen,
    EvidenceSeen,
    LimitSampleSeen,
    ReleaseReview,
    ReviewAction,
    ReviewFact,
    ReviewLine,
    ReviewSource,
    ReviewTarget,
    SignatureSeen,
    SourceKind,
)

TITLE = "Harbour otter (invented)"
ON = date(2026, 3, 23)
NOON = datetime(2026, 3, 20, 12, 0, tzinfo=UTC)
CUT = StaleBecause(change="steel", on=date(2026, 3, 9), words="steel of M3 cut, state c")
MASK = StaleBecause(change="mask", on=date(2026, 3, 18), words="a new mask of the belly")

CONTENT: Mapping[str, bytes] = {
    "M3_T3_data.csv": b"shot;cavity;HO-05 6\r\n1;1;5.534\r\n",
    "data.csv": b"one file of that name\n",
    "DATA.CSV": b"another, in capitals\n",
    "tape test: belly?.pdf": b"%PDF-1.4 an invented paper\n",
    "con.txt": b"a name that one system keeps for a device\n",
}
KINDS = {
    "M3_T3_data.csv": SourceKind.READINGS,
    "data.csv": SourceKind.JOINT_TEST,
    "DATA.CSV": SourceKind.JOINT_TEST,
    "tape test: belly?.pdf": SourceKind.EVIDENCE,
    "con.txt": SourceKind.PILOT_FILE,
}


def source(name: str) -> ReviewSource:
    return ReviewSource(
        kind=KINDS[name],
        key=1 + list(CONTENT).index(name),
        file_name=name,
        sha256=sha256(CONTENT[name]).hexdigest(),
    )


def bytes_of(one: ReviewSource) -> bytes:
    return CONTENT[one.file_name]


def fact(item: str, standing: Standing, **changed: Any) -> ReviewFact:
    given: dict[str, Any] = {"item": item, "words": f"{item} {standing}", "standing": standing}
    return ReviewFact(**{**given, **changed})


def line(code: str, standing: Standing, *facts: ReviewFact, **changed: Any) -> ReviewLine:
    """A line of the usual list, standing so by these facts."""
    asked = next(one for one in RELEASE_LIST if one.code == code)
    given: dict[str, Any] = {
        "code": code,
        "title": asked.title,
        "asks": asked.asks,
        "fed_by": asked.fed_by,
        "standing": standing,
        "words": f"{asked.title}: {standing}.",
        "because": "So it is told.",
        "since": None,
        "facts": facts,
        "stale_because": (),
        "concessions": (),
        "evidence": (),
        "to_do": "",
        "source": asked.source,
        "stale_by": asked.stale_by,
        "stale_after_days": asked.stale_after_days,
        "is_own": False,
        "is_edited": False,
    }
    return ReviewLine(**{**given, **changed})


def size(tool: str, item: str, standing: Standing, **changed: Any) -> ReviewFact:
    part, number = item.split(" ")
    target = ReviewTarget(page="size", names=(tool, "T3", part, number))
    return fact(item, standing, target=target, day=date(2026, 3, 19), **changed)


def paper(**changed: Any) -> EvidenceSeen:
    name = "tape test: belly?.pdf"
    given: dict[str, Any] = {
        "key": source(name).key,
        "says": EvidenceSays.HOLDS,
        "tested_on": date(2026, 3, 2),
        "lab": "paint room",
        "number": "TT-12",
        "accredited": False,
        "states": ("M1 b",),
        "file_name": name,
        "sha256": source(name).sha256,
        "note": "",
        "given_by": "paint engineer",
        "given_at": NOON,
        "is_stale": True,
        "stale_because": (MASK,),
        "set_aside": "",
    }
    return EvidenceSeen(**{**given, **changed})


def concession(**changed: Any) -> ConcessionSeen:
    given: dict[str, Any] = {
        "key": 1,
        "code": "weight",
        "item": "HO-02",
        "amount": "0.2 g heavy",
        "until": date(2026, 6, 30),
        "pieces": 5000,
        "reason": "the carton holds it",
        "risk": "none known",
        "approved_by": "product engineer",
        "given_on": date(2026, 3, 20),
        "counts": True,
        "why_not": "",
        "words": "0.2 g heavy until 30 June 2026",
    }
    return ConcessionSeen(**{**given, **changed})


def signature(**changed: Any) -> SignatureSeen:
    given: dict[str, Any] = {
        "key": 1,
        "role": Role.TOOLING,
        "person": "T. Oolmaker",
        "states": ReleaseWord.NOT,
        "signed_at": NOON,
        "stands": False,
        "why_not": "the review has changed since",
        "changed": ("Paint and print",),
        "note": "",
        "withdrawn": "",
        "fingerprint": "f" * 64,
    }
    return SignatureSeen(**{**given, **changed})


def lines() -> tuple[ReviewLine, ...]:
    return (
        line(
            "sizes",
            Standing.FAILS,
            size("M3", "HO-05 6", Standing.FAILS, verdict=Verdict.FAILS, sources=(source("M3_T3_data.csv"),)),
            size("M1", "HO-02 4", Standing.HOLDS, verdict=Verdict.HOLDS),
            to_do="Cut the knee recess.",
        ),
        line("weight", Standing.CONCESSION, concessions=(concession(),)),
        line(
            "joints-fresh",
            Standing.HOLDS,
            fact(
                "shoulder",
                Standing.HOLDS,
                target=ReviewTarget(page="joint", names=("shoulder",)),
                sources=(source("data.csv"), source("DATA.CSV")),
            ),
        ),
        line(
            "decoration",
            Standing.STALE,
            fact("belly", Standing.STALE, stale_because=(MASK,), sources=(source("tape test: belly?.pdf"),)),
            stale_because=(MASK,),
            evidence=(paper(),),
        ),
        line("certificate-us", Standing.MISSING, to_do="Send pieces to an accredited laboratory."),
        line("line-rate", Standing.FAILS, fact("P1", Standing.FAILS, sources=(source("con.txt"),))),
        line("signatures", Standing.MISSING),
    )


def review(**changed: Any) -> ReleaseReview:
    """The review of the day on which the invented story stands."""
    given: dict[str, Any] = {
        "programme": "harbour-otter",
        "programme_title": TITLE,
        "invented": True,
        "on": ON,
        "markets": ("US", "EU"),
        "from_months": 36.0,
        "to_months": None,
        "mass_kg": 0.14,
        "release_due": date(2026, 6, 15),
        "unsaid": (),
        "headline": "The otter may not start: 2 of 7 lines do not hold, 1 is stale, 2 are missing.",
        "verdict": Verdict.FAILS,
        "actions": (ReviewAction(words="Cut the knee recess.", code="sizes", because="HO-05 6 fails."),),
        "lines": lines(),
        "not_asked": (),
        "signatures": (signature(),),
        "roles_missing": (Role.PRODUCT, Role.QUALITY, Role.PRODUCTION),
        "limit_samples": (
            LimitSampleSeen(
                key=1,
                sample="0417",
                sample_name="painted otter",
                station="paint",
                kind=LimitKind.LIMIT,
                area="belly edge",
                accepts="overspray up to 0.3 mm",
                signed_by="Q. Uality",
                signed_on=date(2026, 3, 12),
                valid_until=None,
                standing=Standing.STALE,
                words="",
                withdrawn="",
            ),
        ),
        "changes": (
            ChangeSeen(
                key=3,
                what=Change.MASK,
                on=date(2026, 3, 18),
                words="a new mask of the belly",
                about="HO-02",
                told_by="paint engineer",
                is_told=True,
            ),
        ),
        "fingerprint": "a1" * 32,
        "stood": "{}",
        "may_be_released": False,
        "why_not_released": ("2 lines do not hold", "1 is stale"),
        "method": "offtool 0.1",
        "cautions": (Caution("An accredited laboratory and the law of the place decide."),),
    }
    return ReleaseReview(**{**given, **changed})
