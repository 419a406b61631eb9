"""Hours learned from what was worked: held against the posterior worked out by brute force, and what is said of few."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.errors import PlanInputError
from plowwright.shop import crew_learning as learning
from plowwright.shop.crew_learning import Actual, Learned, drawn, hours_of, learn

HOUR = 3600.0
BOOK = {"basalt": {"fit_and_weld": 12 * HOUR, "saw": 2.5 * HOUR}}


def welded(*hours: float, operation: str = "fit_and_weld") -> list[Actual]:
    return [
        Actual(order=f"{at}", series="basalt", operation=operation, time=h * HOUR) for at, h in enumerate(hours, 100)
    ]


def weld(*hours: float) -> Learned:
    return next(one for one in learn(BOOK, welded(*hours)) if one.operation == "fit_and_weld")


def test_nothing_noted_leaves_the_rulebook_alone_and_says_so() -> None:
    found = weld()
    assert (found.told, found.hours, found.planned, found.blades) == ("no hours yet", 12 * HOUR, 12 * HOUR, 0)
    assert found.text == "fit and weld: no hours noted yet; the rulebook says 12.0 h"


def test_two_blades_are_too_few_to_say_anything_however_far_off_they_are() -> None:
    found = weld(20, 22)
    assert found.told == "too few blades" and found.planned == 12 * HOUR
    assert "2 blades, too few to say anything" in found.text


def test_blades_that_scatter_round_the_rulebook_cannot_be_told_apart_from_it() -> None:
    found = weld(11, 13.5, 12.4, 10.5)
    assert found.told == "cannot be told apart" and found.planned == 12 * HOUR
    assert "cannot be told apart from the rulebook's 12.0 h" in found.text


def test_eight_blades_that_take_longer_make_the_plan_longer_but_less_than_their_mean() -> None:
    hours = (14.5, 15.2, 13.9, 15.0, 14.1, 16.0, 14.8, 15.1)
    found = weld(*hours)
    assert found.told == "takes longer"
    assert 12.0 < found.hours / HOUR < np.exp(np.mean(np.log(hours)))
    assert found.low < found.hours < found.high and found.low > 12 * HOUR
    assert hours_of([found], "basalt") == {"fit_and_weld": found.hours} and hours_of([found], "reed") == {}
    assert "takes longer than the rulebook's 12.0 h" in found.text and "by 8 blades" in found.text


def test_many_blades_outweigh_the_rulebook() -> None:
    found = weld(*[9.0] * 60)
    assert found.told == "takes less" and found.hours == pytest.approx(9 * HOUR, rel=0.012)


def test_one_blade_on_which_somebody_stood_waiting_does_not_make_the_plan() -> None:
    usual = (12.1, 11.8, 12.4, 11.9, 12.2, 12.0)
    found = weld(*usual, 40.0)
    assert found.drawn_in == ("106",)
    assert found.hours == pytest.approx(weld(*usual).hours, rel=0.05)
    assert found.told == "cannot be told apart"


def test_below_five_blades_nobody_is_called_an_outlier() -> None:
    assert drawn({"a": 0.0, "b": 0.01, "c": 2.0, "d": 0.0}) == ({"a": 0.0, "b": 0.01, "c": 2.0, "d": 0.0}, ())


@pytest.mark.parametrize("hours", [(13.0, 15.0, 14.0), (10.0, 9.0, 14.0, 12.0), (12.0, 12.0, 12.0)])
def test_the_median_and_its_interval_are_those_of_the_posterior_worked_out_on_a_grid(hours: tuple[float, ...]) -> None:
    """Prior times likelihood, summed over mean and spread; no formula of the source is used here."""
    x = np.log(np.array(hours) / 12.0)
    mean = np.linspace(-1.5, 1.5, 3001)[:, None]
    log_var = np.linspace(log(1e-4), log(4.0), 1200)[None, :]
    var = np.exp(log_var)
    nu, s2, k = learning.SPREAD_BLADES, learning.SPREAD**2, learning.BLADES
    # Scaled inverse chi-square on the variance (times var for the step in its logarithm), normal on the mean.
    prior = -(nu / 2) * log_var - nu * s2 / (2 * var) - 0.5 * log_var - k * mean**2 / (2 * var)
    likelihood = sum(-0.5 * log_var - (value - mean) ** 2 / (2 * var) for value in x)
    weight = np.exp(prior + likelihood - (prior + likelihood).max())
    share = np.cumsum(weight.sum(axis=1))
    share /= share[-1]
    low, middle, high = (float(np.interp(p, share, mean[:, 0])) for p in (0.025, 0.5, 0.975))
    found = weld(*hours)
    # A grid of 0.001 in the logarithm leaves a tenth of a percent.
    assert found.hours == pytest.approx(12 * HOUR * exp(middle), rel=2e-3)
    assert found.low == pytest.approx(12 * HOUR * exp(low), rel=3e-3)
    assert found.high == pytest.approx(12 * HOUR * exp(high), rel=3e-3)


@given(st.lists(st.floats(1.0, 60.0), min_size=1, max_size=12), st.floats(0.1, 10.0))
def test_hours_in_another_unit_give_the_same_answer(hours: list[float], scale: float) -> None:
    one = weld(*hours)
    book = {"basalt": {"fit_and_weld": 12 * HOUR * scale}}
    other = learn(book, [Actual(order=a.order, series=a.series, operation=a.operation, time=a.time * scale)
                         for a in welded(*hours)])[0]  # fmt: skip
    assert other.hours / scale == pytest.approx(one.hours, rel=1e-9)
    assert other.blades == one.blades


@given(st.lists(st.floats(1.0, 60.0), min_size=0, max_size=12))
def test_the_learned_median_lies_between_the_rulebook_and_what_was_worked(hours: list[float]) -> None:
    found = weld(*hours)
    reach = [12.0, *hours]
    assert min(reach) * HOUR - 1e-6 <= found.hours <= max(reach) * HOUR + 1e-6
    assert found.low <= found.hours <= found.high


def test_a_time_that_is_none_and_a_blade_counted_twice_are_refused() -> None:
    with pytest.raises(PlanInputError, match=r"a time worked that is none.*0 min"):
        learn(BOOK, welded(0.0))
    with pytest.raises(PlanInputError, match=r"a blade is counted twice.*100"):
        learn(BOOK, [*welded(3.0), *welded(4.0)])
