"""Stiffness of flat four-node shells: a membrane with incompatible modes, a drilling penalty and MITC4 bending.

All elements are worked at once. Corners run round the element in either sense. Freedoms per node: displacement along
x, y, z and rotation about x, y, z (right hand), in the axes the nodes are given in. An element's corner may sit away
from its node; it is then carried by the node as on a rigid arm, which also flattens a mildly warped element.

Sources: membrane, Taylor, Beresford and Wilson, Int. J. Numer. Meth. Engng 10 (1976) 1211; bending, Bathe and Dvorkin,
Int. J. Numer. Meth. Engng 21 (1985) 367 (both from memory; held by the patch tests and published shells in the tests).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHEAR_SHARE = 5.0 / 6.0
"""Share of a plate's thickness that carries transverse shear [-]."""
DRILLING = 0.002
"""Stiffness against turning in the element's own plane over shear modulus x thickness x area [-].

Small enough not to lock bending in the plane, large enough that no freedom is loose."""

RESIDUAL = 0.25
"""Share of the bending between an element's corners, l^2 / (12 D), that is given back as softness in shear [-].

An element turns straight between its corners and so bends too little where the moment changes. The whole of it, as in
MacNeal, Computers and Structures 8 (1978) 175 (from memory), makes strips exact and plates too soft; a quarter brings
both within 2 % on coarse meshes and vanishes on fine ones.
"""

_G = 1.0 / np.sqrt(3.0)
_XI = np.array([-1.0, 1.0, 1.0, -1.0])
_ETA = np.array([-1.0, -1.0, 1.0, 1.0])
_POINTS = np.array([[-_G, -_G], [_G, -_G], [_G, _G], [-_G, _G], [0.0, 0.0]])
"""The four Gauss points, each of weight one, and the middle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plates:
    """Flat four-node plates, as arrays over elements.

    Attributes:
        corners: Where the four corners of each plate's middle surface are, shape (m, 4, 3) [m].
        carriers: Where the nodes that carry those corners are, shape (m, 4, 3) [m].
        thickness: Thickness of each plate, shape (m,) [m].
        young: Young's modulus of each plate, shape (m,) [Pa].
        poisson: Poisson's ratio of each plate, shape (m,) [-].
    """

    corners: Floats
    carriers: Floats
    thickness: Floats
    young: Floats
    poisson: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateMatrices:
    """What the solver needs of each plate.

    Attributes:
        stiffness: Stiffness on the freedoms of the four nodes, shape (m, 24, 24) [N/m, N, N m].
        resultants: From those freedoms to Nx, Ny, Nxy, Mx, My, Mxy in the middle, own axes, shape (m, 6, 24) [N/m, N].
        axes: Own axes as rows: along side 1-2, square to it in the plane, normal; shape (m, 3, 3) [-].
        area: Area of each plate, shape (m,) [m2].
    """

    stiffness: Floats
    resultants: Floats
    axes: Floats
    area: Floats


def matrices(plates: Plates) -> PlateMatrices:
    """Stiffness and recovery of stress resultants for all plates.

    Args:
        plates: Corners, thickness and material.

    Returns:
        Matrices on the freedoms of the carrying nodes. A plate with no area gives values that are not finite:
        `plowwright.physics.shells.Mesh` refuses it by name before it comes here.
    """
    axes, flat, turn = _own_axes(plates.corners, plates.carriers)
    shape = _shape(flat)
    count = len(plates.thickness)
    local = np.zeros((count, 24, 24))
    plane = _plane_stress(plates.young, plates.poisson)
    membrane, strain = _membrane(shape, plane * plates.thickness[:, None, None])
    bending, curvature = _bending(shape, plates, plane * (plates.thickness**3 / 12)[:, None, None])
    in_plane = np.array([6 * i + d for i in range(4) for d in (0, 1)])
    across = np.array([6 * i + d for i in range(4) for d in (2, 3, 4)])
    local[:, in_plane[:, None], in_plane] = membrane
    local[:, across[:, None], across] = bending
    local += _drilling(shape, plates)
    results = np.zeros((count, 6, 24))
    results[:, :3, in_plane] = strain
    results[:, 3:, across] = curvature
    stiff = turn.transpose(0, 2, 1) @ (local @ turn)
    stiff = 0.5 * (stiff + stiff.transpose(0, 2, 1))
    return PlateMatrices(stiffness=stiff, resultants=results @ turn, axes=axes, area=shape.weight[:, :4].sum(axis=1))


@dataclass(frozen=True, slots=True)
class _Shape:
    """Shape functions of every plate at the four Gauss points and the middle."""

    xy: Floats  # (m, 4, 2)
    inverse: Floats  # (m, 5, 2, 2): from d/dxi, d/deta to d/dx, d/dy
    gradient: Floats  # (m, 5, 2, 4)
    weight: Floats  # (m, 5): determinant of the Jacobian


def _own_axes(corners: Floats, carriers: Floats) -> tuple[Floats, Floats, Floats]:
    """Own axes, corners laid flat in them, and the turn from the nodes' freedoms to the own ones (m, 24, 24)."""
    first = corners[:, 2] - corners[:, 0]
    second = corners[:, 3] - corners[:, 1]
    normal = np.cross(first, second)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    along = corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]
    along -= normal * np.sum(along * normal, axis=1, keepdims=True)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    axes = np.stack([along, np.cross(normal, along), normal], axis=1)
    middle = corners.mean(axis=1, keepdims=True)
    flat = np.einsum("mij,mnj->mni", axes, corners - middle)
    arms = np.einsum("mni,mij->mnj", flat * np.array([1.0, 1.0, 0.0]), axes) + middle - carriers
    turn = np.zeros((len(corners), 24, 24))
    skew = np.zeros((len(corners), 4, 3, 3))
    x, y, z = arms[..., 0], arms[..., 1], arms[..., 2]
    # Displacement at the end of an arm r: u + w x r.
    skew[..., 0, 1], skew[..., 0, 2] = z, -y
    skew[..., 1, 0], skew[..., 1, 2] = -z, x
    skew[..., 2, 0], skew[..., 2, 1] = y, -x
    arm = np.einsum("mij,mnjk->mnik", axes, skew)
    for node in range(4):
        a = 6 * node
        turn[:, a : a + 3, a : a + 3] = axes
        turn[:, a + 3 : a + 6, a + 3 : a + 6] = axes
        turn[:, a : a + 3, a + 3 : a + 6] = arm[:, node]
    return axes, flat[..., :2], turn


