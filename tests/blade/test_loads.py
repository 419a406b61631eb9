from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, radians, sin

import pytest

from plowwright.blade import loads
from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import GRAVITY, INCH

PLAIN = loads.LoadSettings(uplift=0.2, bump=2.0)


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


@pytest.fixture(scope="module")
def cases(flint: Build) -> dict[str, loads.LoadCase]:
    return {case.name: case for case in loads.cases(flint, PLAIN)}


def test_no_two_cases_share_a_name(flint: Build, cases: dict[str, loads.LoadCase]) -> None:
    assert len(cases) == len(loads.cases(flint, PLAIN))
    assert {case.kind for case in cases.values()} == {"push", "strike", "back-drag", "bump", "down-force"}


def test_strikes_are_swept_from_corner_to_corner_in_nine_places(flint: Build, cases: dict[str, loads.LoadCase]) -> None:
    strikes = [case for case in cases.values() if case.kind == "strike" and not case.angle]
    straight = [case for case in strikes if "uplift" not in case.name]
    places = sorted(case.board[0].place.y0 for case in straight)
    assert len(places) == 9
    assert places[0] == pytest.approx(-42 * INCH)
    assert max(case.board[0].place.y1 for case in straight) == pytest.approx(42 * INCH)


def test_a_strike_is_one_newton_against_travel_on_the_edge_below_the_angle(
    flint: Build, cases: dict[str, loads.LoadCase]
) -> None:
    (load,) = cases["strike left corner, straight"].board
    assert load.force == (-1.0, 0.0, 0.0)
    assert (load.place.z0, load.place.z1, load.place.on) == (0.0, flint.datum.foot, "edge")
    assert loads.middle(load, flint.datum)[0] == pytest.approx(flint.datum.edge_back + flint.datum.edge_wall)


def test_uplift_comes_on_top_of_the_newton_along_the_ground(cases: dict[str, loads.LoadCase]) -> None:
    x, y, z = cases["strike right corner, left end forward 30 deg with uplift"].board[0].force
    assert hypot(x, y) == pytest.approx(1.0)
    assert z == pytest.approx(0.2)


def test_with_the_left_end_forward_the_carrier_drives_to_the_left_of_straight_ahead(
    cases: dict[str, loads.LoadCase],
) -> None:
    x, y, _ = cases["strike left corner, left end forward 30 deg"].board[0].force
    assert (x, y) == pytest.approx((-cos(radians(30)), -sin(radians(30))))


@pytest.mark.parametrize(
    ("name", "held"),
    [
        ("strike left corner, left end forward 30 deg", "cylinder"),
        ("strike right corner, left end forward 30 deg", "stop"),
        ("strike right corner, right end forward 30 deg", "cylinder"),
        ("strike left corner, right end forward 30 deg", "stop"),
        ("strike left corner, straight", "cylinder"),
    ],
)
def test_a_strike_that_would_angle_the_blade_further_rests_on_the_stop_and_any_other_on_the_oil(
    cases: dict[str, loads.LoadCase], name: str, held: str
) -> None:
    assert cases[name].held_by == held


def test_a_strike_at_the_left_end_pushes_that_end_back(flint: Build, cases: dict[str, loads.LoadCase]) -> None:
    (load,) = cases["strike left corner, straight"].board
    arm = 42 * INCH - loads.STRIKE_WIDTH / 2
    assert loads.turning(load, flint.datum, flint.assembly.pivots.king_pin) == pytest.approx(arm)


def test_a_bump_is_twice_gravity_downwards_and_does_not_scale(cases: dict[str, loads.LoadCase]) -> None:
    bump = cases["bump, straight"]
    assert bump.gravity == (0.0, 0.0, -2 * GRAVITY)
    assert not bump.scales and cases["back-drag, straight"].scales
    assert "2 times gravity (assumed)" in bump.basis.inputs["bump"]


def test_back_drag_pulls_the_edge_forward_and_down_force_lifts_it(cases: dict[str, loads.LoadCase]) -> None:
    assert cases["back-drag, straight"].board[0].force == (1.0, 0.0, 0.0)
    assert cases["down-force, straight"].board[0].force == (0.0, 0.0, 1.0)


def test_settings_come_from_the_rulebook_with_their_ground(flint: Build) -> None:
    strength = flint.rulebook.strength
    assert strength is not None
    taken = loads.settings(flint.rulebook)
    assert (taken.uplift, taken.bump) == (strength.strike.uplift.value, strength.loads.bump.value)
    assert taken.bump_rests_on == strength.loads.bump.rests_on


def test_a_rulebook_without_strength_settings_is_refused_with_the_way_out(flint: Build) -> None:
    old = replace(flint.rulebook, data=flint.rulebook.data.model_copy(update={"strength": None}))
    with pytest.raises(ModelError) as fault:
        loads.cases(replace(flint, rulebook=old))
    assert "no strength.toml" in str(fault.value)
    assert "Put a strength.toml beside series.toml." in str(fault.value)


def test_on_the_skin_a_load_acts_on_its_front_face(flint: Build) -> None:
    d = flint.datum
    place = loads.Patch(y0=-0.1, y1=0.1, z0=0.4, z1=0.5, on="skin")
    x, _, z = loads.middle(loads.BoardLoad(force=(-1.0, 0.0, 0.0), place=place), d)
    # The skin is a circle: the point lies its radius away from the centre in front of the foot.
    centre = (d.arc.x + d.arc.radius * cos(d.arc.lean), d.arc.z + d.arc.radius * sin(d.arc.lean))
    assert hypot(x - centre[0], z - centre[1]) == pytest.approx(d.arc.radius)
