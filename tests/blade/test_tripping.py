"""The trip: springs against weight about the hinge line."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import poses, trip_rules
from plowwright.blade.build import Build, work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.spec import Spec
from plowwright.blade.tripping import SpringLine, Trip, spring_of, trip_of, turned, wire_of
from plowwright.errors import ModelError
from plowwright.findings import Finding
from plowwright.physics import strike
from plowwright.physics.springs import ExtensionSpring
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH, LBF

LB_PER_IN = LBF / INCH


def spring(rate: float = 222.09, initial: float = 0.0) -> ExtensionSpring:
    return ExtensionSpring(
        name="test spring",
        wire=0.375 * INCH,
        mean=2.0 * INCH,
        rate=rate * LB_PER_IN,
        initial=initial * LBF,
        tensile=1.2e9,
    )


def upright(count: int = 3, preload: float = 1.25, arm: float = 4.5, weight: float = 0.0, wear: float = 0.0) -> Trip:
    """Springs that pull straight back at a lug straight above the hinge, on a 5-1/2 in hinge."""
    line = SpringLine(
        lug=(0.0, arm * INCH),
        anchor=(-20.0 * INCH, arm * INCH),
        spring=spring(),
        preload=preload * INCH,
        greatest_stretch=4.0 * INCH,
        room=3.0 * INCH,
    )
    return Trip(
        name="test blade",
        lines=(line,) * count,
        weight=weight * LBF,
        centre=(4.0 * INCH, 8.0 * INCH),
        tip=(5.0 * INCH, -5.5 * INCH),
        wear=wear * INCH,
        blade_weight=2 * weight * LBF,
    )


def built(rules: Rulebook, series: str = "flint", width: float = 84, kind: str = "skid steer") -> Build:
    mount = "loader" if kind == "skid steer" else next(k for k, m in rules.mounts.items() if kind in m.carriers)
    spec = Spec(series=series, width=width * INCH, mount=mount, carrier_kind=kind, hoses="flat-face")
    return work_out(spec, rules, level=0)


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    return built(demo_rules)


def by_title(found: tuple[Finding, ...], start: str) -> Finding:
    return next(f for f in found if f.title.startswith(start))


def test_three_springs_on_a_four_and_a_half_inch_arm_by_hand() -> None:
    """Check G06: 3 x 222.09 lb/in x 1.25 in = 832.8 lb, times 4.5 in = 3,747.8 lb-in."""
    trip = upright()
    assert sum(line.tension(0.0) for line in trip.lines) / LBF == pytest.approx(832.8, rel=2e-3)
    assert trip.spring_moment(0.0) / (LBF * INCH) == pytest.approx(3747.8, rel=2e-3)
    assert trip.release() / LBF == pytest.approx(3747.8 / 5.5, rel=2e-3)


def test_two_inches_of_wear_on_a_five_and_a_half_inch_hinge_raise_the_release_force_by_57_per_cent() -> None:
    trip = upright()
    assert trip.release(2.0 * INCH) / trip.release() == pytest.approx(1.57, abs=0.005)


def test_weight_ahead_of_the_hinge_helps_the_trip() -> None:
    assert upright(weight=300).release() == pytest.approx(upright().release() - 300 * 4.0 / 5.5 * LBF)


def test_the_release_is_the_one_of_the_strike_bases(flint: Build) -> None:
    trip = trip_of(flint)
    one = strike.trip_release(trip.spring_moment(0.0), trip.weight_moment(0.0), trip.hinge_height, 0.01)
    assert trip.release(0.01) == pytest.approx(one.low)


def test_a_spring_stretches_as_its_two_ends_move_apart_in_the_model(flint: Build) -> None:
    trip = trip_of(flint)
    links = [p.link for p in flint.parts if p.mark == "trip spring" and p.link]
    for angle in (0.1, 0.3):
        for line, link in zip(trip.lines, links, strict=True):
            now = poses.stretch(link, flint.assembly, poses.Pose(trip=angle))
            assert line.length(angle) == pytest.approx(now, abs=1e-9)


def test_the_foot_goes_back_and_the_top_forward(flint: Build) -> None:
    trip = trip_of(flint)
    back, down = trip.tip_path(0.2)
    assert back > 0.0 and down > 0.0
    assert turned((0.0, 0.5), 0.2)[0] > 0.0


@given(st.floats(0.0, 1.0), st.floats(0.0, 0.06))
def test_the_lever_is_how_fast_the_spring_stretches(angle: float, preload: float) -> None:
    line = replace(upright().lines[0], preload=preload)
    step = 1e-6
    slope = (line.length(angle + step) - line.length(angle - step)) / (2 * step)
    assert line.arm(angle) == pytest.approx(slope, abs=1e-6)


@given(st.floats(0.05, 0.5), st.floats(0.0, 400.0))
def test_the_energy_to_trip_is_the_area_under_the_moment(angle: float, weight: float) -> None:
    trip = upright(weight=weight)
    angles = np.linspace(0.0, angle, 2001)
    area = float(np.trapezoid([trip.held_moment(float(a)) for a in angles], angles))
    assert trip.energy(angle) == pytest.approx(area, rel=1e-4, abs=1e-3)


@given(st.floats(200.0, 3000.0), st.floats(0.0, 2.0), st.floats(0.0, 300.0))
def test_the_preload_asked_for_gives_the_release_asked_for(force: float, wear: float, weight: float) -> None:
    trip = upright(weight=weight)
    preload = trip.preload_for(force * LBF, wear * INCH)
    if preload > 1e-4:
        assert trip.with_springs(preload=preload).release(wear * INCH) == pytest.approx(force * LBF)


@given(st.integers(2, 7), st.floats(0.2, 2.0))
def test_more_springs_and_more_preload_never_lower_the_release(count: int, preload: float) -> None:
    trip = upright(count=count, preload=preload, weight=200)
    assert trip.with_springs(count=count + 1).release() >= trip.release()
    assert trip.with_springs(preload=(preload + 0.1) * INCH).release() >= trip.release()


def test_the_trip_ends_where_the_first_spring_is_stretched_as_far_as_its_maker_allows(flint: Build) -> None:
    trip = trip_of(flint)
    end = trip.greatest_angle
    assert radians(10) < end < radians(60)
    assert max(line.stretch(end) for line in trip.lines) == pytest.approx(trip.lines[0].greatest_stretch, abs=1e-9)
    assert upright(preload=4.5).greatest_angle == 0.0


def test_the_curve_begins_at_the_release_and_ends_at_the_greatest_trip(flint: Build) -> None:
    trip = trip_of(flint)
    curve = trip.curve(0.02)
    assert curve[0] == pytest.approx((0.0, trip.release(0.02)))
    assert curve[-1][0] == pytest.approx(trip.greatest_angle)


def test_the_greatest_step_is_where_the_release_reaches_the_limit() -> None:
    trip = upright(weight=100)
    lip = trip.greatest_lip(2000 * LBF, 0.5 * INCH)
    assert lip > 0.0
    assert trip.release(0.5 * INCH, lip) == pytest.approx(2000 * LBF)
    assert trip.greatest_lip(trip.release() / 2) == 0.0


def test_caught_above_the_hinge_line_it_does_not_trip() -> None:
    with pytest.raises(ModelError, match=r"caught at or above the hinge line it does not trip .*5-1/2 in"):
        upright().release(lip=6.0 * INCH)


def test_a_spring_without_rate_gets_it_from_its_sizes(demo_rules: Rulebook) -> None:
    entry = demo_rules.bought["trip spring 3/8"].model_copy(update={"rate": None})
    made = spring_of("trip spring 3/8", entry, wire_of(demo_rules))
    # Coil 2-1/4 outside, wire 3/8, 32 active, G 11,200 ksi: 131 lb/in as its maker says.
    assert made.rate / LB_PER_IN == pytest.approx(131, rel=0.02)


def test_a_spring_of_zero_rate_is_refused_by_name(demo_rules: Rulebook) -> None:
    entry = demo_rules.bought["trip spring 3/8"].model_copy(update={"rate": 0.0})
    with pytest.raises(ModelError, match="trip spring 3/8: a spring without rate holds nothing"):
        spring_of("trip spring 3/8", entry, wire_of(demo_rules))


def test_a_blade_without_springs_is_refused(flint: Build) -> None:
    bare = replace(flint.assembly, joints=tuple(j for j in flint.assembly.joints if "spring" not in j.id))
    with pytest.raises(ModelError, match="nothing holds the moldboard up"):
        trip_of(replace(flint, assembly=bare))


def test_without_settings_nothing_is_checked_and_it_says_why(flint: Build) -> None:
    (only,) = trip_rules.findings(trip_of(flint), None, capacities={}, push=None)
    assert only.verdict == "not checked"
    assert only.sentence == "trip: not checked because this rulebook has no strength.toml"


def test_without_a_carrier_only_its_push_stays_open(flint: Build) -> None:
    settings = flint.rulebook.strength
    found = trip_rules.findings(trip_of(flint), settings, capacities={"push frame": Span.sure(2e4)}, push=None)
    open_ones = [f for f in found if f.verdict == "not checked"]
    assert [f.sentence.partition(" because ")[2] for f in open_ones] == ["the carrier's weight is not known"]
    assert trip_rules.steady_push(Carrier(name="who knows"), settings) is None


def test_a_weak_frame_fails_against_the_worn_release_and_is_named(flint: Build) -> None:
    trip, settings = trip_of(flint), flint.rulebook.strength
    weak = {"push frame": Span.sure(trip.release()), "relief": Span.sure(1e5)}
    worst = by_title(trip_rules.findings(trip, settings, capacities=weak, push=None), "release force, edge worn")
    assert worst.verdict == "fails"
    assert "The weakest is the push frame" in worst.sentence and "re-set the springs" in worst.sentence
    assert worst.basis.inputs["share of the weakest"] == "0.9 (shop rule)"
    assert "over steps up to 0 in" in worst.sentence
    weak["push frame"] = Span.sure(4 * trip.release())
    better = by_title(trip_rules.findings(trip, settings, capacities=weak, push=None), "release force, edge worn")
    assert better.verdict == "holds"
    assert "over steps up to 2" in better.sentence
    # Under the frame's yield, but over nine tenths of it.
    weak["push frame"] = Span.sure(trip.release(trip.wear or 0.0) / 0.95)
    close = by_title(trip_rules.findings(trip, settings, capacities=weak, push=None), "release force, edge worn")
    assert close.verdict == "fails"


def test_a_light_release_against_a_heavy_carrier_says_what_stretch_would_do(demo_rules: Rulebook) -> None:
    trip = trip_of(built(demo_rules, "basalt"))
    settings = demo_rules.strength
    found = trip_rules.findings(trip, settings, capacities={}, push=Span.sure(4000 * LBF))
    new = by_title(found, "release force, new edge")
    assert new.verdict == "fails"
    assert "It would trip on hard snow alone. A stretch at rest of " in new.sentence
    assert settings is not None
    need = trip.preload_for(trip_rules.at_the_edge(Span.sure(4000 * LBF), settings).likely)
    assert trip.with_springs(preload=need).release() / LBF == pytest.approx(2000, rel=1e-6)


def test_the_advice_gives_fewest_springs_that_fit_every_bound(demo_rules: Rulebook) -> None:
    trip, settings = trip_of(built(demo_rules)), demo_rules.strength
    assert settings is not None
    push = Span.sure(1800 * LBF)
    advice = trip_rules.advise(trip, settings, carrier="skid steer", push=push, capacity=Span.sure(4000 * LBF))
    assert advice.count is not None and advice.preload is not None
    tried = trip.with_springs(count=advice.count, preload=advice.preload.low)
    assert tried.release() >= 0.999 * 1800 * 0.5 * 2.0 * LBF
    most = trip.with_springs(count=advice.count, preload=advice.preload.high)
    assert most.release(trip.wear or 0.0) <= 1.001 * 0.9 * 4000 * LBF
    assert "rough driving" in advice.reason and "(assumed)" in advice.reason
    gentle = trip_rules.advise(trip, settings, carrier="tractor", push=push, capacity=Span.sure(4000 * LBF))
    assert gentle.count is not None and gentle.count < advice.count


def test_where_no_number_of_springs_will_do_the_bound_is_named(demo_rules: Rulebook) -> None:
    trip, settings = trip_of(built(demo_rules)), demo_rules.strength
    assert settings is not None
    advice = trip_rules.advise(
        trip, settings, carrier="skid steer", push=Span.sure(3000 * LBF), capacity=Span.sure(1000 * LBF)
    )
    assert advice.count is None and advice.preload is None
    assert advice.reason.startswith("no number of these springs up to 8 will do")
    assert "the weakest part, edge worn" in advice.reason


def test_a_spring_that_falls_short_of_the_weight_fails(flint: Build) -> None:
    trip = replace(trip_of(flint), weight=1e4)
    held = by_title(trip_rules.findings(trip, flint.rulebook.strength, capacities={}, push=None), "springs against")
    assert held.verdict == "fails"
