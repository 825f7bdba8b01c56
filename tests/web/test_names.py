"""Any name leads to its page and back."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from offtool.web.names import NameInPath
from offtool.web.pages.frame import anchor

NAMES = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), min_size=1, max_size=100)
CONVERTER = NameInPath()


@given(NAMES)
def test_a_name_comes_back_from_its_address(name: str) -> None:
    assert CONVERTER.to_python(CONVERTER.to_url(name)) == name


@given(NAMES)
def test_no_name_leads_out_of_its_place_in_an_address(name: str) -> None:
    piece = CONVERTER.to_url(name)
    assert "/" not in piece
    assert piece not in (".", "..")


@pytest.mark.parametrize("name", [".", "..", "T1/b", "~", "~-", "a b?c#d%2F", "模具", "\\..\\"])
def test_an_awkward_name_is_found_again_by_a_request(name: str, client: Client, db: None) -> None:
    address = reverse("trial", args=["harbour-otter", name, "T1"])
    answer = client.get(address, {"format": "json"})
    assert answer.status_code == 404
    assert answer.json()["error"] == "no programme 'harbour-otter'"


def test_a_zero_byte_is_in_no_name(client: Client, db: None) -> None:
    assert client.get("/p/otter/M%002/T1/").status_code == 404
    with pytest.raises(ValueError, match="zero byte"):
        CONVERTER.to_python("M\0")


@given(NAMES, NAMES)
def test_two_names_never_share_a_mark_on_a_page(one: str, other: str) -> None:
    assert (anchor("size", one) == anchor("size", other)) is (one == other)
    assert anchor("size", one).isascii()
