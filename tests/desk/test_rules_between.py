"""The rules change between the quote and the trailer: what was quoted is built, weighed, loaded and remembered as it
was; only what is quoted afterwards goes by the new rules."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.order_file import order_page
from plowwright.desk.selling import Selling
from plowwright.desk.selling_money import Till
from plowwright.desk.selling_quotes import Quoting
from plowwright.desk.selling_words import For
from plowwright.shop.dock import predicted
from plowwright.store import checking
from plowwright.store import records as r
from tests.desk.test_selling import FLINT, FRIDAY, finished, hand, ordered

WAS, NOW = "tube 2-1/2 x 2-1/2 x 3/16", "tube 2-1/2 x 2-1/2 x 1/8"


@pytest.fixture
def later(either_shop: Desk, tmp_path: Path, demo_dir: Path) -> Desk:
    """The same records under rules in which the legs of a Flint have a thinner wall and
    cost USD 200 more."""
    rules = shutil.copytree(demo_dir / "rulebook", tmp_path / "rules" / "rulebook")
    for name, was, now in (
        ("version.toml", "2026-09-01", "2026-11-10"),
        ("prices.toml", '"USD 2,110"', '"USD 2,310"'),
        ("series.toml", f'leg = "{WAS}"', f'leg = "{NOW}"'),
    ):
        text = (rules / name).read_text(encoding="utf-8")
        assert was in text
        (rules / name).write_text(text.replace(was, now), encoding="utf-8")
    return Desk(rules, records=either_shop.book)


def leg_of(desk: Desk, number: str) -> str:
    build = desk.build_of(desk.order(number))
    return next(part.stock for part in build.parts if part.name.endswith("leg") or "leg" in part.name)


def test_a_blade_quoted_before_is_built_and_remembered_by_the_rules_of_its_quote(
    either_shop: Desk, later: Desk
) -> None:
    number = ordered(either_shop)
    quote = Quoting(either_shop).quote(hand(), FLINT, For(name="Q.S.", carrier="K6"))
    new = Quoting(later).quote(hand(), FLINT, For(name="Q.S.", carrier="K6"))["number"]
    assert (leg_of(later, number), leg_of(later, quote["number"]), leg_of(later, new)) == (WAS, WAS, NOW)
    assert later.order(number).due == FRIDAY
    old, dear = (order_page(later, one).file.order.cents for one in (number, new))
    assert old == quote["cents"] and dear == old + 20_000
    Quoting(later).quote_again(hand(), quote["number"])
    assert leg_of(later, quote["number"]) == NOW and order_page(later, quote["number"]).file.order.cents == dear

    Selling(later).release(hand(), number)
    week = later.cutting.plan((number,), seconds=2.0)
    assert {piece.stock for piece in week.pieces} & {WAS, NOW} == {WAS}
    finished(later, number)
    Selling(later).advance(hand(), number, "done")
    answer = Docking(later).weigh(hand(), number, predicted(later.build_of(later.order(number))))
    assert not answer["stopped"], answer["said"]
    standing = order_page(later, number).standing
    assert standing is not None
    Till(later).pay(hand(), number, "balance", standing.balance_cents)
    serial = later.serial_of(number)
    Docking(later).match(hand(), number, stamp=serial, label=number)
    Docking(later).load(hand(), number, ticked="all")
    blade = later.blade_of(serial)
    assert blade is not None and blade.rulebook.fingerprint == either_shop.rulebook.fingerprint
    with later.book.reading() as reads:
        assert reads.get(r.Blade, serial) is not None
    assert checking.check(later.book).holds
