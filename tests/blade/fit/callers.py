"""Machines as callers describe them."""

from __future__ import annotations

from datetime import date

from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier

DAY = date(2026, 11, 11)
BOOK_TRACTOR = {
    "power": ("43 hp", "engine"),
    "mass": ("4,600 lb", "operating"),
    "lift": ("1,100 lb", "at pins, full height"),
    "wheelbase": ("74 in", "axle to axle"),
    "front_axle": ("2,050 lb", "standing load, no attachment"),
    "rear_axle": ("2,550 lb", "standing load, no attachment"),
    "front_axle_limit": ("3,900 lb", "greatest load"),
    "pins_ahead": ("29 in", "of front axle"),
    "width": ("58 in", "over tyres"),
}
"""A tractor of which everything is known."""


def caller(kind: str = "", *, source: str = "told", name: str = "caller", **facts: str | tuple[str, str]) -> Carrier:
    """A machine with facts as name = "value" or (value, what)."""
    told = [(n, v, "") if isinstance(v, str) else (n, *v) for n, v in facts.items()]
    return Carrier(name=name, kind=kind).learn(
        *(fact(n, value, what=what, source=source, on=DAY) for n, value, what in told)
    )


def tractor(**changed: str | tuple[str, str] | None) -> Carrier:
    """The tractor of which everything is known off its book, with facts changed or left out (None)."""
    facts = {n: v for n, v in {**BOOK_TRACTOR, **changed}.items() if v is not None}
    return caller("tractor", source="book", name="tractor", **facts)


def metric_caller() -> Carrier:
    """18 kW, 900 kg, 320 kg at the pins, 15 L/min, 140 bar, all over the phone."""
    return caller(
        "tractor",
        name="a metric caller",
        power=("18 kW", "engine"),
        mass="900 kg",
        lift=("320 kg", "at pins, height not said"),
        flow="15 L/min",
        pressure="140 bar",
    )
