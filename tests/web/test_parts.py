"""The pages of parts by their shapes: what they answer, how a shape is read, and how they refuse."""

from __future__ import annotations

import json
import re
from functools import partial
from urllib.parse import unquote

import pytest
import trimesh
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from offtool.core.planning.geometry import measure_part
from offtool.records.models import Part, PartMesh
from offtool.steps import part_geometry
from offtool.steps.know_part import know_part, know_parts
from offtool.steps.plain import as_plain
from tests.web import otter
from tests.web.rendering import Outline, faults

PLATE = trimesh.creation.box((60, 40, 2)).export(file_type="stl")


@pytest.fixture(autouse=True)
def few_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls at fewer points than usual: what is tested here does not hang on how many."""
    monkeypatch.setattr(part_geometry, "measure_part", partial(measure_part, points=2000))


@pytest.fixture
def part(db: None) -> str:
    """The code of a part that has no shape yet."""
    otter.make_programme()
    return str(Part.objects.order_by("code")[0].code)


def address(part: str, more: str = "") -> str:
    return f"/p/{otter.SLUG}/parts/{part}/{more}"


def page(client: Client, where: str) -> str:
    answer = client.get(where)
    assert answer.status_code == 200, answer.content
    return answer.content.decode()


def send(client: Client, part: str, content: bytes = PLATE, name: str = "plate.stl") -> str:
    """Send a file; the address of its preview."""
    answer = client.post(address(part, "read/"), {"file": SimpleUploadedFile(name, content)})
    assert answer.status_code == 302, answer.content
    return str(answer["Location"])


def keep(client: Client, part: str, **told: str) -> None:
    slip = send(client, part).split("upload=")[1]
    sent = {"upload": unquote(slip), "unit": "mm", "read_by": "engineer", "note": "drawing 7", **told}
    answer = client.post(address(part, "read/"), sent)
    assert answer.status_code == 302, answer.content.decode()
    assert answer["Location"] == address(part)


def test_the_programme_leads_to_its_parts(client: Client, part: str) -> None:
    assert f'href="/p/{otter.SLUG}/parts/"' in page(client, f"/p/{otter.SLUG}/")


def test_a_part_without_a_shape_says_what_to_do_first(client: Client, part: str) -> None:
    html = page(client, address(part))
    assert "is not known yet" in html
    assert f'href="{address(part, "read/")}"' in html
    assert "offtool-part.js" not in html
    assert faults(html) == []


def test_a_file_without_a_unit_asks_for_it_and_cannot_be_kept(client: Client, part: str) -> None:
    html = page(client, send(client, part))
    text = Outline(html).text
    assert "In which unit is this file?" in text
    assert "60 × 40 × 2 mm" in text
    assert "hardly a moulded part" in text
    assert "Keep this shape" not in text
    assert faults(html) == []


def test_with_its_unit_the_file_is_measured_before_it_is_kept(client: Client, part: str) -> None:
    html = page(client, send(client, part) + "&unit=mm")
    text = Outline(html).text
    for words in ("Keep this shape", "24 cm²", "the true shadow along z", "nothing runs through itself"):
        assert words in text
    assert 'class="part-walls"' in html
    assert "whether the steel and the parts are so, only measuring shows" in text
    assert not PartMesh.objects.exists()
    assert faults(html) == []


def test_a_shape_that_is_hardly_a_part_is_kept_only_where_that_is_ticked(client: Client, part: str) -> None:
    preview = send(client, part) + "&unit=m"
    html = page(client, preview)
    assert Outline(html).text.count("60000 × 40000 × 2000 mm is hardly a moulded part") >= 1
    assert 'name="confirmed"' in html
    assert 'name="confirmed"' not in page(client, send(client, part) + "&unit=mm")
    slip = unquote(preview.split("upload=")[1].split("&")[0])
    told = {"upload": slip, "unit": "m", "read_by": "engineer"}
    refused = client.post(address(part, "read/"), told)
    assert "hardly a moulded part" in refused.content.decode()
    assert not PartMesh.objects.exists()
    kept = client.post(address(part, "read/"), {**told, "confirmed": "on"})
    assert kept.status_code == 302
    assert PartMesh.objects.count() == 1


def test_a_direction_of_ones_own_is_taken_or_asked_for(client: Client, part: str) -> None:
    preview = send(client, part) + "&unit=mm&opens=other"
    assert "Give the direction" in page(client, preview)
    assert "0.8 cm²" in page(client, preview + "&along_x=1")


def test_a_kept_shape_is_shown_with_its_picture(client: Client, part: str) -> None:
    keep(client, part)
    html = page(client, address(part))
    found = know_part(otter.SLUG, part)
    assert html.index("What to do") < html.index('id="picture"') < html.index('id="numbers"')
    assert found.headline in Outline(html).text
    assert 'type="module"' in html
    assert 'class="part-walls"' in html
    assert "Drawing 7." in Outline(html).text
    told = json.loads(re.findall(r'data-told="([^"]+)"', html)[0].replace("&quot;", '"'))
    assert told["classes"][-1]["to"] is None
    assert told["marks"][0]["mm"] == pytest.approx(2, rel=0.01)
    assert [one for one in faults(html) if "offtool-part.js" not in one] == []


def test_the_picture_and_the_file_are_served_as_bytes(client: Client, part: str) -> None:
    keep(client, part)
    picture = client.get(address(part, "picture.bin"))
    assert picture.content[:4] == b"OTP1"
    assert picture["Content-Type"] == "application/octet-stream"
    file = client.get(address(part, "file/"))
    assert b"".join(file.streaming_content) == PLATE  # type: ignore[attr-defined]
    assert 'filename="plate.stl"' in file["Content-Disposition"]


def test_json_is_the_result_of_the_step(client: Client, part: str) -> None:
    keep(client, part)
    assert client.get(address(part, "?format=json")).json() == as_plain(know_part(otter.SLUG, part))
    assert client.get(f"/p/{otter.SLUG}/parts/?format=json").json() == as_plain(know_parts(otter.SLUG))
    preview = client.get(send(client, part) + "&unit=mm&format=json").json()
    assert preview["found"]["known"]["silhouette_mm2"] == pytest.approx(2_400)


def test_all_parts_are_listed_with_what_to_do_next(client: Client, part: str) -> None:
    html = page(client, f"/p/{otter.SLUG}/parts/")
    assert f'href="{address(part)}"' in html
    assert "not known" in html
    keep(client, part)
    html = page(client, f"/p/{otter.SLUG}/parts/")
    assert "24.00 cm²" in Outline(html).text
    assert faults(html) == []


def test_what_is_not_there_is_said(client: Client, part: str) -> None:
    assert client.get(address("nothing")).status_code == 404
    assert client.get(address(part, "picture.bin")).status_code == 404
    assert client.get(address(part, "file/?format=json")).json()["error"] == f"part {part} has no shape yet"


def test_a_file_that_is_none_is_refused_in_words(client: Client, part: str) -> None:
    answer = client.get(send(client, part, b"nothing of the kind"))
    assert answer.status_code == 422
    assert "is no STL, OBJ or 3MF" in answer.content.decode()
    assert client.post(address(part, "read/"), {}).status_code == 422


def test_the_same_file_is_not_kept_twice(client: Client, part: str) -> None:
    keep(client, part)
    slip = unquote(send(client, part).split("upload=")[1])
    answer = client.post(address(part, "read/"), {"upload": slip, "unit": "mm", "read_by": "engineer"})
    assert answer.status_code == 422
    assert "already" in answer.content.decode()
    assert PartMesh.objects.count() == 1
