"""What an order takes off the shelf."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.desk import orders as files
from plowwright.errors import NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_edges import needed_by
from plowwright.shop.stock_shortages import Supply, Want, share
from plowwright.shop.stock_wants import blade_wants, spare_wants

DAY = date(2026, 11, 11)


def blade(rules: Rulebook, series: str = "flint", **more: object) -> Build:
    entry = {"series": series, "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    return work_out(specs.from_dict({**entry, **more}), rules, level=0)


def test_a_blade_takes_its_edge_and_every_bought_part_once(demo_rules: Rulebook) -> None:
    wants = {w.what: w for w in blade_wants(blade(demo_rules, extras=["markers"]), order="420A", day=DAY)}
    assert wants["84 in edge of flat 6 x 1/2"].count == 1
    assert wants["trip spring 3/8"].count == 3
    assert wants["plow bolt 5/8 x 2"].count == 8
    assert wants["crossover relief block"].serves == ("crossover relief block",)
    assert wants["edge marker"].count == 2


def test_spares_are_the_blades_own_parts(demo_rules: Rulebook) -> None:
    edge = spare_wants("84 in edge with bolts", blade(demo_rules), order="431G", day=DAY, count=2)
    assert [(w.what, w.count) for w in edge] == [("84 in edge of flat 6 x 1/2", 2), ("plow bolt 5/8 x 2", 16)]
    reed = blade(demo_rules, series="reed", width="60 in")
    springs = spare_wants("spring pair", reed, order="431G", day=DAY)
    assert [(w.what, w.count) for w in springs] == [("trip spring 5/16", 2)]
    assert spare_wants("seal kit", reed, order="431G", day=DAY)[0].serves == ("seal kit",)
    box = {"winter box": [("seal kit", 1), ("skid shoe", 2)]}
    own = spare_wants("winter box", reed, order="431G", day=DAY, parts=box)
    assert [(w.what, w.count) for w in own] == [("seal kit", 1), ("skid shoe", 2)]


def test_a_spare_nobody_explained_is_refused_with_near_names(demo_rules: Rulebook) -> None:
    with pytest.raises(NotFoundError, match=r"which parts are behind this spare.*spring pear.*spring pair"):
        spare_wants("spring pear", blade(demo_rules), order="431G", day=DAY)


def wall(demo: Path, rules: Rulebook) -> list[Want]:
    return [
        want
        for o in files.load(demo / "orders.toml").orders
        if o.spec is not None and o.state not in ("quote only", "on hold")
        for want in blade_wants(work_out(o.spec, rules, level=0), order=o.number, day=needed_by(o.due, 3, today=DAY))
    ]


def test_one_coupler_set_for_the_wall_names_who_waits(demo_dir: Path, demo_rules: Rulebook) -> None:
    hoses = [w for w in wall(demo_dir, demo_rules) if w.what == "hose set, poppet"]
    found = share(hoses, [Supply(item="hose set, poppet", count=1, day=DAY)])
    assert [(s.want.order, s.want.day) for s in found.short] == [
        ("424H", date(2026, 11, 20)), ("429J", date(2026, 12, 3))
    ]  # fmt: skip


def test_22_springs_are_fewer_than_the_wall_needs(demo_dir: Path, demo_rules: Rulebook) -> None:
    springs = [w for w in wall(demo_dir, demo_rules) if w.what == "trip spring 3/8"]
    found = share(springs, [Supply(item="trip spring 3/8", count=22, day=DAY)])
    assert sum(w.count for w in springs) - 22 == sum(s.want.count for s in found.short)
    assert found.short[0].want.order in ("426B", "427S", "428C")


def test_a_promise_with_an_hour_counts_as_its_day() -> None:
    assert needed_by(datetime(2026, 11, 20, 7), 3, today=DAY) == date(2026, 11, 17)
