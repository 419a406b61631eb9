"""At the counter and the dock: shortages by day, a spare sold today, a blade found by scraps, a blade weighed."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest

from plowwright import units
from plowwright.blade.spec import from_dict
from plowwright.desk.desk import Desk
from plowwright.errors import NotFoundError
from plowwright.shop.service_search import Scraps
from plowwright.units.constants import LB


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk.demo()


def flint_84() -> dict[str, str]:
    return {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "none"}


def test_the_late_order_waits_for_its_edge_until_the_day_it_comes(desk: Desk) -> None:
    short = {(s.want.order, s.want.what): s for s in desk.counter.shortages().short}
    edge = short["423P", "108 in edge of flat 8 x 5/8"]
    assert edge.until == date(2026, 11, 17)
    cylinder = short["421M", "cylinder 3 x 1-1/2 x 12"]
    assert cylinder.until == date(2026, 12, 8), "one large cylinder for two orders"


def test_selling_two_84_in_edges_today_names_who_goes_short_and_until_when(desk: Desk) -> None:
    edge, bolts = desk.counter.sell("84 edge with bolts", from_dict(flint_84()), 2)
    assert [(s.want.order, s.want.day, s.until) for s in edge.newly] == [
        ("422D", date(2026, 11, 18), date(2026, 11, 30))
    ]
    assert edge.text.endswith("1 can be sold with nobody going short") and not bolts.newly


def test_the_edge_of_a_blade_by_older_hole_rules_takes_no_blank_of_today(desk: Desk) -> None:
    want = next(w for w in desk.counter.wants() if w.order == "431G" and "edge" in w.what)
    assert want.serves == ("flat 6 x 1/2 bar, undrilled",)


def test_a_spare_nobody_knows_is_refused_with_near_names(desk: Desk) -> None:
    with pytest.raises(NotFoundError, match="seal kit"):
        desk.counter.sell("seal kitt", from_dict(flint_84()))


def trials() -> list[tuple[str, dict[str, object]]]:
    file = Path(__file__).resolve().parents[2] / "demo" / "serials-past.toml"
    entry = tomllib.loads(file.read_text(encoding="utf-8"))
    return [(t["serial"], t["scraps"]) for t in entry["trials"]]


@pytest.mark.parametrize(("serial", "told"), trials())
def test_every_trial_call_finds_its_blade_first(desk: Desk, serial: str, told: dict[str, object]) -> None:
    given = dict(told)
    for name in ("width", "bore"):
        if name in given:
            given[name] = units.si(str(given[name]), "length")
    if "gaps" in given:
        given["gaps"] = tuple(units.si(str(g), "length") for g in given["gaps"])  # type: ignore[attr-defined]
    found = desk.counter.find(Scraps(**given))  # type: ignore[arg-type]
    assert found.candidates[0].marks.serial == serial
    assert found.candidates[0].chance > found.none


def test_a_blade_that_weighs_as_if_built_of_a_thinner_plate_is_stopped_with_that_cause_first(desk: Desk) -> None:
    found = desk.counter.weigh("421M", 930 * LB)
    assert found.stopped and "instead of" in found.causes[0].said
    right = desk.counter.weigh("421M", found.predicted)
    assert not right.stopped and right.finding.verdict == "holds"


def test_swapped_figures_at_the_scale_are_refused_with_the_open_numbers(desk: Desk) -> None:
    with pytest.raises(NotFoundError, match="427S"):
        desk.counter.weigh("472S", 500.0)


def test_an_empty_folder_has_no_past_blades_and_says_where_they_go(tmp_path: Path, demo_dir: Path) -> None:
    (tmp_path / "orders.toml").write_text("today = 2026-11-11T08:00:00\n", encoding="utf-8")
    bare = Desk(demo_dir / "rulebook", tmp_path / "orders.toml")
    with pytest.raises(NotFoundError, match=r"serials-past\.toml"):
        bare.counter.find(Scraps(pins=3))
    assert bare.counter.shortages().short == ()
