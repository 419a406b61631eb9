"""The ranked answer: what suits, what would, what does not, and never more confidence than the facts carry."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import carriers
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit import rank
from plowwright.blade.fit.ranking import ORDER, Option, fit
from plowwright.blade.work import UNTOLD, Work
from plowwright.errors import RulebookError, SpecError
from plowwright.rulebook.reading import Rulebook
from plowwright.units import inches
from plowwright.units.constants import INCH, LB

from .callers import caller, metric_caller, tractor


@pytest.fixture(scope="session")
def machines(demo_dir: Path) -> dict[str, Carrier]:
    return carriers.load_all(demo_dir / "carriers")


def of(options: list[Option], series: str, width: float) -> Option:
    return next(o for o in options if o.series == series and round(inches(o.width)) == width)


def narrow(machine: Carrier, width: str = "66 in") -> Carrier:
    """The machine with its width read off a tape, so that nothing hangs on it."""
    return machine.learn(*caller(source="plate", width=width).facts)


def lost(options: list[Option]) -> set[tuple[str, float, str]]:
    return {(o.series, round(o.width, 4), o.mount) for o in options if o.bites.key == "lift" and o.bites.used > 1.0}


FIRST = {
    "k1": ("reed", (54, 72)),
    "k2": ("flint", (60, 96)),
    "k3": ("flint", (72, 96)),
    "k4": ("basalt", (84, 120)),
    "k5": ("reed", (48, 72)),
    "k6": ("flint", (72, 102)),
    "k7": ("basalt", (84, 120)),
    "k8": ("basalt", (84, 120)),
    "k9": ("basalt", (96, 120)),
    "k10": ("flint", (72, 102)),
}
"""What a foreman would offer each machine first: series, and from what to what width."""


@pytest.mark.parametrize("name", list(FIRST))
def test_the_first_blade_for_each_machine_is_the_one_a_foreman_would_offer(
    machines: dict[str, Carrier], demo_rules: Rulebook, name: str
) -> None:
    series, (low, high) = FIRST[name]
    first = rank(machines[name], UNTOLD, demo_rules)[0]
    assert first.verdict in ("suits", "would suit if")
    assert first.series == series and low <= round(inches(first.width)) <= high


@pytest.mark.parametrize("name", list(FIRST))
def test_every_blade_that_couples_is_ranked_once_verdict_by_verdict(
    machines: dict[str, Carrier], demo_rules: Rulebook, name: str
) -> None:
    options = rank(machines[name], UNTOLD, demo_rules)
    mounts = [k for k, m in demo_rules.mounts.items() if machines[name].kind in m.carriers]
    assert len(options) == len({(o.series, o.width, o.mount) for o in options}) == 26 * len(mounts)
    order = [ORDER.index(o.verdict) for o in options]
    assert order == sorted(order)
    for option in options:
        assert option.reason.endswith(".") and option.bites.text


def test_the_heavy_84_is_refused_on_the_sub_compact_with_the_figure(
    machines: dict[str, Carrier], demo_rules: Rulebook
) -> None:
    refused = of(rank(machines["k1"], UNTOLD, demo_rules), "basalt", 84)
    assert refused.verdict == "does not suit"
    assert refused.bites.used > 1.2 and " lb over" in refused.reason


def test_the_heavy_54_is_over_the_stand_on_loaders_load(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    refused = of(rank(machines["k5"], UNTOLD, demo_rules), "basalt", 54)
    assert refused.verdict == "does not suit" and " lb over" in refused.reason and "comparison" in refused.reason
    assert refused.bites.limit < 507 * LB, "it hangs further out than the bucket the rating is meant for"


def test_a_forty_horse_alone_never_gives_suits_but_still_an_order(demo_rules: Rulebook) -> None:
    for source in ("told", "plate"):
        for kind in ("", "tractor", "skid steer", "compact loader"):
            options = rank(caller(kind, source=source, power="40 hp"), UNTOLD, demo_rules)
            assert {o.verdict for o in options} <= {"would suit if", "does not suit"}
            assert options[0].verdict == "would suit if" and options[0].reason.startswith("Would suit if ")
            assert options[0].chance > options[-1].chance


def test_an_unknown_kind_gives_each_series_and_width_once(demo_rules: Rulebook) -> None:
    options = rank(caller(power="40 hp"), UNTOLD, demo_rules)
    assert len(options) == 26 == len({(o.series, o.width) for o in options})
    assert "it is a " in options[0].reason


def test_of_a_machine_nobody_described_nothing_can_be_told(demo_rules: Rulebook) -> None:
    assert {o.verdict for o in rank(Carrier(name="a caller"), UNTOLD, demo_rules)} == {"cannot be told"}


def test_a_book_gives_suits_where_the_same_numbers_told_only_would(demo_rules: Rulebook) -> None:
    sure = tractor()
    told = replace(sure, facts=tuple(replace(f, source="told") for f in sure.facts))
    by_book = {(o.series, o.width, o.mount): o.verdict for o in rank(sure, UNTOLD, demo_rules)}
    by_word = {(o.series, o.width, o.mount): o.verdict for o in rank(told, UNTOLD, demo_rules)}
    assert "suits" in by_book.values() and "suits" not in by_word.values()
    assert all(by_word[key] == "would suit if" for key, verdict in by_book.items() if verdict == "suits")


@pytest.mark.parametrize("missing", ["power", "lift", "wheelbase", "front_axle", "front_axle_limit", "pins_ahead"])
def test_one_missing_fact_that_carries_the_blade_takes_every_suits_away(demo_rules: Rulebook, missing: str) -> None:
    options = rank(tractor(**{missing: None}), UNTOLD, demo_rules)
    assert "suits" not in {o.verdict for o in options}
    assert any("not known" in o.reason or "at least" in o.reason or "may carry" in o.reason for o in options)


def test_a_told_number_may_refuse_where_even_its_best_end_fails(demo_rules: Rulebook) -> None:
    refused = of(rank(metric_caller(), UNTOLD, demo_rules), "basalt", 120)
    assert refused.verdict == "does not suit" and "lb over" in refused.reason


def test_a_told_number_that_fails_as_told_but_not_at_its_best_end_stays_open(demo_rules: Rulebook) -> None:
    sure = of(rank(tractor(), UNTOLD, demo_rules), "flint", 84).bites
    lift = next(f for f in tractor().facts if f.name == "lift")
    short = rank(tractor(lift=("200 lb", "at pins, full height")), UNTOLD, demo_rules)
    needed = of(short, "flint", 84).bites.used * 200 * LB
    told = replace(lift, source="told", low=0.8 * needed, likely=0.95 * needed, high=1.1 * needed)
    held = of(rank(replace(tractor(), facts=(*(f for f in tractor().facts if f.name != "lift"), told)), UNTOLD,
                   demo_rules), "flint", 84)  # fmt: skip
    assert sure.used < 1.0 and held.verdict == "would suit if" and "or better" in held.reason


def test_the_metric_caller_is_offered_light_blades_of_five_to_six_feet(demo_rules: Rulebook) -> None:
    fitted = fit(metric_caller(), UNTOLD, demo_rules)
    assert {o.series for o in fitted.options[:8]} == {"reed"} and 48 <= inches(fitted.options[0].width) <= 72
    assert "asks for light" in fitted.asks and "(told)" in fitted.asks


def test_between_two_rules_it_says_so_and_what_decides(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    fitted = fit(machines["k7"], UNTOLD, demo_rules)
    assert fitted.between and "between rules, standard and heavy" in fitted.asks
    assert "over 70 hp" in fitted.decides and "Who drives decides" in fitted.decides
    hired = rank(narrow(machines["k7"]), Work(driver="hired"), demo_rules)
    owner = rank(narrow(machines["k7"]), Work(driver="owner"), demo_rules)
    assert of(hired, "flint", 84).verdict == "does not suit"
    assert of(owner, "flint", 84).verdict == "suits"
    assert "careful owner" in of(rank(machines["k7"], UNTOLD, demo_rules), "flint", 84).reason


def test_a_width_nobody_told_stands_in_the_way_only_of_blades_that_may_not_clear_it(
    machines: dict[str, Carrier], demo_rules: Rulebook
) -> None:
    untold = replace(machines["k7"], facts=tuple(f for f in machines["k7"].facts if f.name != "width"))
    options = rank(untold, UNTOLD, demo_rules)
    assert of(options, "basalt", 108).verdict == "suits"
    held = of(options, "basalt", 84)
    assert held.verdict == "would suit if" and "no wider than the 72-3/4 in the blade clears" in held.reason
    assert of(rank(narrow(untold), UNTOLD, demo_rules), "basalt", 84).verdict == "suits"
    refused = of(rank(narrow(untold, "76 in"), UNTOLD, demo_rules), "basalt", 84)
    assert refused.verdict == "does not suit" and "72-3/4 in" in refused.reason


def test_a_gate_and_a_walk_bound_the_width(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    gated = rank(narrow(machines["k7"]), Work(gate=80 * INCH), demo_rules)
    assert max(o.width for o in gated if o.verdict == "suits") <= 80 * INCH
    assert "gate" in of(gated, "basalt", 84).reason.casefold()
    walks = rank(narrow(machines["k5"], "40 in"), Work(ground="sidewalk"), demo_rules)
    assert max(o.width for o in walks if o.verdict == "suits") <= 60 * INCH + 1e-6


def test_a_wished_width_comes_first_where_it_suits(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    for width in (78, 84, 96):
        first = rank(machines["k6"], Work(width=width * INCH), demo_rules)[0]
        assert round(inches(first.width)) == width


def test_a_rulebook_without_class_rules_says_what_to_copy(demo_rules: Rulebook) -> None:
    bare = replace(demo_rules, data=demo_rules.data.model_copy(update={"fit": None}))
    with pytest.raises(RulebookError, match=r"no fit\.toml"):
        rank(tractor(), UNTOLD, bare)


def test_a_machine_no_mount_couples_to_is_refused_with_the_way_out(demo_rules: Rulebook) -> None:
    mounts = {k: m for k, m in demo_rules.mounts.items() if k != "mini"}
    fewer = replace(demo_rules, data=demo_rules.data.model_copy(update={"mounts": mounts}), fingerprint="fewer mounts")
    with pytest.raises(SpecError, match="no mount of the rulebook couples") as fault:
        rank(caller("compact loader", power="25 hp"), UNTOLD, fewer)
    assert "mounts.toml" in fault.value.way_out


@given(pounds=st.integers(500, 3500), more=st.integers(1, 1500))
def test_a_stronger_machine_never_loses_a_blade_for_lift(demo_rules: Rulebook, pounds: int, more: int) -> None:
    weak, strong = (
        rank(tractor(lift=(f"{p} lb", "at pins, full height")), UNTOLD, demo_rules) for p in (pounds, pounds + more)
    )
    assert lost(strong) <= lost(weak)


@given(pounds=st.integers(1000, 7000), more=st.integers(1, 2000))
def test_more_tipping_load_never_takes_a_chance_away_in_the_same_class(
    demo_rules: Rulebook, pounds: int, more: int
) -> None:
    """Heavy blades stand up to every machine, so only the load can refuse them."""

    def heavy(tipping: int) -> dict[float, float]:
        machine = caller(
            "skid steer", source="book", power="66 hp", mass="7,300 lb", tipping_load=(f"{tipping} lb", "straight")
        )
        options = rank(machine, UNTOLD, demo_rules)
        return {o.width: o.chance for o in options if o.series == "basalt"}

    weak, strong = heavy(pounds), heavy(pounds + more)
    assert all(strong[width] >= chance - 1e-9 for width, chance in weak.items())


@given(horses=st.integers(15, 120), pounds=st.integers(400, 5000), known=st.sets(st.sampled_from(sorted(LEFT := {
    "mass": "4,000 lb", "wheelbase": "70 in", "front_axle": "1,900 lb", "rear_axle": "2,100 lb",
    "front_axle_limit": "3,400 lb", "pins_ahead": "28 in", "width": "58 in",
}))))  # fmt: skip
def test_whatever_is_told_over_the_phone_nothing_ever_suits(
    demo_rules: Rulebook, horses: int, pounds: int, known: set[str]
) -> None:
    facts: dict[str, str | tuple[str, str]] = {name: LEFT[name] for name in known}
    machine = caller("tractor", power=f"{horses} hp", lift=(f"{pounds} lb", "at pins, full height"), **facts)
    assert "suits" not in {o.verdict for o in rank(machine, Work(driver="owner"), demo_rules)}


def test_the_bite_is_measured_in_the_units_of_its_kind(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    option = rank(machines["k7"], UNTOLD, demo_rules)[0]
    assert option.bites.kind == "mass" and option.bites.value == pytest.approx(option.build.mass)
    assert option.bites.used == pytest.approx(option.bites.value / option.bites.limit)
