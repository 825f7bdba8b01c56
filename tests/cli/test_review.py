"""offtool review, and the commands by which people answer it: evidence, concession, change, sign."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from offtool.cli.review import day_of
from offtool.cli.review_words import CHANGES, KINDS, PLACES, SAYS
from offtool.cli.sign import ROLES, STATES
from offtool.handbook.release_list import RELEASE_LIST, Change
from offtool.handbook.terms import EvidenceSays, LimitKind, ReleaseWord, Role
from offtool.records.models import Concession, Evidence, Programme
from offtool.steps.plain import as_plain
from offtool.steps.review_release import review_release
from offtool.steps.tell_change import ChangeSaid
from tests.cli.conftest import Run
from tests.steps import reviewed


@pytest.fixture
def packed(flipper: str) -> str:
    """The flipper, of which only its sizes and its packing are asked."""
    reviewed.only(Programme.objects.get(), "sizes", "packaging")
    return flipper


def test_the_words_in_help_are_those_that_there_are() -> None:
    assert list(SAYS) == list(EvidenceSays)
    assert list(CHANGES) == list(Change)
    assert list(KINDS) == list(LimitKind)
    assert list(ROLES) == list(Role)
    assert list(STATES) == list(ReleaseWord)
    assert set(PLACES) <= set(ChangeSaid.__dataclass_fields__)


def test_the_review_says_first_whether_it_may_start(run: Run, packed: str) -> None:
    said = run("review", packed)
    assert said.exit_code == 0
    assert said.out.startswith("Flipper may not start: ")
    assert "What to do, in this order" in said.out
    assert "it cannot be signed as released" in said.out
    assert run("review", packed, "--json").json == as_plain(review_release(packed, date.today()))


def test_a_line_names_every_fact_that_stands_against_it(run: Run, packed: str) -> None:
    said = run("review", packed, "sizes").out
    line = review_release(packed, date.today()).line("sizes")
    assert line.failing
    for fact in line.failing:
        assert fact.words.partition(":")[0] in " ".join(said.split())
    assert run("review", packed, "sizes", "--json").json == as_plain(line)
    refused = run("review", packed, "size")
    assert (refused.exit_code, "did you mean 'sizes'" in refused.err) == (1, True)


def test_evidence_is_kept_replaced_and_set_aside(run: Run, packed: str, tmp_path: Path) -> None:
    paper = tmp_path / "drop.txt"
    paper.write_bytes(b"ten drops, whole")
    words = ("evidence", packed, "packaging", "--says", "holds", "--tested-on", "2026-03-10")
    said = run(*words, "--file", paper, "--steel", "M1 a")
    assert said.exit_code == 0, said.err
    assert "Packing and transit: holds" in said.out
    kept = Evidence.objects.get()
    assert bytes(kept.content) == b"ten drops, whole"
    assert run(*words, "--number", "D-2", "--instead-of", str(kept.pk)).exit_code == 0
    newer = Evidence.objects.latest("pk")
    ended = run("evidence", packed, "packaging", "--set-aside", str(newer.pk), "--because", "wrong toy")
    assert "Packing and transit: missing" in ended.out


def test_evidence_without_a_day_or_on_unknown_steel_is_refused(run: Run, packed: str) -> None:
    assert run("evidence", packed, "packaging", "--says", "holds").exit_code == 2
    assert run("evidence", packed, "packaging").exit_code == 2
    words = ("evidence", packed, "packaging", "--says", "holds", "--tested-on", "2026-03-10")
    refused = run(*words, "--steel", "M9 z")
    assert (refused.exit_code, "--steel: no state 'M9 z'" in refused.err) == (1, True)
    assert not Evidence.objects.exists()


def test_a_concession_covers_a_line_until_it_is_ended(run: Run, packed: str) -> None:
    given = ("concession", packed, "packaging", "--amount", "no drop yet", "--reason", "pre-series",
             "--approved-by", "A. Moor")  # fmt: skip
    refused = run(*given)
    assert (refused.exit_code, "--until: it has no end" in refused.err) == (1, True)
    said = run(*given, "--pieces", "500")
    assert "holds under a concession" in said.out
    key = review_release(packed, date.today()).line("packaging").concessions[0].key
    ended = run("concession", packed, "packaging", "--end", str(key), "--because", "dropped now")
    assert "Packing and transit: missing" in ended.out


def test_a_concession_of_an_example_is_of_today_and_not_of_its_last_day(run: Run, packed: str) -> None:
    Programme.objects.update(note="Invented.")
    run("evidence", packed, "sizes", "--says", "holds", "--tested-on", "2026-03-10")
    assert day_of(packed) < date.today()
    given = ("--amount", "no drop yet", "--reason", "pre-series", "--approved-by", "A. Moor", "--pieces", "5")
    assert run("concession", packed, "packaging", *given).exit_code == 0
    assert Concession.objects.get().given_on == date.today()
    assert review_release(packed, day_of(packed)).line("packaging").concessions[0].counts


def test_a_change_makes_stale_and_is_taken_back(run: Run, packed: str) -> None:
    run("evidence", packed, "packaging", "--says", "holds", "--tested-on", "2026-03-10")
    words = ("change", packed, "pack", "new tray", "--on", "2026-03-12")
    assert "1 does not hold" in run(*words).out or "stale" in run("review", packed).out
    assert review_release(packed, date.today()).line("packaging").stale
    key = next(one.key for one in review_release(packed, date.today()).changes if one.is_told)
    run("change", packed, "--set-aside", str(key), "--because", "mistake")
    assert review_release(packed, date.today()).line("packaging").holds
    assert run("change", packed, "pack", "new tray").exit_code == 2
    assert run(*words, "--of", "press P3").exit_code == 2


def test_a_person_signs_what_they_read_and_the_program_signs_nothing(run: Run, packed: str) -> None:
    read = review_release(packed, date.today()).fingerprint
    assert read[:16] in run("review", packed).out
    words = ("sign", packed, "--person", "B. Lund", "--role", "quality", "--read", read[:16])
    refused = run(*words, "--states", "released")
    assert (refused.exit_code, "--states: it cannot be released" in refused.err) == (1, True)
    said = run(*words, "--states", "not released")
    assert said.exit_code == 0, said.err
    assert "B. Lund for quality" in said.out
    assert run("sign", packed, "--role", "quality", "--states", "not released").exit_code == 2
    (one,) = review_release(packed, date.today()).signatures
    assert (one.person, one.stands) == ("B. Lund", True)
    both = run("sign", packed, "--person", "B. Lund", "--role", "product", "--read", read[:16],
               "--states", "not released")  # fmt: skip
    assert "One person signed for 2 roles: B. Lund for quality and product." in " ".join(both.out.split())
    run("sign", packed, "--withdraw", str(one.key), "--because", "wrong role")
    assert review_release(packed, date.today()).signatures[1].withdrawn == "wrong role"


def test_a_fingerprint_that_is_too_short_or_another_is_refused(run: Run, packed: str) -> None:
    read = review_release(packed, date.today()).fingerprint
    for typed in (read[:4], "0" * 16):
        words = ("--person", "B. Lund", "--role", "quality", "--states", "not released", "--read", typed)
        refused = run("sign", packed, *words)
        assert (refused.exit_code, "not the one that was read" in refused.err) == (1, True)


def test_a_line_of_the_list_is_edited_added_and_restored(run: Run, packed: str) -> None:
    new = ("release-line", packed, "scarf", "--title", "Scarf", "--asks", "it stays on")
    assert run(*new).exit_code == 2
    assert run(*new, "--fed-by", "decoration").exit_code == 1
    said = run(*new, "--fed-by", "decoration checks", "--stale-by", "paint")
    assert "Scarf: missing" in said.out, said.err
    run("release-line", packed, "scarf", "--not-asked", "no scarf")
    assert "scarf" not in review_release(packed, date.today()).codes
    why = run(
        "release-line", packed, "packaging", "--asks", "one drop", "--because", "the buyer asks no more"
    )
    assert "Edited here: the buyer asks no more." in " ".join(why.out.split())
    assert run("release-line", packed, "packaging", "--because", "for nothing").exit_code == 2
    run("release-line", packed, "packaging", "--restore", "--because", "as usual")
    usual = next(one for one in RELEASE_LIST if one.code == "packaging")
    assert review_release(packed, date.today()).line("packaging").asks == usual.asks


def test_a_limit_sample_needs_a_sample_and_a_kind(run: Run, packed: str) -> None:
    assert run("limit-sample", packed, "1").exit_code == 2
    refused = run("limit-sample", packed, "1", "--kind", "signed sample", "--signed-by", "A. Moor")
    assert (refused.exit_code, "no sample '1'" in refused.err) == (1, True)
