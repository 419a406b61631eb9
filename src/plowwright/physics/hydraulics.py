"""How long the blade takes to angle each way, and the restrictor that makes it slow enough.

One double-acting cylinder with a restrictor in either port, fed by the carrier through two lines. Speeds are steady:
starting and stopping take a few hundredths of a second more. Pressures are above the air's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, inf, log
from typing import Final, Literal

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics import drills, steady
from plowwright.physics.circuits import BARE_LINES, OPEN_PORTS, Circuit, Cylinder, Lines, Restrictors, Supply, Way
from plowwright.physics.drills import TOLERANCE, Drill
from plowwright.physics.oil import Oil
from plowwright.physics.orifices import Law, Restrictor
from plowwright.units.constants import GPM, INCH

Limit = Literal["restrictors", "lines", "pump", "load", "stalled"]
"""What sets the speed. "load": it drags the rod faster than oil follows. "stalled": the rod does not move."""

ANY_PUMP: Final = 200.0 * GPM
"""A pump no carrier has, for a restrictor that must be slow enough on every carrier [m3/s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """One way from stop to stop.

    Attributes:
        way: Of the rod.
        time: From stop to stop; infinite when it stalls [s].
        speed: Of the rod [m/s].
        limited_by: What sets the speed.
        pressure_in: On the side the oil enters [Pa].
        pressure_out: On the side it leaves [Pa].
        supply: At the carrier's outlet [Pa].
        flow: Into the cylinder [m3/s].
        excess: Over the carrier's relief [m3/s].
        heat: Power of that excess, all of it heat [W].
        cavitates: Whether a restrictor chokes on bubbles.
    """

    way: Way
    time: float
    speed: float
    limited_by: Limit
    pressure_in: float
    pressure_out: float
    supply: float
    flow: float
    excess: float
    heat: float
    cavitates: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingTimes:
    """Both ways.

    Attributes:
        rod_out: The rod going out.
        rod_in: The rod going in.
    """

    rod_out: Travel
    rod_in: Travel

    @property
    def shortest(self) -> float:
        """Time of the faster way [s]."""
        return min(self.rod_out.time, self.rod_in.time)

    @property
    def ratio(self) -> float:
        """Time out over time in: under 1 when restrictors set it, over 1 when the pump does [-]."""
        return self.rod_out.time / self.rod_in.time


def swing_time(
    cylinder: Cylinder,
    restrictors: Restrictors,
    supply: Supply,
    oil: Oil,
    temperature: float,
    *,
    lines: Lines | None = None,
    load_out: float = 0.0,
    load_in: float = 0.0,
    law: Law = "likely",
) -> SwingTimes:
    """Time from stop to stop each way at steady speed.

    (p_relief - losses in) A_in - (p_return + losses out) A_out = load, or the pump's whole flow, whichever is slower.

    Args:
        cylinder: The cylinder.
        restrictors: In its ports.
        supply: The carrier.
        oil: In it.
        temperature: Of the oil in the blade's lines and restrictors [degC].
        lines: To the ports; None for lines that lose nothing.
        load_out: What resists the rod on its way out, negative where it helps [N].
        load_in: The same on its way in [N].
        law: Law of the holes.

    Raises:
        ModelError: A load drags the rod and nothing holds it, or the oil is too cold to know.

    Source: balance of forces and flows; starting and stopping take a few hundredths of a second more.
    """
    circuit = Circuit(
        cylinder=cylinder,
        restrictors=restrictors,
        supply=supply,
        oil=oil,
        temperature=temperature,
        lines=BARE_LINES if lines is None else lines,
        load_out=load_out,
        load_in=load_in,
        law=law,
    )
    return swing_times([circuit])[0]


def swing_times(circuits: Sequence[Circuit]) -> list[SwingTimes]:
    """`swing_time` for many circuits in one go, in their order.

    Args:
        circuits: Any mixture.

    Raises:
        ModelError: As `swing_time`.
    """
    if not circuits:
        return []
    known: dict[tuple[int, float], tuple[float, float]] = {}
    rows: list[steady.Row] = []
    for c in circuits:
        key = id(c.oil), c.temperature
        state = known.get(key)
        if state is None:
            state = known[key] = c.oil.density_at(c.temperature), c.oil.viscosity(c.temperature)
        rows += [c.row("out", *state), c.row("in", *state)]
    travels = _travels(circuits, rows)
    return [SwingTimes(rod_out=a, rod_in=b) for a, b in zip(travels[::2], travels[1::2], strict=True)]


def _travels(circuits: Sequence[Circuit], rows: list[steady.Row]) -> list[Travel]:
    found = steady.solve(rows)
    columns = zip(
        *(
            column.tolist()
            for column in (
                found.speed, found.pressure_in, found.pressure_out, found.supply, found.excess, found.hole_loss,
                found.line_loss, found.pump_limited, found.void, found.cavitates,
            )
        ),
        strict=True,
    )  # fmt: skip
    made: list[Travel] = []
    for at, (speed, inside, outside, supply, excess, holes, lost, pump, void, chokes) in enumerate(columns):
        limit: Limit = "restrictors" if holes >= lost else "lines"
        limit = "stalled" if speed <= 0.0 else "load" if void else "pump" if pump else limit
        made.append(
            Travel(
                way="in" if at % 2 else "out",
                time=circuits[at // 2].cylinder.stroke / speed if speed > 0.0 else inf,
                speed=speed,
                limited_by=limit,
                pressure_in=inside,
                pressure_out=outside,
                supply=supply,
                flow=speed * rows[at].area_in,
                excess=excess,
                heat=excess * supply,
                cavitates=chokes,
            )
        )
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """A restrictor sized to a time.

    Attributes:
        target: Least time of the faster way asked for [s].
        ideal: Hole that meets it exactly; infinite where the pump alone is slower [m].
        drill: Largest drill that is not over it, or None where no restrictor is needed.
        times: With that drill, or without restrictors.
        loosest: With holes as wide as the drill's tolerance allows.
        tightest: With holes as narrow as it allows.
        unrestricted: Without restrictors.
        cautions: What to know, each a sentence.
    """

    target: float
    ideal: float
    drill: Drill | None
    times: SwingTimes
    loosest: SwingTimes
    tightest: SwingTimes
    unrestricted: SwingTimes
    cautions: tuple[str, ...]


def size_restrictor(
    cylinder: Cylinder,
    target: float,
    supply: Supply,
    oil: Oil,
    temperature: float,
    *,
    length: float = 0.25 * INCH,
    discharge: float | None = None,
    lines: Lines | None = None,
    load_out: float = 0.0,
    load_in: float = 0.0,
    drawer: tuple[Drill, ...] | None = None,
    tolerance: float = TOLERANCE,
    any_pump: bool = False,
) -> Sizing:
    """The drill, one for both ports, with which the faster way takes at least a time. Never rounded up.

    Args:
        cylinder: The cylinder.
        target: Least time from stop to stop of the faster way [s].
        supply: The carrier.
        oil: In it.
        temperature: Of the oil: the warmest it swings with, for warm oil is fast [degC].
        length: Of the hole [m].
        discharge: A fixed coefficient, or None for the measured law [-].
        lines: To the ports; None for lines that lose nothing.
        load_out: What resists the rod on its way out [N].
        load_in: The same on its way in [N].
        drawer: Drills to choose from, smallest first; None for the whole table.
        tolerance: Of the drilled hole either way [m].
        any_pump: Whether to size for a carrier of any flow, as for a blade kept in stock.

    Raises:
        ModelError: The blade stalls, or no drill is small enough.

    Source: `swing_time` solved for the hole; T ~ d^-2 where only the restrictors count.
    """
    base = Circuit(
        cylinder=cylinder,
        restrictors=OPEN_PORTS,
        supply=replace(supply, flow=ANY_PUMP, droop=0.0) if any_pump else supply,
        oil=oil,
        temperature=temperature,
        lines=BARE_LINES if lines is None else lines,
        load_out=load_out,
        load_in=load_in,
    )
    choice = drills.table() if drawer is None else drawer
    return _sized(base, target, choice, tolerance, length=length, discharge=discharge)


def _sized(
    base: Circuit,
    target: float,
    choice: tuple[Drill, ...],
    tolerance: float,
    *,
    length: float,
    discharge: float | None,
) -> Sizing:
    """Every drill of the choice with its tolerance in one go, then the hole that would meet the target exactly."""
    if not 0.0 < target < inf:
        raise ModelError("a swing takes some time", value=f"{target:g} s", limit="over 0 s", way_out="4 s is usual.")
    holes = [max(d.diameter + off, 0.2 * d.diameter) for d in choice for off in (0.0, tolerance, -tolerance)]
    bare, *tried = swing_times([base, *_with_holes(base, holes, length, discharge)])
    if bare.shortest == inf:
        raise ModelError(
            "the blade does not move at all",
            value=f"load {units.say(base.load_out, 'force')} out, {units.say(base.load_in, 'force')} in",
            limit=f"{units.say(base.cylinder.pull(base.supply.relief), 'force')} that the cylinder pulls at the relief",
            way_out="A larger cylinder, a longer lever or a higher relief.",
        )
    if bare.shortest >= target:
        said = f"the pump alone takes {bare.shortest:.1f} s, so this carrier needs no restrictor; one with more flow"
        return Sizing(
            target=target, ideal=inf, drill=None, times=bare, loosest=bare, tightest=bare, unrestricted=bare,
            cautions=(f"{said} swings the blade faster",),
        )  # fmt: skip
    ideal = _ideal(base, target, length, discharge)
    drill = drills.not_over(ideal, choice)
    at = 3 * choice.index(drill)
    return Sizing(
        target=target,
        ideal=ideal,
        drill=drill,
        times=tried[at],
        loosest=tried[at + 1],
        tightest=tried[at + 2],
        unrestricted=bare,
        cautions=Restrictor(diameter=drill.diameter, length=length, discharge=discharge).cautions,
    )


def hole_for_time(base: Circuit, way: Way, time: float, *, length: float, discharge: float | None = None) -> float:
    """The hole, the same in both ports, that makes one way take a time: what the stopwatch says was drilled.

    Args:
        base: Everything but the restrictors.
        way: Of the rod.
        time: From stop to stop [s].
        length: Of the hole [m].
        discharge: A fixed coefficient, or None for the measured law [-].

    Returns:
        Diameter; infinite when the time is as without restrictors or less [m].

    Source: `swing_time` solved for the hole.
    """
    open_ports = replace(base, restrictors=OPEN_PORTS)
    bare = swing_times([open_ports])[0]
    if (bare.rod_out if way == "out" else bare.rod_in).time >= time * (1.0 - 1e-9):
        return inf
    return _ideal(open_ports, time, length, discharge, way)


def _with_holes(base: Circuit, holes: Sequence[float], length: float, discharge: float | None) -> list[Circuit]:
    made = [Restrictor(diameter=d, length=length, discharge=discharge) for d in holes]
    return [replace(base, restrictors=Restrictors(cap=hole, rod=hole)) for hole in made]


def _ideal(base: Circuit, target: float, length: float, discharge: float | None, way: Way | None = None) -> float:
    """24 holes at once, three times, each bracket inside the one before; then a straight line between logarithms."""
    low, high, slow, fast = log(1e-4), log(0.05), 1.0, 1.0
    for _ in range(3):
        grid = [low + (high - low) * i / 23 for i in range(24)]
        found = swing_times(_with_holes(base, [exp(x) for x in grid], length, discharge))
        times = [_of(times, way) for times in found]
        # Times only fall as the hole grows: the last hole that is still slow enough and the next one hold the answer.
        at = max((i for i, t in enumerate(times) if t >= target), default=0)
        at = min(at, len(grid) - 2)
        low, high = grid[at], grid[at + 1]
        slow, fast = times[at], times[at + 1]
    share = 0.0 if slow <= fast else log(slow / target) / log(slow / fast)
    return exp(low + (high - low) * min(max(share, 0.0), 1.0))


def _of(times: SwingTimes, way: Way | None) -> float:
    return times.shortest if way is None else times.rod_out.time if way == "out" else times.rod_in.time
