"""Depth against speed for a blade on a machine: sure and perhaps, and what makes both better or worse."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.suit.results import SnowEnvelope
from plowwright.blade.suit.snowing import scrapes_on
from plowwright.blade.work import UNTOLD, Work
from plowwright.physics.snow import Front, Pusher, Snow, resistance
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import GRAVITY, INCH, MPH

from .machines import DAY, LOADER, TRACTOR, blade, check_of, held, machine


def envelopes(rules: Rulebook, carrier: Carrier, work: Work = UNTOLD, width: float = 84) -> dict[str, SnowEnvelope]:
    kind = carrier.kind
    found = held(blade(rules, "flint", width, kind), carrier, work).envelopes  # type: ignore[arg-type]
    return {f"{e.ground}{' angled' if e.angle else ''}": e for e in found}


def area(one: SnowEnvelope) -> float:
    return sum(one.sure) + sum(one.perhaps)


def test_there_is_one_for_each_ground_straight_and_at_full_angle(demo_rules: Rulebook) -> None:
    found = envelopes(demo_rules, machine("skid steer", LOADER))
    assert list(found) == [
        "pavement", "pavement angled", "packed snow", "packed snow angled", "ice", "ice angled"
    ]  # fmt: skip
    for one in found.values():
        assert one.speeds[0] == 0.0 and one.speeds[-1] == pytest.approx(10 * MPH)
        assert all(sure <= perhaps for sure, perhaps in zip(one.sure, one.perhaps, strict=True))
        assert list(one.sure) == sorted(one.sure, reverse=True)
    assert found["ice angled"].clear_width < found["ice"].clear_width


def test_ice_is_worse_than_packed_snow_and_packed_snow_than_pavement(demo_rules: Rulebook) -> None:
    found = envelopes(demo_rules, machine("skid steer", LOADER))
    assert area(found["pavement"]) > area(found["packed snow"]) > area(found["ice"])


def test_an_angled_blade_sheds_its_snow_and_moves_more_of_it(demo_rules: Rulebook) -> None:
    found = envelopes(demo_rules, machine("skid steer", LOADER))
    assert area(found["packed snow angled"]) > area(found["packed snow"])


def test_tracks_and_chains_grip_better_on_packed_snow(demo_rules: Rulebook) -> None:
    plain = envelopes(demo_rules, machine("skid steer", LOADER))["packed snow"]
    chains = machine("skid steer", LOADER).learn(fact("tyres", "chains", source="told", on=DAY))
    chained = envelopes(demo_rules, chains)["packed snow, chains"]
    tracked = envelopes(demo_rules, machine("tracked loader", LOADER))["packed snow, tracks"]
    assert chained.grip == tracked.grip == (0.35, 0.45) and plain.grip == (0.15, 0.25)
    assert area(chained) > area(plain)


def test_a_tractor_that_drives_its_rear_wheels_only_pushes_less(demo_rules: Rulebook) -> None:
    all_wheels = machine("tractor", TRACTOR)
    rear = all_wheels.learn(fact("drive", "rear wheels", source="told", on=DAY))
    unweighed = machine("tractor", TRACTOR, rear_axle=None).learn(fact("drive", "rear wheels", source="told", on=DAY))
    grounds = [envelopes(demo_rules, carrier)["packed snow"] for carrier in (all_wheels, rear, unweighed)]
    assert area(grounds[0]) > area(grounds[1])
    # Not weighed, the share is a wider guess.
    assert sum(grounds[2].sure) <= sum(grounds[1].sure) and sum(grounds[2].perhaps) >= sum(grounds[1].perhaps)


def test_gravel_stands_for_pavement_where_he_clears_gravel(demo_rules: Rulebook) -> None:
    found = envelopes(demo_rules, machine("skid steer", LOADER), Work(ground="gravel"))
    assert "pavement" not in found and found["gravel"].grip == (0.35, 0.35)


def test_new_snow_is_lighter_work_than_what_lay_for_a_day(demo_rules: Rulebook) -> None:
    carrier = machine("skid steer", LOADER)
    new = envelopes(demo_rules, carrier, Work(snow="new snow"))
    assert area(new["pavement"]) > area(envelopes(demo_rules, carrier)["pavement"])


def test_none_while_weight_or_power_is_not_known(demo_rules: Rulebook) -> None:
    for name in ("mass", "power"):
        suit = held(blade(demo_rules, "flint", 84), machine("skid steer", LOADER, **{name: None}))
        assert suit.envelopes == ()
        assert check_of(suit, "snow").finding.verdict == "not checked" and name in suit.missing
        assert suit.verdict == "suits"  # snow is no limit of the machine


def test_the_sure_depth_is_where_the_hard_bracket_meets_the_lesser_push(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84)
    one = envelopes(demo_rules, machine("skid steer", LOADER))["pavement"]
    assert demo_rules.suit is not None
    at = next(i for i, depth in enumerate(one.sure) if 0.0 < depth < build.assembly.facts["body height"])
    # Undisturbed snow is 110 to 250 kg/m3; book facts are good to 5 %.
    mass, power = 7300 * 0.45359237 * 0.95 * GRAVITY, 66 * 745.6999 * 0.95 * demo_rules.suit.snow.to_ground.low
    hard = Front(width=84 * INCH, height=build.assembly.facts["body height"], on_edge=build.mass * GRAVITY)
    push = Pusher(driven=mass, weight=mass, power=power, grip=(0.5, 0.5)).push(one.speeds[at])[0]
    held_back = resistance(hard, Snow(density=250.0), one.sure[at], one.speeds[at])[1]
    assert held_back == pytest.approx(push, rel=1e-4)


def test_a_depth_that_was_told_is_answered_with_speeds(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tracked loader")
    carrier = machine("tracked loader", LOADER)
    shallow = check_of(held(build, carrier, Work(depth=2 * INCH)), "snow").finding
    assert shallow.verdict == "holds" and "surely at" in shallow.sentence and "mph" in shallow.sentence
    deep = check_of(held(build, carrier, Work(depth=30 * INCH, ice=True)), "snow").finding
    assert deep.title.startswith("push at full angle on ice") and deep.verdict in ("near limit", "fails")
    nobody = check_of(held(build, carrier), "snow").finding
    assert nobody.verdict == "not checked" and "nobody said how deep; at 4 mph it moves" in nobody.sentence


def test_told_weight_and_power_never_hold(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tracked loader")
    told = held(build, machine("tracked loader", LOADER, source="told"), Work(depth=2 * INCH))
    finding = check_of(told, "snow").finding
    assert finding.verdict == "not checked" and "if weight and power are as told" in finding.sentence


@given(depth=st.floats(0.02, 0.8), ice=st.booleans())
def test_snow_never_decides_whether_the_blade_suits(demo_rules: Rulebook, depth: float, ice: bool) -> None:
    suit = held(blade(demo_rules, "flint", 84), machine("skid steer", LOADER), Work(depth=depth, ice=ice))
    assert suit.verdict == "suits"
    value = check_of(suit, "snow").value
    assert value is not None and value.low <= value.high


def test_each_ground_holds_the_edge_back_by_its_own_friction(demo_rules: Rulebook) -> None:
    assert demo_rules.suit is not None
    rows = [scrapes_on(ground, demo_rules.suit) for ground in ("pavement", "packed snow, chains", "ice")]
    assert rows[0].high > rows[1].high > rows[2].high
    assert scrapes_on("gravel", demo_rules.suit) == rows[0]
    basis = check_of(held(blade(demo_rules, "flint", 84), machine("skid steer", LOADER)), "snow").finding.basis
    assert basis.inputs["edge on the ground"] == rows[1].said("-")
