"""What is wrong with a mesh is seen, mended where that is safe, and said with what it spoils."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from offtool.core.planning.geometry import FaultKind, Mesh, MeshFault, Number, inspect_mesh
from offtool.core.values import ImpossibleInput
from tests.core.planning.geometry.solids import (
    angle,
    ball,
    box,
    hollow,
    looked_at,
    measured,
    mesh,
    ring,
    without,
)
from tests.labels import independent

SPOILED = {Number.VOLUME, Number.WEIGHT, Number.WALL}


def fault(solid: trimesh.Trimesh, kind: FaultKind) -> MeshFault:
    found = [one for one in looked_at(solid).findings.faults if one.kind is kind]
    assert len(found) == 1, looked_at(solid).findings.faults
    return found[0]


def as_faces(solid: trimesh.Trimesh, faces: object) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices, faces, process=False)


@pytest.mark.parametrize("solid", [box(40, 30, 20), ball(10, 3), ring(20, 5), hollow((40, 30, 20), 2)])
def test_a_sound_mesh_has_no_fault(solid: trimesh.Trimesh) -> None:
    found = looked_at(solid).findings
    assert found.faults == ()
    assert found.is_closed
    assert found.is_sound


def test_triangles_with_corners_of_their_own_are_joined() -> None:
    soup = Mesh(vertices=ball().triangles.reshape(-1, 3), faces=np.arange(3 * 1280).reshape(-1, 3))
    found = inspect_mesh(soup).findings
    assert (found.faults, found.corners, found.triangles) == ((), 642, 1280)


def test_a_hole_is_counted_placed_and_said_to_spoil_volume_weight_and_wall() -> None:
    solid = without(box(40, 30, 20), 1)
    found = fault(solid, FaultKind.OPEN)
    assert found.count == 3
    assert set(found.spoils) == SPOILED
    assert found.where_mm is not None
    edges = np.linalg.norm(np.diff(solid.vertices[box(40, 30, 20).faces[-1][[0, 1, 2, 0]]], axis=0), axis=1)
    assert f"{edges.sum():.3g} mm of rim" in found.words
    assert not found.is_mended


def test_an_open_mesh_still_answers_what_it_can() -> None:
    found = measured(without(ball(10, 3), 12), density=1.05)
    assert found.volume_mm3 is None
    assert found.weight_g is None
    assert set(found.spoiled) == SPOILED
    assert found.silhouette_mm2 == independent(measured(ball(10, 3)).silhouette_mm2, way="whole", rel=0.02)
    assert found.depth_mm == independent(20, way="2 r", rel=0.01)
    assert found.walls is not None
    assert found.walls.missed_share > 0


def test_faces_that_look_the_other_way_than_their_neighbours_are_turned() -> None:
    solid = ball()
    faces = solid.faces.copy()
    faces[5:30] = faces[5:30, ::-1]
    found = fault(as_faces(solid, faces), FaultKind.TURNED)
    assert (found.count, found.is_mended, found.spoils) == (25, True, ())
    mended = looked_at(as_faces(solid, faces)).mesh
    assert mended.signed_volume() == pytest.approx(mesh(solid).signed_volume(), rel=1e-12)


def test_a_mesh_that_is_inside_out_is_turned() -> None:
    solid = ball()
    found = fault(as_faces(solid, solid.faces[:, ::-1]), FaultKind.INSIDE_OUT)
    assert found.is_mended
    turned = looked_at(as_faces(solid, solid.faces[:, ::-1])).mesh
    assert turned.signed_volume() == pytest.approx(mesh(solid).signed_volume(), rel=1e-12)


def test_a_hollow_is_not_taken_for_a_body_that_is_inside_out() -> None:
    solid = hollow((40, 30, 20), 2)
    found = looked_at(solid)
    assert found.findings.bodies == 2
    assert found.mesh.signed_volume() == independent(9_024, way="24000 - 36 x 26 x 16")


def test_a_hollow_turned_the_wrong_way_or_a_part_in_a_part_is_said_to_count_twice() -> None:
    inner = box(36, 26, 16)
    both = looked_at(trimesh.util.concatenate([box(40, 30, 20), inner]))
    (found,) = both.findings.faults
    assert (found.kind, found.count, found.is_mended) == (FaultKind.NESTED, 1, False)
    assert {Number.VOLUME, Number.WEIGHT, Number.WALL} <= set(found.spoils)
    assert both.findings.has_inside
    # a loose part in a hollow is no fault: what it fills was taken off before
    rattle = looked_at(trimesh.util.concatenate([hollow((40, 30, 20), 2), box(5, 5, 5)]))
    assert rattle.findings.faults == ()
    assert rattle.mesh.signed_volume() == independent(24_000 - 36 * 26 * 16 + 125, way="by their sides")


def test_a_body_in_the_notch_of_another_is_outside_it_and_turned_where_it_looks_inwards() -> None:
    beside = box(4, 4, 4)
    beside.apply_translation((20, 20, 10))
    for turn in (False, True):
        body = beside.copy()
        if turn:
            body.invert()
        found = looked_at(trimesh.util.concatenate([angle(30, 3, 20), body]))
        kinds = [one.kind for one in found.findings.faults]
        assert kinds == ([FaultKind.INSIDE_OUT] if turn else [])
        assert found.mesh.signed_volume() == independent((30 * 3 + 27 * 3) * 20 + 64, way="by their sides")


def test_a_body_that_touches_another_from_the_notch_is_not_inside_it() -> None:
    body = box(4, 4, 4)
    body.apply_translation((5, 5, 10))  # on both legs
    found = looked_at(trimesh.util.concatenate([angle(30, 3, 20), body]))
    assert FaultKind.NESTED not in [one.kind for one in found.findings.faults]


def test_a_second_body_that_is_inside_out_beside_the_first_is_turned() -> None:
    second = box(5, 5, 5)
    second.invert()
    second.apply_translation((40, 0, 0))
    solid = trimesh.util.concatenate([box(20, 20, 20), second])
    assert fault(solid, FaultKind.INSIDE_OUT).count == 1
    assert looked_at(solid).mesh.signed_volume() == independent(8_125, way="8000 + 125")


def test_faces_that_are_there_twice_or_have_no_area_are_said() -> None:
    solid = box(40, 30, 20)
    faces = np.vstack([solid.faces, solid.faces[:2], [[0, 0, 1]]])
    found = {one.kind: one.count for one in looked_at(as_faces(solid, faces)).findings.faults}
    assert found == {FaultKind.DOUBLE: 2, FaultKind.FLAT: 1}
    assert looked_at(as_faces(solid, faces)).mesh.signed_volume() == independent(24_000, way="its box")


def test_a_tiny_fold_is_left_out_and_does_no_harm() -> None:
    solid = box(40, 30, 20)
    corners = np.vstack(
        [solid.vertices, solid.vertices[0] + [0.003, 0, 0], solid.vertices[0] + [0, 0.003, 0]]
    )
    fold = [[0, 8, 9], [9, 8, 0]]
    found = inspect_mesh(Mesh(vertices=corners, faces=np.vstack([solid.faces, fold])))
    assert [(one.kind, one.count, one.is_mended) for one in found.findings.faults] == [
        (FaultKind.FOLDED, 1, True)
    ]
    assert found.findings.is_sound
    assert found.mesh.signed_volume() == independent(24_000, way="its box")


def test_a_sheet_without_thickness_is_no_part() -> None:
    sheet = np.array([[0, 0, 0], [30, 0, 0], [30, 20, 0], [0, 20, 0.0]])
    both = np.array([[0, 1, 2], [0, 2, 3], [2, 1, 0], [3, 2, 0]])
    found = inspect_mesh(Mesh(vertices=sheet, faces=both)).findings
    kinds = {one.kind: one for one in found.faults}
    assert kinds[FaultKind.SHEET].count == 2
    assert set(kinds[FaultKind.SHEET].spoils) == SPOILED
    single = inspect_mesh(Mesh(vertices=sheet, faces=both[:2])).findings.faults[0]
    assert "a sheet without thickness" in single.words


def test_bodies_that_pass_through_each_other_are_seen() -> None:
    second = box(10, 10, 10)
    second.apply_translation((5, 3, 2))
    solid = trimesh.util.concatenate([box(10, 10, 10), second])
    found = fault(solid, FaultKind.CROSSING)
    assert found.count >= 6
    assert Number.VOLUME in found.spoils
    assert "counts twice" in found.words
    geometry = measured(solid)
    assert geometry.volume_mm3 == independent(2_000, way="both boxes, what they share twice")
    assert geometry.silhouette_mm2 == independent(100 + 100 - 5 * 7, way="union of two squares")


def test_bodies_that_stand_apart_do_not_pass_through_each_other() -> None:
    second = box(10, 10, 10)
    second.apply_translation((15, 0, 0))
    found = looked_at(trimesh.util.concatenate([box(10, 10, 10), second])).findings
    assert (found.faults, found.bodies) == ((), 2)


def test_a_gap_narrower_than_a_mould_shows_is_closed_and_a_wider_one_is_not() -> None:
    narrow, wide = (np.array(ball().triangles).reshape(-1, 3) for _ in range(2))
    faces = np.arange(len(narrow)).reshape(-1, 3)
    narrow[:30] += 5e-5
    wide[:30] += 0.05
    mended = inspect_mesh(Mesh(vertices=narrow, faces=faces)).findings
    assert [one.kind for one in mended.faults if not one.is_mended] == []
    assert FaultKind.GAPS in {one.kind for one in mended.faults}
    open_ = inspect_mesh(Mesh(vertices=wide, faces=faces)).findings
    assert FaultKind.OPEN in {one.kind for one in open_.faults}


def test_a_band_twisted_once_has_no_inside() -> None:
    around = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    spread = np.array([-1.0, 1.0])
    centre = np.column_stack([10 * np.cos(around), 10 * np.sin(around), np.zeros(24)])
    lean = np.column_stack(
        [np.cos(around / 2) * np.cos(around), np.cos(around / 2) * np.sin(around), np.sin(around / 2)]
    )
    rows = centre[:, None] + spread[None, :, None] * lean[:, None]
    faces = []
    for i in range(24):
        a, b = 2 * i, 2 * i + 1
        c, d = (2 * i + 2, 2 * i + 3) if i < 23 else (1, 0)
        faces += [[a, c, b], [b, c, d]]
    found = inspect_mesh(Mesh(vertices=rows.reshape(-1, 3), faces=np.array(faces))).findings
    assert FaultKind.ONE_SIDED in {one.kind for one in found.faults}


@pytest.mark.parametrize(
    ("vertices", "faces", "said"),
    [
        (np.zeros((3, 3)), np.empty((0, 3), int), "must have a triangle"),
        (np.zeros((3, 3)), np.array([[0, 1, 3]]), "not there"),
        (np.full((3, 3), np.nan), np.array([[0, 1, 2]]), "finite"),
        (np.zeros((3, 2)), np.array([[0, 1, 2]]), "rows of three"),
    ],
)
def test_what_is_no_mesh_is_refused(vertices: object, faces: object, said: str) -> None:
    with pytest.raises(ImpossibleInput, match=said):
        Mesh(vertices=vertices, faces=faces)  # type: ignore[arg-type]


def test_a_mesh_of_points_only_is_refused() -> None:
    with pytest.raises(ImpossibleInput, match="must have a face"):
        inspect_mesh(Mesh(vertices=np.zeros((3, 3)), faces=np.array([[0, 1, 2]])))
