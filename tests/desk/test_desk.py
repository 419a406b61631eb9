from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from plowwright.desk import desk as desk_module
from plowwright.desk.desk import Desk, demo_folder
from plowwright.errors import NotFoundError

COMMON = Path(__file__).resolve().parents[1] / "rulebooks" / "common"


@pytest.fixture(scope="module")
def demo() -> Desk:
    return Desk.demo()


def test_a_blade_is_worked_out_once_and_kept_at_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    desk = Desk.demo()
    times: list[str] = []
    real = desk_module.work_out

    def count(spec, rulebook, **more):
        times.append(spec.number)
        return real(spec, rulebook, **more)

    monkeypatch.setattr(desk_module, "work_out", count)
    spec, _ = desk.spec_of("421M")
    assert desk.worked(spec) is desk.worked(spec) and times == ["421M"]
    desk.worked(replace(spec, hoses="poppet"))
    assert len(times) == 2


def test_no_more_than_so_many_blades_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    desk = Desk.demo()
    monkeypatch.setattr(desk_module, "KEPT", 2)
    monkeypatch.setattr(desk_module, "work_out", lambda spec, rulebook, **more: object())
    spec, _ = desk.spec_of("421M")
    first = desk.worked(spec)
    second = replace(spec, hoses="none")
    desk.worked(second)
    assert desk.worked(spec) is first
    desk.worked(replace(spec, hoses="poppet"))
    assert desk.worked(spec) is first, "the one asked for last is kept, the oldest goes"


def test_a_spec_comes_from_a_file_or_an_order(demo: Desk, demo_dir: Path) -> None:
    spec, order = demo.spec_of("421M")
    assert order is not None and spec.number == order.number == "421M"
    spec, order = demo.spec_of(str(demo_dir / "specs" / "yard.toml"))
    assert order is None and spec.series == "flint"


def test_every_spec_file_of_the_demo_can_be_built(demo: Desk, demo_dir: Path) -> None:
    files = sorted((demo_dir / "specs").glob("*.toml"))
    assert len(files) >= 2
    for file in files:
        assert demo.worked(demo.spec_of(str(file))[0]).build.mass > 0


def test_every_order_of_the_demo_that_builds_a_blade_can_be_built(demo: Desk) -> None:
    blades = [o.spec for o in demo.orders() if o.spec]
    assert len(blades) == 13
    assert all(demo.worked(spec).price.total > 0 for spec in blades)


def test_spares_build_no_blade_and_say_so(demo: Desk) -> None:
    with pytest.raises(NotFoundError, match="order 431G is for spares and builds no blade"):
        demo.spec_of("431G")


def test_a_shop_without_an_orders_file_asks_for_a_spec_file() -> None:
    desk = Desk(COMMON)
    assert desk.orders() == ()
    with pytest.raises(NotFoundError, match="no orders are open here") as fault:
        desk.spec_of("421M")
    assert "spec file" in fault.value.way_out


def test_twins_differ_in_class_and_mass(demo: Desk) -> None:
    found = demo.differ([demo.worked(demo.spec_of(number)[0]) for number in ("420A", "421M")])
    assert found.rows and len(found.looks) == 1


def test_the_demo_is_found_by_its_setting(monkeypatch: pytest.MonkeyPatch, demo_dir: Path, tmp_path: Path) -> None:
    monkeypatch.setenv("PLOWWRIGHT_DEMO", str(demo_dir))
    assert demo_folder() == demo_dir
    monkeypatch.setenv("PLOWWRIGHT_DEMO", str(tmp_path))
    with pytest.raises(NotFoundError, match="PLOWWRIGHT_DEMO"):
        Desk.demo()
