"""The crossover relief valve: where it must sit, which way it protects, and what to set it to.

A strike on one end of the blade drives the rod out, one on the other end drives it in. The relief lets oil pass from
the side that is squeezed to the other side. Pressures are above the air's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from plowwright import units
from plowwright.errors import ModelError
from plowwright.physics.circuits import Circuit, Cylinder, Way
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.orifices import Restrictor
from plowwright.units.constants import INCH

Order = Literal["relief at the cylinder", "restrictor between cylinder and relief"]
Shield = Literal["protected", "not protected", "protected in part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """A crossover relief valve.

    Attributes:
        setting: Pressure across it at which it opens [Pa].
        rated: Flow it is made for [m3/s].
        override: Share its pressure rises by up to the rated flow; assumed, a maker's curve goes before it [-].
        lag: Time it takes to open; assumed [s].

    Raises:
        ModelError: No setting or no flow.
    """

    setting: float
    rated: float
    override: float = 0.15
    lag: float = 0.005

    def __post_init__(self) -> None:
        if not (self.setting > 0.0 and self.rated > 0.0 and self.override > 0.0 and self.lag > 0.0):
            raise ModelError(
                "this relief valve protects nothing",
                value=f"set to {units.say(self.setting, 'pressure')}, made for {units.say(self.rated, 'flow')}",
                limit="setting, flow, override and lag over 0",
                way_out="Read setting and flow off the valve block, for example 2,500 psi and 8 gpm.",
            )

    def pressure(self, flow: float) -> float:
        """Pressure across it: p_set (1 + override Q / Q_rated) up to the rated flow, wide open above it, with Q^2.

        Args:
            flow: Through it [m3/s].

        Returns:
            Pressure [Pa].

        Source: usual shape of a direct-acting valve's curve; assumed.
        """
        share = max(flow, 0.0) / self.rated
        full = self.setting * (1.0 + self.override)
        return self.setting * (1.0 + self.override * share) if share <= 1.0 else full * share * share


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """What the cylinder sees when a strike drives its rod.

    Attributes:
        flow: That must pass the relief [m3/s].
        pressure: On the squeezed side of the cylinder [Pa].
        at_relief: Of it, across the relief [Pa].
        at_restrictor: Of it, across a restrictor between cylinder and relief [Pa].
        over_rated: Flow over what the relief is made for [-].
    """

    flow: float
    pressure: float
    at_relief: float
    at_restrictor: float
    over_rated: float


def struck(
    cylinder: Cylinder,
    way: Way,
    speed: float,
    relief: Relief,
    *,
    order: Order,
    restrictor: Restrictor | None,
    density: float,
    viscosity: float,
) -> Struck:
    """Pressure in the cylinder while a strike drives the rod at a speed: relief, and restrictor if it lies before it.

    p = p_relief(Q) + dp_restrictor(Q), Q = A_out v; without the last term where the relief sits at the cylinder.

    Args:
        cylinder: The cylinder.
        way: The strike drives the rod.
        speed: Of the rod [m/s].
        relief: The valve.
        order: Where it sits.
        restrictor: In the port of the squeezed side, or None.
        density: Of the oil [kg/m3].
        viscosity: Of the oil [m2/s].

    Source: steady flow through both; the other side taken as without pressure.
    """
    flow = cylinder.areas(way)[1] * speed
    across = relief.pressure(flow)
    between = order == "restrictor between cylinder and relief" and restrictor is not None
    lost = restrictor.before(flow, across, density, viscosity) - across if between and restrictor is not None else 0.0
    return Struck(
        flow=flow, pressure=across + lost, at_relief=across, at_restrictor=lost, over_rated=flow / relief.rated
    )


def order_warning(order: Order, made: Struck) -> str:
    """What to say about where the relief sits, "" where nothing.

    Args:
        order: Where it sits.
        made: What a strike makes of it.
    """
    if order == "relief at the cylinder":
        return ""
    return (
        f"a restrictor between cylinder and relief makes the relief useless: at {units.say(made.flow, 'flow')} the "
        f"cylinder sees {units.say(made.pressure, 'pressure')} where the relief alone would hold "
        f"{units.say(made.at_relief, 'pressure')}; build it cylinder, relief, restrictors, hoses"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """Where squeezed oil can go besides the other side of the cylinder.

    Attributes:
        to_tank: Whether a port relief of the carrier, or a third port of the block, leads to its tank.
        accumulator: Oil an accumulator takes up to the pressure limit, 0 for none [m3].
        equal_areas: Whether the cylinder has a rod at both ends.
    """

    to_tank: bool = False
    accumulator: float = 0.0
    equal_areas: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """Which way a crossover relief protects.

    Attributes:
        rod_out: A strike that draws the rod out.
        rod_in: A strike that pushes it in.
        homeless: Oil the rod displaces over the travel, that has nowhere to go rod in [m3].
        give: Travel rod in that squeezing the trapped oil allows up to the pressure limit [m].
        sentences: What to tell the owner and the customer.
    """

    rod_out: Shield
    rod_in: Shield
    homeless: float
    give: float
    sentences: tuple[str, ...]

    @property
    def full(self) -> bool:
        """Whether both ways are protected."""
        return self.rod_out == self.rod_in == "protected"


def protection(
    cylinder: Cylinder, ways: Ways, *, travel: float, trapped: float, bulk: float, start: float, limit: float
) -> Protection:
    """Which way a crossover relief on one cylinder protects while the carrier's valve blocks both lines.

    Rod out, the rod side's oil is less than the cap side takes: it all finds room and leaves a bubble. Rod in, the cap
    side gives more than the rod side takes: the rod's own volume has nowhere to go but into squeezed oil,
    x = (p_limit - p_start) V / (K A_rod section).

    Args:
        cylinder: The cylinder.
        ways: Where oil can go.
        travel: The strike may ask for [m].
        trapped: Oil between cylinder and the carrier's valve, both sides [m3].
        bulk: Bulk modulus of it, hoses included [Pa].
        start: Pressure before the strike or the relief's setting, whichever is more [Pa].
        limit: Pressure nothing may see [Pa].

    Source: continuity; never call a crossover relief on one single-rod cylinder full protection.
    """
    homeless = 0.0 if ways.equal_areas else cylinder.rod_section * travel
    give = travel if homeless == 0.0 else max(limit - start, 0.0) * trapped / (bulk * cylinder.rod_section)
    give = min(give + ways.accumulator / cylinder.rod_section, travel)
    rod_out = "rod out: protected, the relief passes all the oil"
    if ways.equal_areas:
        said = ("protected both ways: with a rod at both ends, each side takes what the other gives",)
        return Protection(rod_out="protected", rod_in="protected", homeless=0.0, give=travel, sentences=said)
    rod_out += "; the cap side is left with a bubble, so work the lever once before going on"
    volume = f"{homeless / INCH**3:.1f} in3"
    if ways.to_tank:
        shield: Shield = "protected"
        text = f"rod in: protected as long as the path to tank is open; it must take the {volume} the rod displaces"
    elif give >= travel:
        shield = "protected"
        text = f"rod in: protected, the accumulator and the oil's own give take the {volume} the rod displaces"
    elif ways.accumulator > 0.0:
        shield = "protected in part"
        text = (
            f"rod in: protected in part: the accumulator is too small for the {volume} the rod displaces and lets "
            f"the rod move {units.tape(give)} of {units.tape(travel)}"
        )
    else:
        shield = "not protected"
        text = (
            f"rod in: not protected: the {volume} the rod displaces have nowhere to go; squeezing the oil lets the rod "
            f"move {units.tape(give)} of {units.tape(travel)}. It takes a path to tank, an accumulator or a cylinder "
            "of equal areas"
        )
    return Protection(rod_out="protected", rod_in=shield, homeless=homeless, give=give, sentences=(rod_out, text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What a relief may be set to.

    Attributes:
        low: Least setting [Pa].
        low_by: What asks for it.
        high: Greatest setting [Pa].
        high_by: What allows no more.
    """

    low: float
    low_by: str
    high: float
    high_by: str

    @property
    def empty(self) -> bool:
        """Whether no setting does."""
        return self.low > self.high

    @property
    def sentence(self) -> str:
        """The window in words."""
        low, high = units.say(self.low, "pressure"), units.say(self.high, "pressure")
        if self.empty:
            return f"no setting does: {self.low_by} asks for {low}, {self.high_by} allows {high}"
        return f"set it between {low} ({self.low_by}) and {high} ({self.high_by})"


