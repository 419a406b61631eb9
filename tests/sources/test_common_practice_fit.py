"""Source: common practice (no source): which class of blade the trade gives a machine, on a rulebook of the tests' own.

The rows below hold only what the trade says, point by point; nothing in the program knows them. What lies between two
points is told to lie between rules.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from plowwright import rulebook
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit import rank
from plowwright.blade.fit.ranking import Fitted, Option, fit
from plowwright.blade.work import UNTOLD, Work
from plowwright.rulebook.fit import Allowance, Call
from plowwright.rulebook.reading import Rulebook
from plowwright.units import inches

DAY = date(2026, 11, 11)
PRACTICE = "common practice"
CALLS = [
    {"duty_class": "light", "power_from": "20 hp", "power_up_to": "30 hp", "note": "20 to 30 hp tractors: light"},
    {
        "duty_class": "standard", "power_from": "40 hp", "power_up_to": "48 hp", "lift_from": "1,000 lb",
        "note": "43 hp with 1,100 lb: standard",
    },
    {"duty_class": "heavy", "power_over": "70 hp", "lift_from": "2,000 lb", "note": "over 70 hp with 2,000 lb: heavy"},
    {
        "duty_class": "standard", "power_over": "60 hp", "lift_up_to": "1,500 lb",
        "note": "1,500 lb of lift gains from a lighter class",
    },
]  # fmt: skip
ALLOWANCES = [
    {
        "duty_class": "light", "power_from": "38 hp", "power_up_to": "42 hp", "width_up_to": "78 in", "driver": "owner",
        "note": "6-1/2 ft light on a careful 40 hp tractor",
    }
]  # fmt: skip


@pytest.fixture(scope="module")
def rules(repo_root: Path, demo_dir: Path) -> Rulebook:
    """The common construction with the trade's rows; what machines usually are is the demo's, and gives no verdict."""
    common = rulebook.load(repo_root / "tests" / "rulebooks" / "common")
    usual = rulebook.load(demo_dir / "rulebook").data
    assert usual.fit is not None
    own = usual.fit.model_copy(
        update={
            "calls": [Call.model_validate({**row, "rests_on": PRACTICE}) for row in CALLS],
            "allowances": [Allowance.model_validate({**row, "rests_on": PRACTICE}) for row in ALLOWANCES],
        }
    )
    data = common.data.model_copy(update={"fit": own, "suit": usual.suit})
    return replace(common, data=data, fingerprint=f"{common.fingerprint} with the trade's rows")


def tractor(horses: float, pounds: float) -> Carrier:
    """A tractor read off its book, stout enough that only lift and class decide."""
    weight = 110 * horses
    facts = {
        "power": (f"{horses} hp", "engine"),
        "mass": (f"{weight:.0f} lb", "operating"),
        "lift": (f"{pounds} lb", "at pins, full height"),
        "wheelbase": ("80 in", "axle to axle"),
        "front_axle": (f"{0.45 * weight:.0f} lb", "standing load, no attachment"),
        "rear_axle": (f"{0.55 * weight:.0f} lb", "standing load, no attachment"),
        "front_axle_limit": (f"{0.45 * weight + 3500:.0f} lb", "greatest load"),
        "pins_ahead": ("30 in", "of front axle"),
        "width": ("50 in", "over tyres"),
    }
    read = [fact(name, value, what=what, source="book", on=DAY) for name, (value, what) in facts.items()]
    return Carrier(name=f"{horses} hp", kind="tractor").learn(*read)


def asked(rules: Rulebook, horses: float, pounds: float, work: Work = UNTOLD) -> Fitted:
    return fit(tractor(horses, pounds), work, rules)


def light_78(rules: Rulebook, driver: str) -> Option:
    work = Work(driver=driver)  # type: ignore[arg-type]
    options = rank(tractor(40, 1600), work, rules)
    return next(o for o in options if o.series == "light" and round(inches(o.width)) == 78)


def test_over_70_hp_with_2000_lb_of_lift_calls_for_heavy(rules: Rulebook) -> None:
    found = asked(rules, 72, 2000)
    assert found.asks == "72 hp with 2,000 lb of lift asks for heavy" and not found.between
    assert {o.series for o in found.options if o.verdict in ("suits", "would suit if")} == {"heavy"}


def test_43_hp_with_1100_lb_calls_for_standard(rules: Rulebook) -> None:
    found = asked(rules, 43, 1100)
    assert found.asks == "43 hp with 1,100 lb of lift asks for standard" and not found.between
    assert found.options[0].series == "standard"


@pytest.mark.parametrize("horses", [20, 25, 30])
def test_a_20_to_30_hp_tractor_gets_light(rules: Rulebook, horses: int) -> None:
    found = asked(rules, horses, 700)
    assert found.asks.endswith("asks for light") and not found.between
    assert found.options[0].series == "light"


def test_a_light_6_and_a_half_ft_will_do_on_a_40_hp_tractor_that_is_driven_with_care(rules: Rulebook) -> None:
    assert light_78(rules, "owner").verdict == "suits"
    assert light_78(rules, "hired").verdict == "does not suit"
    untold = light_78(rules, "")
    assert untold.verdict == "would suit if" and "careful owner drives it" in untold.reason


def test_1500_lb_of_lift_gains_from_a_lighter_class(rules: Rulebook) -> None:
    """The same 75 hp: heavy with 2,500 lb of lift, standard with 1,500 lb."""
    assert asked(rules, 75, 2500).asks.endswith("asks for heavy")
    found = asked(rules, 75, 1500)
    assert found.asks.endswith("asks for standard") and found.options[0].series == "standard"


@pytest.mark.parametrize(
    ("horses", "pounds", "classes", "bounds"),
    [
        (35, 1200, "light and standard", ("up to 30 hp", "40 hp and more")),
        (66, 2200, "standard and heavy", ("over 70 hp", "up to 48 hp")),
        (80, 1800, "standard and heavy", ("2,000 lb of lift and more", "up to 1,500 lb of lift")),
    ],
)
def test_a_machine_between_two_of_these_is_told_so_with_what_decides(
    rules: Rulebook, horses: int, pounds: int, classes: str, bounds: tuple[str, str]
) -> None:
    found = asked(rules, horses, pounds)
    assert found.between and f"lies between rules, {classes}" in found.asks
    assert all(bound in found.decides for bound in bounds), found.decides
    assert "Who drives decides" in found.decides


def test_the_demo_shop_makes_its_light_class_no_wider_than_72_so_its_rulebook_cannot_answer_the_78(
    demo_dir: Path,
) -> None:
    reed = rulebook.load(demo_dir / "rulebook").series["reed"]
    assert round(inches(reed.widths()[-1])) == 72
