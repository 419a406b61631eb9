"""Names of the stock ledger, and back."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from plowwright import units
from plowwright.shop.stock_edges import blank_item
from plowwright.shop.stock_items import (
    Item,
    item_of,
    name_of,
    remnant_item,
    sheet_item,
    sheet_remnant_item,
    stick_item,
)
from plowwright.units import INCH

SIXTEENTHS = st.integers(min_value=16, max_value=6400).map(lambda n: n * INCH / 16)


@given(sort=st.sampled_from(["stick", "remnant", "sheet", "sheet remnant", "blank", "part"]), long=SIXTEENTHS,
       short=SIXTEENTHS)  # fmt: skip
def test_a_name_says_what_it_stands_for(sort: str, long: float, short: float) -> None:
    length, width = max(long, short), min(long, short)
    stock = "tube 3 x 3 x 1/4" if sort in ("stick", "remnant", "blank") else "plate 3/8"
    own = Item(name="", sort=sort, stock=stock, length=0.0 if sort == "part" else length,  # type: ignore[arg-type]
               width=width if sort.startswith("sheet") else 0.0)  # fmt: skip
    found = item_of(name_of(own))
    assert (found.sort, found.stock) == (own.sort, own.stock)
    assert abs(found.length - own.length) < 1e-6 and abs(found.width - own.width) < 1e-6


def test_a_name_is_the_same_whatever_units_are_spoken() -> None:
    makers = [
        lambda: blank_item("flat 6 x 1/2", 2.286),
        lambda: stick_item("tube 3 x 3 x 1/4", 6.096),
        lambda: remnant_item("tube 3 x 3 x 1/4", 1.556),
        lambda: sheet_item("plate 3/8", 3.048, 1.524),
        lambda: sheet_remnant_item("plate 3/8", 1.5, 0.9),
    ]
    inches = [make() for make in makers]
    with units.speaking("metric"):
        assert [make() for make in makers] == inches


@given(st.floats(min_value=0.1, max_value=7.0))
def test_no_remnant_is_called_longer_than_it_is(length: float) -> None:
    assert item_of(remnant_item("round 1", length)).length <= length + 1e-6
