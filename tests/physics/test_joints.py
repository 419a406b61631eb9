"""Seams, bolts, pins and lugs: what must hold in any direction, and what is refused by name."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import ModelError
from plowwright.physics import bolts, pins, welds
from plowwright.physics.joints import BoltGroup, Floats, Seam, SeamGroup, resultants
from plowwright.units.constants import INCH, LBF, PSI

KSI = 1000 * PSI
parts_of_load = st.lists(st.floats(-1e4, 1e4), min_size=6, max_size=6)
angles = st.floats(-math.pi, math.pi)


def box(width: float = 0.1, height: float = 0.15, depth: float = 0.02) -> SeamGroup:
    """A frame of four seams, one side set back, each of its own leg."""
    a, b = width / 2, height / 2
    corners = [(-a, -b, 0.0), (a, -b, 0.0), (a, b, depth), (-a, b, 0.0)]
    seams = tuple(
        Seam(name=f"seam {i}", start=corners[i], end=corners[(i + 1) % 4], leg=0.004 + 0.001 * i, share=1 - 0.1 * i)
        for i in range(4)
    )
    return SeamGroup(name="leg to hinge beam", seams=seams)


def summed(group: SeamGroup, found: Floats) -> tuple[Floats, Floats]:
    """Force and moment about the centre of what the seams take, by Simpson's rule, exact for these lines."""
    share = group.weights[:, None, None] / 6 * np.array([1.0, 4.0, 1.0])[None, :, None]
    places = np.stack([group.ends[:, 0], group.ends.mean(axis=1), group.ends[:, 1]], axis=1) - group.centre
    return (found * share).sum(axis=(0, 1)), np.cross(places, found * share).sum(axis=(0, 1))


@given(parts_of_load)
def test_the_seams_together_take_the_whole_load(load: list[float]) -> None:
    group, at = box(), np.array([0.3, -0.1, 0.2])
    found = group.leg_stress(load[:3], load[3:], at)
    force, moment = summed(group, found)
    expected = np.array(load[3:]) + np.cross(at - group.centre, load[:3])
    assert force == pytest.approx(load[:3], abs=1e-6)
    assert moment == pytest.approx(expected, abs=1e-6)


@given(parts_of_load, angles, angles)
def test_turning_joint_and_load_together_changes_no_seam(load: list[float], turn: float, tilt: float) -> None:
    group = box()
    c, s, d, t = math.cos(turn), math.sin(turn), math.cos(tilt), math.sin(tilt)
    q = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, d, -t], [0, t, d]])
    turned = SeamGroup(
        name="turned",
        seams=tuple(
            Seam(name=x.name, start=tuple(q @ x.start), end=tuple(q @ x.end), leg=x.leg, share=x.share)
            for x in group.seams
        ),
    )
    one = group.leg_stress(load[:3], load[3:], (0.1, 0.2, 0.3))
    other = turned.leg_stress(q @ load[:3], q @ load[3:], q @ np.array([0.1, 0.2, 0.3]))
    assert resultants(other) == pytest.approx(resultants(one), rel=1e-7, abs=1e-3)


def test_many_cases_in_one_call_are_each_case_by_itself() -> None:
    group = box()
    rng = np.random.default_rng(1)
    forces, moments = rng.normal(size=(5, 3)), rng.normal(size=(5, 3))
    together = group.leg_stress(forces, moments, (0.0, 0.0, 0.1))
    for k in range(5):
        assert together[k] == pytest.approx(group.leg_stress(forces[k], moments[k], (0.0, 0.0, 0.1)))


def test_a_weld_of_zero_length_is_refused_by_name() -> None:
    seam = Seam(name="web 3 to shelf", start=(0.1, 0.2, 0.3), end=(0.1, 0.2, 0.3), leg=0.005)
    with pytest.raises(
        ModelError, match=r"weld 'web 3 to shelf' holds nothing \(given: length 0 in\).*two different ends"
    ):
        SeamGroup(name="web 3 on bottom angle", seams=(seam,))


def test_a_weld_without_leg_and_a_joint_without_weld_are_refused_by_name() -> None:
    seam = Seam(name="ear 1 to web 2", start=(0.0, 0.0, 0.0), end=(0.1, 0.0, 0.0), leg=0.0)
    with pytest.raises(ModelError, match=r"weld 'ear 1 to web 2' holds nothing \(given: leg 0 in\)"):
        SeamGroup(name="ear", seams=(seam,))
    with pytest.raises(ModelError, match=r"tower left: no weld joins these parts \(given: 0 seams\)"):
        SeamGroup(name="tower left", seams=())


