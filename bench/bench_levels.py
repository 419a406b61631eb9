"""All findings of one blade at level 2 against PyNiteFEA on a frame alone.

PyNiteFEA gets the frame of `bench_frames.py`, about as many members and cases as the blade has, and is timed for its
linear analysis alone. Ours runs from the worked-out blade to the last finding: shell, frame, plastic collapse, joints,
trip, kick and the order of giving. One BLAS thread each.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from threadpoolctl import threadpool_limits

from bench import Row, trust
from plowwright.blade import carriers
from plowwright.blade.holding import hold
from tests.references import pynite
from tests.references.frames import lattice_blade

if TYPE_CHECKING:
    from plowwright.blade.build import Build
    from plowwright.blade.carriers import Carrier

BLADES = (("reed", 72), ("flint", 84), ("basalt", 84))
CARRIER = "k6"


def run() -> list[Row]:
    """One row for each series."""
    carrier = carriers.load_all(trust.ROOT / "demo" / "carriers")[CARRIER]
    made, loads = lattice_blade()
    with threadpool_limits(limits=1):
        theirs = min(pynite.solve(made, loads, link=300).seconds for _ in range(3))
        rows: list[Row] = []
        for series, width in BLADES:
            build = trust.built(trust.DEMO, series, width)
            seconds = min(_seconds(build, carrier) for _ in range(7))
            name = f"{build.rulebook.series[series].name} {width:g} in"
            rows.append(
                Row(
                    name=f"all findings at level 2, {name}, over PyNiteFEA's frame alone",
                    value=seconds / theirs,
                    limit=1 / 3,
                )
            )
    return rows


def _seconds(build: Build, carrier: Carrier) -> float:
    """Seconds for all findings of one blade [s]."""
    begin = time.perf_counter()
    found = hold(build, carrier, level=2)
    seconds = time.perf_counter() - begin
    assert found is not None and len(found.findings) > 10
    return seconds
