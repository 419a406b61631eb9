from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.physics import shell_blocks
from plowwright.physics.shell_blocks import LooseFreedomError


def tree(seed: int) -> tuple[list[np.ndarray], list[np.ndarray], np.ndarray, np.ndarray]:
    """Blocks of a positive stiffness whose blocks hang on one another as a tree, and the same as one matrix."""
    random = np.random.default_rng(seed)
    count = int(random.integers(1, 8))
    sizes = random.integers(1, 6, count)
    parents = np.array([int(random.integers(i + 1, count)) if i + 1 < count else i for i in range(count)])
    starts = np.concatenate(([0], np.cumsum(sizes)))
    whole = np.zeros((starts[-1], starts[-1]))
    for i in range(count):
        rows = np.r_[starts[i] : starts[i + 1], starts[parents[i]] : starts[parents[i] + 1]]
        rows = np.unique(rows)
        part = random.normal(size=(len(rows), len(rows)))
        whole[np.ix_(rows, rows)] += part @ part.T + np.eye(len(rows))
    at = [slice(starts[i], starts[i + 1]) for i in range(count)]
    diagonal = [whole[s, s].copy() for s in at]
    coupling = [
        np.array(whole[s, at[parents[i]]] if parents[i] != i else np.zeros((sizes[i], 0)), order="F")
        for i, s in enumerate(at)
    ]
    return diagonal, coupling, parents, whole


@given(seed=st.integers(0, 10_000))
def test_a_tree_of_blocks_is_solved_as_one_matrix_is(seed: int) -> None:
    diagonal, coupling, parents, whole = tree(seed)
    right = np.random.default_rng(seed + 1).normal(size=(len(whole), 3))
    factored = shell_blocks.factor(diagonal, coupling, parents)
    answer = factored.backward(factored.forward(right))
    assert whole @ answer == pytest.approx(right, abs=1e-8 * np.abs(right).max() * np.linalg.cond(whole))


def test_the_half_solved_sides_multiply_to_what_the_whole_inverse_gives() -> None:
    diagonal, coupling, parents, whole = tree(3)
    right = np.random.default_rng(5).normal(size=(len(whole), 4))
    half = shell_blocks.factor(diagonal, coupling, parents).forward(right)
    assert half.T @ half == pytest.approx(right.T @ np.linalg.solve(whole, right))


def test_what_was_given_as_right_hand_side_stays_as_it_was() -> None:
    diagonal, coupling, parents, whole = tree(4)
    right = np.ones((len(whole), 2))
    factored = shell_blocks.factor(diagonal, coupling, parents)
    factored.backward(factored.forward(right))
    assert (right == 1.0).all()


@pytest.mark.parametrize("stiffness", [0.0, -1.0, 1e-14])
def test_a_freedom_that_nothing_holds_is_named_by_its_row(stiffness: float) -> None:
    two = [np.diag([4.0, 9.0]), np.array([[1.0, 1.0], [1.0, 1.0 + stiffness]])]
    none = [np.zeros((2, 2), order="F"), np.zeros((2, 0), order="F")]
    with pytest.raises(LooseFreedomError, match="row 3 is held by nothing") as caught:
        shell_blocks.factor(two, none, np.array([1, 1]))
    assert caught.value.row == 3
