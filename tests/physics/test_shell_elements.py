"""Patch tests: a shell of crooked plates must show a constant strain or bending exactly, whatever its mesh."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics import shell_elements
from plowwright.physics.shell_elements import PlateMatrices, Plates
from tests.references.shells import POISSON, STEEL

THICK = 0.02
CROOKED = np.array([[0.0, 0.0, 0.0], [0.5, 0.08, 0.0], [0.42, 0.37, 0.0], [-0.06, 0.29, 0.0]])


def one(corners: np.ndarray, carriers: np.ndarray | None = None, thick: float = THICK) -> PlateMatrices:
    return shell_elements.matrices(
        Plates(
            corners=corners[None],
            carriers=(corners if carriers is None else carriers)[None],
            thickness=np.array([thick]),
            young=np.array([STEEL]),
            poisson=np.array([POISSON]),
        )
    )


def rigid(nodes: np.ndarray) -> np.ndarray:
    """Six motions of the nodes as of one stiff body, (6, 6 n)."""
    out = np.zeros((6, len(nodes), 6))
    for k, axis in enumerate(np.eye(3)):
        out[k, :, k] = 1.0
        out[3 + k, :, :3] = np.cross(axis, nodes)
        out[3 + k, :, 3 + k] = 1.0
    return out.reshape(6, -1)


corner_shifts = st.lists(st.floats(-0.08, 0.08), min_size=12, max_size=12)


@given(shifts=corner_shifts, arms=corner_shifts)
def test_a_plate_moved_as_a_stiff_body_takes_no_force(shifts: list[float], arms: list[float]) -> None:
    corners = CROOKED + np.array(shifts).reshape(4, 3)
    carriers = corners + np.array(arms).reshape(4, 3)
    stiff = one(corners, carriers).stiffness[0]
    assert np.abs(stiff @ rigid(carriers).T).max() < 1e-9 * np.abs(stiff).max()


@given(shifts=corner_shifts)
def test_a_plate_has_eighteen_ways_to_be_strained_and_no_loose_freedom(shifts: list[float]) -> None:
    corners = CROOKED + 0.5 * np.array(shifts).reshape(4, 3)
    values = np.linalg.eigvalsh(one(corners).stiffness[0])
    assert (values > -1e-9 * values[-1]).all()
    assert (values > 1e-10 * values[-1]).sum() == 18


@given(turn=st.floats(-3, 3), about=st.sampled_from([0, 1, 2]))
def test_a_plate_turned_in_space_is_as_stiff_as_before(turn: float, about: int) -> None:
    a, b = [k for k in range(3) if k != about]
    q = np.eye(3)
    q[a, a] = q[b, b] = np.cos(turn)
    q[a, b], q[b, a] = -np.sin(turn), np.sin(turn)
    before, after = one(CROOKED).stiffness[0], one(CROOKED @ q.T).stiffness[0]
    whole = np.kron(np.eye(8), q)
    assert after == pytest.approx(whole @ before @ whole.T, abs=1e-9 * np.abs(before).max())


@pytest.mark.parametrize(("strain", "force"), [((1, 0, 0), 0), ((0, 1, 0), 1), ((0, 0, 1), 2)])
def test_a_crooked_plate_shows_a_constant_strain_exactly(strain: tuple[int, ...], force: int) -> None:
    found = one(CROOKED)
    x, y = CROOKED[:, 0], CROOKED[:, 1]
    ex, ey, g = strain
    motion = np.zeros((4, 6))
    motion[:, 0], motion[:, 1] = ex * x + 0.5 * g * y, ey * y + 0.5 * g * x
    plane = STEEL / (1 - POISSON**2) * np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]])
    stress = plane @ np.array(strain, dtype=float)
    own = found.axes[0][:2, :2]
    tensor = own @ np.array([[stress[0], stress[2]], [stress[2], stress[1]]]) @ own.T
    expected = THICK * np.array([tensor[0, 0], tensor[1, 1], tensor[0, 1]])
    assert found.resultants[0, :3] @ motion.ravel() == pytest.approx(expected, abs=1e-9 * STEEL * THICK)
    energy = 0.5 * motion.ravel() @ found.stiffness[0] @ motion.ravel()
    area = float(found.area[0])
    assert energy == pytest.approx(0.5 * float(stress @ np.array(strain)) * THICK * area, rel=1e-9)
    assert force in range(3)


@pytest.mark.parametrize("bending", [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)])
def test_a_crooked_plate_shows_a_constant_bending_without_shear(bending: tuple[float, float, float]) -> None:
    found = one(CROOKED)
    x, y = CROOKED[:, 0], CROOKED[:, 1]
    a, b, c = bending
    # w = -(a x^2 + b y^2 + c x y) / 2, with turns that leave no shear.
    motion = np.zeros((4, 6))
    motion[:, 2] = -0.5 * (a * x**2 + b * y**2 + c * x * y)
    motion[:, 3] = -(b * y + 0.5 * c * x)
    motion[:, 4] = a * x + 0.5 * c * y
    plane = STEEL / (1 - POISSON**2) * np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]])
    moment = THICK**3 / 12 * plane @ np.array(bending)
    energy = 0.5 * motion.ravel() @ found.stiffness[0] @ motion.ravel()
    expected = 0.5 * float(moment @ np.array(bending)) * float(found.area[0])
    assert energy == pytest.approx(expected, rel=1e-9)


def test_a_strip_bent_in_its_plane_is_as_soft_as_a_beam() -> None:
    """One rectangle under a pure moment in its plane: without the extra modes it is far too stiff."""
    length, deep = 0.4, 0.1
    stiff = one(np.array([[0, 0, 0], [length, 0, 0], [length, deep, 0], [0, deep, 0]], dtype=float)).stiffness[0]
    free = [6, 7, 12, 13, 19]
    load = np.zeros(24)
    load[6], load[12] = 1.0, -1.0
    still = [k for k in range(24) if k % 6 in (0, 1) and k not in free]
    inner = [k for k in range(24) if k not in still and k % 6 in (0, 1, 5)]
    moved = np.linalg.solve(stiff[np.ix_(inner, inner)], load[inner])
    turned = (moved[inner.index(6)] - moved[inner.index(12)]) / deep
    assert turned == pytest.approx(deep * length / (STEEL * THICK * deep**3 / 12), rel=0.01)


def test_a_plate_on_arms_is_as_stiff_as_two_glued_together() -> None:
    """Two plates on each other, each on its arm, bend as one plate of both thicknesses."""
    square = np.array([[0, 0, 0], [0.3, 0, 0], [0.3, 0.3, 0], [0, 0.3, 0]], dtype=float)
    up = np.array([0.0, 0.0, THICK / 2])
    glued = one(square + up, square).stiffness[0] + one(square - up, square).stiffness[0]
    thick = one(square, thick=2 * THICK).stiffness[0]
    bent = np.zeros((4, 6))
    bent[:, 2], bent[:, 4] = -0.5 * square[:, 0] ** 2, square[:, 0]
    assert bent.ravel() @ glued @ bent.ravel() == pytest.approx(bent.ravel() @ thick @ bent.ravel(), rel=1e-9)
