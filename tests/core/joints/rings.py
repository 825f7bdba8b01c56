"""Rings and pegs solved on a grid, without Lamé's formulas."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve


@dataclass(frozen=True)
class Ring:
    """A round body: bore (0 for a solid one), outer diameter, modulus, Poisson's ratio."""

    bore: float
    outer: float
    modulus: float
    poisson: float


def displaced(ring: Ring, face: str, points: int) -> float:
    """How far the loaded face moves outwards for a pressure of 1 on it: finite differences in plane stress.

    u'' + u' / r - u / r^2 = 0, sigma_r = E / (1 - nu^2) (u' + nu u / r): -1 at the loaded face, 0 at the
    other; u = 0 in the middle of a solid body. Second order, three points at the faces.
    """
    r = np.linspace(ring.bore / 2, ring.outer / 2, points)
    h = r[1] - r[0]
    matrix, right = np.zeros((points, points)), np.zeros(points)
    for i in range(1, points - 1):
        matrix[i, i - 1 : i + 2] = (
            1 / h**2 - 1 / (2 * h * r[i]),
            -2 / h**2 - 1 / r[i] ** 2,
            1 / h**2 + 1 / (2 * h * r[i]),
        )
    stiffness = ring.modulus / (1 - ring.poisson**2)
    if ring.bore > 0:
        matrix[0, :3] = stiffness * np.array([-3, 4, -1]) / (2 * h)
        matrix[0, 0] += stiffness * ring.poisson / r[0]
    else:
        matrix[0, 0] = 1.0
    matrix[-1, -3:] = stiffness * np.array([1, -4, 3]) / (2 * h)
    matrix[-1, -1] += stiffness * ring.poisson / r[-1]
    right[0 if face == "bore" else -1] = -1.0
    found = np.linalg.solve(matrix, right)
    return float(found[0 if face == "bore" else -1])


def pressure(peg: Ring, socket: Ring, radial_interference: float, points: int = 400) -> float:
    """The pressure at which the socket's way out and the peg's way in add up to the interference."""
    gives = [
        # Halving the grid quarters the error of second order; the two together take it out.
        displaced(socket, "bore", n) - displaced(peg, "outer", n)
        for n in (points, 2 * points - 1)
    ]
    return radial_interference / (gives[1] + (gives[1] - gives[0]) / 3)


def force_of_a_rigid_band(ring: Ring, length: float, band: float, *, cells: int = 10) -> float:
    """Radial force for each radian that widens the middle `band` of a long ring's bore by 1 on radius.

    Axisymmetric finite elements with four corners; everything outside the band is free.
    """
    wall = (ring.outer - ring.bore) / 2
    across, along = cells, round(cells * length / wall)
    r, z = np.linspace(ring.bore / 2, ring.outer / 2, across + 1), np.linspace(0, length, along + 1)
    number = np.arange((across + 1) * (along + 1)).reshape(across + 1, along + 1)
    nu = ring.poisson
    elastic = (
        ring.modulus
        / ((1 + nu) * (1 - 2 * nu))
        * np.array([[1 - nu, nu, nu, 0], [nu, 1 - nu, nu, 0], [nu, nu, 1 - nu, 0], [0, 0, 0, 0.5 - nu]])
    )
    rows, columns, values = [], [], []
    for i in range(across):
        block = _element(r[i], r[i + 1] - r[i], z[1] - z[0], elastic)
        for j in range(along):
            corners = (number[i, j], number[i + 1, j], number[i + 1, j + 1], number[i, j + 1])
            free = np.array([2 * c + k for c in corners for k in (0, 1)])
            rows.append(np.repeat(free, 8))
            columns.append(np.tile(free, 8))
            values.append(block.ravel())
    size = 2 * number.size
    stiffness = coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(size, size)
    ).tocsr()
    inside = np.abs(z - length / 2) <= band / 2 * (1 + 1e-9)
    pushed = 2 * number[0, inside]
    held = np.append(pushed, 2 * number[0, along // 2] + 1)
    free = np.setdiff1d(np.arange(size), held)
    found = np.zeros(size)
    found[pushed] = 1.0
    found[free] = spsolve(stiffness[free][:, free].tocsc(), -(stiffness[free] @ found))
    return float((stiffness[pushed] @ found).sum())


def _element(
    inner: float, wide: float, high: float, elastic: np.ndarray[tuple[int, int], np.dtype[np.float64]]
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Stiffness of one ring of rectangular section, for each radian."""
    block = np.zeros((8, 8))
    for x in (-1 / np.sqrt(3), 1 / np.sqrt(3)):
        for y in (-1 / np.sqrt(3), 1 / np.sqrt(3)):
            shape = np.array([(1 - x) * (1 - y), (1 + x) * (1 - y), (1 + x) * (1 + y), (1 - x) * (1 + y)]) / 4
            by_r = np.array([-(1 - y), 1 - y, 1 + y, -(1 + y)]) / (2 * wide)
            by_z = np.array([-(1 - x), -(1 + x), 1 + x, 1 - x]) / (2 * high)
            radius = inner + (1 + x) * wide / 2
            strain = np.zeros((4, 8))
            strain[0, 0::2], strain[1, 0::2], strain[2, 1::2] = by_r, shape / radius, by_z
            strain[3, 0::2], strain[3, 1::2] = by_z, by_r
            block += strain.T @ elastic @ strain * radius * wide * high / 4
    return block
