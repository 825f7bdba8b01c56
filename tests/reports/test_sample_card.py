"""The sample card: all that is said of a piece, its photograph without metadata, never a certificate."""

from __future__ import annotations

import io
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from offtool.core.values import Caution
from offtool.exchange.pictures import draw_picture
from offtool.reports import words
from offtool.reports.sample_card import NO_CERTIFICATE, sample_card
from offtool.reports.sample_words import counts_in_words, finding_in_words, part_lines
from offtool.reports.state_strip import bound_in_words
from offtool.steps.sample_found import SampleFound
from offtool.steps.sample_sentences import share
from tests.reports import samples
from tests.reports.test_joints_report import HOSTILE
from tests.reports.test_layout_report import text_of

OWNER = "Secret Owner"


def read(found: SampleFound, tmp_path: Path) -> str:
    return text_of(sample_card(found), tmp_path)


def jpeg(width: int = 400, height: int = 300) -> bytes:
    """A photograph as a phone writes it, with its owner in it."""
    written = io.BytesIO()
    exif = Image.Exif()
    exif[0x013B] = OWNER
    Image.new("RGB", (width, height), "orange").save(written, "JPEG", exif=exif)
    return written.getvalue()


def test_the_card_says_what_it_is_in_both_tongues_and_in_which_sense_it_is_a_first_shot(
    tmp_path: Path,
) -> None:
    found = samples.piece()
    said = read(found, tmp_path)
    for one in (found.number, found.name, found.headline, *samples.CODES):
        assert one in said
    for one in (found.in_words.engineer, found.in_words.archive, found.in_words.sense):
        assert one in said


def test_it_never_looks_like_a_certificate_and_says_nothing_of_worth(tmp_path: Path) -> None:
    for found in (samples.piece(), samples.not_looked_at()):
        said = read(found, tmp_path)
        assert said.count(NO_CERTIFICATE) == said.count("page ")  # in the foot of every page
        assert not any(word in said for word in ("authentic", "genuine", "price"))


def test_evidence_for_and_against_stands_in_words_with_what_it_counts(tmp_path: Path) -> None:
    found = samples.piece()
    said = read(found, tmp_path)
    assert found.identified.top.evidence
    for one in found.identified.top.evidence:
        assert finding_in_words(one) in said
        assert counts_in_words(one) in said
    for bound in found.bounds:
        assert bound_in_words(bound, found) in said


def test_what_would_change_it_and_what_it_rests_on_are_said(tmp_path: Path) -> None:
    found = samples.piece()
    said = read(found, tmp_path)
    for action in found.actions:
        assert action.do in said
    for fact in found.rests_on:
        assert fact.says in said
    for one in (found.place, found.holder, found.purpose, words.day(found.found_on)):
        assert one in said
    assert "torso: T1 of M1" in said


def test_each_part_of_several_has_its_own_answer_and_the_prior_is_stated(tmp_path: Path) -> None:
    found = samples.piece()
    said = read(found, tmp_path)
    for part in found.identified.parts:
        first = next(iter(part_lines(part)))
        assert first in said
    top = found.identified.top
    assert f"before anything was looked at {share(top.prior)}" in said


def test_what_was_seen_is_listed_and_what_was_set_aside_stays_readable(tmp_path: Path) -> None:
    said = read(samples.piece(), tmp_path)
    assert "missing, not sure" in said
    assert "set aside: misread" in said


def test_every_caution_stands_on_the_card(tmp_path: Path) -> None:
    found = samples.piece(cautions=(Caution("first care", "practice"), Caution("second care")))
    said = read(found, tmp_path)
    assert "first care (practice)" in said
    assert "second care" in said


def test_a_piece_that_nobody_looked_at_has_no_empty_chapters(tmp_path: Path) -> None:
    said = read(samples.not_looked_at(), tmp_path)
    assert "Why" not in said
    assert "All that was seen" not in said


@pytest.mark.parametrize(("width", "height"), [(400, 300), (300, 400), (900, 20)])
def test_a_photograph_is_on_the_card_without_its_owner(width: int, height: int, tmp_path: Path) -> None:
    shown = draw_picture(jpeg(width, height), "piece.jpg", longest=200)
    pdf = sample_card(samples.piece(), photograph=shown)
    assert OWNER.encode() not in pdf
    file = tmp_path / "card.pdf"
    file.write_bytes(pdf)
    listed = subprocess.run(["pdfimages", "-list", str(file)], capture_output=True, text=True, check=True)
    sizes = [tuple(map(int, line.split()[3:5])) for line in listed.stdout.splitlines()[2:]]
    with Image.open(io.BytesIO(shown)) as picture:
        assert picture.size in sizes


@pytest.mark.parametrize("name", [HOSTILE, "line\nbreak\x07", "躯干 手臂", "x" * 200])
def test_names_of_users_are_text_and_nothing_else(name: str, tmp_path: Path) -> None:
    whole = samples.piece(
        number=name, name=name, place=name, note=name, headline=name, cautions=(Caution(name, name),)
    )
    odd = replace(whole.strip[0], code=name, engineer=name, steel=(name,))
    bounds = (replace(whole.bounds[0], part=name, about=name),)
    said = read(replace(whole, strip=(odd, *whole.strip[1:]), bounds=bounds), tmp_path)
    if name == HOSTILE:
        assert '#panic("x") *bold* <script>alert(1)</script> $x^2$ @cite' in said
    assert "What it rests on" in said


def test_the_same_piece_gives_the_same_bytes_and_who_made_it_stands_in_the_foot(tmp_path: Path) -> None:
    pdf = sample_card(samples.piece(), made_by="the bench")
    assert "Made by the bench" in text_of(pdf, tmp_path)
    assert pdf == sample_card(samples.piece(), made_by="the bench")
    assert b"CreationDate" not in pdf
