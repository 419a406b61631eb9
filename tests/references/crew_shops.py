"""Made-up weeks of a three-person shop, for tests and benches of the crew plan; published job shops likewise."""

from __future__ import annotations

import random
from datetime import datetime, time, timedelta

from plowwright.shop.crew_model import DAYS, After, Calendar, Crew, Hours, Job, Operation, Person, Station

HOUR = 3600.0
CALENDAR = Calendar(now=datetime(2026, 11, 11, 8))
TIMES = {
    "light": (1.5, 1.5, 7, 1, 2, 4, 1),
    "standard": (2, 2, 9, 1.5, 2, 4.5, 1),
    "heavy": (2.5, 2, 12, 1.5, 2, 5, 1),
}
"""Hours: saw, plate, weld, clean, paint, assemble, test."""


def hours(*spans: tuple[str, str]) -> tuple[Hours, ...]:
    """The same hours from Monday to Friday."""
    return tuple(
        Hours(day=day, begin=time.fromisoformat(a), end=time.fromisoformat(b)) for day in DAYS[:5] for a, b in spans
    )


def crew(nights: int = 0) -> Crew:
    """An owner of 20 hours, a welder of 45, a painter of 25."""
    people = (
        Person(name="Owner", skills=frozenset(["saw", "plate", "weld", "assemble", "test"]),
               hours=hours(("12:30", "16:30"))),
        Person(name="Welder", skills=frozenset(["saw", "plate", "weld", "clean"]), nights=nights, night=2 * HOUR,
               hours=hours(("07:00", "12:00"), ("12:30", "16:30"))),
        Person(name="Painter", skills=frozenset(["clean", "paint", "assemble", "test"]),
               hours=hours(("11:00", "12:00"), ("12:30", "16:30"))),
    )  # fmt: skip
    return Crew(people=people, stations=(
        Station(name="saw"), Station(name="table"), Station(name="bench", count=2), Station(name="bay"),
        Station(name="stand", count=4),
    ))  # fmt: skip


def blade(
    number: str, size: str, due: datetime | None, weight: float = 1.0, edge: datetime | None = None, cure: float = 16.0
) -> Job:
    """A blade from the saw to the scale; paint takes `cure` hours to handle and 2-1/4 times that to strap."""
    saw, plate, weld, clean, paint, assemble, test = (hours * HOUR for hours in TIMES[size])
    ops = (
        Operation(name="saw", work="saw", time=saw, stations=("saw",)),
        Operation(name="plate", work="plate", time=plate, stations=("table",)),
        Operation(name="weld", work="weld", time=weld, stations=("bench",),
                  after=(After(operation="saw"), After(operation="plate"))),
        Operation(name="clean", work="clean", time=clean, after=(After(operation="weld"),)),
        Operation(name="paint", work="paint", time=paint, stations=("bay",), keeps=HOUR, in_one_day=True,
                  after=(After(operation="clean"),)),
        Operation(name="assemble", work="assemble", time=assemble, not_before=edge,
                  waits_for="its edge" if edge else "", after=(After(operation="paint", lag=cure * HOUR),)),
        Operation(name="test", work="test", time=test, after=(After(operation="assemble"),)),
    )  # fmt: skip
    return Job(number=number, operations=ops, due=due, weight=weight, holds="stand", holds_from="paint",
               ready=(After(operation="paint", lag=2.25 * cure * HOUR),))  # fmt: skip


def week(orders: int, seed: int, room: float = 1.0) -> list[Job]:
    """So many orders, their promises spread over the time the crew needs for them, times `room`."""
    draw = random.Random(seed)
    span = 5 + orders * 21.5 / 90 * 7 * room
    out: list[Job] = []
    for number in range(orders):
        ahead = draw.uniform(5, span)
        day = (CALENDAR.now + timedelta(days=ahead)).date()
        due = datetime.combine(day, time(draw.choice([7, 12, 16])))
        edge = CALENDAR.now + timedelta(days=draw.uniform(1, 0.7 * ahead)) if draw.random() < 0.25 else None
        if edge is not None:
            edge = edge.replace(minute=0, second=0, microsecond=0)
        size = draw.choice(list(TIMES))
        out.append(blade(f"{number:03d}", size, due, draw.choice([1.0, 1.0, 2.0, 4.0]), edge))
    return out


def machine_shop(table: str) -> tuple[list[Job], Crew, Calendar]:
    """A published job shop: rows of machine and hours; one last job, promised for now, goes when all others are done.

    How late that job is, is the length of the whole plan.
    """
    now = datetime(2026, 1, 5)
    rows = [[int(word) for word in line.split()] for line in table.strip().splitlines()]
    jobs = [
        Job(number=f"job {at}", operations=tuple(
            Operation(name=f"{n}", time=row[2 * n + 1] * HOUR, stations=(f"machine {row[2 * n]}",),
                      after=(After(operation=f"{n - 1}"),) if n else ())
            for n in range(len(row) // 2)
        ))
        for at, row in enumerate(rows)
    ]  # fmt: skip
    last = tuple(After(job=job.number, operation=job.operations[-1].name) for job in jobs)
    jobs.append(Job(number="truck", operations=(Operation(name="load", time=0.0, after=last),), due=now))
    count = 1 + max(machine for row in rows for machine in row[::2])
    stations = tuple(Station(name=f"machine {at}") for at in range(count))
    return jobs, Crew(people=(), stations=stations), Calendar(now=now, slot=HOUR)
