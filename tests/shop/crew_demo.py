"""The demo's wall of 11 November as jobs of a crew plan."""

from __future__ import annotations

from datetime import date, datetime

from plowwright.rulebook.reading import Rulebook
from plowwright.shop.crew_jobs import Arrival, blade_job, so_far
from plowwright.shop.crew_model import Job, Started

NOW = datetime(2026, 11, 11, 8)
EDGE = Arrival(operation="assemble", what="its edge, 108 in", on=date(2026, 11, 17))
SKIN = Arrival(operation="fit_and_weld", what="its skin from the roller", on=date(2026, 11, 25))
SIX_WEEKS = Arrival(operation="assemble", what="its edge, 120 in", on=date(2026, 12, 23))
WALL: tuple[tuple[str, str, date, str, tuple[Arrival, ...]], ...] = (
    ("418K", "basalt", datetime(2026, 11, 13, 7), "cut", ()),
    ("419T", "reed", datetime(2026, 11, 13, 7), "painted", ()),
    ("420A", "flint", date(2026, 11, 20), "cut", ()),
    ("421M", "basalt", date(2026, 11, 20), "not started", ()),
    ("422D", "flint", date(2026, 11, 23), "not started", ()),
    ("423P", "basalt", date(2026, 11, 6), "painted", (EDGE,)),
    ("424H", "reed", date(2026, 11, 25), "not started", ()),
    ("426B", "flint", date(2026, 12, 2), "not started", ()),
    ("427S", "flint", date(2026, 12, 2), "not started", ()),
    ("428C", "flint", date(2026, 12, 4), "not started", ()),
    ("429J", "reed", date(2026, 12, 8), "not started", (SKIN,)),
)


def wall(rules: Rulebook, temperature: float | None = None) -> tuple[list[Job], list[Started]]:
    """Jobs of the wall and what is done of them; 425V is on hold, 432N a quote."""
    jobs: list[Job] = []
    started: list[Started] = []
    for number, series, due, state, arrivals in WALL:
        job = blade_job(rules, number, series, due, rush=number == "418K", arrivals=arrivals, temperature=temperature)
        jobs.append(job)
        if number == "418K":
            started += so_far(job, state, NOW, person="D.V.", left=3 * 3600.0)
        else:
            painted = datetime(2026, 11, 10, 15) if state == "painted" else None
            started += so_far(job, state, NOW, ended=painted)
    return jobs, started
