"""Machines and blades that the checks of the carrier are tried on."""

from __future__ import annotations

from datetime import date
from functools import cache

from plowwright.blade.build import Build, work_out
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import CarrierKind, Spec
from plowwright.blade.suit.results import Check, Suit
from plowwright.blade.suit.suits import suits
from plowwright.blade.work import UNTOLD, Work
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

DAY = date(2026, 11, 11)
TRACTOR = {
    "power": ("43 hp", "engine"),
    "mass": ("4,600 lb", "operating"),
    "lift": ("1,700 lb", "at pins, full height"),
    "wheelbase": ("74 in", "axle to axle"),
    "front_axle": ("2,050 lb", "standing load, no attachment"),
    "rear_axle": ("2,550 lb", "standing load, no attachment"),
    "front_axle_limit": ("3,900 lb", "greatest load"),
    "pins_ahead": ("29 in", "of front axle"),
    "width": ("54 in", "over tyres"),
}
"""A tractor of which everything is known."""
LOADER = {
    "power": ("66 hp", "engine"),
    "mass": ("7,300 lb", "operating"),
    "tipping_load": ("4,350 lb", "straight"),
    "width": ("58 in", "over tyres"),
}
"""A skid steer of which everything is known that its checks lean on."""
WHEEL_LOADER = {
    "power": ("45 hp", "engine"),
    "mass": ("5,900 lb", "operating"),
    "tipping_load": ("3,600 lb", "straight"),
    "wheelbase": ("74 in", "axle to axle"),
    "width": ("56 in", "over tyres"),
}
"""An articulated loader whose book is silent on full turn."""


def machine(kind: str, facts: dict[str, tuple[str, str]], *, source: str = "book", **changed: str | None) -> Carrier:
    """A machine of these facts, some of them changed or left out (None)."""
    kept = {n: (changed.get(n) or v, what) for n, (v, what) in facts.items() if changed.get(n, v) is not None}
    known = (fact(n, value, what=what, source=source, on=DAY) for n, (value, what) in kept.items())
    return Carrier(name="machine", kind=kind).learn(*known)


@cache
def _built(rules: Rulebook, series: str, width: float, mount: str, kind: CarrierKind, extras: tuple[str, ...]) -> Build:
    spec = Spec(series=series, width=width * INCH, mount=mount, carrier_kind=kind, hoses="none", extras=extras)
    return work_out(spec, rules, level=0)


def blade(
    rules: Rulebook, series: str, width: float, kind: CarrierKind = "skid steer", *, extras: tuple[str, ...] = ()
) -> Build:
    """A blade with the mount this kind of machine takes, its width in inches."""
    mounts: dict[str, str] = {"tractor": "pin-on", "compact loader": "mini", "wheel loader": "hook"}
    return _built(rules, series, width, mounts.get(kind, "loader"), kind, extras)


def held(build: Build, carrier: Carrier, work: Work = UNTOLD) -> Suit:
    """How the blade suits, the rulebook having the settings."""
    found = suits(build, carrier, work)
    assert found is not None
    return found


def check_of(suit: Suit, key: str) -> Check:
    """A check that must be there."""
    found = suit.check(key)
    assert found is not None, f"no check {key}; there are {[c.key for c in suit.checks]}"
    return found