def setting_window(
    circuit: Circuit,
    *,
    arm: float,
    reach: float,
    capacities: Mapping[str, float],
    ratings: Mapping[str, float],
    energy: float = 0.0,
    travel: float = 0.0,
    clear: float = 1.1,
) -> Window:
    """Settings that stay shut at work, do not ride into the stop, and open before anything else gives.

    Low: the greatest pressure across the relief at work times a margin; E / (A_rod x) to take a strike's energy within
    the travel left. High: F reach / (arm A_cap) of each capacity at the blade's end, and each part's rated pressure.

    Args:
        circuit: The blade on the carrier.
        arm: Lever of the cylinder [m].
        reach: From king pin to the blade's end [m].
        capacities: Force at the blade's end that each thing bears, by name [N].
        ratings: Working pressure of each part between relief and cylinder, by name [Pa].
        energy: A strike brings to the blade's turning, 0 to leave it out [J].
        travel: Of the rod left before the stop [m].
        clear: Margin over the pressure at work; assumed [-].

    Raises:
        ModelError: Nothing is named that the relief has to come before.

    Source: statics and energy; the rise over the setting with flow comes on top, see `Relief.pressure`.
    """
    if not capacities and not ratings:
        raise ModelError(
            "a relief without anything to protect has no upper setting",
            limit="at least one capacity or rated pressure",
            way_out="Give the frame's capacity at the corner, or the cylinder's rated pressure.",
        )
    times = swing_times([circuit])[0]
    running = max(abs(t.pressure_in - t.pressure_out) for t in (times.rod_out, times.rod_in))
    lows = {"the carrier's own relief": clear * circuit.supply.relief, "pressure while angling": clear * running}
    if energy > 0.0 and travel > 0.0:
        lows["energy of the strike within the travel left"] = energy / (circuit.cylinder.rod_area * travel)
    highs = {name: force * reach / (arm * circuit.cylinder.cap_area) for name, force in capacities.items()}
    highs |= {f"rated pressure of {name}": pressure for name, pressure in ratings.items()}
    low_by, high_by = max(lows, key=lambda k: lows[k]), min(highs, key=lambda k: highs[k])
    return Window(low=lows[low_by], low_by=low_by, high=highs[high_by], high_by=high_by)
