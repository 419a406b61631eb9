from __future__ import annotations

import json
from dataclasses import FrozenInstanceError, replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.spec import Spec
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import quotes
from plowwright.shop.quotes import Quote
from plowwright.shop.worked import Worked, work_out
from plowwright.units import INCH

DAY = date(2026, 11, 11)
SPEC = Spec(
    series="basalt", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face",
    extras=("markers",), number="421M", customer="H.L.",
)  # fmt: skip


@pytest.fixture(scope="module")
def worked(demo_rules: Rulebook) -> Worked:
    return work_out(SPEC, demo_rules, level=0)


@pytest.fixture(scope="module")
def quote(worked: Worked) -> Quote:
    return quotes.freeze(
        "Q-421M", DAY, spec=SPEC, build_fingerprint=worked.build.fingerprint, price=worked.price,
        rulebook=worked.build.rulebook,
    )  # fmt: skip


def dearer(rules: Rulebook) -> Rulebook:
    series = {key: row.model_copy(update={"base": row.base + 100}) for key, row in rules.prices.series.items()}
    prices = rules.prices.model_copy(update={"series": series, "valid_days": 7})
    return replace(rules, data=rules.data.model_copy(update={"prices": prices}), fingerprint="0000-0000-0000")


def test_a_quote_stays_as_it_was_when_the_price_list_changes(quote: Quote, demo_rules: Rulebook) -> None:
    before = quote.as_dict(owner=True)
    later = work_out(SPEC, dearer(demo_rules), level=0)
    assert later.price.total == quote.total + 100
    assert quote.as_dict(owner=True) == before
    assert quote.rulebook_fingerprint == demo_rules.fingerprint != later.build.rulebook.fingerprint
    assert quote.build_fingerprint != later.build.fingerprint


def test_nothing_in_a_quote_can_be_changed(quote: Quote) -> None:
    with pytest.raises(FrozenInstanceError):
        quote.total = 1.0  # type: ignore[misc]


def test_a_quote_stands_to_its_last_day_and_no_longer(quote: Quote) -> None:
    assert quote.valid_until == date(2026, 12, 11)
    assert quote.stands_on(DAY) and quote.stands_on(date(2026, 12, 11))
    assert not quote.stands_on(date(2026, 12, 12)) and not quote.stands_on(date(2026, 11, 10))


def test_a_quote_comes_back_from_its_file_as_it_went(quote: Quote) -> None:
    written = json.dumps(quote.as_dict(owner=True))
    again = quotes.from_dict(json.loads(written))
    assert json.dumps(again.as_dict(owner=True)) == written
    assert (again.spec, again.owner, again.total, again.lines[0].label) == (
        quote.spec, quote.owner, quote.total, "Basalt 84 in",
    )  # fmt: skip


@given(st.floats(0.5, 4.0))
def test_any_width_comes_back_to_the_last_figure(quote: Quote, width: float) -> None:
    other = replace(quote, spec=replace(SPEC, width=width))
    assert quotes.from_dict(other.as_dict()).spec.width == pytest.approx(width, rel=1e-15)


def test_the_customers_copy_says_nothing_of_cost_or_floor(quote: Quote) -> None:
    copy = quote.as_dict()
    text = json.dumps(copy)
    assert quote.owner is not None
    for word in ("owner", "cost", "margin", "floor", "verdict", str(quote.owner.floor_price)):
        assert word not in text, word
    assert quotes.from_dict(copy).owner is None


def test_a_quote_without_a_number_is_refused(worked: Worked) -> None:
    with pytest.raises(EntryError, match=r"a quote needs a number"):
        quotes.freeze(" ", DAY, spec=SPEC, build_fingerprint="x", price=worked.price, rulebook=worked.build.rulebook)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("date", "11/11/2026", "quote: date is not a date .given: 11/11/2026.. Write it as 2026-11-11"),
        ("total", "2810", "quote: total is not a number .given: 2810."),
        ("lines", "none", "quote: lines is a list"),
        ("lines", [{"label": "blade"}], "quote, line 1: a price line that cannot be read"),
    ],
)
def test_a_broken_field_of_a_quote_is_named(quote: Quote, field: str, value: object, said: str) -> None:
    with pytest.raises(EntryError, match=said):
        quotes.from_dict({**quote.as_dict(), field: value})


def test_a_missing_field_of_a_quote_is_named(quote: Quote) -> None:
    entry = quote.as_dict()
    del entry["valid_until"]
    with pytest.raises(EntryError, match=r"quotes/Q-421M.json: valid_until is missing"):
        quotes.from_dict(entry, where="quotes/Q-421M.json")
