"""A part by its shape: kept once its unit is said, judged with what a mesh spoils, computed once."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
import trimesh

from offtool.core.planning.geometry import METHOD, measure_part
from offtool.exchange.readings import FileRefused
from offtool.records.models import PartMesh, Programme
from offtool.records.operations import AlreadyKept
from offtool.records.queries import newest_mesh
from offtool.records.queries.finding import NotInRecord
from offtool.steps import part_geometry
from offtool.steps.know_part import know_part, know_parts, part_file, part_picture
from offtool.steps.part_found import MeshKept, PartFound, Weighed
from offtool.steps.part_geometry import geometry_of_part
from offtool.steps.plain import as_plain
from offtool.steps.read_mesh import MeshAbout, keep_mesh_file, measure_file, preview_mesh
from offtool.steps.read_readings import CannotKeep
from tests.labels import independent

NOW = datetime(2026, 3, 23, 9, tzinfo=UTC)
PLATE = trimesh.creation.box((60, 40, 2)).export(file_type="stl")
MM = MeshAbout(unit="mm")


@pytest.fixture(autouse=True)
def few_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls at fewer points than usual: what is tested here does not hang on how many."""
    monkeypatch.setattr(part_geometry, "measure_part", partial(measure_part, points=2000))


@pytest.fixture
def part(clip: Programme) -> tuple[str, str]:
    """The programme and the part that shapes are read for."""
    one = clip.parts.order_by("code")[0]
    return clip.slug, one.code


def keep(
    part: tuple[str, str], content: bytes = PLATE, about: MeshAbout = MM, name: str = "plate.stl",
    *, confirmed: bool = False,
) -> MeshKept:  # fmt: skip
    at = NOW + timedelta(minutes=PartMesh.objects.count())
    return keep_mesh_file(
        content, name, programme=part[0], part=part[1], about=about, read_at=at, read_by="engineer",
        confirmed=confirmed,
    )  # fmt: skip


def boss() -> bytes:
    """A plate of 2 mm with a boss of 6 mm."""
    post = trimesh.creation.cylinder(radius=3, height=12, sections=48)
    post.apply_translation((12, -5, 6))
    plate = trimesh.creation.box((60, 40, 2))
    solid = trimesh.boolean.union([plate, post], engine="manifold")
    return bytes(solid.export(file_type="stl"))


def test_a_part_without_a_shape_says_what_to_do(part: tuple[str, str]) -> None:
    found = know_part(*part)
    assert found.known is None
    assert found.headline == f"The shape of {part[1]} is not known yet."
    assert found.actions[0].leads_to == "read"
    assert found.cautions == ()


def test_without_a_unit_the_sizes_are_shown_and_nothing_is_measured_or_kept(part: tuple[str, str]) -> None:
    preview = preview_mesh(PLATE, "plate.stl", programme=part[0], part=part[1], about=MeshAbout())
    assert preview.found is None
    assert not preview.can_be_kept
    assert "in mm 60 × 40 × 2 mm" in preview.problems[0]
    assert "1524 × 1016 × 50.8 mm" in preview.problems[0]
    with pytest.raises(CannotKeep, match="does not say its unit"):
        keep(part, about=MeshAbout())
    assert not PartMesh.objects.exists()


def test_a_kept_shape_has_weight_area_and_walls(part: tuple[str, str]) -> None:
    kept = keep(part)
    found = know_part(*part)
    assert kept.found == found
    assert found.known is not None
    density = found.known.density_g_cm3
    assert density is not None
    assert found.known.weight_g == independent(4.8 * density, way="60 x 40 x 2 mm³ at the density")
    assert found.known.silhouette_mm2 == independent(2_400, way="60 x 40")
    assert found.known.thickest_mm == independent(2, way="the plate", rel=0.01)
    assert "no place is much thicker" in found.headline
    assert found.cooling[0].least_s < found.cooling[0].usual_s < found.cooling[0].most_s


