"""The picture of a part: few triangles, its size and walls kept, the bytes read back as written."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from offtool.core.planning.geometry import make_picture, measure_part, read_picture
from offtool.core.planning.geometry.picture import PartPicture
from offtool.core.values import ImpossibleInput
from tests.core.planning.geometry.solids import angle, ball, box, hollow, looked_at


def picture(solid: trimesh.Trimesh, most: int = 60_000) -> PartPicture:
    inspected = looked_at(solid)
    walls = measure_part(inspected, points=2000).walls
    return make_picture(inspected.mesh, walls, most=most)


@pytest.mark.parametrize("solid", [box(40, 30, 20), hollow((40, 30, 20), 2), angle(40, 3, 50), ball(10, 6)])
def test_a_picture_has_few_triangles_and_the_size_of_the_part(solid: trimesh.Trimesh) -> None:
    found = picture(solid)
    assert 10_000 < len(found.faces) <= 60_000
    assert np.ptp(found.vertices, axis=0) == pytest.approx(np.ptp(solid.vertices, axis=0), rel=0.02)
    area = trimesh.Trimesh(found.vertices, found.faces, process=False).area
    assert area == pytest.approx(solid.area, rel=0.03)


def test_each_corner_has_the_wall_that_was_measured_there() -> None:
    found = picture(hollow((40, 30, 20), 2))
    known = found.thickness_mm[np.isfinite(found.thickness_mm)]
    assert len(known) > 0.9 * len(found.thickness_mm)
    assert np.quantile(known, [0.05, 0.5]) == pytest.approx([2, 2], rel=0.01)
    assert np.quantile(known, 0.95) < 2.2


def test_what_is_written_is_read_back_to_what_two_bytes_hold() -> None:
    written = picture(angle(40, 3, 50), most=3000)
    found = read_picture(written.as_bytes())
    assert (found.faces == written.faces).all()
    assert found.vertices == pytest.approx(written.vertices, abs=50 / 65535)
    assert found.thickness_mm == pytest.approx(written.thickness_mm, abs=4 / 65534, nan_ok=True)


def test_a_coarser_picture_has_no_more_triangles_than_asked() -> None:
    fine = picture(ball(10, 6))
    for most in (5000, 2000, 500):
        coarse = fine.coarser(most)
        assert 0.2 * most < len(coarse.faces) <= most
        assert np.nanmedian(coarse.thickness_mm) == pytest.approx(np.nanmedian(fine.thickness_mm), rel=0.01)


def test_bytes_that_are_no_picture_are_refused() -> None:
    with pytest.raises(ImpossibleInput, match="not a picture"):
        read_picture(b"nothing of the kind, though it is long enough to be one of them")
