"""Who goes short when; what a spare sold today does; what to buy."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import permutations, product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.desk import orders as files
from plowwright.desk import rack as racks
from plowwright.errors import EntryError, PlanInputError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.stock_buying import purchases, reorder_point, working_days_after
from plowwright.shop.stock_edges import blank_item, edge_want, needed_by
from plowwright.shop.stock_shortages import Supply, Want, if_sold, share

DAY = date(2026, 11, 11)


def later(days: int) -> date:
    return DAY + timedelta(days=days)


def want(order: str, days: int, *serves: str, count: int = 1) -> Want:
    return Want(order=order, what="edge", day=later(days), serves=serves, count=count)


def bare_84(rules: Rulebook, series: str) -> Build:
    return work_out(specs.from_dict({"series": series, "width": "84 in", "mount": "loader", "carrier": "skid steer",
                                     "hoses": "flat-face"}), rules, level=0)  # fmt: skip


def demo_edges(demo: Path, rules: Rulebook) -> tuple[list[Want], list[Supply]]:
    """Edges of the demo's wall with the spare of 431G, and its blanks."""
    wall = files.load(demo / "orders.toml")
    today = wall.now.date()
    rack = racks.load(demo / "rack.toml", {**rules.sections, **rules.plates, **rules.bought})
    lengths = sorted({*rules.shop.edge_blanks, *(b.length for b in rack.blanks)})
    supplies = [Supply(item=blank_item(b.stock, b.length), count=b.count, day=today) for b in rack.blanks]
    supplies += [
        Supply(item=blank_item(b.stock, b.length), count=n, day=day)
        for b in rack.blanks
        for day, n in b.arriving.items()
    ]
    wants = [
        edge_want(work_out(o.spec, rules, level=0), order=o.number, day=needed_by(o.due, 3, today=today),
                  lengths=lengths)
        for o in wall.orders
        if o.spec is not None and o.state not in ("quote only", "on hold")
    ]  # fmt: skip
    return [*wants, edge_want(bare_84(rules, "flint"), order="431G", day=today)], supplies


def test_selling_two_84_in_edges_of_the_heavy_class_today_names_who_goes_short_and_when(
    demo_dir: Path, demo_rules: Rulebook
) -> None:
    wants, supplies = demo_edges(demo_dir, demo_rules)
    sale = if_sold(edge_want(bare_84(demo_rules, "basalt"), order="counter", day=DAY, count=2), wants, supplies)
    assert sale.served
    assert [(s.want.order, s.want.day, s.until) for s in sale.newly] == [
        ("418K", DAY, None),
        ("421M", date(2026, 11, 17), None),
    ]
    assert "421M goes short of 84 in edge of flat 8 x 1/2 on Tue 17 Nov: none is on its way" in sale.text
    assert sale.text.endswith("Not one can be spared")


def test_selling_two_84_in_edges_of_the_standard_class_names_two_orders_until_the_blanks_of_30_november(
    demo_dir: Path, demo_rules: Rulebook
) -> None:
    wants, supplies = demo_edges(demo_dir, demo_rules)
    sale = if_sold(edge_want(bare_84(demo_rules, "flint"), order="counter", day=DAY, count=2), wants, supplies)
    assert sale.served
    assert [(s.want.order, s.want.day, s.until) for s in sale.newly] == [
        ("420A", date(2026, 11, 17), date(2026, 11, 30)),
        ("422D", date(2026, 11, 18), date(2026, 11, 30)),
    ]
    assert sale.text == (
        "Selling 2 x 84 in edge of flat 6 x 1/2 on Wed 11 Nov: 420A goes short of 84 in edge of flat 6 x 1/2 on "
        "Tue 17 Nov: one comes on Mon 30 Nov; 422D goes short of 84 in edge of flat 6 x 1/2 on Wed 18 Nov: one "
        "comes on Mon 30 Nov. Not one can be spared"
    )


def test_423p_is_short_of_its_108_in_edge_until_the_one_on_its_way_comes(demo_dir: Path, demo_rules: Rulebook) -> None:
    short = share(*demo_edges(demo_dir, demo_rules)).short
    found = next(s for s in short if s.want.order == "423P")
    assert found.text == "423P goes short of 108 in edge of flat 8 x 5/8 on Wed 11 Nov: one comes on Tue 17 Nov"


def test_an_edge_lists_only_blanks_whose_holes_meet_the_bottom_angle(demo_rules: Rulebook) -> None:
    serves = edge_want(bare_84(demo_rules, "basalt"), order="418K", day=DAY).serves
    assert serves == ("flat 8 x 1/2 blank, 102 in", "flat 8 x 1/2 blank, 120 in", "flat 8 x 1/2 bar, undrilled")


def test_a_shared_blank_is_moved_to_whoever_has_no_other() -> None:
    wants = [want("A", 1, "90", "102"), want("B", 2, "90")]
    found = share(wants, [Supply(item="90", count=1, day=DAY), Supply(item="102", count=1, day=DAY)])
    assert not found.short
    assert {g.want.order: g.item for g in found.given} == {"A": "102", "B": "90"}


