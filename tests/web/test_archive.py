"""The page that begins a register of pieces without any record."""

from __future__ import annotations

import pytest
from django.test import Client

from offtool.records.models import Part, Programme

PATH = "/archive/"


@pytest.mark.django_db
def test_a_title_begins_it_and_leads_to_the_first_piece(client: Client) -> None:
    assert "no record is left" in client.get(PATH).content.decode()
    told = {"title": "From the attic", "parts": "torso\narm, leg", "resin": "ABS", "made_by": "Ada"}
    sent = client.post(PATH, told)
    assert sent.status_code == 302
    assert sent["Location"] == "/p/from-the-attic/samples/new/"
    assert list(Part.objects.order_by("pk").values_list("code", flat=True)) == ["torso", "arm", "leg"]
    assert client.get(sent["Location"]).status_code == 200


@pytest.mark.django_db
def test_a_refusal_stands_on_the_form_and_loses_nothing(client: Client) -> None:
    told = {"title": "From the attic", "parts": "arm\narm", "resin": "ABS", "made_by": "Ada"}
    sent = client.post(PATH, told)
    said = sent.content.decode()
    assert sent.status_code == 422
    assert "stands twice" in said
    assert "From the attic" in said
    assert not Programme.objects.exists()


@pytest.mark.django_db
def test_the_first_page_leads_to_it(client: Client) -> None:
    assert f'href="{PATH}"' in client.get("/").content.decode()
