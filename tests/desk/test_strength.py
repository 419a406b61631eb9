"""Carriers by name, strength kept at hand, evidence behind a width limit."""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.desk import strength as strength_module
from plowwright.desk.desk import Desk
from plowwright.desk.strength import Strength, evidence_dict, holding_dict
from plowwright.errors import EntryError, NotFoundError, RulebookError
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def demo() -> Desk:
    return Desk.demo()


def test_a_carrier_is_known_by_its_name_or_its_file_in_any_case(demo: Desk) -> None:
    assert demo.strength.carrier("K6") == demo.strength.carrier("k6") == demo.strength.carriers["k6"]
    assert demo.strength.carrier("") is None


def test_a_carrier_file_from_elsewhere_will_do(demo: Desk, demo_dir: Path, tmp_path: Path) -> None:
    file = tmp_path / "borrowed.toml"
    file.write_text((demo_dir / "carriers" / "k2.toml").read_text().replace('"K2"', '"Borrowed"'))
    found = demo.strength.carrier(str(file))
    assert found is not None and found.name == "Borrowed" and found.known("mass")


def test_a_wrong_name_is_refused_with_near_ones(demo: Desk) -> None:
    with pytest.raises(NotFoundError, match="no carrier is called so") as fault:
        demo.strength.carrier("K77")
    assert "K7" in fault.value.way_out


def test_an_order_on_an_unknown_machine_is_no_fault(demo: Desk) -> None:
    assert demo.strength.of_order("the neighbour's old one") is None


def test_a_shop_without_carrier_files_says_how_to_give_one(demo: Desk, tmp_path: Path) -> None:
    bare = Strength(demo.rulebook, tmp_path / "carriers")
    assert bare.carriers == {}
    with pytest.raises(NotFoundError, match="no carrier is called so") as fault:
        bare.carrier("K6")
    assert "carriers/k7.toml" in fault.value.way_out


def test_a_broken_carrier_file_is_named(demo: Desk, tmp_path: Path) -> None:
    (tmp_path / "k1.toml").write_text('name = "K1"\nkind = "tank"\n')
    with pytest.raises(EntryError, match=r"k1\.toml"):
        _ = Strength(demo.rulebook, tmp_path).carriers


def test_a_blade_on_a_carrier_is_worked_out_once(demo: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    worked = demo.worked(demo.spec_of("419T")[0])
    times: list[int] = []
    real = strength_module.held

    def count(build, carrier, *, level):
        times.append(level)
        return real(build, carrier, level=level)

    monkeypatch.setattr(strength_module, "held", count)
    k6, k2 = demo.strength.carrier("K6"), demo.strength.carrier("K2")
    first = demo.strength.holding(worked, k6, level=1)
    assert demo.strength.holding(worked, k6, level=1) is first and times == [1]
    demo.strength.holding(worked, k2, level=1)
    assert times == [1, 1]


def test_strength_for_a_machine_holds_the_rows_of_giving_in_pounds(demo: Desk) -> None:
    worked = demo.worked(demo.spec_of("419T")[0])
    assert holding_dict(worked) is None
    found = holding_dict(demo.strength.holding(worked, demo.strength.carrier("K6"), level=1))
    assert found is not None
    assert (found["carrier"], found["level"]) == ("K6", 1)
    trip = next(row for row in found["giving"] if row["key"] == "trip")
    assert 0 < trip["corner_lbf"]["low"] <= trip["corner_lbf"]["high"] < 5000
    assert {"title", "verdict", "basis"} <= set(found["findings"][0])
    assert next(row for row in found["giving"] if row["key"] == "swings round")["centre_lbf"] is None


def test_evidence_says_each_width_before_it_is_worked_out_and_is_kept(demo: Desk, tmp_path: Path) -> None:
    told: list[str] = []
    found = demo.strength.evidence("reed", told=told.append)
    assert len(told) == demo.strength.widths("reed") == len(found.points)
    assert told[0] == "Reed 48 in"
    assert demo.strength.evidence("reed", told=told.append) is found and len(told) == len(found.points)
    assert demo.strength.compared(found) == []
    assert len(found.strikes) == 3
    assert demo.strength.draw(found, tmp_path / "new").name == "reed corner strength.svg"
    answer = evidence_dict(found, [])
    assert answer["limit_in"] == 72.0 and len(answer["points"]) == len(told)


def test_a_thicker_wall_on_trial_never_yields_sooner(demo: Desk, tmp_path: Path) -> None:
    ruled = demo.strength.evidence("reed")
    trial = demo.strength.evidence("reed", changes={"leg": "tube 2-1/2 x 2-1/2 x 3/16"}, up_to=60 * INCH)
    assert trial.limit == pytest.approx(60 * INCH)
    for before, after in zip(ruled.points, trial.points, strict=False):
        assert after.first_yield > 0.98 * before.first_yield
    assert len(demo.strength.compared(trial)) == 4
    assert demo.strength.draw(trial, tmp_path).name == "reed corner strength on trial.svg"


def test_what_is_told_can_end_the_work(demo: Desk) -> None:
    class Enough(Exception):
        pass

    def told(said: str) -> None:
        if "66" in said:
            raise Enough

    with pytest.raises(Enough):
        demo.strength.evidence("flint", told=told)


def test_a_stock_nobody_has_is_refused(demo: Desk) -> None:
    with pytest.raises(RulebookError, match="no stock is called so"):
        demo.strength.evidence("reed", changes={"leg": "oak"})
