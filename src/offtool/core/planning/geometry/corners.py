"""Corners that lie at one place made one, so that triangles know their neighbours."""

from __future__ import annotations

import numpy as np

from offtool.core.planning.geometry.mesh import Indices, Mesh

SAME = 1e-9
"""Corners closer than this share of the part's size are one: what writing a number out rounds."""
NEARLY_THE_SAME = 1e-5
"""Gaps up to this share of the part's size are closed where that closes the mesh: a hundredth of what a mould
can show."""
_MIX = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)


def merge_corners(mesh: Mesh) -> Mesh:
    """The same triangles over corners that are all at different places."""
    low, _ = mesh.box
    grid = max(SAME * mesh.size_mm, 1e-12)
    cell = np.rint((mesh.vertices - low) / grid).astype(np.int64)
    first, number = _distinct(cell)
    return Mesh(vertices=mesh.vertices[first], faces=number[mesh.faces])


def join_near(mesh: Mesh, corners: Indices) -> Mesh:
    """Some corners joined with those of them that are nearly at the same place."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    tree = cKDTree(mesh.vertices[corners])
    pairs = tree.query_pairs(NEARLY_THE_SAME * mesh.size_mm, output_type="ndarray")
    many = len(corners)
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(many, many))
    _, group = connected_components(links, directed=False)
    _, first = np.unique(group, return_index=True)
    number = np.arange(len(mesh.vertices))
    number[corners] = corners[first[group]]
    return mesh.with_faces(number[mesh.faces])


def _distinct(cell: Indices) -> tuple[Indices, Indices]:
    """The first row of each distinct cell, and for each row the number of its cell.

    Rows are told apart by a mixed number of 64 bits, which sorts far faster than three; should two cells ever
    share one, they are compared in full.
    """
    mixed = (cell.astype(np.uint64) * _MIX).sum(axis=1, dtype=np.uint64)
    mixed ^= mixed >> np.uint64(29)
    _, first, number = np.unique(mixed, return_index=True, return_inverse=True)
    if not (cell[first][number] == cell).all():
        _, first, number = np.unique(cell, axis=0, return_index=True, return_inverse=True)
    return first, number.ravel()
