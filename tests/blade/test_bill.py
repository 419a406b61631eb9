from __future__ import annotations

from dataclasses import replace
from math import radians

import pytest

from plowwright.blade import bill
from plowwright.blade.assemble import assemble
from plowwright.blade.parts import Assembly, EndCut, Hole, Part, Pivots, Place, Solid
from plowwright.blade.spec import Spec
from plowwright.errors import ModelError
from plowwright.physics import sections
from plowwright.rulebook.reading import Rulebook
from plowwright.units import INCH

PIVOTS = Pivots(king_pin=(0, 0, 0), hinge=(0, 0, 0), oscillation=(0, 0, 0), angle_stop=0.5)
HERE = Place(origin=(0, 0, 0), u=(1, 0, 0), v=(0, 1, 0))
TURN = radians(22.5)


def bar(part_id: str, mark: str, length: float = 0.6, **more: object) -> Part:
    solid = Solid(region=sections.box_tube(0.0508, 0.0508, 0.00635), start=0.0, end=length)
    described: dict[str, object] = {
        "name": mark, "group": "push frame", "body": "frame", "kind": "bar", "stock": "tube 2 x 2 x 1/4",
        "material": "A500 grade C", "density": 7850.0, "solids": (solid,), "place": HERE, "length": length,
        "cuts": (EndCut(), EndCut()),
    }  # fmt: skip
    return Part(id=part_id, mark=mark, **{**described, **more})  # type: ignore[arg-type]


def blade(*parts: Part) -> Assembly:
    return Assembly(parts=parts, joints=(), pivots=PIVOTS, width=1.0, facts={})


def spec(series: str = "heavy", extras: tuple[str, ...] = ("shoes", "markers")) -> Spec:
    return Spec(
        series=series, width=72 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face", extras=extras
    )


def test_alike_pieces_stand_in_one_row() -> None:
    rows = bill.bill(blade(bar("web 1", "web"), bar("web 2", "web"), bar("leg", "leg", 0.7))).rows
    assert [(row.mark, row.quantity) for row in rows] == [("web", 2), ("leg", 1)]
    assert rows[0].ids == ("web 1", "web 2")
    assert rows[0].mass_total == pytest.approx(2 * rows[0].mass_each)


def test_the_saw_is_told_each_end_in_words() -> None:
    tilted, square = EndCut(angle=TURN, across="the 3 in side"), EndCut()
    assert bill.cuts_in_words(bar("a", "a")) == "both ends square"
    assert bill.cuts_in_words(bar("a", "a", cuts=None)) == "both ends square"
    assert bill.cuts_in_words(bar("a", "a", cuts=(tilted, square))) == "22.5 deg over the 3 in side; other end square"
    assert bill.cuts_in_words(bar("a", "a", cuts=(tilted, tilted))) == "both ends 22.5 deg over the 3 in side"
    assert bill.cuts_in_words(bar("a", "a", kind="plate")) == ""


def test_holes_are_counted_by_kind_and_size() -> None:
    plow = Hole(along=0.1, across=0.05, diameter=21 / 32 * INCH, kind="plow bolt")
    said = bill.holes_in_words((plow, plow, Hole(along=0.2, across=0.05, diameter=INCH)))
    assert said == "2 plow bolt holes 21/32 in, 1 round hole 1 in"


@pytest.mark.parametrize(
    "change",
    [
        {"length": 0.61},
        {"stock": "tube 2 x 2 x 3/16"},
        {"cuts": (EndCut(angle=TURN), EndCut())},
        {"holes": (Hole(along=0.1, across=0.0, diameter=0.01),)},
        {"finish": "none"},
    ],
)
def test_two_different_pieces_may_not_share_a_mark(change: dict[str, object]) -> None:
    one, other = bar("first", "leg"), replace(bar("second", "leg"), **change)  # type: ignore[arg-type]
    with pytest.raises(ModelError, match=r"two different pieces carry the mark 'leg' .given: first .*and second"):
        bill.check_letters(blade(one, other))
    assert len(bill.bill(blade(one, other)).rows) == 2


def test_a_left_mitre_and_a_right_one_are_different_pieces() -> None:
    left = bar("left", "leg")
    right = replace(left, id="right", solids=(replace(left.solids[0], end_slope=(0.4, 0.0)),))
    left = replace(left, solids=(replace(left.solids[0], end_slope=(-0.4, 0.0)),))
    with pytest.raises(ModelError, match=r"left .tube 2 x 2 x 1/4, 23-5/8 in. and right"):
        bill.check_letters(blade(left, right))


@pytest.mark.parametrize("series", ["light", "standard", "heavy"])
def test_no_two_different_pieces_of_a_whole_blade_share_a_mark(common_rules: Rulebook, series: str) -> None:
    bill.check_letters(assemble(spec(series), common_rules))


@pytest.mark.parametrize("series", ["reed", "flint", "basalt"])
def test_no_two_different_pieces_of_a_shop_blade_share_a_mark(demo_rules: Rulebook, series: str) -> None:
    for width in demo_rules.series[series].widths():
        chosen = replace(spec(series, ("shoes", "markers", "deflector")), width=width)
        bill.check_letters(assemble(chosen, demo_rules))


def test_every_piece_is_in_the_bill_once_and_masses_agree(common_rules: Rulebook) -> None:
    assembly = assemble(spec(), common_rules)
    found = bill.bill(assembly)
    assert sorted(i for row in found.rows for i in row.ids) == sorted(p.id for p in assembly.parts)
    assert found.mass == pytest.approx(sum(p.mass() for p in assembly.parts))


def test_a_cylinder_drawn_as_barrel_and_rod_is_bought_once(common_rules: Rulebook) -> None:
    rows = bill.bill(assemble(spec(), common_rules)).bought_list(common_rules.bought)
    by_name = {row.name: row for row in rows}
    assert by_name["angle cylinder"].quantity == 1
    cylinder = common_rules.bought[by_name["angle cylinder"].stock]
    assert by_name["angle cylinder"].mass_each == pytest.approx(cylinder.mass)
    assert by_name["skid shoe"].quantity == 2
    leads = [row.lead_time_days for row in rows]
    assert leads == sorted(leads, reverse=True)


def test_saw_plate_and_bought_lists_share_the_pieces_out(common_rules: Rulebook) -> None:
    found = bill.bill(assemble(spec(), common_rules))
    saw, plate = found.cut_list(), found.plate_list()
    assert {row.kind for row in saw} == {"bar"} and {row.kind for row in plate} == {"plate", "rolled"}
    assert [row.stock for row in saw] == sorted(row.stock for row in saw)
    bought = [row for row in found.rows if row.kind == "bought"]
    assert len(saw) + len(plate) + len(bought) == len(found.rows)


def test_a_bill_row_reads_in_trade_units(common_rules: Rulebook) -> None:
    edge = next(row for row in bill.bill(assemble(spec(), common_rules)).rows if row.mark == "edge")
    said = edge.as_dict()
    assert (said["length_in"], said["quantity"], said["cuts"]) == (72.0, 1, "both ends square")