def _shape(xy: Floats) -> _Shape:
    xi, eta = _POINTS[:, 0:1], _POINTS[:, 1:2]
    derivative = 0.25 * np.stack([_XI * (1 + eta * _ETA), _ETA * (1 + xi * _XI)], axis=1)  # (5, 2, 4)
    jacobian = np.einsum("pan,mnb->mpab", derivative, xy)
    weight = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    inverse = np.empty_like(jacobian)
    inverse[..., 0, 0], inverse[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
    inverse[..., 0, 1], inverse[..., 1, 0] = -jacobian[..., 0, 1], -jacobian[..., 1, 0]
    inverse /= weight[..., None, None]
    return _Shape(xy, inverse, inverse @ derivative, weight)


def _plane_stress(young: Floats, poisson: Floats) -> Floats:
    """Stiffness in plane stress over thickness, shape (m, 3, 3)."""
    plane = np.zeros((len(young), 3, 3))
    factor = young / (1 - poisson**2)
    plane[:, 0, 0] = plane[:, 1, 1] = factor
    plane[:, 0, 1] = plane[:, 1, 0] = factor * poisson
    plane[:, 2, 2] = factor * (1 - poisson) / 2
    return plane


def _strains(gradient: Floats) -> Floats:
    """From (u, v) at n points of support to strains: (m, p, 2, n) -> (m, p, 3, 2n)."""
    strain = np.zeros((*gradient.shape[:2], 3, 2 * gradient.shape[3]))
    strain[..., 0, 0::2] = strain[..., 2, 1::2] = gradient[..., 0, :]
    strain[..., 1, 1::2] = strain[..., 2, 0::2] = gradient[..., 1, :]
    return strain


def _quadrature(left: Floats, stiffness: Floats, right: Floats, weight: Floats) -> Floats:
    """Sum over Gauss points of left^T stiffness right, as one product per element."""
    count, points, rows, columns = left.shape
    stressed = (stiffness[:, None] @ right) * weight[..., None, None]
    flat = left.reshape(count, points * rows, columns)
    return flat.transpose(0, 2, 1) @ stressed.reshape(count, points * rows, right.shape[3])


def _membrane(shape: _Shape, plane: Floats) -> tuple[Floats, Floats]:
    """Stiffness (m, 8, 8) and, in the middle, membrane forces from the corners' u and v (m, 3, 8)."""
    compatible = _strains(shape.gradient)
    # The extra modes 1 - xi^2, 1 - eta^2 take the middle's Jacobian so that a constant strain excites none of them.
    modes = np.zeros((4, 2, 2))
    modes[:, 0, 0] = -2 * _POINTS[:4, 0]
    modes[:, 1, 1] = -2 * _POINTS[:4, 1]
    share = (shape.weight[:, 4:5] / shape.weight[:, :4])[..., None, None]
    extra = _strains(share * (shape.inverse[:, 4:5] @ modes))
    at, weight = compatible[:, :4], shape.weight[:, :4]
    whole = _quadrature(at, plane, at, weight)
    mixed = _quadrature(extra, plane, at, weight)
    own = _quadrature(extra, plane, extra, weight)
    condensed = whole - mixed.transpose(0, 2, 1) @ np.linalg.solve(own, mixed)
    return condensed, plane @ compatible[:, 4]


def _bending(shape: _Shape, plates: Plates, plane: Floats) -> tuple[Floats, Floats]:
    """Stiffness (m, 12, 12) on w, turn about x, turn about y, and moments in the middle (m, 3, 12)."""
    gradient = shape.gradient
    curvature = np.zeros((*gradient.shape[:2], 3, 12))
    # u = z turn_y and v = -z turn_x through the thickness.
    curvature[..., 0, 2::3] = curvature[..., 2, 1::3] = gradient[..., 0, :]
    curvature[..., 1, 1::3] = gradient[..., 1, :]
    curvature[..., 2, 2::3] = gradient[..., 1, :]
    curvature[..., 1:, 1::3] *= -1.0
    modulus = plates.young / (2 * (1 + plates.poisson))
    shear = _shear(shape)
    at, weight = curvature[:, :4], shape.weight[:, :4]
    stiff = _quadrature(at, plane, at, weight)
    give = 1 / (SHEAR_SHARE * modulus * plates.thickness)
    squared = (2 * np.stack([_XI, _ETA]) / 4 @ shape.xy) ** 2
    through = np.zeros((len(give), 2, 2))
    for k in (0, 1):
        through[:, k, k] = 1 / (give + RESIDUAL * squared[:, k].sum(axis=1) / (12 * plane[:, 0, 0]))
    return stiff + _quadrature(shear, through, shear, weight), plane @ curvature[:, 4]


def _shear(shape: _Shape) -> Floats:
    """Transverse shear strains at the Gauss points, tied to the middles of the sides (m, 4, 2, 12)."""
    count = len(shape.xy)
    sides = np.zeros((count, 4, 12))
    # Along xi on sides 1-2 and 4-3, along eta on sides 1-4 and 2-3.
    for row, (a, b) in enumerate(((0, 1), (3, 2), (0, 3), (1, 2))):
        run = 0.5 * (shape.xy[:, b] - shape.xy[:, a])
        sides[:, row, 3 * a], sides[:, row, 3 * b] = -0.5, 0.5
        for node in (a, b):
            sides[:, row, 3 * node + 1] = -0.5 * run[:, 1]
            sides[:, row, 3 * node + 2] = 0.5 * run[:, 0]
    xi, eta = _POINTS[:4, 0], _POINTS[:4, 1]
    share = np.zeros((4, 2, 4))
    share[:, 0, 0], share[:, 0, 1] = 0.5 * (1 - eta), 0.5 * (1 + eta)
    share[:, 1, 2], share[:, 1, 3] = 0.5 * (1 - xi), 0.5 * (1 + xi)
    return shape.inverse[:, :4] @ (share @ sides[:, None])


def _drilling(shape: _Shape, plates: Plates) -> Floats:
    """Penalty on each corner's turn in the plane against the plate's own turn in its middle (m, 24, 24)."""
    count = len(shape.xy)
    apart = np.zeros((count, 4, 24))
    own = 0.5 * shape.gradient[:, 4]
    for node in range(4):
        apart[:, node, 0::6] = own[:, 1]
        apart[:, node, 1::6] = -own[:, 0]
        apart[:, node, 6 * node + 5] = 1.0
    modulus = plates.young / (2 * (1 + plates.poisson))
    area = shape.weight[:, :4].sum(axis=1)
    stiff = DRILLING * modulus * plates.thickness * area / 4
    return stiff[:, None, None] * (apart.transpose(0, 2, 1) @ apart)
