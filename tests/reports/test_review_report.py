"""The review as a PDF: an index with pages, every line with its facts, blank lines for who must sign."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from offtool.core.values import Caution
from offtool.handbook.release_list import Fed
from offtool.handbook.toy_law import LAW_DECIDES
from offtool.reports.dossier import dossier_paths
from offtool.reports.review_report import PEOPLE_DECIDE, review_report
from offtool.reports.review_words import (
    concession_in_words,
    limit_sample_in_words,
    paper_stands,
    product_in_words,
    signature_in_words,
)
from offtool.steps.dossier import Dossier, dossier_of
from tests.reports import reviews
from tests.reports.reviews import review
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of


def found(**changed: object) -> Dossier:
    return dossier_of("harbour-otter", reviews.ON, review(**changed))


def read(tmp_path: Path, **changed: object) -> str:
    dossier = found(**changed)
    return text_of(review_report(dossier, dossier_paths(dossier)), tmp_path)


def pages(pdf: bytes, tmp_path: Path) -> list[str]:
    file = tmp_path / "review.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    return [" ".join(one.split()) for one in done.stdout.split("\f")]


def test_the_first_page_has_the_verdict_the_product_what_to_do_and_the_cautions(tmp_path: Path) -> None:
    first = pages(review_report(found()), tmp_path)[0]
    shown = review()
    assert shown.headline in first
    assert "from 36 months" in first
    assert shown.actions[0].words in first
    assert PEOPLE_DECIDE.text.split(",")[0] in first
    assert LAW_DECIDES.text[:60] in first


def test_the_index_gives_the_page_on_which_a_line_stands(tmp_path: Path) -> None:
    told = pages(review_report(found()), tmp_path)
    index = next(one for one in told if "Index" in one)
    for one in review().lines:
        listed = re.search(rf"{re.escape(one.title)} {re.escape(str(one.standing))} (\d+)", index)
        assert listed, one.title
        assert one.title in told[int(listed[1]) - 1]


def test_every_line_says_how_it_stands_what_is_asked_and_what_it_rests_on(tmp_path: Path) -> None:
    said = read(tmp_path)
    for one in review().lines:
        assert one.title in said
        assert one.asks[:30] in said
        assert all(fact.item in said for fact in one.facts)
    assert "Stale: a new mask of the belly (18 March 2026)" in said


def test_every_file_stands_with_its_checksum(tmp_path: Path) -> None:
    said = read(tmp_path)
    for one in found().files:
        assert one.source.sha256 in said


def test_who_has_not_signed_has_a_blank_line_and_the_program_signs_nothing(tmp_path: Path) -> None:
    last = pages(review_report(found()), tmp_path)[-2]
    for role in review().roles_missing:
        assert str(role) in last
    assert last.count("day and time") == len(review().roles_missing)
    assert "the program signs nothing" in last
    assert review().fingerprint in last


def test_a_signature_that_does_not_stand_says_what_changed() -> None:
    row = signature_in_words(reviews.signature())
    assert row[0] == "tooling"
    assert "does not stand: the review has changed since; changed since: Paint and print" in row[-1]
    assert signature_in_words(reviews.signature(stands=True))[-1] == "stands"
    assert signature_in_words(reviews.signature(withdrawn="by mistake"))[-1] == "withdrawn: by mistake"


def test_a_concession_has_its_amount_its_end_its_reason_and_who_gave_it() -> None:
    row = " | ".join(concession_in_words(reviews.concession()))
    for one in (
        "0.2 g heavy",
        "until 30 June 2026",
        "5,000 pieces",
        "the carton holds it",
        "product engineer",
    ):
        assert one in row
    over = concession_in_words(reviews.concession(counts=False, why_not="its last day was 2026-03-01"))
    assert over[-1] == "its last day was 2026-03-01"


def test_a_limit_sample_says_area_condition_and_for_how_long() -> None:
    row = " | ".join(limit_sample_in_words(review().limit_samples[0]))
    for one in ("0417 painted otter", "belly edge", "overspray up to 0.3 mm", "Q. Uality", "stale"):
        assert one in row


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "stale: a new mask of the belly (18 March 2026)"),
        ({"is_stale": False}, "counts"),
        ({"set_aside": "wrong part"}, "set aside: wrong part"),
    ],
)
def test_a_paper_says_whether_it_counts(changed: dict[str, object], said: str) -> None:
    assert paper_stands(reviews.paper(**changed)) == said


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "United States, European Union; from 36 months; 0.14 kg"),
        ({"markets": (), "from_months": None, "mass_kg": None}, "market not said; age not said"),
        ({"markets": ("other",), "to_months": 96.0}, "another market; from 36 to 96 months; 0.14 kg"),
    ],
)
def test_the_product_is_told_by_market_age_and_mass(changed: dict[str, object], said: str) -> None:
    assert product_in_words(review(**changed)) == said


def test_an_empty_review_and_hostile_words_are_typeset_too(tmp_path: Path) -> None:
    bare = read(
        tmp_path, lines=(), signatures=(), limit_samples=(), changes=(), actions=(), why_not_released=()
    )
    assert "None is given." in bare
    said = read(tmp_path, headline=HOSTILE, cautions=(Caution(HOSTILE),), programme_title=HOSTILE)
    assert said


def test_the_same_review_gives_the_same_bytes() -> None:
    assert review_report(found()) == review_report(found())


def test_lines_are_counted_by_how_they_stand_the_signatures_apart(tmp_path: Path) -> None:
    """One line does not hold, several do not; counted as the verdict counts them."""
    first = pages(review_report(found()), tmp_path)[0]
    counted = re.search(r"Lines but for the signatures (.*?) Release", first)
    assert counted is not None
    asked = [one for one in review().lines if one.fed_by is not Fed.SIGNATURES]
    assert sum(int(number) for number in re.findall(r"\d+", counted[1])) == len(asked)
    assert not re.search(r"\b([2-9]|\d\d+) (does|holds)\b", counted[1])


def test_who_signed_for_two_roles_is_named_and_what_is_not_said_is_no_line(tmp_path: Path) -> None:
    twice = "One person signed for 2 roles: A. Moor for quality and tooling."
    against = ("it is not said from which age on it is", "Sizes: does not hold")
    said = read(
        tmp_path, of_more_roles=(twice,), unsaid=("from which age on it is",), why_not_released=against
    )
    assert twice in said
    asked = [one for one in review().lines if one.fed_by is not Fed.SIGNATURES]
    met = sum(one.holds for one in asked)
    assert f"{len(asked) - met} lines neither met nor under a concession" in said
    assert "it is not said from which age on it is" in said
