"""Wall thickness of solids whose walls are known, by rays and by spheres."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
import trimesh
from hypothesis import strategies as st

from offtool.core.planning.geometry import WallFinding, spheres
from tests.core.laws import law
from tests.core.planning.geometry.solids import angle, ball, box, hollow, measured, ring
from tests.labels import independent

TURNS = st.tuples(*[st.floats(-3, 3) for _ in range(3)])


def walls(solid: trimesh.Trimesh, *, points: int = 4000, thin_mm: float | None = None) -> WallFinding:
    found = measured(solid, points=points, thin_mm=thin_mm).walls
    assert found is not None
    return found


def test_a_plate_has_its_thickness_by_both_ways() -> None:
    found = walls(box(60, 40, 2))
    for spread in (found.by_sphere, found.by_ray):
        assert spread.median_mm == independent(2, way="as made", rel=1e-6)
        assert (spread.p5_mm, spread.p95_mm) == pytest.approx((2, 2), rel=1e-3)
    assert found.disagree_share < 0.001
    assert found.missed_share == 0


def test_the_rim_of_a_plate_and_a_strip_half_a_wall_wide_beside_it_are_no_wall() -> None:
    """Nearer to the edge than half of the wall, the rim holds the sphere before the other side does."""
    found = walls(box(60, 40, 2), points=20_000)
    rim, strips = 200 * 2, 2 * 200 * 1
    assert found.corner_share == independent((rim + strips) / 5200, way="by their areas", rel=0.05)


def test_a_sphere_is_as_thick_as_its_diameter() -> None:
    found = walls(ball(10, 4))
    assert found.by_ray.median_mm == independent(20, way="2 r", rel=0.005)
    assert found.by_sphere.median_mm == independent(20, way="2 r", rel=0.015)
    place = found.thickest[0]
    assert np.linalg.norm([place.x_mm, place.y_mm, place.z_mm]) < 0.2
    assert place.thickness_mm == independent(20, way="2 r", rel=0.01)


def test_a_ring_is_as_thick_as_its_tube() -> None:
    found = walls(ring(20, 5))
    assert found.by_ray.median_mm == independent(10, way="2 r", rel=0.005)
    assert found.by_sphere.median_mm == independent(10, way="2 r", rel=0.015)


def test_a_rod_is_as_thick_as_its_diameter() -> None:
    found = walls(trimesh.creation.cylinder(radius=5, height=40, sections=96))
    assert found.by_ray.median_mm == independent(10, way="2 r", rel=0.005)
    assert found.by_sphere.median_mm == independent(10, way="2 r", rel=0.02)


def test_a_hollow_box_has_its_wall_and_no_more_where_the_ray_looks_along_it() -> None:
    found = walls(hollow((40, 30, 20), 2), points=8000)
    assert found.by_sphere.median_mm == independent(2, way="as made", rel=1e-6)
    assert found.by_sphere.p95_mm < 2.2
    assert found.by_ray.most_mm > 15
    assert 0.02 < found.disagree_share < 0.12


def test_the_thickest_place_of_an_angle_is_its_corner() -> None:
    """The circle that touches both outer faces and the inner edge: r √2 = (w - r) √2 · 1 solved for r."""
    wall = 3.0
    radius = wall * sqrt(2) / (1 + sqrt(2))
    found = walls(angle(40, wall, 50), points=12_000)
    assert found.by_sphere.median_mm == independent(wall, way="as made", rel=1e-3)
    place = found.thickest[0]
    assert place.thickness_mm == independent(2 * radius, way="the inscribed circle of the corner", rel=0.02)
    assert (place.x_mm, place.y_mm) == pytest.approx((radius, radius), abs=0.05)
    assert place.ray_mm is not None
    assert place.ray_mm > 2 * place.thickness_mm


def test_a_boss_that_is_too_thick_is_found_where_it_stands() -> None:
    plate = box(60, 40, 2)
    boss = trimesh.creation.cylinder(radius=3, height=12, sections=64)
    boss.apply_translation((12, -5, 6))
    solid = trimesh.boolean.union([plate, boss], engine="manifold")
    found = walls(solid, points=12_000)
    place = found.thickest[0]
    assert place.thickness_mm == independent(6, way="the diameter of the boss", rel=0.04)
    assert (place.x_mm, place.y_mm) == pytest.approx((12, -5), abs=0.2)
    assert found.by_sphere.median_mm == independent(2, way="the plate", rel=1e-3)
    share = 2 * np.pi * 3 * 11 / solid.area
    assert found.thick_share == pytest.approx(share, rel=0.35)


def test_two_steps_are_counted_by_their_area() -> None:
    thin, thick = box(30, 40, 1), box(30, 40, 3)
    thick.apply_translation((30, 0, 0))
    solid = trimesh.boolean.union([thin, thick], engine="manifold")
    found = walls(solid, points=12_000, thin_mm=2)
    # what lies nearer to a rim, or to the step, than half of its own wall is no wall
    thin_area, thick_area = (30 - 0.5) * (40 - 1), (30 - 3) * (40 - 3)
    share = thin_area / (thin_area + thick_area)
    assert found.thin_share == independent(share, way="areas of both, less the strips", rel=0.02)
    assert sum(found.shares) == pytest.approx(1)


def test_no_sphere_is_larger_than_its_ray() -> None:
    for solid in (hollow((40, 30, 20), 2), angle(40, 3, 50), ring(20, 5, around=24, across=12)):
        found = walls(solid)
        assert found.by_sphere.most_mm <= found.by_ray.most_mm * (1 + 1e-9)
        assert found.by_sphere.median_mm <= found.by_ray.median_mm * (1 + 1e-9)


@law(examples=6, turns=TURNS, size=st.floats(0.2, 5))
def test_walls_scale_with_the_part_and_do_not_hang_on_its_place(
    turns: tuple[float, float, float], size: float
) -> None:
    solid = hollow((40, 30, 20), 2)
    solid.apply_transform(trimesh.transformations.euler_matrix(*turns))
    solid.apply_scale(size)
    solid.apply_translation((500, -200, 300))
    found = walls(solid, points=2000)
    assert found.by_sphere.median_mm == independent(2 * size, way="as made", rel=1e-3)
    assert found.by_ray.median_mm == independent(2 * size, way="as made", rel=1e-3)


def test_how_many_rays_run_at_once_changes_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    together = walls(angle(40, 3, 50), points=3000)
    monkeypatch.setattr(spheres, "AT_ONCE", 1)
    assert walls(angle(40, 3, 50), points=3000) == together


def test_a_ray_that_ends_early_changes_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what is farther than the sphere so far is left out."""
    ended = walls(hollow((40, 30, 20), 2), points=3000)
    monkeypatch.setattr(spheres, "ROUNDED", 1e6)
    assert walls(hollow((40, 30, 20), 2), points=3000) == ended


def test_the_same_mesh_gives_the_same_numbers_every_time() -> None:
    assert walls(angle(40, 3, 50)) == walls(angle(40, 3, 50))
