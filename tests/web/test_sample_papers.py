"""What is handed out of the register: card, labels, the register as a table; and how each refuses."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import cast

import pytest
from django.http import FileResponse
from django.test import Client

from offtool.exchange.samples_file import read_samples
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import SampleSaid, register_sample
from offtool.steps.samples_as_rows import samples_as_rows
from tests.reports.test_layout_report import text_of
from tests.web import otter

SAMPLES = f"/p/{otter.SLUG}/samples/"
AT = datetime(2026, 5, 3, 14, tzinfo=UTC)


@pytest.fixture
def register(db: None) -> None:
    """Two pieces in the register."""
    otter.make_programme()
    for number in ("0417", "0418"):
        register_sample(otter.SLUG, SampleSaid(number=number, name=f"piece {number}"), at=AT, by="bench")


def content(client: Client, address: str) -> bytes:
    response = cast("FileResponse", client.get(address))
    assert response.status_code == 200
    assert response["Content-Disposition"].startswith("attachment")
    return b"".join(cast("Iterable[bytes]", response.streaming_content))


def test_the_card_says_what_the_page_says(register: None, client: Client, tmp_path: Path) -> None:
    said = text_of(content(client, f"{SAMPLES}0417/card.pdf"), tmp_path)
    assert identify_sample(otter.SLUG, "0417").headline in said


def test_labels_are_of_all_or_of_those_that_are_named(register: None, client: Client, tmp_path: Path) -> None:
    every = text_of(content(client, f"{SAMPLES}labels.pdf"), tmp_path)
    assert "0417" in every
    assert "0418" in every
    one = text_of(content(client, f"{SAMPLES}labels.pdf?number=0418&skip=3"), tmp_path)
    assert "0417" not in one
    assert content(client, f"{SAMPLES}labels.pdf?single").startswith(b"%PDF")


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("0999/card.pdf", 404),
        ("labels.pdf?number=0999", 404),
        ("labels.pdf?skip=24", 422),
        ("labels.pdf?skip=some", 422),
        ("labels.pdf?skip=²", 422),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    register: None, client: Client, address: str, status: int
) -> None:
    response = client.get(SAMPLES + address)
    assert response.status_code == status
    assert b"Not " in response.content


@pytest.mark.parametrize("name", ["samples.csv", "samples.xlsx"])
def test_the_register_goes_out_as_it_can_be_read_again(register: None, client: Client, name: str) -> None:
    assert read_samples(content(client, SAMPLES + name), name).rows == samples_as_rows(otter.SLUG)
    chosen = read_samples(content(client, f"{SAMPLES}{name}?words=0418"), name).rows
    assert [row.number for row in chosen] == ["0418"]
