"""Other ways to the same nests: rectangles on sheets exactly by CP-SAT, true shapes in one strip by spyrrow alone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import spyrrow
from ortools.sat.python import cp_model

from plowwright.physics.regions import flatten
from plowwright.shop.nesting_model import Outline

UNIT = 1e-3


def fewest_sheets(sizes: Sequence[tuple[int, int]], length: int, width: int, most: int, seconds: float) -> int:
    """The fewest sheets that hold all rectangles, which may be turned by 90 deg; proved, or an error.

    Sheets stand one after another along x; a rectangle on one may not reach into the next.
    """
    model = cp_model.CpModel()
    on: list[list[cp_model.IntVar]] = []
    spans_x, spans_y = [], []
    used = [model.new_bool_var(f"used {k}") for k in range(most)]
    for n, (a, b) in enumerate(sizes):
        turned = model.new_bool_var(f"turned {n}")
        across = model.new_int_var(min(a, b), max(a, b), f"across {n}")
        up = model.new_int_var(min(a, b), max(a, b), f"up {n}")
        model.add(across == a + (b - a) * turned)
        model.add(up == b + (a - b) * turned)
        sheet = [model.new_bool_var(f"{n} on {k}") for k in range(most)]
        model.add_exactly_one(sheet)
        on.append(sheet)
        x, y = model.new_int_var(0, length * most, f"x {n}"), model.new_int_var(0, width, f"y {n}")
        end_x, end_y = model.new_int_var(0, length * most, f"end x {n}"), model.new_int_var(0, width, f"end y {n}")
        for k, here in enumerate(sheet):
            model.add(x >= k * length).only_enforce_if(here)
            model.add(end_x <= (k + 1) * length).only_enforce_if(here)
            model.add_implication(here, used[k])
        spans_x.append(model.new_interval_var(x, across, end_x, f"span x {n}"))
        spans_y.append(model.new_interval_var(y, up, end_y, f"span y {n}"))
    model.add_no_overlap_2d(spans_x, spans_y)
    for a, b in pairwise(used):
        model.add(a >= b)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return round(solver.objective_value)


def strip_length(outlines: Sequence[Outline], height: float, seconds: int) -> float:
    """Length of strip that spyrrow needs for outlines without a gap, openings closed [m]."""
    items = [spyrrow.Item(o.tag, [*flatten(o.outer)], 1, [0.0, 90.0, 180.0, 270.0]) for o in outlines]
    config = spyrrow.StripPackingConfig(total_computation_time=seconds, num_workers=1, seed=1)
    return spyrrow.StripPackingInstance("strip", strip_height=height, items=items).solve(config).width
