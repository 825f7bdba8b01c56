"""Volume, surface, depth and shadow of solids whose sizes are known by formula."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

import numpy as np
import pytest
import trimesh
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from shapely.geometry import Polygon
from shapely.ops import unary_union

from offtool.core.planning.geometry import Mesh
from offtool.core.planning.geometry.mesh import unit_vector
from offtool.core.planning.geometry.silhouette import plane_across, silhouette_mm2
from offtool.core.values import ImpossibleInput
from tests.core.laws import law
from tests.core.planning.geometry.solids import ball, box, hollow, looked_at, measured, mesh, ring, without
from tests.labels import independent, remembered

DIRECTIONS = st.tuples(*[st.floats(-1, 1) for _ in range(3)]).filter(lambda one: np.linalg.norm(one) > 0.1)
TURNS = st.tuples(*[st.floats(-3, 3) for _ in range(3)])
ICOSPHERE = "trimesh's own volume and area of its icosphere, computed once apart"


def turned(solid: trimesh.Trimesh, turns: tuple[float, float, float]) -> trimesh.Trimesh:
    moved = solid.copy()
    moved.apply_transform(trimesh.transformations.euler_matrix(*turns))
    return moved


def shadow(solid: trimesh.Trimesh, way: tuple[float, float, float], *, is_closed: bool = True) -> float:
    return silhouette_mm2(mesh(solid), unit_vector(way), is_closed=is_closed)


def test_a_box_has_the_volume_surface_and_shadow_of_a_box() -> None:
    found = measured(box(40, 30, 20))
    assert found.volume_mm3 == independent(24_000, way="40 x 30 x 20")
    assert found.surface_mm2 == independent(5_200, way="twice the sum of three sides")
    assert found.silhouette_mm2 == independent(1_200, way="40 x 30")
    assert found.depth_mm == independent(20, way="its third side")
    assert found.box_mm == (40, 30, 20)
    assert found.undercut_share == 0


def test_a_tetrahedron_has_the_volume_worked_out_by_hand() -> None:
    corners = np.array([[0, 0, 0], [3, 0, 0], [0, 4, 0], [0, 0, 5.0]])
    faces = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    solid = Mesh(vertices=corners, faces=faces)
    assert solid.signed_volume() == independent(10, way="3 x 4 x 5 / 6")
    shadow = silhouette_mm2(solid, np.array([0, 0, 1.0]), is_closed=True)
    assert shadow == independent(6, way="the right angle below, 3 x 4 / 2")


@pytest.mark.parametrize(
    ("subdivisions", "volume", "area"), [(3, "4152.7408", "1250.6493"), (5, "4186.5249", "1256.2613")]
)
def test_a_sphere_of_flat_faces_has_the_volume_and_area_computed_elsewhere(
    subdivisions: int, volume: str, area: str
) -> None:
    solid = mesh(ball(10, subdivisions))
    assert solid.signed_volume() == remembered(volume, source=ICOSPHERE)
    assert float(solid.areas.sum()) == remembered(area, source=ICOSPHERE)


def test_a_finer_sphere_comes_nearer_to_the_true_one() -> None:
    true = 4 / 3 * pi * 1000
    away = [abs(mesh(ball(10, fine)).signed_volume() - true) for fine in (2, 3, 4)]
    assert all(fine < coarse / 3.5 for coarse, fine in pairwise(away))
    assert mesh(ball(10, 5)).signed_volume() == independent(true, way="4/3 pi r³", rel=6e-4)


def test_the_shadow_of_a_ring_leaves_its_hole_out() -> None:
    outer, inner = 25.0, 15.0
    found = measured(ring(20, 5, around=256, across=64), points=500)
    annulus = pi * (outer**2 - inner**2)
    assert found.silhouette_mm2 == independent(annulus, way="pi (R² - r²)", rel=3e-4)
    assert found.volume_mm3 == independent(2 * pi**2 * 20 * 25, way="2 pi² R r²", rel=3e-3)
    assert found.depth_mm == independent(10, way="twice the minor radius")


def test_the_shadow_from_the_side_counts_what_covers_itself_once() -> None:
    side = shadow(ring(20, 5, around=512, across=64), (1, 0, 0))
    assert side == independent(40 * 10 + pi * 25, way="a slot of 40 by 10 with round ends", rel=2e-3)


@law(turns=TURNS, way=DIRECTIONS)
def test_the_shadow_of_a_convex_solid_is_half_of_what_its_faces_show(
    turns: tuple[float, float, float], way: tuple[float, float, float]
) -> None:
    solid = turned(box(40, 30, 20), turns)
    along = np.abs(np.array(solid.face_normals) @ unit_vector(way))
    half = float((along * solid.area_faces).sum() / 2)
    assert shadow(solid, way) == independent(half, way="half of the sum of |n·d| A", rel=1e-6)


@law(examples=20, way=DIRECTIONS)
def test_the_shadow_of_a_convex_solid_is_the_hull_of_its_corners(way: tuple[float, float, float]) -> None:
    solid = ball(10, 2)
    flat = np.array(solid.vertices) @ np.column_stack(plane_across(unit_vector(way)))
    area = float(ConvexHull(flat).volume)  # of a plane figure, what scipy calls volume is its area
    assert shadow(solid, way) == independent(area, way="convex hull of the projected corners", rel=1e-6)


@law(examples=15, turns=TURNS)
def test_the_shadow_is_the_union_of_all_triangles(turns: tuple[float, float, float]) -> None:
    solid = turned(ring(20, 5, around=24, across=12), turns)
    flat = np.array(solid.vertices) @ np.column_stack(plane_across(np.array([0, 0, 1.0])))
    union = unary_union([one for face in solid.faces if (one := Polygon(flat[face])).area > 1e-9])
    assert shadow(solid, (0, 0, 1)) == independent(union.area, way="union of polygons by shapely", rel=1e-6)


def test_an_open_mesh_casts_the_shadow_of_all_its_faces() -> None:
    whole = ball(10, 3)
    upper = trimesh.Trimesh(whole.vertices, whole.faces[whole.triangles_center[:, 2] > 0], process=False)
    assert shadow(upper, (0, 0, 1), is_closed=False) == pytest.approx(shadow(whole, (0, 0, 1)), rel=0.02)
    assert looked_at(without(whole, 7)).findings.is_closed is False


def test_a_sphere_is_cast_round_whatever_the_way() -> None:
    for way in ((0.0, 0.0, 1.0), (1.0, 2.0, 3.0), (-1.0, 0.2, 0.0)):
        assert shadow(ball(10, 5), way) == independent(pi * 100, way="pi r²", rel=1.5e-3)


@law(examples=25, turns=TURNS, size=st.floats(0.05, 20), move=TURNS)
def test_volume_area_and_shadow_scale_as_they_should_and_do_not_hang_on_the_place(
    turns: tuple[float, float, float], size: float, move: tuple[float, float, float]
) -> None:
    solid = hollow((40, 30, 20), 2)
    moved = turned(solid, turns)
    moved.apply_scale(size)
    moved.apply_translation(np.array(move) * 100)
    assert mesh(moved).signed_volume() == independent(9_024 * size**3, way="24000 - 36 x 26 x 16", rel=1e-9)
    area = float(mesh(moved).areas.sum())
    assert area == independent(size**2 * (5_200 + 3_856), way="outside and inside", rel=1e-9)
    way = tuple(trimesh.transformations.euler_matrix(*turns)[:3, 2])
    assert shadow(moved, way) == independent(1_200 * size**2, way="40 x 30", rel=1e-5)  # type: ignore[arg-type]


def test_a_mirror_and_another_order_of_triangles_change_nothing() -> None:
    solid = ring(20, 5, around=24, across=12)
    mirrored = trimesh.Trimesh(solid.vertices * [-1, 1, 1], solid.faces[:, ::-1], process=False)
    shuffled = trimesh.Trimesh(
        solid.vertices, np.random.default_rng(4).permutation(solid.faces), process=False
    )
    whole = shadow(solid, (1, 2, 3))
    assert mesh(mirrored).signed_volume() == pytest.approx(mesh(solid).signed_volume(), rel=1e-12)
    assert shadow(mirrored, (-1, 2, 3)) == pytest.approx(whole, rel=1e-7)
    assert mesh(shuffled).signed_volume() == pytest.approx(mesh(solid).signed_volume(), rel=1e-12)
    assert shadow(shuffled, (1, 2, 3)) == pytest.approx(whole, rel=1e-9)


def test_the_shadow_is_the_same_from_both_sides() -> None:
    solid = ring(20, 5, around=24, across=12)
    assert shadow(solid, (1, 2, 3)) == pytest.approx(shadow(solid, (-1, -2, -3)), rel=1e-6)


def test_weight_is_volume_times_density() -> None:
    found = measured(box(40, 30, 20), density=1.05, points=200)
    assert found.weight_g == independent(25.2, way="24 cm³ x 1.05")
    assert measured(box(40, 30, 20), points=200).weight_g is None


def test_a_hook_has_an_undercut_and_a_cup_has_none() -> None:
    cup = Polygon([(0, 0), (20, 0), (20, 15), (18, 15), (18, 2), (2, 2), (2, 15), (0, 15)])
    solid = trimesh.creation.extrude_polygon(cup, 10)
    assert measured(solid, (0, 1, 0)).undercut_share == 0
    found = measured(solid, (1, 0, 0), points=20_000)
    hidden = 2 * 13 * 10 / solid.area  # both inner sides: a leg stands before each
    assert found.undercut_share == independent(hidden, way="area of the two inner sides", rel=0.02)


def test_what_points_nowhere_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must point somewhere"):
        measured(box(1, 1, 1), (0, 0, 0))
    with pytest.raises(ImpossibleInput, match="density_g_cm3"):
        measured(box(1, 1, 1), density=0)
    with pytest.raises(ImpossibleInput, match="thin_mm"):
        measured(box(1, 1, 1), thin_mm=-1)


def test_a_rotated_box_shows_a_closed_form() -> None:
    solid = turned(box(10, 10, 10), (0, 0, 0))
    along = shadow(solid, (1, 1, 1))
    assert along == independent(100 * sqrt(3), way="a cube along its diagonal: a² √3", rel=1e-6)
