"""The shell moldboard with all load cases against CalculiX's second-order shells of the same blade."""

from __future__ import annotations

import time
from pathlib import Path

from bench import Row
from plowwright import rulebook
from plowwright.blade.strength import shell
from tests.references import boards, calculix

DEMO = Path(__file__).resolve().parents[1] / "demo" / "rulebook"
SERIES, WIDTH = "flint", 84.0
CASES = 21
"""As many load cases as a blade is looked at under."""


def run() -> list[Row]:
    """How many times faster all our cases are than one of CalculiX's, and how far apart the answers lie."""
    if not calculix.installed():
        return []
    rules = rulebook.load(DEMO)
    seconds = sorted(_all_cases(rules) for _ in range(5))[2]
    found = boards.against_calculix(rules, SERIES, WIDTH)
    worst = max(abs(row.off) for row in found.rows)
    return [
        Row(
            name=f"one case by CalculiX, S8R at 2 in, over level 2 moldboard with {CASES} cases",
            value=found.theirs / seconds,
            limit=10,
            bound="at least",
        ),
        Row(name="level 2 against CalculiX, largest difference of displacement", value=100 * worst, limit=3, unit="%"),
    ]


def _all_cases(rules: rulebook.Rulebook) -> float:
    """Seconds from the outlines of a blade to the stresses of all its cases [s]."""
    assembly, d = boards.blade(rules, SERIES, WIDTH)
    cases = (boards.strikes(d) * CASES)[:CASES]
    begin = time.perf_counter()
    boards.worked(shell.board(assembly, d, rules), cases)
    return time.perf_counter() - begin
