"""Facts about carriers: how well each is known, and that a weaker source never wins."""

from __future__ import annotations

import itertools
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import carriers
from plowwright.blade.carrier_facts import SOURCES, Fact, Spreads, fact
from plowwright.blade.carriers import Carrier, merge
from plowwright.errors import EntryError, NotFoundError, RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import GPM, HP, INCH, LB, PSI

DAY = date(2026, 11, 11)
TABLE = {
    "k1": ("tractor", 23, 2050, 3.9, 2000), "k2": ("tractor", 35, 3900, 7.5, 2400),
    "k3": ("tractor", 48, 4900, 9.5, 2300), "k4": ("tractor", 76, 8900, 15, 2750),
    "k5": ("compact loader", 25, 2950, 8, 2600), "k6": ("skid steer", 46, 5250, 16, 2900),
    "k7": ("skid steer", 66, 7300, 20, 3000), "k8": ("tracked loader", 75, 8700, 23, 3200),
    "k9": ("skid steer", 92, 9300, 26, 3300), "k10": ("wheel loader", 45, 5900, 14, 2600),
}  # fmt: skip


@pytest.fixture(scope="module")
def known(demo_dir: Path) -> dict[str, Carrier]:
    return carriers.load_all(demo_dir / "carriers")


def told(name: str, value: str, **other: str) -> Fact:
    return fact(name, value, **{"source": "told", **other}, on=DAY)  # type: ignore[arg-type]


def test_the_ten_carriers_of_the_shop_read_as_they_were_told(known: dict[str, Carrier]) -> None:
    assert list(known) == list(TABLE)
    for key, (kind, hp, lb, gpm, psi) in TABLE.items():
        carrier = known[key]
        assert carrier.kind == kind
        for name, value in (("power", hp * HP), ("mass", lb * LB), ("flow", gpm * GPM), ("pressure", psi * PSI)):
            one = carrier.known(name)
            assert one is not None and one.likely == pytest.approx(value), (key, name)


def test_each_lift_says_what_it_is(known: dict[str, Carrier]) -> None:
    lift = known["k1"].known("lift")
    assert lift is not None
    assert lift.said() == "lift 700 lb, at pins, full height (book, 2026-09-14)"
    turned = known["k10"].known("tipping_load", "full turn")
    assert turned is not None and turned.likely == pytest.approx(3050 * LB)
    high = known["k9"].known("flow", "high-flow")
    assert high is not None and high.likely == pytest.approx(34 * GPM)


def test_what_nobody_told_us_stays_unknown(known: dict[str, Carrier]) -> None:
    assert known["k5"].known("wheelbase") is None
    assert known["k5"].unknown("mass", "wheelbase", "front_axle") == ("wheelbase", "front_axle")


def test_a_metric_caller_is_understood() -> None:
    carrier = Carrier(name="caller", kind="tractor").learn(
        told("power", "18 kW"),
        told("mass", "900 kg"),
        told("lift", "320 kg", what="at pins, height not said"),
        told("flow", "15 L/min"),
        told("pressure", "140 bar"),
    )
    assert carrier.unknown("power", "mass", "lift", "flow", "pressure") == ()
    power, pressure = carrier.known("power"), carrier.known("pressure")
    assert power is not None and power.likely == pytest.approx(18_000)
    assert pressure is not None and pressure.likely == pytest.approx(14e6) and pressure.doubt == ""


def test_140_psi_is_questioned_because_bar_was_meant() -> None:
    doubted = told("pressure", "140 psi")
    assert "140 psi (9.65 bar)" in doubted.doubt and "psi or bar" in doubted.doubt
    assert not doubted.certain


def test_a_bare_number_is_refused_with_an_example() -> None:
    with pytest.raises(EntryError, match=r"a number without a unit \(given: 900\)\. Write 640 lb or 290 kg"):
        told("mass", "900")


def test_the_spread_follows_from_the_source() -> None:
    spread = {source: fact("mass", "1000 lb", source=source, on=DAY) for source in SOURCES}
    widths = [spread[source].high - spread[source].low for source in SOURCES]
    assert widths == sorted(widths, reverse=True)
    assert spread["told"].low == pytest.approx(850 * LB) and spread["plate"].high == pytest.approx(1020 * LB)


def test_the_rulebook_sets_the_spreads(demo_rules: Rulebook) -> None:
    assert demo_rules.strength is not None
    assert Spreads.from_rules(demo_rules.strength.fact_spreads) == Spreads(
        plate=0.02, book=0.05, told=0.15, guessed=0.3
    )


def test_a_caller_who_gives_a_range_is_taken_at_his_word() -> None:
    given_range = told("mass", "4000 lb", low="3800 lb", high="4300 lb")
    assert (given_range.low, given_range.high) == pytest.approx((3800 * LB, 4300 * LB))
    assert given_range.spread_given
    with pytest.raises(EntryError, match="not in that order"):
        told("mass", "4000 lb", low="4100 lb")


def test_a_number_over_the_phone_is_never_certain() -> None:
    assert not told("mass", "4000 lb", what="operating").certain
    assert fact("mass", "4000 lb", source="plate", on=DAY, what="operating").certain
    assert not fact("power", "40 hp", source="book", on=DAY).certain  # engine or PTO not said


def test_a_weaker_source_never_overwrites_a_stronger_one() -> None:
    plate = fact("mass", "7300 lb", source="plate", on=date(2020, 1, 1))
    carrier = Carrier(name="K7").learn(plate, told("mass", "6500 lb"))
    assert carrier.known("mass") == plate
    assert [f.text for f in carrier.overruled] == ["6500 lb"]


