"""Class rules: inside a row its class, between rows both neighbours, allowances only as far as they say."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.fit.classes import asked_for, lighter_allowed, nearest_rows, stands_up
from plowwright.rulebook.fit import CLASSES, Fit
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import HP, INCH, LB


@pytest.fixture
def rules(demo_rules: Rulebook) -> Fit:
    assert demo_rules.fit is not None
    return demo_rules.fit


def asked(rules: Fit, horses: float, pounds: float) -> tuple[str, str]:
    found = asked_for(rules, np.array([horses * HP]), np.array([pounds * LB]))
    return CLASSES[int(found.low[0])], CLASSES[int(found.high[0])]


@pytest.mark.parametrize(
    ("horses", "pounds", "wanted"),
    [
        (25, 800, "light"),
        (48, 1150, "standard"),
        (76, 2900, "heavy"),
        (75, 1400, "standard"),
        (17, 600, "light"),
        (120, 4000, "heavy"),
    ],
)
def test_a_machine_inside_a_row_or_past_the_last_asks_for_one_class(
    rules: Fit, horses: float, pounds: float, wanted: str
) -> None:
    assert asked(rules, horses, pounds) == (wanted, wanted)


@pytest.mark.parametrize(
    ("horses", "pounds", "wanted"),
    [(35, 1450, ("light", "standard")), (66, 2175, ("standard", "heavy")), (75, 1995, ("standard", "heavy"))],
)
def test_a_machine_between_two_rows_asks_for_either(
    rules: Fit, horses: float, pounds: float, wanted: tuple[str, str]
) -> None:
    assert asked(rules, horses, pounds) == wanted


def test_exactly_seventy_horsepower_is_not_over_seventy(rules: Fit) -> None:
    assert asked(rules, 70, 2500) == ("standard", "heavy")
    assert asked(rules, 70.5, 2500) == ("heavy", "heavy")


def test_the_rows_with_a_say_are_named_nearest_first(rules: Fit) -> None:
    assert nearest_rows(rules, 66 * HP, 2175 * LB)[0].duty_class == "heavy"
    assert [row.duty_class for row in nearest_rows(rules, 48 * HP, 1150 * LB)] == ["standard"]


def test_six_and_a_half_feet_light_is_let_pass_for_a_careful_owner_only(rules: Fit) -> None:
    widths = np.array([78 * INCH, 84 * INCH])
    light, power, lift = np.zeros(2), np.array([[40 * HP]]), np.array([[1100 * LB]])
    careful = lighter_allowed(rules, light, widths, power, lift, np.array([[1.0]]))
    hired = lighter_allowed(rules, light, widths, power, lift, np.array([[0.0]]))
    assert careful.tolist() == [[1.0, 0.0]] and hired.tolist() == [[0.0, 0.0]]


@given(horses=st.floats(10, 150), pounds=st.floats(300, 6000))
def test_a_heavier_class_always_stands_up_where_a_lighter_one_does(
    demo_rules: Rulebook, horses: float, pounds: float
) -> None:
    rules = demo_rules.fit
    assert rules is not None
    classes, widths = np.arange(3.0), np.full(3, 72 * INCH)
    for careful in (0.0, 1.0):
        fine, _ = stands_up(
            rules, classes, widths, np.array([[horses * HP]]), np.array([[pounds * LB]]), np.array([[careful]])
        )
        assert (np.diff(fine[0]) >= 0).all() and fine[0, 2] == 1.0


@given(horses=st.floats(10, 150), pounds=st.floats(300, 6000))
def test_a_careful_owner_never_loses_a_blade_a_hired_driver_may_have(
    demo_rules: Rulebook, horses: float, pounds: float
) -> None:
    rules = demo_rules.fit
    assert rules is not None
    classes, widths = np.arange(3.0), np.full(3, 72 * INCH)
    power, lift = np.full((2, 1), horses * HP), np.full((2, 1), pounds * LB)
    fine, _ = stands_up(rules, classes, widths, power, lift, np.array([[0.0], [1.0]]))
    assert (fine[1] >= fine[0]).all()
