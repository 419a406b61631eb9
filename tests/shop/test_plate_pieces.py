"""From builds to tagged outlines for the plate table."""

from __future__ import annotations

from math import pi

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.nesting import plan
from plowwright.shop.nesting_model import Sheet
from plowwright.shop.plate_pieces import ANY_SQUARE_TURN, of_orders, outlines_of, rest_rule, sheets_for, speeds
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


def test_every_plate_of_the_bill_becomes_so_many_outlines(flint: Build) -> None:
    outlines = outlines_of("420A", flint)
    rows = flint.bill.plate_list()
    assert len(outlines) == sum(row.quantity for row in rows)
    assert len({o.tag for o in outlines}) == len(outlines)
    assert {"420A mount plate", "420A web 1/5"} <= {o.tag for o in outlines}
    bare = outlines_of("420A", flint, rolled=False)
    assert {o.mark for o in outlines} - {o.mark for o in bare} == {"skin"}


def test_an_outline_weighs_what_the_bill_says(flint: Build) -> None:
    for outline in outlines_of("420A", flint):
        row = next(r for r in flint.bill.plate_list() if r.mark == outline.mark and r.stock == outline.stock)
        part = flint.assembly.part(row.ids[0])
        mass = outline.area * part.thickness * part.density
        # A rolled sheet's length is that of its middle, so it weighs what its flat blank does.
        assert mass == pytest.approx(row.mass_each, rel=0.01 if row.kind == "rolled" else 1e-6), outline.tag


def test_round_holes_go_to_the_drill_and_slots_to_the_table(flint: Build) -> None:
    outlines = {o.mark: o for o in outlines_of("420A", flint)}
    mount, ear = outlines["mount plate"], outlines["ear"]
    assert len(mount.inner) == 3 and not mount.drilled
    assert not ear.inner and len(ear.drilled) == 1


def test_a_rolled_part_is_its_flat_blank(flint: Build) -> None:
    skin = next(o for o in outlines_of("420A", flint) if o.mark == "skin")
    row = next(r for r in flint.bill.plate_list() if r.mark == "skin")
    assert sorted(skin.size) == pytest.approx(sorted((row.length, row.width)))


def test_grain_and_rush_are_carried(flint: Build) -> None:
    outlines = of_orders({"420A": flint, "427S": flint}, rush=["427S"], grain=["skin"])
    assert {o.order for o in outlines if o.rush} == {"427S"}
    assert {o.mark for o in outlines if o.grain} == {"skin"}


def test_sheets_carry_the_rulebooks_size_and_price(demo_rules: Rulebook) -> None:
    size = {"length": 60 * INCH, "width": 34 * INCH}
    scrap = Sheet(stock="plate 3/8", **size, price=38.0, on_hand=1, buyable=False, tag="P-41")
    on_hand = {("plate 3/8", 60 * INCH, 120 * INCH): 1, ("plate 3/8", 48 * INCH, 96 * INCH): 2}
    whole, old, remnant = sheets_for(demo_rules, ["plate 3/8"], on_hand=on_hand, remnants=[scrap])
    plate = demo_rules.plates["plate 3/8"]
    assert (whole.length, whole.width) == pytest.approx((120 * INCH, 60 * INCH))
    assert whole.price == pytest.approx(plate.mass * plate.price * whole.area, abs=0.01)
    assert (whole.on_hand, whole.buyable, old.on_hand, old.buyable, remnant.tag) == (1, True, 2, False, "P-41")
    with pytest.raises(RulebookError, match="no such entry"):
        sheets_for(demo_rules, ["plate 9"])


def test_the_rulebook_says_which_rests_are_kept_and_how_fast_the_table_is(demo_rules: Rulebook) -> None:
    assert demo_rules.cutting is not None
    plates = demo_rules.cutting.plates
    assert rest_rule(plates).least == pytest.approx(12 * INCH)
    first = speeds(plates)[0]
    assert (first.up_to, first.speed, first.pierce) == pytest.approx((INCH / 8, 180 * INCH / 60, 0.4))


def test_a_build_is_nested_from_the_rulebook_alone(flint: Build, demo_rules: Rulebook) -> None:
    assert demo_rules.cutting is not None
    plates = demo_rules.cutting.plates
    outlines = outlines_of("420A", flint)
    sheets = sheets_for(demo_rules, {o.stock for o in outlines})
    found = plan(outlines, sheets, plates.gap.value, ANY_SQUARE_TURN, 2.0, edge=plates.edge.value,
                 rest_rule=rest_rule(plates))  # fmt: skip
    assert sorted(o.tag for o in found.pieces) == sorted(o.tag for o in outlines)
    assert all(p.turn % (pi / 2) == pytest.approx(0.0) for n in found.sheets for p in n.placed)
