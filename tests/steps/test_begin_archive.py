"""A register of pieces of which no record is left."""

from __future__ import annotations

import pytest

from offtool.core.values import OfftoolError
from offtool.handbook.terms import Stage
from offtool.records.models import Part, Programme
from offtool.steps.begin_archive import begin_archive
from offtool.steps.identify_sample import identify_sample
from offtool.steps.keep_sample import PartSaid, SampleSaid, look_for_sign_on, register_sample
from tests.steps.clip import NOON

TOLD = {"at": NOON, "by": "archivist"}


@pytest.mark.django_db
def test_a_title_is_enough_and_a_piece_is_told_its_stage() -> None:
    slug = begin_archive("From the attic", [], by="archivist")
    assert slug == "from-the-attic"
    number = register_sample(slug, SampleSaid(name="bear"), **TOLD)  # type: ignore[arg-type]
    for sign, outcome in (("writing", "pilot mark"), ("paint", "masks or print"), ("seam", "welded")):
        look_for_sign_on(slug, number, sign, outcome, **TOLD)  # type: ignore[arg-type]
    found = identify_sample(slug, number)
    assert found.identified.top.stage is Stage.PILOT
    assert "Most likely" in found.headline or "From" in found.headline


@pytest.mark.django_db
def test_its_parts_are_looked_at_one_by_one() -> None:
    slug = begin_archive("From the attic", ["torso", "arm"], by="archivist")
    assert set(Part.objects.values_list("code", "resin__code")) == {("torso", "ABS"), ("arm", "ABS")}
    parts = (PartSaid(part="torso"), PartSaid(part="arm", label="left arm"))
    number = register_sample(slug, SampleSaid(parts=parts), **TOLD)  # type: ignore[arg-type]
    for part in ("torso", "left arm"):
        look_for_sign_on(slug, number, "colour", "mixed or streaked", part=part, **TOLD)  # type: ignore[arg-type]
        look_for_sign_on(slug, number, "date mark", "there", part=part, **TOLD)  # type: ignore[arg-type]
    found = identify_sample(slug, number)
    assert found.identified.top.stage is Stage.CHANGE
    assert [one.label for one in found.identified.parts] == ["torso", "left arm"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("title", "parts", "resin", "said"),
    [
        ("  ", [], "ABS", "no title"),
        ("Clip", ["arm", "arm"], "ABS", "'arm' stands twice"),
        ("Clip", ["arm"], "ABBS", "no resin 'ABBS'"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    title: str, parts: list[str], resin: str, said: str
) -> None:
    with pytest.raises(OfftoolError, match=said):
        begin_archive(title, parts, resin=resin, by="archivist")
    assert not Programme.objects.exists()


@pytest.mark.django_db
def test_a_title_that_is_taken_is_refused() -> None:
    begin_archive("From the attic", [], by="archivist")
    with pytest.raises(OfftoolError, match="already"):
        begin_archive("From the attic", [], by="archivist")
