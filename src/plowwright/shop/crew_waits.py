"""Waits at which nobody stands and that take no station, taken out: what comes after them waits that much longer.

The exact model counts time in the crew's open hours. A wait that begins in the evening has no place there, so it must
not be an operation of that model, or it would begin next morning and prove things that are not so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from plowwright.shop.crew_grid import Grid, Link, Op, Task


@dataclass(frozen=True, kw_only=True)
class _Ready:
    """What must be over: ends and waits after them, and a slot of the wall clock."""

    links: dict[int, int]
    soonest: int

    def and_then(self, wait: int) -> _Ready:
        return _Ready(links={at: lag + wait for at, lag in self.links.items()}, soonest=self.soonest + wait)


def mere_waits(grid: Grid) -> tuple[int, ...]:
    """Operations that need nobody's time and no station, each after those it waits for.

    Args:
        grid: The problem.
    """
    held = {t.holds_from for t in grid.tasks}
    return tuple(
        at for at in grid.order
        if (op := grid.ops[at]).fixed is None and not op.stations and at not in held and not (op.people and op.time)
    )  # fmt: skip


def needs_nights(grid: Grid) -> bool:
    """Whether something that nobody stands at takes a station: then the night must be part of the exact model.

    Args:
        grid: The problem.
    """
    waits = set(mere_waits(grid))
    return any(not (grid.ops[at].people and grid.ops[at].time) for at in grid.free if at not in waits)


def without_waits(grid: Grid) -> Grid:
    """The same problem with mere waits in nobody's way.

    Args:
        grid: The problem.
    """
    waits = mere_waits(grid)
    if not waits:
        return grid
    over: dict[int, _Ready] = {}
    for at in waits:
        op = grid.ops[at]
        over[at] = _joined(op.before, over, op.earliest).and_then(op.time)
    ops = tuple(op if at in over else _waiting(op, over) for at, op in enumerate(grid.ops))
    return replace(grid, ops=ops, tasks=tuple(_done(task, over) for task in grid.tasks))


def _joined(links: tuple[Link, ...], over: dict[int, _Ready], soonest: int) -> _Ready:
    out: dict[int, int] = {}
    for at, lag in links:
        ready = over[at].and_then(lag) if at in over else _Ready(links={at: lag}, soonest=0)
        soonest = max(soonest, ready.soonest)
        for other, wait in ready.links.items():
            out[other] = max(out.get(other, 0), wait)
    return _Ready(links=out, soonest=soonest)


def _waiting(op: Op, over: dict[int, _Ready]) -> Op:
    ready = _joined(op.before, over, op.earliest)
    return replace(op, before=tuple(ready.links.items()), earliest=ready.soonest)


def _done(task: Task, over: dict[int, _Ready]) -> Task:
    ready = _joined(task.ready, over, task.soonest)
    return replace(task, ready=tuple(ready.links.items()), soonest=ready.soonest)
