"""Rainflow counting against the worked example of the standard and a package that follows it.

Source: ASTM E1049-85 (2017) 5.4.4, worked example and table; package `rainflow`.
"""

from __future__ import annotations

import pytest
import rainflow
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics.rainflow import counted, cycles, reversals

EXAMPLE = [-2, 1, -3, 5, -1, 3, -4, 4, -2]


def test_the_standards_example_counts_as_its_table_says() -> None:
    assert counted(cycles(EXAMPLE)) == {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}
    found = [(c.range, c.mean, c.count) for c in cycles(EXAMPLE)]
    table = [(3, -0.5, 0.5), (4, -1, 0.5), (4, 1, 1), (8, 1, 0.5), (9, 0.5, 0.5), (8, 0, 0.5), (6, 1, 0.5)]
    assert sorted(found) == sorted(table)


@pytest.mark.parametrize("history", [[], [7.0], [2.0, 2.0, 2.0]])
def test_what_does_not_move_has_no_cycles(history: list[float]) -> None:
    assert cycles(history) == ()


def test_a_single_rise_is_half_a_cycle_however_many_points_it_has() -> None:
    assert [(c.range, c.mean, c.count) for c in cycles([1, 2, 3])] == [(2, 2.0, 0.5)]


# The package gives nothing for a history of two points, where the standard counts half a cycle.
@given(st.lists(st.integers(-20, 20), min_size=3, max_size=60))
def test_any_history_counts_as_the_reference_package_counts_it(history: list[int]) -> None:
    ours = counted(cycles(history))
    theirs = {float(r): float(n) for r, n in rainflow.count_cycles([float(v) for v in history])}
    assert ours == pytest.approx({r: n for r, n in theirs.items() if r > 0})


@given(st.lists(st.integers(-20, 20), min_size=2, max_size=60))
def test_every_turn_is_counted_once(history: list[int]) -> None:
    turns = max(len(reversals(history)) - 1, 0)
    assert 2 * sum(c.count for c in cycles(history)) == pytest.approx(turns)