def test_a_thick_boss_is_named_beside_the_wall_that_decides_and_comes_first(part: tuple[str, str]) -> None:
    keep(part, boss(), name="boss.stl")
    found = know_part(*part)
    assert "one place is 6.0 mm thick, cools last and may sink" in found.headline
    assert "can be cored out" in found.actions[0].do
    wall, thick = found.cooling
    assert (wall.what, thick.what) == ("the deciding wall", "the thickest place")
    assert thick.wall_mm == independent(6, way="the diameter of the boss", rel=0.03)
    times = (thick.wall_mm / wall.wall_mm) ** 2
    assert thick.usual_s / wall.usual_s == independent(
        times, way="cooling goes with the wall squared", rel=0.1
    )


def test_a_thick_half_is_no_spot_and_decides_the_cooling() -> None:
    thin, thick = trimesh.creation.box((60, 40, 1)), trimesh.creation.box((30, 40, 3))
    thick.apply_translation((45, 0, 0))
    solid = trimesh.boolean.union([thin, thick], engine="manifold")
    found = measure_file(solid.export(file_type="stl"), "steps.stl", about=MM, resin="ABS").found
    assert found is not None
    assert "its thick walls, 3.0 mm at most, decide the cooling" in found.headline
    (wall,) = found.cooling
    assert wall.wall_mm == independent(3, way="the thick half", rel=0.01)


def test_a_solid_pin_cools_like_a_wall_of_most_of_its_diameter_and_is_asked_to_be_hollow() -> None:
    pin = trimesh.creation.cylinder(radius=4, height=60, sections=96)
    found = measure_file(pin.export(file_type="stl"), "pin.stl", about=MM, resin="ABS").found
    assert found is not None
    assert "of ABS, solid, 8.0 mm at the thickest" in found.headline
    (wall,) = found.cooling
    assert wall.wall_mm == independent(0.7 * 8, way="0.7 of the diameter", rel=0.02)
    assert "made hollow" in found.actions[0].do
    assert not any("made hollow" in one.do for one in measured_plate().actions)


def measured_plate() -> PartFound:
    found = measure_file(PLATE, "plate.stl", about=MM, resin="ABS").found
    assert found is not None
    return found


def test_inches_make_a_part_16387_times_as_large(part: tuple[str, str]) -> None:
    small = keep(part).found.known
    large = keep(part, about=MeshAbout(unit="in"), confirmed=True).found.known
    assert small is not None
    assert large is not None
    ratio = (large.geometry.volume_mm3 or 0) / (small.geometry.volume_mm3 or 1)
    assert ratio == independent(25.4**3, way="25.4 cubed")
    preview = preview_mesh(PLATE, "p.stl", programme=part[0], part=part[1], about=MeshAbout(unit="in"))
    assert "hardly a moulded part" in preview.cautions[0].text


def test_a_size_no_part_has_stands_first_and_is_kept_only_where_it_is_confirmed(
    part: tuple[str, str],
) -> None:
    small = trimesh.creation.box((0.945, 0.354, 0.08)).export(file_type="stl")
    preview = preview_mesh(small, "small.stl", programme=part[0], part=part[1], about=MM)
    assert preview.found is not None
    assert preview.found.headline.startswith("0.945 × 0.354 × 0.08 mm is hardly a moulded part; as cm it is")
    assert f"as inches it is {0.945 * 25.4:.3g} × {0.354 * 25.4:.3g} × 2.03 mm" in preview.doubt
    with pytest.raises(CannotKeep, match="hardly a moulded part"):
        keep(part, small)
    assert not PartMesh.objects.exists()
    found = keep(part, small, confirmed=True).found
    assert found.headline == found.doubt
    (ask,) = found.actions
    assert "whether mm is its unit" in ask.do
    assert f"that of {part[1]} is doubted" in know_parts(part[0]).headline