def test_a_moment_about_a_single_seam_is_refused_and_one_across_it_is_not() -> None:
    seam = Seam(name="top lip", start=(0.0, -0.5, 0.0), end=(0.0, 0.5, 0.0), leg=0.006)
    group = SeamGroup(name="top lip to mount plate", seams=(seam,))
    assert np.isfinite(group.leg_stress((1.0, 0, 0), (0, 0, 10.0), (0, 0, 0))).all()
    with pytest.raises(ModelError, match=r"top lip to mount plate: the seams lie on one line.*given: 88.5 in-lb about"):
        group.leg_stress((1.0, 0, 0), (0, 10.0, 0), (0, 0, 0))


def test_bolts_on_one_line_refuse_a_moment_about_it() -> None:
    group = BoltGroup(name="cutting edge", places=((0, -1.0, 0), (0, 0.0, 0), (0, 1.0, 0)))
    taken = group.bolt_forces((300.0, 0, 0), (0, 0, 0), (0, 0, 0))
    assert taken[:, 0] == pytest.approx([100.0] * 3)
    with pytest.raises(ModelError, match=r"cutting edge: the bolts lie on one line.*Add a bolt off the line"):
        group.bolt_forces((0, 0, 0), (0, 5.0, 0), (0, 0, 0))


def test_the_angle_between_force_and_seam_runs_from_along_to_across() -> None:
    along = np.array([[0.0, 1.0, 0.0]])
    vectors = np.array([[[0, 5.0, 0], [0, -2.0, 0], [3.0, 0, 0], [1.0, 1.0, 0], [0, 0, 0]]])
    found = np.degrees(welds.angle_to_seam(vectors, along))
    assert found == pytest.approx(np.array([[0, 0, 90, 45, 0]]), abs=1e-5)


def test_an_edge_pushed_at_its_tip_pulls_its_bolts_by_the_lever() -> None:
    # L = 5 in, e = 2 in: 1,000 lb at the tip pull 1,500 lb.
    assert bolts.pried_tension(1000 * LBF, 5 * INCH, 2 * INCH) / LBF == pytest.approx(1500)
    assert bolts.pried_tension(1000 * LBF, 1.5 * INCH, 2 * INCH) == 0.0
    with pytest.raises(ModelError, match=r"at or below the toe.*Raise the bolt line"):
        bolts.pried_tension(1000.0, 0.1, 0.0)


def pin(gap: float = 0.0) -> pins.Pin:
    return pins.Pin(
        diameter=INCH, yield_strength=75 * KSI, tensile=90 * KSI, inner=0.5 * INCH, outer=0.5 * INCH, gap=gap
    )


def test_a_pin_in_two_shear_planes_bears_twice_its_area() -> None:
    assert pin().allowable_in_shear() == pytest.approx(2 * 0.6 * 90 * KSI * math.pi / 4 * INCH**2 / 2)


def test_play_beside_a_lug_bends_its_pin_more() -> None:
    # F/8 (b + 4 c + 2 a): 1.5 in of plates against 1.5 + 0.25 in.
    assert pin().moment(8.0) == pytest.approx(1.5 * INCH)
    assert pin(INCH / 16).moment(8.0) == pytest.approx(1.75 * INCH)
    assert pin(INCH / 16).allowable_together() < pin().allowable_together() < pin().allowable_in_bending()


def lug(**changes: float) -> pins.Lug:
    sizes = {"thickness": 0.5 * INCH, "hole": 1.03 * INCH, "beyond": INCH, "beside": INCH, "other_side": INCH}
    return pins.Lug(name="ear 2", yield_strength=36 * KSI, tensile=58 * KSI, **{**sizes, **changes})


def test_a_lug_gives_by_the_least_of_three_ways_and_says_which() -> None:
    # By hand: net 58 x 2 x 0.5 x 1 / 2 = 29; shear-out 0.6 x 58 x 2 x 0.5 x 1.5 / 2 = 26.1; bearing 1.8 x 36 x 0.5 / 2.
    force, way = lug().allowable(INCH)
    assert (force / LBF / 1000, way) == (pytest.approx(16.2), "bearing")
    assert lug().allowable_net() / LBF / 1000 == pytest.approx(29.0)
    assert lug(beyond=0.25 * INCH).allowable(INCH)[1] == "shear-out"
    assert lug(beside=0.25 * INCH, other_side=0.25 * INCH).allowable(INCH)[1] == "net section"
    assert lug(beside=0.25 * INCH).allowable_net() / LBF / 1000 == pytest.approx(18.125)
    assert lug(thickness=0.125 * INCH, beside=3 * INCH, other_side=3 * INCH).allowable_net() == pytest.approx(
        58 * KSI * 0.25 * 0.88 * INCH**2 / 2
    )


def test_a_hole_that_breaks_out_of_its_lug_is_refused() -> None:
    with pytest.raises(ModelError, match=r"ear 2: the pin's hole breaks out.*given: -0.125 in of metal beside"):
        lug(beside=-0.125 * INCH)