def test_of_two_facts_from_as_good_a_source_the_newer_counts() -> None:
    old = fact("mass", "6500 lb", source="told", on=date(2026, 1, 1))
    new = told("mass", "6800 lb")
    assert Carrier(name="K7").learn(new, old).known("mass") == new
    assert Carrier(name="K7").learn(old, new).known("mass") == new


def test_lift_at_the_pins_and_lift_ahead_of_them_are_two_facts() -> None:
    at = told("lift", "1450 lb", what="at pins, full height")
    ahead = told("lift", "1000 lb", what="ahead of pins, full height", ahead="24 in")
    carrier = Carrier(name="K2").learn(at, ahead)
    assert carrier.known("lift", "at pins, full height") == at
    found = carrier.known("lift", "ahead of pins, full height")
    assert found is not None and found.ahead == pytest.approx(24 * INCH)
    with pytest.raises(EntryError, match="ahead goes with a lift measured ahead of the pins"):
        told("lift", "1000 lb", what="at pins, low", ahead="24 in")


facts_of_one_thing = st.builds(
    lambda source, day, pounds: fact("mass", f"{pounds} lb", source=source, on=date(2026, 1, day)),
    st.sampled_from(SOURCES),
    st.integers(1, 28),
    st.integers(1000, 9000),
)


@given(st.lists(facts_of_one_thing, min_size=1, max_size=4, unique_by=lambda f: (f.source, f.on)))
def test_the_order_in_which_facts_come_in_does_not_matter(facts: list[Fact]) -> None:
    kept = {Carrier(name="K").learn(*order).facts for order in itertools.permutations(facts)}
    assert len(kept) == 1
    (one,) = next(iter(kept))
    assert SOURCES.index(one.source) == max(SOURCES.index(f.source) for f in facts)


@given(st.lists(facts_of_one_thing, max_size=5))
def test_nothing_that_was_said_is_lost(facts: list[Fact]) -> None:
    carrier = Carrier(name="K").learn(*facts)
    assert {*carrier.facts, *carrier.overruled} == set(facts)


def test_two_accounts_of_one_machine_are_merged_and_of_two_machines_refused(known: dict[str, Carrier]) -> None:
    phone = Carrier(name="caller", kind="skid steer").learn(
        told("mass", "7000 lb", what="operating"), told("reach", "66 in")
    )
    both = merge(known["k7"], phone)
    mass, reach = both.known("mass"), both.known("reach")
    assert mass is not None and mass.source == "book"
    assert reach is not None and reach.source == "told"
    with pytest.raises(EntryError, match="K1 is a tractor, caller a skid steer"):
        merge(known["k1"], phone)


FILE = (
    'name = "T"\nkind = "tractor"\n\n[[facts]]\nname = "mass"\nvalue = "900 lb"\nsource = "told"\ndate = 2026-11-11\n'
)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"900 lb"', '"900"', "t.toml line 6, facts.row 1.value: a number without a unit (given: 900)"),
        ('"told"', '"heard"', "t.toml line 7, facts.row 1.source: mass: source is not one of the words known here"),
        ('name = "mass"', 'name = "mas"', "t.toml line 5, facts.row 1.name: nothing of that name can be known"),
        ('value = "900 lb"\n', "", "t.toml line 4, facts.row 1: value is missing. Add a line value = ... here."),
        ("2026-11-11", '"yesterday"', "t.toml line 8, facts.row 1.date: the day it was learned is not a date"),
        ('"tractor"', '"tracter"', "t.toml line 2, kind: no such kind of carrier (given: tracter)"),
        ("11-11\n", "11-11\nunit = 3\n", "t.toml line 9, facts.row 1.unit: no field is called unit"),
        ('"900 lb"', '"0 lb"', "t.toml line 6, facts.row 1.value: weight of zero is not a fact (given: 0 lb)"),
        ('"900 lb"', '"-900 lb"', "t.toml line 6, facts.row 1.value: a mass cannot be below zero"),
        ('"900 lb"', '"900 hp"', "t.toml line 6, facts.row 1.value: "),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_taken_names_line_field_and_way_out(old: str, new: str, said: str) -> None:
    assert carriers.read(FILE, "t.toml").known("mass") is not None
    with pytest.raises(EntryError) as caught:
        carriers.read(FILE.replace(old, new), "t.toml")
    assert str(caught.value).startswith(said)


def test_a_near_name_is_offered() -> None:
    with pytest.raises(EntryError, match="Did you mean wheelbase"):
        told("wheel_base", "55 in")
    with pytest.raises(EntryError, match="nothing of that name can be known"):
        Carrier(name="K").known("weight")


def test_a_file_that_is_not_there_and_one_that_is_not_toml_are_named(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="there is no carrier file here"):
        carriers.load(tmp_path / "k99.toml")
    (tmp_path / "k98.toml").write_text('name = "K98', encoding="utf-8")
    with pytest.raises(RulebookError, match=r"k98.toml line 1: the file cannot be read"):
        carriers.load(tmp_path / "k98.toml")


def test_a_carrier_for_a_machine_has_si_and_the_text_as_typed(known: dict[str, Carrier]) -> None:
    row = known["k1"].as_dict()["facts"][0]
    assert (row["name"], row["text"], row["source"], row["date"]) == ("power", "23 hp", "book", "2026-09-14")
    assert row["low_si"] < row["likely_si"] < row["high_si"]


def test_a_machine_whose_kind_nobody_said_is_read_with_its_kind_unknown() -> None:
    found = carriers.read('name = "40 horse"\n[[facts]]\nname = "power"\nvalue = "40 hp"\nsource = "told"\n'
                          "date = 2026-11-11\n", "forty.toml")  # fmt: skip
    assert found.kind == "" and found.known("power") is not None
