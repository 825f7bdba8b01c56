"""People sign, the program does not: what may be stated when, and how long it stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from offtool.core.pilot.release import Standing
from offtool.core.values import OfftoolError, Verdict
from offtool.handbook.release_list import Change
from offtool.handbook.terms import LimitKind, ReleaseWord, Role
from offtool.records.models import Programme, Sample
from offtool.steps.dump_programme import dump_programme
from offtool.steps.give_concession import close_concession
from offtool.steps.keep_evidence import set_evidence_aside
from offtool.steps.limit_samples import LimitSampleSaid, define_limit_sample, withdraw_limit_sample
from offtool.steps.load_programme import load_programme
from offtool.steps.release_line_edit import (
    ReleaseLineSaid,
    edit_release_line,
    release_line_now,
    restore_release_line,
)
from offtool.steps.review_signatures import ROLES_ASKED
from offtool.steps.sign_review import withdraw_signature
from offtool.steps.tell_change import set_change_aside
from tests.steps.clip import SLUG
from tests.steps.reviewed import NOON, ON, TESTED, change, concession, evidence, only, review, sign

RELEASED, CONCEDED, NOT = ReleaseWord


@pytest.fixture(autouse=True)
def asked(clip: Programme) -> None:
    """One line, and the signatures."""
    only(clip, "packaging")


def test_it_cannot_be_released_while_a_line_is_missing_but_not_released_can_be_signed() -> None:
    with pytest.raises(OfftoolError, match=r"it cannot be released: Packing and transit: missing"):
        sign(Role.QUALITY, RELEASED)
    found = sign(Role.QUALITY, NOT)
    assert [(one.person, one.stands) for one in found.signatures] == [("A. Moor", True)]
    assert found.line("signatures").standing is Standing.FAILS


def test_nobody_is_no_signature() -> None:
    with pytest.raises(OfftoolError, match="nobody signs"):
        sign(Role.QUALITY, NOT, " ")


def test_a_review_that_changed_while_it_was_read_is_not_signed() -> None:
    read = review().fingerprint
    evidence("packaging")
    with pytest.raises(OfftoolError, match="not the one that was read"):
        sign(Role.QUALITY, NOT, read=read)


def test_with_all_four_roles_signed_every_line_holds() -> None:
    evidence("packaging")
    assert review().headline == "Every line holds: the decision is yours to sign."
    for role in ROLES_ASKED:
        assert role in review().roles_missing
        found = sign(role, RELEASED, f"{role} lead")
    assert found.roles_missing == ()
    assert found.verdict is Verdict.HOLDS
    assert found.line("signatures").standing is Standing.HOLDS
    assert found.headline.endswith("have signed.")


def test_one_person_who_signs_for_two_roles_is_named_while_both_stand() -> None:
    sign(Role.QUALITY, NOT)
    assert review().of_more_roles == ()
    sign(Role.PRODUCT, NOT, "B. Lund")
    found = sign(Role.TOOLING, NOT, "a.  moor")
    assert found.of_more_roles == ("One person signed for 2 roles: A. Moor for quality and tooling.",)
    sign(Role.QUALITY, NOT, "C. Ito")
    assert review().of_more_roles == ()


def test_the_line_of_the_signatures_names_every_role_that_lacks_the_stale_one_too() -> None:
    sign(Role.TOOLING, NOT)
    evidence("packaging")
    assert not review().signatures[0].stands
    line = review().line("signatures")
    assert line.because == "Tooling, product, quality and production have not signed it as it stands."


def test_under_a_concession_the_concessions_must_be_stated() -> None:
    concession("packaging")
    with pytest.raises(OfftoolError, match="under a concession"):
        sign(Role.QUALITY, RELEASED)
    assert sign(Role.QUALITY, CONCEDED).signatures[0].stands
    assert review().headline == "Every line holds or is under a concession: the decision is yours to sign."


def test_a_signature_stands_until_the_review_changes_and_says_which_line_did() -> None:
    evidence("packaging")
    assert sign(Role.TOOLING, RELEASED).signatures[0].stands
    told = change(Change.PACK, ON)
    (one,) = review().signatures
    assert not one.stands
    assert one.changed == ("Packing and transit",)
    set_change_aside(SLUG, told, reason="told by mistake", made_by="tester")
    assert review().signatures[0].stands  # the review is again as it was when it was signed


def edit_pack(**said: Any) -> None:
    """Edit the line of the pack; what is not given stays as it is."""
    edit_release_line(SLUG, replace(release_line_now(SLUG, "packaging"), **said), made_by="tester")


def test_a_title_and_a_day_that_changes_nothing_leave_the_fingerprint_and_what_is_asked_does_not() -> None:
    evidence("packaging")
    edit_pack(title="Pack", asks="dropped ten times and whole")
    before = review().fingerprint
    edit_pack(title="The pack")
    assert review().line("packaging").title == "The pack"
    assert review().fingerprint == before
    assert review(date(2026, 6, 2)).fingerprint == before
    sign(Role.QUALITY, RELEASED)
    edit_pack(asks="dropped once and whole")
    (one,) = review().signatures
    assert (one.stands, one.changed) == (False, ("The pack",))


def test_a_signature_outlives_a_folder_though_every_number_of_the_record_is_another(
    clip: Programme, tmp_path: Path
) -> None:
    evidence("packaging")
    concession("packaging")
    assert sign(Role.TOOLING, CONCEDED).signatures[0].stands
    before, keys = review().fingerprint, [one.key for one in review().line("packaging").evidence]
    dump_programme(SLUG, tmp_path / "clip")
    clip.slug = "kept"
    clip.save()
    load_programme(tmp_path / "clip", loaded_by="tester")
    assert [one.key for one in review().line("packaging").evidence] != keys
    assert review().fingerprint == before
    assert review().signatures[0].stands


def test_a_withdrawn_signature_stands_no_more_and_stays_to_be_seen() -> None:
    key = sign(Role.QUALITY, NOT).signatures[0].key
    withdraw_signature(SLUG, key, reason="wrong role", withdrawn_at=NOON, made_by="tester")
    (one,) = review().signatures
    assert (one.stands, one.withdrawn) == (False, "wrong role")
    assert review().line("signatures").standing is Standing.MISSING


def test_what_counts_no_longer_is_ended_with_a_reason_once() -> None:
    paper, leave = evidence("packaging"), concession("packaging")
    set_evidence_aside(SLUG, paper, reason="of another toy", made_by="tester")
    close_concession(SLUG, leave, on=ON, because="put right", made_by="tester")
    assert review().line("packaging").standing is Standing.MISSING
    with pytest.raises(OfftoolError):
        set_evidence_aside(SLUG, paper, reason="again", made_by="tester")
    with pytest.raises(OfftoolError):
        close_concession(SLUG, leave, on=ON, because="again", made_by="tester")
    with pytest.raises(OfftoolError, match="no evidence 99999"):
        set_evidence_aside(SLUG, 99999, reason="none", made_by="tester")


def test_a_concession_needs_an_end_a_reason_and_a_person() -> None:
    for lacks, said in (
        ({"until": None}, "it has no end"),
        ({"reason": " "}, "no reason is given"),
        ({"approved_by": ""}, "nobody approves it"),
        ({"amount": ""}, "how far it may be off"),
    ):
        with pytest.raises(OfftoolError, match=said):
            concession("packaging", **lacks)
    with pytest.raises(OfftoolError, match="no line 'packagin'"):
        concession("packagin")


def test_evidence_of_a_day_to_come_is_refused() -> None:
    with pytest.raises(OfftoolError, match="yet to come"):
        evidence("packaging", tested_on=date(2030, 1, 1))


def test_the_usual_line_stands_again_where_the_own_one_is_taken_out() -> None:
    assert review().line("packaging").is_edited is False
    said = ReleaseLineSaid(
        code="packaging",
        title="Pack",
        asks="the pack holds",
        fed_by=release_line_now(SLUG, "packaging").fed_by,
    )
    edit_release_line(SLUG, said, made_by="tester")
    assert review().line("packaging").is_edited
    assert restore_release_line(SLUG, "packaging", because="the usual one", made_by="tester")
    assert review().line("packaging").title == "Packing and transit"


def test_why_a_line_was_edited_stands_on_it_until_it_is_edited_again() -> None:
    now = release_line_now(SLUG, "packaging")
    fewer = replace(now, asks="dropped twice and whole")
    edit_release_line(SLUG, fewer, made_by="tester", because="the buyer asks no more")
    assert review().line("packaging").edited_because == "the buyer asks no more"
    edit_release_line(SLUG, replace(fewer, asks="dropped once"), made_by="tester")
    assert review().line("packaging").edited_because == ""
    restore_release_line(SLUG, "packaging", because="as usual", made_by="tester")
    assert review().line("packaging").edited_because == ""


def test_the_signatures_cannot_be_left_out() -> None:
    now = release_line_now(SLUG, "signatures")
    with pytest.raises(OfftoolError, match="somebody decides in the end"):
        edit_release_line(
            SLUG,
            ReleaseLineSaid(
                code=now.code, title=now.title, asks=now.asks, fed_by=now.fed_by, not_asked="no time"
            ),
            made_by="tester",
        )


def test_a_limit_sample_says_an_area_and_a_condition_and_ends_on_its_day(clip: Programme) -> None:
    only(clip, "limit-samples")
    Sample.objects.create(programme=clip, number="1", registered_at=datetime.now(UTC))
    said = LimitSampleSaid(
        sample="1",
        kind=LimitKind.LIMIT,
        signed_by="A. Moor",
        signed_on=TESTED,
        valid_until=date(2026, 5, 31),
        area="eye",
        accepts="edge up to 0.3 mm over",
    )
    with pytest.raises(OfftoolError, match="a signature alone tells the station nothing"):
        define_limit_sample(
            SLUG,
            LimitSampleSaid(sample="1", kind=LimitKind.LIMIT, signed_by="A. Moor", signed_on=TESTED),
            made_by="tester",
        )
    key = define_limit_sample(SLUG, said, made_by="tester")
    seen = {one.key: one for one in review(date(2026, 5, 31)).limit_samples}
    assert seen[key].standing is Standing.HOLDS
    assert review().limit_samples[0].standing is Standing.STALE
    withdraw_limit_sample(SLUG, key, reason="lost", made_by="tester")
    assert review().limit_samples[0].withdrawn == "lost"
