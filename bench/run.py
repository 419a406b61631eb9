"""Runs every `bench_*.py` beside this file and prints what came out against its limit.

Each has `run() -> list[Row]`. The table goes to the screen and, for a machine, to `out/bench.json`; a broken
limit ends the run with 1.
"""

from __future__ import annotations

import importlib
import json
import sys
import time
from dataclasses import asdict
from pathlib import Path

from bench import Row

HERE = Path(__file__).resolve().parent


def measure() -> list[Row]:
    """All rows of all benches, in the order of the file names."""
    rows: list[Row] = []
    for path in sorted(HERE.glob("bench_*.py")):
        started = time.perf_counter()
        print(f"{path.stem.removeprefix('bench_').replace('_', ' ')} ...", end=" ", flush=True)
        rows += importlib.import_module(f"bench.{path.stem}").run()
        print(f"{time.perf_counter() - started:.1f} s")
    return rows


def table(rows: list[Row]) -> str:
    """The rows in columns."""
    head = ("what", "value", "limit", "unit", "verdict")
    body = [
        (row.name, f"{row.value:.3g}", f"{row.bound} {row.limit:.3g}", row.unit, row.verdict) for row in rows
    ]
    widths = [max(len(line[column]) for line in (head, *body)) for column in range(len(head))]
    return "\n".join(
        "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip()
        for line in (head, *body)
    )


def main() -> int:
    rows = measure()
    if not rows:
        print("No bench_*.py gave a row.")
        return 1
    print(table(rows))
    out = HERE.parent / "out" / "bench.json"
    out.parent.mkdir(exist_ok=True)
    facts = [{**asdict(row), "verdict": row.verdict} for row in rows]
    out.write_text(json.dumps(facts, indent=1) + "\n", encoding="utf-8")
    broken = [row.name for row in rows if row.verdict == "fails"]
    print(f"{len(rows) - len(broken)} limits hold, {len(broken)} broken.")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
