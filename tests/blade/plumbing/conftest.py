"""Blades of the invented shop to plumb, and carriers with their couplers as told or read."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, Literal

import pytest

from plowwright.blade.build import Build, work_out
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.plumbing.plumb import plumb
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

Side = Literal["left", "right"]
Made = Callable[..., Build]
Plumbed = Callable[..., Plumbing]
MOUNTS: dict[str, Any] = {
    "skid steer": "loader", "tracked loader": "loader", "compact loader": "mini", "tractor": "pin-on",
    "wheel loader": "hook",
}  # fmt: skip


@pytest.fixture(scope="session")
def made(demo_rules: Rulebook) -> Made:
    """A blade of the demo, worked out once."""
    kept: dict[tuple[Any, ...], Build] = {}

    def make(
        series: str = "flint", width: float = 84.0, outlets: Side = "left", hoses: str = "flat-face",
        kind: Any = "skid steer",
    ) -> Build:  # fmt: skip
        key = series, width, outlets, hoses, kind
        if key not in kept:
            spec = Spec(
                series=series, width=width * INCH, mount=MOUNTS[kind], carrier_kind=kind, hoses=hoses, outlets=outlets
            )
            kept[key] = work_out(spec, demo_rules, level=0)
        return kept[key]

    return make


@pytest.fixture(scope="session")
def plumbed(made: Made) -> Plumbed:
    """The same, plumbed."""

    def make(*, carrier: Carrier | None = None, **asked: Any) -> Plumbing:
        found = plumb(made(**asked), carrier)
        assert found is not None
        return found

    return make


def machine(kind: str = "skid steer", source: str = "plate", **facts: str) -> Carrier:
    """A carrier with words for facts, all from one source."""
    on = date(2026, 11, 11)
    return Carrier(
        name="a machine",
        kind=kind,
        facts=tuple(fact(name, value, source=source, on=on) for name, value in facts.items()),
    )
