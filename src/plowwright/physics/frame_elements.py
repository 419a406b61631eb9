"""The beams of a frame, all of them at once: local axes, stiffness, released ends, loads along the length.

A member's twelve freedoms are, in this order, those of its start and then of its far end: displacement along
x, y, z and rotation about x, y, z. Local x runs from the start to the far end, both taken after their rigid offsets;
local z is the part of `up` that is square to x; local y = z cross x.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plowwright.errors import MechanismError, ModelError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]

SHORTEST = 1e-9
"""A member shorter than this has no direction [m]."""
FREEDOMS = (
    "move along x",
    "move along y",
    "move along z",
    "turn about x",
    "turn about y",
    "turn about z",
)
_NOISE = 1e-12
"""Share of a stiffness below which what is left after releasing an end is rounding [-]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Members:
    """Straight Timoshenko beams of one section each, as columns: the entry at k of every field is of member k.

    Attributes:
        names: Name of each member, for messages [-].
        ends: Node numbers of start and far end, (m, 2) [-].
        area: Area of the section [m2].
        shear_y: Shear area for forces along local y [m2]; inf: no shear deformation.
        shear_z: Shear area for forces along local z [m2]; inf: no shear deformation.
        torsion: Torsion constant J [m4].
        inertia_y: Second moment for bending about local y, deflection along z [m4].
        inertia_z: Second moment for bending about local z, deflection along y [m4].
        young: Young's modulus [Pa].
        shear_modulus: Shear modulus [Pa].
        up: A direction not along the member that fixes local z, (m, 3), global axes [-].
        offset_start: Rigid arm from the start node to the member's start, (m, 3), global axes [m].
        offset_end: Rigid arm from the far node to the member's far end, (m, 3), global axes [m].
    """

    names: tuple[str, ...]
    ends: Whole
    area: Floats
    shear_y: Floats
    shear_z: Floats
    torsion: Floats
    inertia_y: Floats
    inertia_z: Floats
    young: Floats
    shear_modulus: Floats
    up: Floats
    offset_start: Floats
    offset_end: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Placed:
    """Where the members lie.

    Attributes:
        lengths: Between the flexible ends, (m,) [m].
        axes: Rows are local x, y, z in global axes, (m, 3, 3) [-].
        turn: From the displacements of both nodes in global axes to those of the member's ends in local axes,
            (m, 12, 12) [m, rad].
    """

    lengths: Floats
    axes: Floats
    turn: Floats


def place(nodes: Floats, members: Members) -> Placed:
    """Length, local axes and turning matrix of every member.

    Args:
        nodes: Places of the nodes, (n, 3), global axes [m].
        members: The members [m, N and Pa as their fields say].

    Raises:
        ModelError: A member without length, or whose `up` lies along it; names it.
    """
    start = nodes[members.ends[:, 0]] + members.offset_start
    along = nodes[members.ends[:, 1]] + members.offset_end - start
    lengths = np.sqrt(np.einsum("mi,mi->m", along, along))
    if bool((lengths < SHORTEST).any()):
        k = int(np.argmin(lengths))
        raise ModelError(
            "a member has no length between its flexible ends",
            where=f"member {members.names[k]!r}",
            value=f"{lengths[k]:.3g} m",
            limit=f"at least {SHORTEST:g} m",
            way_out="Put its nodes apart, shorten its rigid offsets, or join the nodes with a spring.",
        )
    x = along / lengths[:, None]
    z = members.up - np.einsum("mi,mi->m", members.up, x)[:, None] * x
    size = np.sqrt(np.einsum("mi,mi->m", z, z))
    if bool((size <= 1e-6 * np.linalg.norm(members.up, axis=1)).any()):
        k = int(np.argmin(size))
        raise ModelError(
            "the direction that is to turn the section lies along the member",
            where=f"member {members.names[k]!r}",
            value=f"up {tuple(round(float(part), 6) for part in members.up[k])}",
            way_out="Give an `up` that is not along the member.",
        )
    z /= size[:, None]
    axes = np.stack((x, np.cross(z, x), z), axis=1)
    turn = np.zeros((len(lengths), 12, 12))
    for at, offset in ((0, members.offset_start), (6, members.offset_end)):
        turn[:, at : at + 3, at : at + 3] = axes
        turn[:, at + 3 : at + 6, at + 3 : at + 6] = axes
        turn[:, at : at + 3, at + 3 : at + 6] = -axes @ _cross_matrix(offset)
    return Placed(lengths=lengths, axes=axes, turn=turn)


def _cross_matrix(arm: Floats) -> Floats:
    """Matrices that take a vector b to arm cross b."""
    out = np.zeros((len(arm), 3, 3))
    out[:, 0, 1], out[:, 0, 2], out[:, 1, 2] = -arm[:, 2], arm[:, 1], -arm[:, 0]
    out[:, 1, 0], out[:, 2, 0], out[:, 2, 1] = arm[:, 2], -arm[:, 1], arm[:, 0]
    return out


