"""Writers that are killed at random moments, and the tally of what they left: `python -m tests.store.killing WHERE N`.

A process of its own, so that a writer can be forked off in a few milliseconds and nothing else is running in it.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections import Counter
from pathlib import Path

from sqlalchemy import func, select

from plowwright.store import database
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook

ROWS = {"customers": 1, "ledger": 3}
"""What every command writes; each third one a file besides."""
LONGEST = 0.08
"""The latest moment after the first word of a writer at which it is killed [s]."""


def write(where: str, files: str | None, turn: int, out: int) -> None:
    """Write commands without end, and say the number of each on `out` once it is acknowledged."""
    with Workbook.open(where, files=files) as book:
        os.write(out, b"ready\n")
        for number in range(1_000_000):
            with book.command("work", who="a writer", key=f"{turn}-{number}") as c:
                c.add(r.Customer, name=f"{turn}-{number}")
                c.line(kind="receive", item="edge", count=2)
                if number % 3 == 0:
                    c.keep_file(f"{turn}-{number}".encode() * 50, name="note.txt")
                c.line(kind="issue", item="edge", count=1)
                c.line(kind="count", item="edge", count=-1)
            os.write(out, f"{number}\n".encode())


def kill_one(where: str, files: str | None, turn: int, moment: float) -> list[int]:
    """Start a writer, kill it `moment` seconds after its first word; the numbers it said were done."""
    inlet, outlet = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(inlet)
        try:
            write(where, files, turn, outlet)
        finally:
            os._exit(1)
    os.close(outlet)
    said = os.read(inlet, 6)
    if not said.startswith(b"ready"):
        raise RuntimeError(f"the writer died by itself: {said!r}")
    # Every second writer gets its first command done, however busy the machine; the others may be caught in it.
    rest = said[6:] or (os.read(inlet, 65536) if turn % 2 else b"")
    time.sleep(moment)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    while more := os.read(inlet, 65536):
        rest += more
    os.close(inlet)
    if not os.WIFSIGNALED(status):
        raise RuntimeError("the writer ended before it was killed")
    return [int(line) for line in rest.split(b"\n")[:-1]]


def look(where: str, files: str | None, turn: int, said: list[int]) -> tuple[int, int, int]:
    """What a killed writer left: acknowledged commands that are lost, half commands, kept but not acknowledged."""
    with Workbook.open(where, files=files) as book:
        with database.writing(book.engine):
            pass  # whatever the dead writer still had open is over now
        with book.reading() as q:
            query = select(t.events.c.number, t.events.c.key).where(t.events.c.key.like(f"{turn}-%"))
            kept = {int(key.split("-")[1]): number for number, key in q.connection.execute(query)}
            found: Counter[tuple[str, int]] = Counter()
            for table in (t.customers, t.ledger, t.files):
                counts = select(table.c.event, func.count()).where(table.c.event.in_(kept.values()))
                for event, count in q.connection.execute(counts.group_by(table.c.event)):
                    found[(table.name, event)] = count
            half = 0
            for command, event in kept.items():
                wanted = {**ROWS, "files": 1 if command % 3 == 0 else 0}
                half += any(found[(name, event)] != count for name, count in wanted.items())
            loose = q.count(r.Customer) - q.count(r.Event)
    return len(set(said) - kept.keys()), half + abs(loose), len(kept.keys() - set(said))


def tally(where: str, files: str | None, moments: int, *, seed: int = 6) -> dict[str, object]:
    """Kill that many writers, one after the other on the same records."""
    chance = random.Random(seed)
    Workbook.open(where, files=files).close()
    total: Counter[str] = Counter(moments=moments)
    for turn in range(moments):
        said = kill_one(where, files, turn, chance.uniform(0, LONGEST))
        lost, half, more = look(where, files, turn, said)
        total.update(acknowledged=len(said), lost=lost, half=half, kept_unsaid=more)
        total["most_unsaid"] = max(total["most_unsaid"], more)
    with Workbook.open(where, files=files) as book:
        faults = check(book).faults
    return {**total, "faults": list(faults)}


if __name__ == "__main__":
    place, number = sys.argv[1], int(sys.argv[2])
    beside = str(Path(sys.argv[3])) if len(sys.argv) > 3 else None
    sys.stdout.write(json.dumps(tally(place, beside, number)) + "\n")
