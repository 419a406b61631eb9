"""What two times on a stopwatch say: as built, drilled out, plugged, one missing, pump too small, cold oil, or a leak.

Each cause is worked out with the one thing it leaves open (hole, flow, temperature, leak) fitted to both times. What
then still differs tells the causes apart: above all whether out or in is the slower way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import exp, inf, log
from typing import Final, Literal

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics import drills
from plowwright.physics.circuits import Circuit, Restrictors, Way
from plowwright.physics.hydraulics import SwingTimes, swing_times
from plowwright.physics.orifices import VAPOUR, Restrictor
from plowwright.units.constants import INCH, PSI

Name = Literal[
    "as built",
    "drilled out",
    "plugged",
    "cap-side restrictor missing",
    "rod-side restrictor missing",
    "both restrictors missing",
    "pump too small",
    "oil colder than told",
    "internal leak",
]

_HALVINGS: Final = 34
SPREAD: Final = 0.10
"""How far a hand-held stopwatch, hole tolerance and the model may be off together; assumed [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One explanation of the times.

    Attributes:
        name: What it is.
        rod_out: Time it would give with the rod going out [s].
        rod_in: The same going in [s].
        off: Greatest difference to the stopwatch, as a share [-].
        fits: Whether that is within the spread.
        sentence: What it means and what to send or do.
    """

    name: Name
    rod_out: float
    rod_in: float
    off: float
    fits: bool
    sentence: str


def causes(built: Circuit, rod_out: float, rod_in: float, *, spread: float = SPREAD) -> tuple[Cause, ...]:
    """Every cause with its times, best first; "as built" stands before others that fit.

    Args:
        built: The blade as it left the shop, on the customer's carrier, at the oil temperature told.
        rod_out: Time from stop to stop, rod going out [s].
        rod_in: The same, rod going in [s].
        spread: Share within which a cause fits [-].

    Raises:
        ModelError: No time.

    Source: `swing_time` with one thing at a time left open.
    """
    if not (0.0 < rod_out < inf and 0.0 < rod_in < inf):
        raise ModelError(
            "two times are needed, one each way",
            value=f"{rod_out:g} s out, {rod_in:g} s in",
            limit="over 0 s",
            way_out="From stop to stop, engine at working speed, oil warm, three times each way.",
        )
    measured = rod_out, rod_in
    found: list[Cause] = []
    for name, times, sentence in (*_plain(built), *_fitted(built, measured)):
        off = _off(times, measured)
        found.append(
            Cause(name=name, rod_out=times[0], rod_in=times[1], off=off, fits=off <= spread, sentence=sentence)
        )
    return tuple(sorted(found, key=lambda c: (not (c.fits and c.name == "as built"), not c.fits, c.off)))


def _off(times: tuple[float, float], measured: tuple[float, float]) -> float:
    return max(abs(log(a / b)) if 0.0 < a < inf else inf for a, b in zip(times, measured, strict=True))


def _both(found: SwingTimes) -> tuple[float, float]:
    return found.rod_out.time, found.rod_in.time


def _plain(built: Circuit) -> Iterator[tuple[Name, tuple[float, float], str]]:
    """Causes that leave nothing open."""
    holes = built.restrictors
    names: tuple[Name, ...] = (
        "as built", "cap-side restrictor missing", "rod-side restrictor missing", "both restrictors missing",
    )  # fmt: skip
    fitted = (
        holes, Restrictors(cap=None, rod=holes.rod), Restrictors(cap=holes.cap, rod=None),
        Restrictors(cap=None, rod=None),
    )  # fmt: skip
    said = (
        "it swings as it was built; if it still seems fast or slow, it always was",
        "no restrictor in the cap-side port: send one and have it fitted before the blade is used",
        "no restrictor in the rod-side port: send one and have it fitted before the blade is used",
        "no restrictors at all, or drilled so far that only the pump sets the pace: it can injure; send the pair",
    )
    times = swing_times([replace(built, restrictors=r) for r in fitted])
    for name, found, text in zip(names, times, said, strict=True):
        yield name, _both(found), text


def _fitted(built: Circuit, measured: tuple[float, float]) -> Iterator[tuple[Name, tuple[float, float], str]]:
    """Causes that leave one thing open, fitted to both times."""
    sizes = [r.diameter for r in (built.restrictors.cap, built.restrictors.rod) if r is not None]
    if sizes:
        for name, low, high in (("drilled out", 1.03, 3.0), ("plugged", 0.3, 0.97)):
            factor, times = _best(built, [low * (high / low) ** (i / 60) for i in range(61)], _scaled, measured)
            hole = drills.nearest(max(sizes) * factor)
            size = f"about {max(sizes) * factor / INCH:.3f} in, near drill {hole.text}"
            if name == "drilled out":
                yield "drilled out", times, f"the restrictors were drilled to {size}: send the pair as built, stamped"
            else:
                yield "plugged", times, f"the restrictors pass no more than {size}: clean them, look for dirt"
    flow, times = _best(built, [built.supply.flow * 0.04 * 1.055**i for i in range(61)], _with_flow, measured)
    yield "pump too small", times, (
        f"the pump gives about {units.say(flow, 'flow')} of {units.say(built.supply.flow, 'flow')}: check engine "
        "speed, filter and the carrier's pump; the blade needs nothing"
    )
    coldest = max(built.oil.pour, built.temperature - 60.0)
    steps = [coldest + (built.temperature - 3.0 - coldest) * i / 60 for i in range(61)]
    if coldest < built.temperature - 3.0:
        cold, times = _best(built, steps, _with_temperature, measured)
        yield "oil colder than told", times, (
            f"oil in the blade's lines at about {units.say(cold, 'temperature')} instead of "
            f"{units.say(built.temperature, 'temperature')}: swing it a few times and take the time again"
        )
    leaks = [exp(log(1e-13) + i * log(1e3) / 24) for i in range(25)]
    tried = [(leak, tuple(leaky_time(built, way, leak) for way in ("out", "in"))) for leak in leaks]
    leak, pair = min(tried, key=lambda t: _off((t[1][0], t[1][1]), measured))
    yield "internal leak", (pair[0], pair[1]), (
        f"oil passes the piston, about {units.say(leak * 1000 * PSI, 'flow')} at 1,000 psi: see whether the blade "
        "drifts under a push with the lever in the middle; if it does, send the seal kit"
    )


def _scaled(built: Circuit, factor: float) -> Circuit:
    def size(hole: Restrictor | None) -> Restrictor | None:
        return None if hole is None else replace(hole, diameter=hole.diameter * factor)

    return replace(built, restrictors=Restrictors(cap=size(built.restrictors.cap), rod=size(built.restrictors.rod)))


def _with_flow(built: Circuit, flow: float) -> Circuit:
    return replace(built, supply=replace(built.supply, flow=flow))


def _with_temperature(built: Circuit, temperature: float) -> Circuit:
    return replace(built, temperature=temperature)


def _best(
    built: Circuit, values: Sequence[float], change: Callable[[Circuit, float], Circuit], measured: tuple[float, float]
) -> tuple[float, tuple[float, float]]:
    """The value whose times come nearest, and those times."""
    times = [_both(found) for found in swing_times([change(built, value) for value in values])]
    at = min(range(len(values)), key=lambda i: _off(times[i], measured))
    return values[at], times[at]


def leaky_time(circuit: Circuit, way: Way, leak: float) -> float:
    """Time of one way with oil passing the piston: leak x pressure difference, from the way in to the way out.

    Found by halving on the pressure of the way out: it fixes the pressure on the way in by the balance of forces, then
    the leak, the flow out, the speed, the flow in, and so the pressure the supply would have to give.

    Args:
        circuit: The circuit.
        way: Of the rod.
        leak: Flow past the piston over the pressure difference [m3/(s Pa)].

    Returns:
        Time; infinite when it does not move [s].

    Source: balance of forces and flows. Unloaded, it goes out sooner and in later than without leak, as the rod side
    has the higher pressure both ways.
    """
    c, supply = circuit, circuit.supply
    rho, nu = c.oil.density_at(c.temperature), c.oil.viscosity(c.temperature)
    area_in, area_out = c.cylinder.areas(way)
    holes, lines = (c.restrictors.cap, c.restrictors.rod), (c.lines.cap, c.lines.rod)
    (hole_in, hole_out), (line_in, line_out) = (holes, lines) if way == "out" else (holes[::-1], lines[::-1])
    load = c.load_out if way == "out" else c.load_in

    def moves(out: float) -> tuple[float, float, float]:
        """Speed, flow in and pressure wanted of the supply, for a pressure on the way out."""
        inside = (load + out * area_out) / area_in
        passed = leak * (inside - out)
        low, high = 0.0, supply.flow * area_out / area_in + abs(passed)
        for _ in range(_HALVINGS):
            flow = 0.5 * (low + high)
            after = supply.back + line_out.drop(flow, rho, nu)
            needed = after if hole_out is None else hole_out.before(flow, after, rho, nu, law=c.law)
            low, high = (flow, high) if needed < out else (low, flow)
        speed = (low - passed) / area_out
        flow_in = max(area_in * speed + passed, 0.0)
        wanted = max(inside, VAPOUR) + line_in.drop(flow_in, rho, nu)
        return speed, flow_in, wanted + (0.0 if hole_in is None else hole_in.drop(flow_in, rho, nu, law=c.law))

    low, high = supply.back, supply.back + 2.0 * supply.relief * area_in / area_out
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        _, flow_in, wanted = moves(middle)
        low, high = (middle, high) if wanted < supply.relief and flow_in < supply.flow else (low, middle)
    speed = moves(low)[0]
    return c.cylinder.stroke / speed if speed > 0.0 else inf