def stiffness(members: Members, lengths: Floats) -> Floats:
    """Local stiffness of every member between its flexible ends, nothing released.

    Bending in a plane: 12 E I / (L^3 (1 + f)) with f = 12 E I / (G A_s L^2), and its companions.

    Args:
        members: The members [m, N and Pa as their fields say].
        lengths: Their flexible lengths [m].

    Returns:
        (m, 12, 12) [N/m, N, N m].

    Source: Timoshenko beam element as in J. S. Przemieniecki, Theory of Matrix Structural Analysis, section 5.6 (from
    memory); checked against closed forms and PyNiteFEA in the tests.
    """
    out = np.zeros((len(lengths), 12, 12))
    for at, value in (
        (0, members.young * members.area / lengths),
        (3, members.shear_modulus * members.torsion / lengths),
    ):
        out[:, at, at] = out[:, at + 6, at + 6] = value
        out[:, at, at + 6] = out[:, at + 6, at] = -value
    for move, rotate, sign, inertia, shear in (
        (1, 5, 1.0, members.inertia_z, members.shear_y),
        (2, 4, -1.0, members.inertia_y, members.shear_z),
    ):
        bending = members.young * inertia
        soft = 12 * bending / (members.shear_modulus * shear * lengths**2)
        base = bending / (lengths * (1 + soft))
        force, mixed = 12 * base / lengths**2, sign * 6 * base / lengths
        near, far = (4 + soft) * base, (2 - soft) * base
        v1, t1, v2, t2 = move, rotate, move + 6, rotate + 6
        out[:, v1, v1] = out[:, v2, v2] = force
        out[:, v1, v2] = out[:, v2, v1] = -force
        out[:, v1, t1] = out[:, t1, v1] = out[:, v1, t2] = out[:, t2, v1] = mixed
        out[:, v2, t1] = out[:, t1, v2] = out[:, v2, t2] = out[:, t2, v2] = -mixed
        out[:, t1, t1] = out[:, t2, t2] = near
        out[:, t1, t2] = out[:, t2, t1] = far
    return out


def release(full: Floats, releases: Flags, names: tuple[str, ...]) -> tuple[Floats, Floats]:
    """Stiffness with the released freedoms condensed out, and what carries fixed-end forces over in the same way.

    A bar released in torsion at both ends may spin about itself between them; it then carries no torque, and nothing
    is wrong with that.

    Args:
        full: Local stiffness, nothing released, (m, 12, 12) [N/m, N, N m].
        releases: Which end freedoms carry nothing, (m, 12), local axes [-].
        names: Names of the members [-].

    Returns:
        Condensed stiffness and carry, both (m, 12, 12); condensed = carry @ full, fixed-end forces = carry @ fixed.

    Raises:
        MechanismError: The releases of one member let it slide or swing free between its nodes; names it.
    """
    carry = np.broadcast_to(np.eye(12), full.shape)
    rows = np.flatnonzero(releases.any(axis=1))
    if not rows.size:
        return full, carry
    own = full[rows]
    scale = np.sqrt(np.einsum("mii->mi", own))
    free = releases[rows] & (scale > 0)
    free[:, 9] &= ~free[:, 3]
    weight = np.where(free, 1 / np.where(scale > 0, scale, 1.0), 0.0)
    held = np.where(free, 0.0, 1.0)
    inner = own * weight[:, :, None] * weight[:, None, :]
    np.einsum("mii->mi", inner)[:] += held
    _refuse_loose(inner, [names[k] for k in rows], free)
    answer = np.linalg.solve(inner, own * weight[:, :, None] * held[:, None, :])
    back = np.einsum("mji,mj->mij", answer, weight)
    part = np.eye(12) * held[:, :, None] - back
    soft = part @ own
    soft[np.abs(soft) <= _NOISE * scale[:, :, None] * scale[:, None, :]] = 0.0
    soft = 0.5 * (soft + soft.transpose(0, 2, 1))
    # A released end carries nothing, also where two releases stand for one (torsion at both ends).
    gone = ~releases[rows]
    condensed, carry = full.copy(), carry.copy()
    condensed[rows] = soft * gone[:, :, None] * gone[:, None, :]
    carry[rows] = part * gone[:, :, None]
    return condensed, carry


def _refuse_loose(inner: Floats, names: list[str], free: Flags) -> None:
    values, vectors = np.linalg.eigh(inner)
    if bool((values[:, 0] > 1e-10).all()):
        return
    k = int(np.argmin(values[:, 0]))
    at = int(np.argmax(np.abs(vectors[k, :, 0]) * free[k]))
    raise MechanismError(
        f"the released ends let the member {FREEDOMS[at % 6]} (its own axes) with nothing to hold it",
        where=f"member {names[k]!r}",
        way_out="Release it at one end only.",
    )


def fixed_end(uniform: Floats, lengths: Floats) -> Floats:
    """Forces on a member's ends that hold them still under a uniform load: w L / 2 and w L^2 / 12.

    Shear deformation does not change them: the load is even and both ends are held.

    Args:
        uniform: Load per length in local axes, (m, 3, c) [N/m].
        lengths: Flexible lengths, (m,) [m].

    Returns:
        (m, 12, c), local axes [N, N m].

    Source: closed form of the fixed-ended beam.
    """
    out = np.zeros((uniform.shape[0], 12, uniform.shape[2]))
    half = uniform * (-lengths / 2)[:, None, None]
    out[:, 0:3] = out[:, 6:9] = half
    arm = (lengths / 6)[:, None]
    out[:, 5], out[:, 11] = half[:, 1] * arm, -half[:, 1] * arm
    out[:, 4], out[:, 10] = -half[:, 2] * arm, half[:, 2] * arm
    return out
