"""Source: common practice (no source): blades slam without restrictors, get slow with them, and are drilled out.

The trade's sayings, on blades of the invented shop; nothing was tuned to make them come out.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.diagnosis import diagnose
from plowwright.blade.moving.results import Swinging
from plowwright.blade.moving.swinging import circuit_of, swinging
from plowwright.blade.spec import Spec
from plowwright.physics import drills
from plowwright.physics.circuits import OPEN_PORTS, Restrictors
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.orifices import Restrictor
from plowwright.units.constants import INCH

BLADES = (("reed", 60), ("flint", 72), ("flint", 96), ("basalt", 84), ("basalt", 120))


@pytest.fixture(scope="module")
def built(demo_dir: Path) -> dict[tuple[str, int], Build]:
    rules = rulebook.load(demo_dir / "rulebook")
    return {
        (series, width): work_out(
            Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face"),
            rules,
            level=0,
        )
        for series, width in BLADES
    }


def machine(gpm: int) -> Carrier:
    on, relief = date(2026, 11, 11), "relief of the auxiliary outlets"
    return Carrier(name="machine", kind="skid steer").learn(
        fact("pressure", "3,000 psi", source="plate", on=on, what=relief),
        fact("flow", f"{gpm} gpm", source="plate", on=on, what="standard"),
    )


def swung(build: Build, gpm: int, *, bare: bool = False) -> Swinging:
    found = swinging(build, machine(gpm), restrictors=OPEN_PORTS if bare else None)
    assert found is not None
    return found


@pytest.mark.parametrize("blade", BLADES)
@pytest.mark.parametrize("gpm", [17, 25])
def test_at_17_to_25_gpm_without_restrictors_the_blade_slams(
    built: dict[tuple[str, int], Build], blade: tuple[str, int], gpm: int
) -> None:
    found = swung(built[blade], gpm, bare=True)
    for one in found.by_way.values():
        # Under a second and a quarter stop to stop, its end faster than a man walks.
        assert one.time.likely < 1.25
        assert one.end_speed.likely > 1.4
    # What it brings to the stop on the harder way: more than ten times what a powered guard may.
    assert max(one.energy.likely for one in found.by_way.values()) > 90.0


@pytest.mark.parametrize("blade", BLADES)
def test_restrictors_bring_it_to_a_slow_and_predictable_travel(
    built: dict[tuple[str, int], Build], blade: tuple[str, int]
) -> None:
    times = [[one.time.likely for one in swung(built[blade], gpm).by_way.values()] for gpm in (8, 17, 25, 40)]
    assert min(times[0]) >= 4.0
    # Predictable: the same on every pump, and both ways within a third of each other.
    assert all(row == pytest.approx(times[0], rel=0.01) for row in times)
    assert max(times[0]) < 1.34 * min(times[0])


def test_owners_drill_them_out_and_then_complain_of_speed(built: dict[tuple[str, int], Build]) -> None:
    build, carrier = built["basalt", 84], machine(20)
    hole = Restrictor(diameter=drills.named("1/8").diameter)
    times = swing_times([circuit_of(build, carrier, restrictors=Restrictors(cap=hole, rod=hole))])[0]
    found = diagnose(build, carrier, times.rod_out.time, times.rod_in.time, 40.0)
    assert found.best is not None and found.best.name == "drilled out"
    assert found.send == "restrictor pair" and "1/8 in (0.1250 in)" in found.sentence
