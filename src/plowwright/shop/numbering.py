"""The order of sticks at the saw and of sheets on the table: all with rush pieces first, then by stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def numbers_of(rush: Mapping[str, Sequence[bool]]) -> dict[tuple[str, int], int]:
    """The number of each stick or sheet, from 1, by its stock and its place there [-].

    Args:
        rush: Of each stock, whether each stick or sheet holds a rush piece.
    """
    ordered = [
        (stock, at)
        for wanted in (True, False)
        for stock in sorted(rush)
        for at, held in enumerate(rush[stock])
        if held == wanted
    ]
    return {place: number for number, place in enumerate(ordered, start=1)}