def test_the_sooner_need_is_served_and_the_later_one_is_named_with_how_long_it_waits() -> None:
    found = share([want("B", 2, "90"), want("A", 1, "90")],
                  [Supply(item="90", count=1, day=DAY), Supply(item="90", count=1, day=later(9))])  # fmt: skip
    assert [s.text for s in found.short] == ["B goes short of edge on Fri 13 Nov: one comes on Fri 20 Nov"]
    assert list(found.by_day()) == [later(2)]


def test_a_sale_that_cannot_be_handed_over_says_so() -> None:
    sale = if_sold(want("counter", 0, "90", count=2), [want("A", 3, "90")], [Supply(item="90", count=1, day=DAY)])
    assert not sale.served
    assert "cannot be handed over on Wed 11 Nov" in sale.text


def test_a_sale_that_hurts_nobody_says_so() -> None:
    sale = if_sold(want("counter", 0, "90"), [want("A", 3, "90")], [Supply(item="90", count=2, day=DAY)])
    assert sale.text == "Selling 1 x edge on Wed 11 Nov leaves nobody short"
    assert sale.harmless == 1


def test_counts_below_one_are_refused() -> None:
    with pytest.raises(EntryError, match=r"given: 0.*limit: 1 or more"):
        share([want("A", 1, "90", count=0)], [])


SMALL = st.lists(st.tuples(st.integers(0, 3), st.sets(st.sampled_from("pqr"), min_size=1)), max_size=4)
STOCK = st.lists(st.tuples(st.sampled_from("pqr"), st.integers(0, 3)), max_size=4)


@given(SMALL, STOCK)
def test_no_other_way_of_sharing_serves_the_needs_better(
    needs: list[tuple[int, set[str]]], pieces: list[tuple[str, int]]
) -> None:
    """Against every assignment there is: as many served, and in the order of their days none that could be is not."""
    wants = sorted(
        (want(f"N{i}", days, *sorted(serves)) for i, (days, serves) in enumerate(needs)), key=lambda w: (w.day, w.order)
    )
    supplies = [Supply(item=item, count=1, day=later(day)) for item, day in pieces]
    found = share(wants, supplies)
    got = tuple(any(g.want.order == w.order for g in found.given) for w in wants)
    best = max(_possible(wants, supplies))
    assert got == best
    assert len(found.given) + sum(s.want.count for s in found.short) == len(wants)
    for given_ in found.given:
        assert given_.item in given_.want.serves
        assert given_.day <= given_.want.day


def _possible(wants: list[Want], supplies: list[Supply]) -> list[tuple[bool, ...]]:
    """Which sets of needs can be met together, by trying everything."""
    out: list[tuple[bool, ...]] = []
    slots: list[Supply | None] = [*supplies, *([None] * len(wants))]
    seen = set(permutations(range(len(slots)), len(wants))) if len(slots) <= 6 else None
    ways = seen if seen is not None else permutations(range(len(slots)), len(wants))
    for way in ways:
        served: list[bool] = []
        for w, at in zip(wants, way, strict=True):
            s = slots[at]
            served.append(s is not None and s.item in w.serves and s.day <= w.day)
        out.append(tuple(served))
    return out or [()]


@given(SMALL, STOCK, st.integers(1, 2))
def test_a_sale_never_makes_anybody_better_off(
    needs: list[tuple[int, set[str]]], pieces: list[tuple[str, int]], count: int
) -> None:
    wants = [want(f"N{i}", days, *sorted(serves)) for i, (days, serves) in enumerate(needs)]
    supplies = [Supply(item=item, count=1, day=later(day)) for item, day in pieces]
    sale = if_sold(want("counter", 0, "p", count=count), wants, supplies)
    assert 0 <= sale.harmless <= count
    assert (sale.harmless == count) == (sale.served and not sale.newly) or not sale.served


def test_what_to_buy_says_by_when_and_whether_it_is_too_late() -> None:
    short = share([want("423P", 5, "108"), want("432N", 40, "120")], []).short
    rows = purchases(short, {"108": 30, "120": 20}, today=DAY, lots={"120": 2})
    assert rows[0].late
    assert rows[0].text == ("1 x 108 for 423P: order by Mon 05 Oct; too late for 16 Nov, comes 23 Dec if ordered today")
    assert (rows[1].count, rows[1].late) == (2, False)
    with pytest.raises(PlanInputError, match=r"no lead time is known.*edge"):
        purchases(short, {}, today=DAY)


def test_working_days_leave_out_saturday_and_sunday() -> None:
    assert working_days_after(date(2026, 11, 13), 1) == date(2026, 11, 16)
    assert needed_by(datetime(2026, 12, 2, 7), 3, today=DAY) == date(2026, 11, 27)


def test_a_reorder_point_covers_the_lead_time_and_one_busy_week() -> None:
    assert reorder_point(used_per_week=2, lead_days=10, most_in_a_week=4) == 6
    with pytest.raises(PlanInputError, match=r"busy week above the usual"):
        reorder_point(used_per_week=2, lead_days=10, most_in_a_week=1)


def test_orders_and_pieces_by_the_hundred_are_shared_without_delay() -> None:
    items = [f"i{k}" for k in range(6)]
    wants = [want(f"N{k:04}", k % 60, items[k % 6], items[(k + 1) % 6]) for k in range(600)]
    supplies = [Supply(item=i, count=12, day=later(d)) for i, d in product(items, range(0, 40, 10))]
    found = share(wants, supplies)
    assert len(found.given) + sum(s.want.count for s in found.short) == 600
