"""Angling: a thousand circuits in one go, and sizing a restrictor, against one swing in the same run."""

from __future__ import annotations

import time
from collections.abc import Callable

from bench import Row
from plowwright.physics.circuits import Circuit, Cylinder, Lines, Restrictors, Supply
from plowwright.physics.hoses import Line
from plowwright.physics.hydraulics import size_restrictor, swing_time, swing_times
from plowwright.physics.oil import oil_of_grade
from plowwright.physics.orifices import Restrictor
from plowwright.units.constants import FOOT, GPM, INCH, PSI

MANY = 1000
OILS = tuple(oil_of_grade(grade) for grade in (22, 32, 46))


def run() -> list[Row]:
    """Swing time of many circuits and one sizing, each over one swing."""
    cylinder = Cylinder(bore=2.5 * INCH, rod=1.25 * INCH, stroke=10 * INCH)
    oil, hose = oil_of_grade(46), Line(bore=INCH / 2, length=8 * FOOT, loss=15.0, cold=1500.0)
    lines, supply = Lines(cap=hose, rod=hose), Supply(flow=20 * GPM, relief=3000 * PSI)
    hole = Restrictor(diameter=INCH / 16)
    pair = Restrictors(cap=hole, rod=hole)
    circuits = [_circuit(i, cylinder, lines) for i in range(MANY)]
    one = _best(lambda: swing_time(cylinder, pair, supply, oil, 40.0, lines=lines))
    many = _best(lambda: swing_times(circuits))
    sized = _best(lambda: size_restrictor(cylinder, 4.0, supply, oil, 40.0, lines=lines))
    return [
        Row(name=f"swing time of {MANY:,} configurations over one", value=many / one, limit=10.0),
        Row(name="sizing a restrictor over one swing", value=sized / one, limit=30.0),
    ]


def _circuit(i: int, cylinder: Cylinder, lines: Lines) -> Circuit:
    """One of many that differ in holes, pump, relief, temperature and load."""
    cap, rod = (Restrictor(diameter=(0.035 + 0.00005 * ((7 * i + k) % 1000)) * INCH) for k in (0, 300))
    return Circuit(
        cylinder=cylinder,
        restrictors=Restrictors(cap=cap, rod=rod),
        supply=Supply(flow=(4 + i % 30) * GPM, relief=(1800 + 50 * (i % 30)) * PSI),
        oil=OILS[i % len(OILS)],
        temperature=-20.0 + i % 70,
        lines=lines,
        load_out=100.0 * (i % 20),
    )


def _best(work: Callable[[], object], runs: int = 9) -> float:
    """Best of several runs [s]."""
    taken: list[float] = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)
