"""Half of a slit ring as a plane elastic body on a rigid peg: finite elements, contact that only pushes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, optimize, sparse
from scipy.sparse import linalg as sparse_linalg

Floats = NDArray[np.float64]

CORNERS = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=float)
MIDDLES = np.array([[0, -1], [1, 0], [0, 1], [-1, 0]], dtype=float)
GAUSS, WEIGHTS = np.polynomial.legendre.leggauss(3)


@dataclass(frozen=True)
class PlaneRing:
    """What the body answers: sum of contact forces of the whole ring, largest strain, growth of the opening.

    For a ring of 1 mm length and a modulus of 1 MPa.
    """

    normal: float
    strain: float
    growth: float


def plane_ring(
    bore: float, outer: float, interference: float, opening_deg: float, poisson: float
) -> PlaneRing:
    """Eight-node elements, plane stress. The symmetry line is held sideways, the back lies on the peg."""
    inner, wall = bore / 2, (outer - bore) / 2
    wrap = np.pi - np.radians(opening_deg) / 2
    along, across = max(60, int(wrap * (inner + wall) / wall * 2)), 4
    nodes, elements = _mesh(inner, wall, wrap, along, across)
    stiffness = _stiffness(nodes, elements, poisson)
    angle = np.arctan2(nodes[:, 0], -nodes[:, 1])
    radius = np.hypot(nodes[:, 0], nodes[:, 1])
    inside = np.flatnonzero(np.isclose(radius, inner))
    inside = inside[np.argsort(angle[inside])]
    back, touching = inside[0], inside[1:]
    held = np.append(2 * np.flatnonzero(np.isclose(angle, 0.0)), 2 * back + 1)
    out = interference / 2
    moved = np.zeros(2 * len(nodes))
    moved[2 * back + 1] = -out
    free = np.setdiff1d(np.arange(2 * len(nodes)), held)
    solve = sparse_linalg.factorized(stiffness[free][:, free].tocsc())
    start = moved.copy()
    start[free] = solve(-(stiffness @ moved)[free])
    pushes = np.zeros((2 * len(nodes), len(touching)))
    pushes[2 * touching, np.arange(len(touching))] = np.sin(angle[touching])
    pushes[2 * touching + 1, np.arange(len(touching))] = -np.cos(angle[touching])
    answers = np.column_stack([solve(column) for column in pushes[free].T])
    give = pushes[free].T @ answers
    root = linalg.cholesky((give + give.T) / 2, lower=True)
    short = out - pushes.T @ start
    forces, _ = optimize.nnls(root.T, linalg.solve_triangular(root, short, lower=True))
    moved = start
    moved[free] += answers @ forces
    back_force = -float((stiffness @ moved)[2 * back + 1])
    assert back_force > 0
    tip = touching[-1]
    along_tip = moved[2 * tip] * np.cos(wrap) + moved[2 * tip + 1] * np.sin(wrap)
    return PlaneRing(
        normal=2 * (float(forces.sum()) + back_force),
        strain=_largest_strain(nodes[inside], moved.reshape(-1, 2)[inside], wrap),
        growth=-2 * float(along_tip),
    )


def _mesh(
    inner: float, wall: float, wrap: float, along: int, across: int
) -> tuple[Floats, NDArray[np.int64]]:
    number: dict[tuple[int, int], int] = {}
    elements = []
    for i in range(along):
        for j in range(across):
            places = [(2 * i + 1 + int(x), 2 * j + 1 + int(y)) for x, y in (*CORNERS, *MIDDLES)]
            elements.append([number.setdefault(place, len(number)) for place in places])
    grid = np.array(list(number), dtype=float)
    angle, radius = wrap * grid[:, 0] / (2 * along), inner + wall * grid[:, 1] / (2 * across)
    return np.column_stack([radius * np.sin(angle), -radius * np.cos(angle)]), np.array(elements)


def _slopes(x: float, y: float) -> Floats:
    """Slopes of the eight shape functions."""
    corner = [
        (cx * (1 + y * cy) * (2 * x * cx + y * cy) / 4, cy * (1 + x * cx) * (2 * y * cy + x * cx) / 4)
        for cx, cy in CORNERS
    ]
    middle = [
        (-x * (1 + y * my), my * (1 - x**2) / 2) if mx == 0 else (mx * (1 - y**2) / 2, -y * (1 + x * mx))
        for mx, my in MIDDLES
    ]
    return np.array([*corner, *middle]).T


def _stiffness(nodes: Floats, elements: NDArray[np.int64], poisson: float) -> sparse.csr_array:
    elastic = np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]]) / (1 - poisson**2)
    blocks = np.zeros((len(elements), 16, 16))
    for x, wx in zip(GAUSS, WEIGHTS, strict=True):
        for y, wy in zip(GAUSS, WEIGHTS, strict=True):
            slopes = _slopes(x, y)
            jacobian = np.einsum("an,enb->eab", slopes, nodes[elements])
            local = np.einsum("eab,bn->ean", np.linalg.inv(jacobian), slopes)
            b = np.zeros((len(elements), 3, 16))
            b[:, 0, 0::2], b[:, 1, 1::2] = local[:, 0], local[:, 1]
            b[:, 2, 0::2], b[:, 2, 1::2] = local[:, 1], local[:, 0]
            size = np.abs(np.linalg.det(jacobian)) * wx * wy
            blocks += np.einsum("eki,kl,elj,e->eij", b, elastic, b, size)
    places = np.stack([2 * elements, 2 * elements + 1], axis=-1).reshape(len(elements), 16)
    rows, columns = np.repeat(places, 16, axis=1).ravel(), np.tile(places, (1, 16)).ravel()
    total = 2 * len(nodes)
    return sparse.csr_array(sparse.coo_array((blocks.ravel(), (rows, columns)), shape=(total, total)))


def _largest_strain(places: Floats, moved: Floats, wrap: float) -> float:
    """Along the inner face, from the growth of the chords between nodes; the touched ends left out."""
    before = np.linalg.norm(np.diff(places[::2], axis=0), axis=1)
    direction = np.diff(places[::2], axis=0) / before[:, None]
    strain = (np.diff(moved[::2], axis=0) * direction).sum(axis=1) / before
    middle = np.linspace(0, wrap, len(strain))
    return float(strain[np.abs(middle - (wrap - np.pi / 2)) < 0.15].max())
