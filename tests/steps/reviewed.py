"""A release review of the clip, cut down to the lines that a test is about.

only("packaging")        all other lines are not asked; the signatures always are
evidence("packaging")    a paper that holds, of 10 March
cut(programme, "CV1")    steel of one feature is cut, and the tool has a new state
review()                 the review on 1 June 2026
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from offtool.handbook.release_list import RELEASE_LIST, Change
from offtool.handbook.terms import EvidenceSays, ReleaseWord, Role
from offtool.records.models import Correction, Programme, ToolState
from offtool.records.operations import define_market, define_release_line, drop_release_line
from offtool.records.queries import release_lines_of
from offtool.steps.give_concession import ConcessionSaid, give_concession
from offtool.steps.keep_evidence import EvidenceSaid, keep_evidence
from offtool.steps.review_found import ReleaseReview
from offtool.steps.review_release import review_release
from offtool.steps.sign_review import SignatureSaid, sign_review
from offtool.steps.tell_change import ChangeSaid, tell_change
from tests.steps.clip import SLUG

ON = date(2026, 6, 1)
TESTED = date(2026, 3, 10)
NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


def only(programme: Programme, *codes: str) -> None:
    """Ask these lines and the signatures, of a toy for the United States from three years on."""
    define_market(programme, {"markets": "US", "from_months": 36.0}, made_by="tester")
    for line in release_lines_of(programme):
        drop_release_line(line, "another test", made_by="tester")
    for one in RELEASE_LIST:
        if one.code not in (*codes, "signatures"):
            columns = {"fed_by": one.fed_by.value, "not_asked": "not in this test"}
            define_release_line(programme, one.code, columns, made_by="tester")


def review(on: date = ON) -> ReleaseReview:
    """The review of the clip."""
    return review_release(SLUG, on)


def evidence(code: str, **said: Any) -> int:
    """Give evidence; its number."""
    file = {name: said.pop(name) for name in ("file_name", "content") if name in said}
    told: dict[str, Any] = {"code": code, "says": EvidenceSays.HOLDS, "tested_on": TESTED, "number": "R-1"}
    given = EvidenceSaid(**(told | said))
    return keep_evidence(SLUG, given, today=ON, given_at=datetime.now(UTC), given_by="tester", **file).key


def change(what: Change, on: date, **about: str) -> int:
    """Tell a change; its number."""
    said = ChangeSaid(what=what, on=on, words="another lot", **about)
    return tell_change(SLUG, said, told_at=datetime.now(UTC), told_by="tester")


def concession(code: str, **said: Any) -> int:
    """Give a concession until the end of June; its number."""
    told: dict[str, Any] = {
        "amount": "as it is",
        "reason": "glued",
        "approved_by": "A. Moor",
        "given_on": date(2026, 5, 1),
        "until": date(2026, 6, 30),
    }
    return give_concession(SLUG, ConcessionSaid(code=code, **(told | said)), made_by="tester")


def sign(role: Role, states: ReleaseWord, person: str = "A. Moor", *, read: str = "") -> ReleaseReview:
    """Sign the review as it stands."""
    said = SignatureSaid(role=role, person=person, states=states, read=read or review().fingerprint)
    return sign_review(SLUG, said, on=ON, signed_at=datetime.now(UTC))


def cut(programme: Programme, *features: str, made_on: date = date(2026, 4, 1)) -> None:
    """Cut features of the tool in every cavity they have; without any, only a new state is written."""
    tool = programme.tools.get()
    last = tool.states.order_by("-ordinal")[0]
    state = ToolState.objects.create(
        tool=tool, label=chr(ord(last.label) + 1), ordinal=last.ordinal + 1, made_on=made_on
    )
    trial = tool.trials.order_by("pk").last()
    for code in features:
        feature = tool.features.get(code=code)
        for size in feature.sizes.filter(state=last):
            Correction.objects.create(
                trial=trial,
                feature=feature,
                cavity=size.cavity,
                amount_mm=0.02,
                size_before_mm=size.measured_mm,
                size_after_mm=size.measured_mm + 0.02,
                allowance_left_mm=0.2,
                reason="too small",
                cause="steel left on purpose",
                method="by hand",
                status="cut",
                made_at=NOON,
                resulting_state=state,
            )
