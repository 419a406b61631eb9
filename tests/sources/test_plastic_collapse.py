"""Source: J. Baker and J. Heyman, Plastic Design of Frames 1 (from memory): collapse loads of beams and of the portal
frame by its beam, sway and combined mechanisms.

Tolerance 1e-6 where the hinges stand at nodes; 0.1 % where the hinge of an even load falls between two of forty.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from plowwright.physics.frames import Frame, Loads
from plowwright.physics.limit import Capacities, collapse
from tests.references.frames import frame, members, nodal

MOMENT, SPAN, HEIGHT = 5e3, 4.0, 3.0


def capacities(made: Frame, *, axial: float = math.inf) -> Capacities:
    """The same full plastic moment about both axes; nothing else yields unless said."""
    each = np.ones(len(made.members.names))
    return Capacities(axial=axial * each, torsion=math.inf * each, bending_y=MOMENT * each, bending_z=MOMENT * each)


def beam(count: int, *, end: str, released: dict[int, tuple[int, ...]] | None = None) -> Frame:
    places = [(x, 0, 0) for x in np.linspace(0, SPAN, count + 1)]
    bars = members([(k, k + 1) for k in range(count)])
    return frame(places, bars, fixed={0: "xyzXYZ", count: end}, released=released)


def point(made: Frame) -> Loads:
    return nodal(len(made.nodes), (len(made.nodes) // 2, (0, 0, -1, 0, 0, 0)))


def even(made: Frame) -> Loads:
    """One newton per metre, downwards."""
    uniform = np.zeros((1, len(made.members.names), 3))
    uniform[..., 2] = -1.0
    return Loads(names=("even",), nodal=np.zeros((1, len(made.nodes), 6)), uniform=uniform)


def even_on_nodes(made: Frame) -> Loads:
    """The same put on the nodes."""
    share = np.full(len(made.nodes), SPAN / (len(made.nodes) - 1))
    share[[0, -1]] /= 2
    table = np.zeros((1, len(made.nodes), 6))
    table[0, :, 2] = -share
    return Loads(names=("even",), nodal=table)


def test_a_beam_fixed_at_both_ends_carries_eight_mp_over_l_at_its_middle() -> None:
    made = beam(2, end="xyzXYZ")
    assert collapse(made, point(made), capacities(made)) == pytest.approx(8 * MOMENT / SPAN, rel=1e-6)


def test_with_a_pin_at_its_middle_it_is_two_cantilevers() -> None:
    made = beam(2, end="xyzXYZ", released={0: (10, 11)})
    assert collapse(made, point(made), capacities(made)) == pytest.approx(4 * MOMENT / SPAN, rel=1e-6)


def test_a_propped_beam_carries_six_mp_over_l_at_its_middle() -> None:
    made = beam(2, end="z")
    assert collapse(made, point(made), capacities(made)) == pytest.approx(6 * MOMENT / SPAN, rel=1e-6)


def test_an_even_load_brings_down_a_fixed_beam_at_sixteen_mp_over_l2() -> None:
    made = beam(40, end="xyzXYZ")
    for loads in (even(made), even_on_nodes(made)):
        assert collapse(made, loads, capacities(made)) == pytest.approx(16 * MOMENT / SPAN**2, rel=1e-6)


def test_an_even_load_brings_down_a_propped_beam_at_eleven_point_six_six_mp_over_l2() -> None:
    made = beam(40, end="z")
    exact = (6 + 4 * math.sqrt(2)) * MOMENT / SPAN**2
    assert collapse(made, even(made), capacities(made)) == pytest.approx(exact, rel=1e-3)


def portal(feet: str) -> Frame:
    """Two posts and a beam in the x-z plane, a node at mid-beam."""
    places = [(0, 0, 0), (0, 0, HEIGHT), (SPAN / 2, 0, HEIGHT), (SPAN, 0, HEIGHT), (SPAN, 0, 0)]
    bars = members([(k, k + 1) for k in range(4)], up=(0, 1, 0))
    return frame(places, bars, fixed={0: feet, 4: feet})


@pytest.mark.parametrize(
    ("sideways", "downwards"), [(0.0, 1.0), (0.1, 1.0), (0.5, 1.0), (1.0, 1.0), (1.0, 0.5), (1.0, 0.1), (1.0, 0.0)]
)
@pytest.mark.parametrize(("feet", "sway"), [("xyzXYZ", 4), ("xyzXZ", 2)])
def test_a_portal_frame_folds_by_the_weakest_of_three_mechanisms(
    feet: str, sway: int, sideways: float, downwards: float
) -> None:
    made = portal(feet)
    loads = nodal(5, (1, (sideways, 0, 0, 0, 0, 0)), (2, (0, 0, -downwards, 0, 0, 0)))
    work = {
        "beam": (4, downwards * SPAN / 2),
        "sway": (sway, sideways * HEIGHT),
        "both": (sway + 2, sideways * HEIGHT + downwards * SPAN / 2),
    }
    weakest = min(hinges * MOMENT / done for hinges, done in work.values() if done)
    assert collapse(made, loads, capacities(made)) == pytest.approx(weakest, rel=1e-6)


def test_pull_and_bending_share_a_section_in_a_straight_line() -> None:
    made = frame([(0, 0, 0), (2, 0, 0)], members([(0, 1)]), fixed={0: "xyzXYZ"})
    loads = nodal(2, (1, (7.0, 0.5, -1.0, 0, 0, 0)))
    wanted = 1 / (7.0 / 8e4 + 0.5 * 2 / MOMENT + 1.0 * 2 / MOMENT)
    assert collapse(made, loads, capacities(made, axial=8e4)) == pytest.approx(wanted, rel=1e-6)
