"""A thousand level 1 strength models on two cores against one, one thread of linear algebra in each process."""

from __future__ import annotations

import os
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

from bench import Row
from plowwright import rulebook
from plowwright.blade.build import work_out
from plowwright.blade.spec import Spec
from plowwright.blade.strength.analysis import analyse
from plowwright.sweep import THREAD_SETTINGS, every_spec

if TYPE_CHECKING:
    from plowwright.rulebook.reading import Rulebook

DEMO = Path(__file__).resolve().parents[1] / "demo" / "rulebook"
BUILDS = 1000
AT_ONCE = 20

_rules: dict[str, Rulebook] = {}
"""The rules of a process of its own, read once when it starts."""


def run() -> list[Row]:
    """One row: how many times faster two cores are than one."""
    specs = list(islice(every_spec(rulebook.load(DEMO)), BUILDS))
    one, two = (_seconds(specs, cores) for cores in (1, 2))
    return [
        Row(
            name=f"{len(specs)} level 1 strength models, one core over two",
            value=one / two,
            limit=1.8,
            bound="at least",
        )
    ]


def _seconds(specs: list[Spec], cores: int) -> float:
    """Seconds for all builds on so many cores, starting the processes left out [s].

    Each process is started with one thread of linear algebra: the cores are shared out already.
    """
    chunks = [specs[start : start + AT_ONCE] for start in range(0, len(specs), AT_ONCE)]
    with (
        patch.dict(os.environ, dict.fromkeys(THREAD_SETTINGS, "1")),
        ProcessPoolExecutor(cores, mp_context=get_context("spawn"), initializer=_begin) as pool,
    ):
        list(pool.map(_worked, chunks[: 2 * cores]))
        begin = time.perf_counter()
        weakest = [force for some in pool.map(_worked, chunks) for force in some]
        seconds = time.perf_counter() - begin
    assert len(weakest) == len(specs)
    return seconds


def _begin() -> None:
    _rules["here"] = rulebook.load(DEMO)


def _worked(specs: list[Spec]) -> list[float]:
    """First yield of each blade under a strike at its left corner [N]."""
    found: list[float] = []
    for spec in specs:
        analysis = analyse(work_out(spec, _rules["here"]), level=1)
        found.append(analysis.first_yield("strike left corner, straight").force)
    return found
