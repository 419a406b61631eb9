"""Order numbers: figures and letter belong together."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.desk import orders as files
from plowwright.errors import EntryError
from plowwright.shop.orders_numbers import (
    LETTERS,
    check_letter,
    check_number,
    near_numbers,
    next_number,
    read_number,
    with_letter,
)

WALL = ("418K", "419T", "420A", "421M", "422D", "423P", "424H", "425V", "426B", "427S", "428C", "429J", "430W",
        "431G", "432N")  # fmt: skip


def test_every_number_on_the_demo_wall_carries_its_own_letter(demo_dir: Path) -> None:
    numbers = [o.number for o in files.load(demo_dir / "orders.toml").orders]
    assert numbers == list(WALL)
    assert [with_letter(int(n[:-1])) for n in numbers] == numbers


@given(st.integers(min_value=1, max_value=999_999_999), st.data())
def test_every_single_wrong_figure_is_refused(figures: int, data: st.DataObject) -> None:
    number = with_letter(figures)
    at = data.draw(st.integers(0, len(number) - 2))
    other = data.draw(st.sampled_from([f for f in "0123456789" if f != number[at]]))
    assert not check_number(number[:at] + other + number[at + 1 :]).holds


@given(st.integers(min_value=10, max_value=999_999_999), st.data())
def test_every_swap_of_two_neighbouring_figures_is_refused(figures: int, data: st.DataObject) -> None:
    number = with_letter(figures)
    at = data.draw(st.integers(0, len(number) - 3))
    if number[at] == number[at + 1]:
        return
    assert not check_number(number[:at] + number[at + 1] + number[at] + number[at + 2 :]).holds


def test_all_slips_of_all_numbers_up_to_9999_are_refused() -> None:
    for figures in range(10, 10_000):
        text, letter = str(figures), check_letter(str(figures))
        slips = {text[:i] + f + text[i + 1 :] for i in range(len(text)) for f in "0123456789"}
        slips |= {text[:i] + text[i + 1] + text[i] + text[i + 2 :] for i in range(len(text) - 1)}
        assert all(check_letter(slip) != letter for slip in slips - {text}), figures


def test_letters_that_look_like_figures_are_never_issued() -> None:
    assert len(LETTERS) == len(set(LETTERS)) == 23
    assert not set("IOQ") & set(LETTERS)


def test_427s_typed_as_472s_is_refused_and_427s_is_named() -> None:
    with pytest.raises(EntryError) as refused:
        read_number("472S", WALL)
    text = str(refused.value)
    assert "the letter S does not belong to 472" in text
    assert "472S" in text
    assert "427S" in text


def test_a_wrong_letter_is_refused_with_the_number_it_may_be() -> None:
    with pytest.raises(EntryError, match=r"the letter T does not belong to 418.*418K"):
        read_number("418T", WALL)


def test_a_right_number_that_was_never_issued_is_refused() -> None:
    with pytest.raises(EntryError, match=r"no order has this number"):
        read_number(with_letter(540), WALL)


def test_small_letters_spaces_and_a_hyphen_are_taken() -> None:
    assert read_number(" 427 s ", WALL) == read_number("427-S") == "427S"


def test_a_number_without_its_letter_is_refused_and_the_whole_number_named() -> None:
    check = check_number("427", WALL)
    assert not check.holds
    assert check.near == ("427S",)


def test_swapped_figures_come_before_other_slips_among_the_near_numbers() -> None:
    assert near_numbers("472S", ("422S", "427S"))[0] == "427S"


def test_the_next_number_follows_the_highest_ever_issued() -> None:
    assert next_number(WALL) == with_letter(433)
    assert next_number(()) == with_letter(1)
