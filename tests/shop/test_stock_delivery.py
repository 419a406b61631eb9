"""What came with the truck, by the kind of thing it is."""

from __future__ import annotations

import pytest

from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_delivery import Delivery, judge, layouts_of
from plowwright.shop.stock_items import item_of
from plowwright.shop.stock_receiving import Received
from plowwright.units import FOOT, INCH, LB

BLANK = "flat 6 x 1/2 blank, 90 in"


def come(rules: Rulebook, item: str, count: int = 1, **more: object) -> Received:
    assert rules.dock is not None
    return judge(Delivery(item=item, count=count, **more), rules, rules.dock)  # type: ignore[arg-type]


def test_a_stick_is_held_by_caliper_and_by_the_weight_of_a_foot(demo_rules: Rulebook) -> None:
    stick = "stick of tube 3 x 3 x 1/4, 240 in"
    assert come(demo_rules, stick, wall=0.246 * INCH).racked
    found = come(demo_rules, stick, mass_per_length=6.87 * LB / FOOT)
    assert not found.racked and found.looks_like == ("tube 3 x 3 x 3/16",)
    assert found.text.startswith(f"{stick}: sent back.")


def test_a_blank_is_racked_only_when_every_pin_of_the_template_drops_in(demo_rules: Rulebook) -> None:
    places = next(layouts_of(item_of(BLANK), demo_rules)).positions
    assert come(demo_rules, BLANK, holes=places).racked
    unmeasured = come(demo_rules, BLANK, wall=0.5 * INCH)
    assert unmeasured.verdict == "not checked" and unmeasured.text.endswith("before it is laid on the hole template")
    off = come(demo_rules, BLANK, holes=(*places[:-1], places[-1] - 0.25 * INCH))
    assert off.verdict == "fails" and "0.250 in off" in off.text
    thin = come(demo_rules, BLANK, holes=places, wall=0.375 * INCH)
    assert thin.verdict == "fails"


def test_a_blank_laid_down_turned_end_for_end_is_the_same_blank(demo_rules: Rulebook) -> None:
    places = next(layouts_of(item_of(BLANK), demo_rules)).positions
    assert come(demo_rules, BLANK, holes=tuple(90 * INCH - p for p in places)).racked


def test_a_sheet_is_held_by_its_thickness_and_named_by_what_it_is_instead(demo_rules: Rulebook) -> None:
    sheet = "sheet of plate 1/4, 60 in by 120 in"
    assert come(demo_rules, sheet, wall=0.25 * INCH).racked
    assert come(demo_rules, sheet, wall=0.375 * INCH).looks_like == ("plate 3/8",)
    assert "before its thickness is measured" in come(demo_rules, sheet).text


def test_a_part_in_a_box_is_counted_and_looked_at(demo_rules: Rulebook) -> None:
    assert come(demo_rules, "skid shoe", 8).findings[0].sentence == "8 counted, nothing wrong to the eye"
    bad = come(demo_rules, "skid shoe", 8, bad="two are bent")
    assert not bad.racked and bad.text == "skid shoe: sent back. two are bent"


def test_what_nobody_knows_and_what_is_nothing_is_refused(demo_rules: Rulebook) -> None:
    with pytest.raises(NotFoundError, match=r"no such section, sheet or part.*skid shoe"):
        come(demo_rules, "skid sho")
    with pytest.raises(EntryError, match=r"a delivery of no pieces.*limit: 1 or more"):
        come(demo_rules, "skid shoe", 0)


def test_what_was_measured_is_kept_and_said(demo_rules: Rulebook) -> None:
    delivery = Delivery(item=BLANK, count=1, wall=0.5 * INCH, holes=(3.5 * INCH,), bad="rusty")
    assert set(delivery.facts()) == {"wall_m", "holes_m", "bad"}
    assert delivery.words() == "wall 0.500 in; holes at 3-1/2 in; rusty"