def test_a_mesh_of_another_weight_than_the_scales_told_is_doubted_beyond_twice(
    part: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    known = keep(part).found.known
    assert known is not None
    assert known.weight_g is not None
    for times, doubted in ((0.45, True), (0.55, False), (1.9, False), (2.1, True)):
        weighed = Weighed(weight_g=times * known.weight_g, where="mean of trial T1 of tool M1")
        monkeypatch.setattr("offtool.steps.know_part.weighed_of", lambda *_, one=weighed: one)
        found = know_part(*part)
        assert (found.headline.startswith(f"By its mesh {part[1]} weighs")) is doubted, times
        assert ("whether it is the shape of" in found.actions[0].do) is doubted


def test_the_way_the_tool_opens_decides_the_area(part: tuple[str, str]) -> None:
    known = keep(part, about=MeshAbout(unit="mm", direction=(2.0, 0.0, 0.0))).found.known
    assert known is not None
    assert known.silhouette_mm2 == independent(80, way="40 x 2")
    assert known.depth_mm == independent(60, way="its length")


def test_an_open_mesh_says_what_it_spoils_and_first_what_to_mend(part: tuple[str, str]) -> None:
    ball = trimesh.creation.icosphere(3, 10)
    broken = trimesh.Trimesh(ball.vertices, ball.faces[:-9], process=False)
    found = keep(part, bytes(broken.export(file_type="stl"))).found
    assert found.known is not None
    assert (found.known.weight_g, found.known.thickest_mm) == (None, None)
    assert found.known.silhouette_mm2 > 300
    assert "not sound" in found.headline
    assert "Close the surface" in found.actions[0].do
    assert "It spoils volume, weight, wall thickness" in found.actions[0].because


def test_the_newest_shape_counts_and_the_same_is_not_kept_twice(part: tuple[str, str]) -> None:
    keep(part)
    with pytest.raises(AlreadyKept):
        keep(part)
    later = datetime(2026, 3, 24, 9, tzinfo=UTC)
    keep_mesh_file(boss(), "boss.stl", programme=part[0], part=part[1], about=MM, read_at=later, read_by="x")
    assert know_part(*part).mesh is not None
    assert part_file(*part) == (boss(), "boss.stl")


def test_what_was_computed_another_way_is_computed_again(part: tuple[str, str]) -> None:
    before = keep(part).found
    kept = PartMesh.objects.get()
    PartMesh.objects.filter(pk=kept.pk).update(measured={"method": "older"}, picture=None)
    assert know_part(*part).known == before.known
    assert part_picture(*part)[:4] == b"OTP1"
    again = PartMesh.objects.get()
    assert again.measured["method"] == METHOD
    one = newest_mesh(kept.part)
    assert one is not None
    assert geometry_of_part(kept.part) == before.known


def test_what_is_kept_is_plain_and_gives_the_same_back(part: tuple[str, str]) -> None:
    found = keep(part).found
    text = json.dumps(as_plain(found))
    assert json.loads(text)["known"]["geometry"]["silhouette_mm2"] == pytest.approx(2_400)


def test_all_parts_are_listed(part: tuple[str, str]) -> None:
    keep(part)
    found = know_parts(part[0])
    assert found.headline.startswith(f"The shape of 1 of {len(found.parts)} part")
    assert [one.part for one in found.parts] == sorted(one.part for one in found.parts)


def test_unknown_names_are_refused(part: tuple[str, str]) -> None:
    with pytest.raises(NotInRecord, match="there is no part"):
        know_part(part[0], "nothing")
    with pytest.raises(NotInRecord, match="has no shape yet"):
        part_picture(*part)
    with pytest.raises(FileRefused):
        keep(part, b"nothing")


def test_a_file_alone_is_measured_without_a_programme() -> None:
    found = measure_file(PLATE, "plate.stl", about=MM, resin="abs").found
    assert found is not None
    assert found.headline.startswith("5.04 g of ABS")
    bare = measure_file(PLATE, "plate.stl", about=MeshAbout(unit="mm", thin_mm=3.0)).found
    assert bare is not None
    assert bare.known is not None
    assert bare.known.weight_g is None
    assert bare.said == ("Cooling: name the resin.",)
    assert bare.known.geometry.walls is not None
    assert bare.known.geometry.walls.thin_share == 1
