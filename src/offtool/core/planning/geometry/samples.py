"""Points spread evenly over a surface, the same ones every time: each stands for the same share of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from offtool.core.planning.geometry.mesh import Floats, Indices, Mesh

_STEPS = np.array([0.7548776662466927, 0.5698402909980532])
"""Fractions that fill a square most evenly, step by step: 1/g and 1/g² with g³ = g + 1."""
CREASE_COS = float(np.cos(np.radians(40)))
"""Faces that meet at less than 40° are one smooth surface that the drawing has cut into flat pieces."""
MOST_AT_CORNER = 64
"""At a corner with more faces, as in the middle of a disc, the face's own direction stands."""


@dataclass(frozen=True, kw_only=True)
class SurfacePoints:
    """Points on a mesh and what they lie on."""

    points: Floats
    faces: Indices
    shares: Floats
    """The weights of the three corners of the face."""


def spread_points(mesh: Mesh, count: int) -> SurfacePoints:
    """`count` points, each for the same area: even steps along all faces, evenly placed inside each."""
    along = np.cumsum(mesh.areas)
    if along[-1] <= 0:
        empty = np.empty(0)
        return SurfacePoints(points=empty.reshape(0, 3), faces=empty.astype(int), shares=empty.reshape(0, 3))
    steps = (np.arange(count) + 0.5) / count * along[-1]
    faces = np.minimum(np.searchsorted(along, steps), len(along) - 1)
    u, v = np.outer(_STEPS, np.arange(1, count + 1)) % 1.0
    root = np.sqrt(u)
    shares = np.column_stack([1 - root, root * (1 - v), root * v])
    return SurfacePoints(points=_at(mesh, faces, shares), faces=faces, shares=shares)


def _at(mesh: Mesh, faces: Indices, shares: Floats) -> Floats:
    a, b, c = mesh.corners(faces)
    return shares[:, :1] * a + shares[:, 1:2] * b + shares[:, 2:] * c


def smooth_normals(mesh: Mesh, spread: SurfacePoints) -> Floats:
    """The direction of the true surface at each point: that of the face, leant towards its neighbours over
    every edge that is no crease."""
    asked, back = np.unique(spread.faces, return_inverse=True)
    corner_normals = _corner_normals(mesh, asked)
    leant = np.einsum("ij,ijk->ik", spread.shares, corner_normals[back])
    length = np.linalg.norm(leant, axis=1, keepdims=True)
    return np.where(length > 0.1, leant / np.maximum(length, 1e-300), mesh.normals[spread.faces])


def _corner_normals(mesh: Mesh, asked: Indices) -> Floats:
    """For each face asked about and each of its corners: the mean direction of the smooth surface there."""
    at_corner = np.argsort(mesh.faces.ravel(), kind="stable")
    many = np.bincount(mesh.faces.ravel(), minlength=len(mesh.vertices))
    first = np.concatenate([[0], np.cumsum(many)[:-1]])
    corners = mesh.faces[asked].ravel()
    own = np.repeat(asked, 3)
    times = np.where(many[corners] <= MOST_AT_CORNER, many[corners], 0)
    row = np.repeat(np.arange(len(corners)), times)
    place = np.arange(len(row)) - np.repeat(np.cumsum(times) - times, times)
    near = at_corner[first[corners[row]] + place] // 3
    is_smooth = np.einsum("ij,ij->i", mesh.normals[near], mesh.normals[own[row]]) >= CREASE_COS
    total = np.empty((len(corners), 3))
    for axis in range(3):
        weight = np.where(is_smooth, mesh.normals_doubled[near, axis], 0.0)
        total[:, axis] = np.bincount(row, weights=weight, minlength=len(corners))
    length = np.linalg.norm(total, axis=1, keepdims=True)
    plain = mesh.normals[own]
    return np.where(length > 0, total / np.maximum(length, 1e-300), plain).reshape(len(asked), 3, 3)
