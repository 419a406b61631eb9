"""Lift, axles and ballast of a blade on a machine: by hand, by the formulas over arrays, and what must never happen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.carrier_facts import fact
from plowwright.blade.suit import formulas
from plowwright.physics.lifting import REAR_SHARE, Tractor, axle_loads, ballast_for
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH, LB

from .machines import DAY, LOADER, TRACTOR, WHEEL_LOADER, blade, check_of, held, machine

WIDTHS = (54.0, 60.0, 66.0, 72.0, 78.0, 84.0, 90.0, 96.0, 102.0)
OUT = 4.5 * INCH
"""Mount plate of pins ahead of the loader's pins, likely, as the demo's suit.toml has it [m]."""
LEVEL = 6 * INCH
"""How much further ahead the pins stand with the arms level, likely, likewise [m]."""


def test_lift_is_held_at_the_blades_own_centre_of_gravity(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tractor")
    check = check_of(held(build, machine("tractor", TRACTOR)), "lift")
    assert check.limit is not None and check.value is not None
    x = build.centre_of_gravity[0] / INCH
    # Reach taken as the wheelbase, 74 in: 1,700 lb x 74 / (74 + 4.5 + x).
    assert check.limit.likely / LB == pytest.approx(1700 * 74 / (74 + 4.5 + x))
    assert check.value.likely == build.mass
    assert "1,700 lb at pins, full height are worth" in check.finding.sentence


def test_a_measured_reach_goes_before_the_wheelbase(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tractor")
    reach = fact("reach", "60 in", source="book", on=DAY)
    check = check_of(held(build, machine("tractor", TRACTOR).learn(reach)), "lift")
    assert check.limit is not None and "reach" in check.facts
    x = build.centre_of_gravity[0] / INCH
    assert check.limit.likely / LB == pytest.approx(1700 * 60 / (60 + 4.5 + x))


def test_a_rating_ahead_of_the_pins_is_worth_more_than_the_same_at_them(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tractor")
    bare = machine("tractor", TRACTOR, lift=None)
    limits = {}
    for what, ahead in (("at pins, full height", ""), ("ahead of pins, full height", "24 in")):
        known = fact("lift", "1,700 lb", source="book", on=DAY, what=what, ahead=ahead)
        check = check_of(held(build, bare.learn(known)), "lift")
        assert check.limit is not None
        limits[what] = check.limit.likely
    assert limits["ahead of pins, full height"] > 1.2 * limits["at pins, full height"]


def test_a_rated_load_off_the_plate_goes_before_a_share_of_tipping(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "reed", 72)
    rated = fact("lift", "1,900 lb", source="plate", on=DAY, what="rated")
    own = check_of(held(build, machine("skid steer", LOADER).learn(rated)), "operating")
    shared = check_of(held(build, machine("skid steer", LOADER)), "operating")
    assert own.limit is not None and shared.limit is not None
    # 1,900 off the plate against half of 4,350.
    assert own.limit.likely / shared.limit.likely == pytest.approx(1900 / 2175)


def test_tracks_carry_35_per_cent_where_wheels_carry_half(demo_rules: Rulebook) -> None:
    limits = []
    for kind in ("skid steer", "tracked loader"):
        check = check_of(held(blade(demo_rules, "reed", 72, kind), machine(kind, LOADER)), "operating")  # type: ignore[arg-type]
        assert check.finding.basis.inputs["share"] == ("50 %" if kind == "skid steer" else "35 %")
        assert "ISO 14397-1" in check.finding.basis.source and "comparison" in check.title
        assert check.limit is not None
        limits.append(check.limit.likely)
    assert limits[1] < 0.75 * limits[0]


def test_an_articulated_loader_whose_book_is_silent_on_full_turn_is_guessed_from_straight(
    demo_rules: Rulebook,
) -> None:
    build = blade(demo_rules, "flint", 84, "wheel loader")
    silent = held(build, machine("wheel loader", WHEEL_LOADER))
    guessed, straight = check_of(silent, "turn"), check_of(silent, "operating")
    assert guessed.limit is not None and straight.limit is not None
    assert guessed.limit.high < straight.limit.high and guessed.limit.low < straight.limit.low
    assert "own figure at full turn" in guessed.finding.sentence
    book = fact("tipping_load", "3,050 lb", source="book", on=DAY, what="full turn")
    known = check_of(held(build, machine("wheel loader", WHEEL_LOADER).learn(book)), "turn")
    assert known.limit is not None
    assert known.limit.high - known.limit.low < guessed.limit.high - guessed.limit.low
    unknown = held(build, machine("wheel loader", WHEEL_LOADER, tipping_load=None))
    assert check_of(unknown, "turn").finding.verdict == "not checked" and "tipping_load" in unknown.missing


def test_axles_in_every_position_lose_no_weight(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84, "tractor")
    suit = held(build, machine("tractor", TRACTOR))
    assert suit.axles is not None
    rows = {row.key: row for row in suit.axles.rows}
    empty = (2050 + 2550) * LB
    assert rows["bare"].front.likely + rows["bare"].rear.likely == pytest.approx(empty)
    for key in ("low", "lifted"):
        assert rows[key].front.likely + rows[key].rear.likely == pytest.approx(empty + build.mass)
    assert rows["lifted"].front.likely > rows["low"].front.likely > rows["bare"].front.likely


def test_ballast_of_the_checks_is_the_larger_of_both_rules(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "basalt", 84, "tractor")
    # A weak front axle: the front rule asks for more; a strong one: the rear rule does.
    for limit, by in (("3,600 lb", "front axle within its limit"), ("4,500 lb", "rear axle keeps 45 %")):
        suit = held(build, machine("tractor", TRACTOR, front_axle_limit=limit, lift="2,600 lb"))
        assert suit.ballast is not None and suit.ballast.by.startswith(by)
        ahead = 29 * INCH + OUT + LEVEL + build.centre_of_gravity[0]
        pounds = float(limit.removesuffix(" lb").replace(",", ""))
        tractor = Tractor(wheelbase=74 * INCH, front=2050 * LB, rear=2550 * LB, front_limit=pounds * LB)
        behind = suit.ballast.behind.likely
        need, hung = check_of(suit, "ballast").value, suit.ballast.mass.likely
        assert need is not None
        assert need.likely == pytest.approx(ballast_for(tractor, build.mass, ahead, behind).mass)
        # What is hung is the next round weight.
        assert need.likely <= hung + 1e-9 and hung - need.likely <= 25 * LB
        with_it = axle_loads(tractor, build.mass, ahead, ballast=hung, behind=behind)
        assert with_it.rear >= REAR_SHARE * tractor.mass - 1e-6 and with_it.front <= pounds * LB + 1e-6
        said = check_of(suit, "steering").finding
        assert "to steer" in said.sentence and said.verdict == "holds"


def test_ballast_that_no_box_weighs_is_no_way_out(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "basalt", 102, "tractor"), machine("tractor", TRACTOR, rear_axle="500 lb"))
    assert suit.ballast is None and check_of(suit, "ballast").finding.verdict == "fails"
    assert "take a lighter blade" in check_of(suit, "ballast").finding.sentence
    assert suit.verdict == "does not suit"


def test_without_a_front_axle_limit_it_is_asked_for_and_the_load_is_still_shown(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "reed", 72, "tractor"), machine("tractor", TRACTOR, front_axle_limit=None))
    check = check_of(suit, "front_axle")
    assert check.finding.verdict == "not checked" and "limit of the front axle is not known" in check.finding.sentence
    assert check.value is not None and check.value.likely > 2050 * LB
    assert suit.verdict == "would suit if" and suit.missing[0] == "front_axle_limit"


def test_the_formulas_over_all_widths_at_once_equal_the_checks_one_by_one(demo_rules: Rulebook) -> None:
    carrier = machine("tractor", TRACTOR, rear_axle="4,000 lb", front_axle_limit="6,000 lb", lift="4,000 lb")
    builds = [blade(demo_rules, "flint", width, "tractor") for width in WIDTHS]
    mass = np.array([build.mass for build in builds])
    x = np.array([build.centre_of_gravity[0] for build in builds])
    ahead, base, nothing = 29 * INCH + OUT + LEVEL + x, 74 * INCH, np.zeros_like(mass)
    front = formulas.front_axle(mass, ahead, base, 2050 * LB, nothing, nothing)  # type: ignore[type-var]
    rear = formulas.rear_axle(mass, ahead, base, 4000 * LB, nothing, nothing)  # type: ignore[type-var]
    lift = formulas.used(mass, formulas.at_center(4000 * LB, base, OUT + x))  # type: ignore[type-var]
    for i, build in enumerate(builds):
        suit = held(build, carrier)
        found = {key: check_of(suit, key) for key in ("front_axle", "rear_axle", "lift")}
        assert found["front_axle"].value is not None and found["rear_axle"].value is not None
        assert found["front_axle"].value.likely == pytest.approx(front[i])
        assert found["rear_axle"].value.likely == pytest.approx(rear[i])
        assert found["lift"].used is not None and found["lift"].used.likely == pytest.approx(lift[i])


@given(
    mass=st.floats(50.0, 900.0), more=st.floats(0.0, 500.0), ahead=st.floats(0.2, 2.0), base=st.floats(1.0, 3.0),
    ballast=st.floats(0.0, 500.0), behind=st.floats(0.1, 1.2), limit=st.floats(500.0, 4000.0),
)  # fmt: skip
def test_more_mass_never_lowers_a_share(
    mass: float, more: float, ahead: float, base: float, ballast: float, behind: float, limit: float
) -> None:
    light, heavy = mass, mass + more

    def front(m: float) -> float:
        return formulas.front_axle(m, ahead, base, 800.0, ballast, behind)

    def rear(m: float) -> float:
        return formulas.rear_axle(m, ahead, base, 900.0, ballast, behind)

    assert formulas.used(front(heavy), limit) >= formulas.used(front(light), limit)
    assert rear(heavy) <= rear(light)
    assert formulas.used(heavy, formulas.at_center(limit, base, ahead)) >= formulas.used(
        light, formulas.at_center(limit, base, ahead)
    )
    by_rear = [formulas.ballast_by_rear(m, ahead, base, 800.0, 900.0, behind, REAR_SHARE) for m in (light, heavy)]
    by_front = [formulas.ballast_by_front(m, ahead, base, 800.0, limit, behind) for m in (light, heavy)]
    assert by_rear[0] <= by_rear[1] and by_front[0] <= by_front[1]


@pytest.mark.parametrize("kind", ["tractor", "skid steer", "wheel loader"])
def test_a_wider_blade_never_uses_less_of_what_the_machine_carries(demo_rules: Rulebook, kind: str) -> None:
    facts = {"tractor": TRACTOR, "skid steer": LOADER, "wheel loader": WHEEL_LOADER}[kind]
    # Lengths of hose and edge come in steps, but a wider blade of one edge section is always heavier.
    before: dict[str, float] = {}
    for width in WIDTHS[:7]:
        suit = held(blade(demo_rules, "flint", width, kind), machine(kind, facts))  # type: ignore[arg-type]
        for key in ("lift", "operating", "turn"):
            check = suit.check(key)
            if check is not None and check.used is not None:
                assert check.used.likely >= before.get(key, 0.0), (width, key)
                before[key] = check.used.likely
    assert before


def test_ballast_that_hangs_already_counts_and_only_the_rest_is_asked_for(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "basalt", 84, "tractor")
    bare = machine("tractor", TRACTOR, front_axle_limit="3,600 lb", lift="2,600 lb")
    before = held(build, bare)
    assert before.ballast is not None
    box = fact("ballast", "400 lb", source="plate", on=DAY, what="hung behind the rear axle")
    after = held(build, bare.learn(box))
    assert after.ballast is not None
    needs = [check_of(suit, "ballast").value for suit in (before, after)]
    assert needs[0] is not None and needs[1] is not None
    assert needs[0].likely - needs[1].likely == pytest.approx(400 * LB)
    # Where the rear rule asks, 45 % are still meant of the empty tractor, without what hangs on it.
    strong = machine("tractor", TRACTOR, front_axle_limit="4,500 lb", lift="2,600 lb", rear_axle="1,900 lb")
    rear = [check_of(held(build, one), "ballast").value for one in (strong, strong.learn(box))]
    assert rear[0] is not None and rear[1] is not None
    assert rear[0].likely - rear[1].likely == pytest.approx(400 * LB)
    # In the wheels it lifts nothing off the front axle, which is what asks here.
    wheels = fact("ballast", "400 lb", source="plate", on=DAY, what="in the rear wheels")
    filled = check_of(held(build, bare.learn(wheels)), "ballast").value
    assert filled is not None and filled.likely == pytest.approx(needs[0].likely)


def test_told_ballast_carries_no_pass(demo_rules: Rulebook) -> None:
    box = fact("ballast", "600 lb", source="told", on=DAY, what="hung behind the rear axle")
    suit = held(blade(demo_rules, "flint", 84, "tractor"), machine("tractor", TRACTOR).learn(box))
    assert check_of(suit, "front_axle").finding.verdict == "not checked" and suit.verdict == "would suit if"


def test_the_rear_axle_has_a_limit_too_where_the_book_says_it(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "basalt", 84, "tractor")
    bare = machine("tractor", TRACTOR, front_axle_limit="3,600 lb", lift="2,600 lb")
    assert held(build, bare).check("rear_limit") is None
    limit = fact("rear_axle_limit", "3,000 lb", source="book", on=DAY)
    suit = held(build, bare.learn(limit))
    check = check_of(suit, "rear_limit")
    assert check.finding.verdict == "fails" and suit.verdict == "does not suit"
    # Blade on the ground: 2,550 lb and the ballast with its lever, 30 in behind over 74 in.
    assert suit.ballast is not None and check.value is not None
    hung = suit.ballast.mass.likely / LB
    assert check.value.likely / LB == pytest.approx(2550 + hung * (30 + 74) / 74)


def test_a_known_turn_of_the_joint_goes_before_the_assumed_one(demo_rules: Rulebook) -> None:
    build, carrier = blade(demo_rules, "flint", 84, "wheel loader"), machine("wheel loader", WHEEL_LOADER)
    less = carrier.learn(fact("articulation", "25 deg", source="book", on=DAY))
    limits = [check_of(held(build, one), "turn").limit for one in (carrier, less)]
    assert limits[0] is not None and limits[1] is not None and limits[1].likely > limits[0].likely
