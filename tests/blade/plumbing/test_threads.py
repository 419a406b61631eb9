"""Threads read as a bench writes them, by open standards."""

from __future__ import annotations

import pytest

from plowwright.blade.plumbing.threads import thread
from plowwright.errors import EntryError


@pytest.mark.parametrize(
    ("written", "turns", "standard"),
    [
        ("ORB 6", "9/16-18", "SAE J1926"),
        ("ORB 8", "3/4-16", "SAE J1926"),
        ("JIC 6", "9/16-18", "SAE J514"),
        ("NPT 1/2", "1/2-14", "ASME B1.20.1"),
    ],
)
def test_a_thread_says_its_size_and_its_standard(written: str, turns: str, standard: str) -> None:
    found = thread(written)
    assert (found.turns, found.standard) == (turns, standard)
    assert found.said == f"{written} ({turns}, {standard})"


def test_boss_and_flare_of_one_dash_share_a_thread_and_seal_differently() -> None:
    assert thread("ORB 6").turns == thread("JIC 6").turns
    assert thread("ORB 6").seals != thread("JIC 6").seals


@pytest.mark.parametrize("written", ["BSP 3/8", "", "ORB", "6"])
def test_another_family_is_refused_with_an_example(written: str) -> None:
    with pytest.raises(EntryError, match=r'no such thread.*Write "ORB 6"'):
        thread(written)


def test_a_size_that_does_not_exist_is_refused_with_those_that_do() -> None:
    with pytest.raises(EntryError, match=r"ORB does not come in this size.*7.*4, 6, 8, 10, 12, 16"):
        thread("ORB 7", where="bought.toml, cylinder")
