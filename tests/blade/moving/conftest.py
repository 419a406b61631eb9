"""Blades of the invented shop and carriers to swing them on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Literal

import pytest

from plowwright.blade import carriers
from plowwright.blade.build import Build, work_out
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

Made = Callable[..., Build]
Known = Callable[[str], Carrier]


@pytest.fixture(scope="session")
def made(demo_rules: Rulebook) -> Made:
    kept: dict[tuple[str, float, str], Build] = {}

    def make(series: str = "flint", width: float = 84.0, outlets: Literal["left", "right"] = "left") -> Build:
        key = series, width, outlets
        if key not in kept:
            spec = Spec(
                series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face",
                outlets=outlets,
            )  # fmt: skip
            kept[key] = work_out(spec, demo_rules, level=0)
        return kept[key]

    return make


@pytest.fixture(scope="session")
def known(demo_dir: Path) -> Known:
    every = carriers.load_all(demo_dir / "carriers")
    return lambda name: every[name.lower()]


def told(*, pressure: str = "", flow: str = "", source: str = "book", what: str = "standard") -> Carrier:
    """A carrier of which only its hydraulics are known."""
    on, made = date(2026, 11, 11), Carrier(name="caller", kind="skid steer")
    if pressure:
        relief = "relief of the auxiliary outlets"
        made = made.learn(fact("pressure", pressure, source=source, on=on, what=relief))
    if flow:
        made = made.learn(fact("flow", flow, source=source, on=on, what=what))
    return made
