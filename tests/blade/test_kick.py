"""The kick: levers, turned edges, bolts and the ratio of two lives."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import kick
from plowwright.blade.build import Build, work_out
from plowwright.blade.kick import EdgeChoice, choice_of, life_ratio, other_choice
from plowwright.blade.spans import Span
from plowwright.blade.spec import Spec
from plowwright.errors import ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import INCH, LBF


def built(rules: Rulebook, series: str, width: float = 84) -> Build:
    return work_out(
        Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face"),
        rules,
        level=0,
    )


@pytest.fixture(scope="module")
def settings(common_rules: Rulebook) -> Strength:
    assert common_rules.strength is not None
    return common_rules.strength


@pytest.fixture(scope="module")
def edge_punched(common_rules: Rulebook) -> Build:
    return built(common_rules, "standard")


@pytest.fixture(scope="module")
def centre_punched(demo_rules: Rulebook) -> Build:
    return built(demo_rules, "flint")


def simple(below: float, wear: float, *, to_weld: float = 0.0, hinge: float = 5.0, sides: int = 1) -> EdgeChoice:
    return EdgeChoice(
        name="edge",
        punching="edge-punched",
        below=below * INCH,
        hang=below * INCH,
        wear=wear * INCH,
        sides=sides,
        to_weld=to_weld * INCH,
        hinge=hinge * INCH,
    )


def test_an_edge_punched_edge_wears_its_lever_from_long_to_short(edge_punched: Build, settings: Strength) -> None:
    edge = choice_of(edge_punched.datum, settings)
    assert (edge.punching, edge.sides) == ("edge-punched", 1)
    # 6 in bar, holes 1-1/2 in from its top: 4-1/2 below the bolts; 3 in hang, 1/4 in left.
    assert edge.lever(0.0, "bolt line") / INCH == pytest.approx(4.5)
    assert edge.wear / INCH == pytest.approx(2.75)
    assert [round(lever / INCH, 3) for _, lever in edge.path()] == [7.0, 4.25]


def test_a_centre_punched_edge_is_turned_and_wears_its_half_once_more(
    centre_punched: Build, settings: Strength
) -> None:
    edge = choice_of(centre_punched.datum, settings)
    assert (edge.punching, edge.sides) == ("centre-punched", 2)
    assert edge.lever(0.0, "bolt line") / INCH == pytest.approx(3.0)
    levers = [round(lever / INCH, 3) for _, lever in edge.path()]
    assert levers[0] == levers[2] and levers[1] == levers[3] and levers[0] > levers[1]
    assert edge.spent == pytest.approx(2 * edge.wear)


def test_the_same_bar_punched_the_other_way_goes_through_the_same_holes_of_the_angle(
    edge_punched: Build, settings: Strength
) -> None:
    d = edge_punched.datum
    mine, other = choice_of(d, settings), other_choice(d, settings, 1.5 * INCH)
    assert other.punching == "centre-punched"
    assert other.to_weld == pytest.approx(mine.to_weld)
    assert (mine.below - other.below) / INCH == pytest.approx(1.5)
    assert (mine.hang - other.hang) / INCH == pytest.approx(1.5)
    assert (mine.hinge - other.hinge) / INCH == pytest.approx(1.5)


def test_the_kick_at_the_web_foot_is_strike_times_lever() -> None:
    assert kick.web_moment(simple(4.5, 3.0, to_weld=2.5), 1000.0, 1.0 * INCH) == pytest.approx(1000.0 * 6.0 * INCH)


def test_one_force_and_slope_three_by_hand(settings: Strength) -> None:
    """Mean lever cubed from 4.5 to 1.5 in against 3 to 1.5 in: 33.75 / 12.66 = 2.67; 2.7 by twenty steps."""
    ratio = life_ratio(simple(3.0, 1.5, sides=2), simple(4.5, 3.0), settings, strongest=1e4)
    found = {case.name: case.ratio for case in ratio.cases}
    by_hand = ((4.5**4 - 1.5**4) / (4 * 3.0)) / ((3.0**4 - 1.5**4) / (4 * 1.5))
    assert found["every strike has one force and the lever runs to the bolt line"] == pytest.approx(by_hand, rel=0.003)


def test_strikes_that_the_trip_cuts_off_hardly_know_the_edges_apart(edge_punched: Build, settings: Strength) -> None:
    d = edge_punched.datum
    ratio = life_ratio(
        other_choice(d, settings, 1.5 * INCH), choice_of(d, settings), settings, strongest=1e4, held_moment=100.0
    )
    found = {case.name: case.ratio for case in ratio.cases}
    assert found["every strike is cut off by the trip"] == pytest.approx(1.0, abs=0.3)
    assert found["every strike has one force and the lever runs to the bolt line"] > 2.0


def test_the_ratio_is_a_band_with_the_assumptions_at_its_ends_and_no_years(
    edge_punched: Build, settings: Strength
) -> None:
    d = edge_punched.datum
    ratio = life_ratio(
        other_choice(d, settings, 1.5 * INCH), choice_of(d, settings), settings, strongest=1e4, held_moment=500.0
    )
    assert ratio.band.low < ratio.band.likely < ratio.band.high
    said = ratio.sentence()
    assert "least if every strike is cut off by the trip" in said
    assert "years are never promised" in said


@given(st.floats(2.0, 6.0), st.floats(2.0, 6.0), st.floats(0.3, 1.5))
def test_held_the_other_way_round_every_ratio_turns_over(settings: Strength, a: float, b: float, wear: float) -> None:
    one, two = simple(a, wear, to_weld=1.0, hinge=8.0), simple(b, wear, to_weld=1.0, hinge=8.0)
    there = life_ratio(one, two, settings, strongest=1e4, held_moment=300.0)
    back = life_ratio(two, one, settings, strongest=1e4, held_moment=300.0)
    for x, y in zip(there.cases, back.cases, strict=True):
        assert x.ratio * y.ratio == pytest.approx(1.0)


@given(st.floats(2.5, 6.0), st.floats(0.1, 1.0))
def test_a_longer_lever_never_lets_the_weld_live_longer(settings: Strength, below: float, more: float) -> None:
    ratio = life_ratio(simple(below, 1.0), simple(below + more, 1.0), settings, strongest=1e4)
    assert all(case.ratio > 1.0 for case in ratio.cases)


def test_weak_strikes_under_the_cut_off_harm_neither(settings: Strength) -> None:
    ratio = life_ratio(simple(3.0, 1.5), simple(4.5, 3.0), settings, strongest=1e4, stress_per_moment=1.0)
    assert {case.ratio for case in ratio.cases} == {1.0}


def test_edge_bolts_are_pried_over_the_toe_of_the_angle(edge_punched: Build, common_rules: Rulebook) -> None:
    """5/8-11 grade 5: proof 19,210 lb. T = F (4-1/2 - 1-1/2) / 1-1/2 = 2 F, one bolt takes it: 9,605 lb."""
    corner = kick.bolt_capacity(edge_punched.datum, common_rules, corner=True)
    centre = kick.bolt_capacity(edge_punched.datum, common_rules, corner=False)
    assert corner is not None and centre is not None
    assert corner.low / LBF == pytest.approx(9605, rel=2e-3)
    assert centre.high == pytest.approx(3 * corner.low)


def test_bolts_below_the_foot_of_the_angle_are_refused(edge_punched: Build, settings: Strength) -> None:
    low = replace(edge_punched.datum, bolt_line=2.0 * INCH)
    with pytest.raises(ModelError, match=r"edge bolts sit below the foot of the bottom angle .*bolt line 2 in"):
        choice_of(low, settings)


def test_a_new_deep_edge_on_an_old_blade_is_warned_of(settings: Strength) -> None:
    shallow, deep = simple(3.0, 1.5, to_weld=1.5), simple(5.0, 2.0, to_weld=1.5)
    warned = kick.renewal(shallow, deep, settings)
    assert warned.verdict == "near limit"
    assert "from a lever of 3 in to 6-1/2 in, 2.17 times" in warned.sentence
    assert "look there for cracks first" in warned.sentence
    quiet = kick.renewal(shallow, shallow, settings, worn=0.25 * INCH)
    assert quiet.verdict == "holds" and "cracks" not in quiet.sentence


def test_the_findings_say_what_is_not_known(edge_punched: Build, settings: Strength) -> None:
    (only,) = kick.findings(edge_punched.datum, None, None, None)
    assert only.sentence == "kick: not checked because this rulebook has no strength.toml"
    found = kick.findings(edge_punched.datum, settings, None, None)
    assert [f.verdict for f in found] == ["near limit", "not checked"]
    assert "no strike force is known for this carrier" in found[1].sentence


def test_the_ratio_comes_as_a_finding_with_every_assumption_in_its_basis(
    edge_punched: Build, settings: Strength
) -> None:
    d = edge_punched.datum
    ratio = life_ratio(other_choice(d, settings, 1.5 * INCH), choice_of(d, settings), settings, strongest=1e4)
    found = kick.findings(d, settings, ratio, Span(low=0.1, likely=0.2, high=0.3))
    assert found[1].verdict == "holds"
    basis = found[2].basis
    assert basis.kind == "assumed"
    assert {case.name for case in ratio.cases} <= set(basis.inputs)
    assert "2 sides, 2-1/2 in of steel spent" in basis.inputs["centre-punched 6 in edge: lever new to worn"]
