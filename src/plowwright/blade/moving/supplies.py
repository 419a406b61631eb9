"""What feeds the blade: the customer's carrier as far as it is known, the shop's test pack, oil and lines."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.physics.circuits import Lines, Supply
from plowwright.physics.hoses import Line
from plowwright.physics.hydraulics import ANY_PUMP
from plowwright.physics.oil import Oil, oil_of_grade
from plowwright.rulebook.swing import LineRules, OilRules, PackRules, Swing

STANDARD = "standard"
HIGH_FLOW = "high-flow"
UNSAID = "not said which"


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplied:
    """A carrier's auxiliary outlets, from the weakest they may be to the strongest.

    Attributes:
        weakest: Least flow and relief it may have, most droop and return pressure.
        likely: What it most likely gives.
        strongest: The other end.
        facts: What that leans on.
        flow: The fact of its flow, or None while nobody has told it.
        pressure: The fact of its relief.
    """

    weakest: Supply
    likely: Supply
    strongest: Supply
    facts: tuple[Fact, ...]
    flow: Fact | None
    pressure: Fact

    @property
    def three(self) -> tuple[Supply, Supply, Supply]:
        """Weakest, likely, strongest."""
        return self.weakest, self.likely, self.strongest

    @property
    def doubtful(self) -> tuple[Fact, ...]:
        """Facts that may carry no *holds*: told, guessed or not said which."""
        return tuple(f for f in self.facts if not f.certain)


def flow_of(carrier: Carrier) -> Fact | None:
    """The flow the blade is run on: standard, or whatever was told without saying which.

    Args:
        carrier: The carrier.
    """
    return carrier.known("flow", STANDARD) or carrier.known("flow", UNSAID)


def missing(carrier: Carrier | None) -> tuple[str, ...]:
    """Facts to ask before the swing on this carrier can be told whole, most important first.

    Args:
        carrier: The carrier, or None.
    """
    if carrier is None:
        return "pressure", "flow"
    lacks = ("pressure",) if carrier.known("pressure") is None else ()
    return (*lacks, "flow") if flow_of(carrier) is None else lacks


def supplied(carrier: Carrier | None, rules: Swing) -> Supplied | None:
    """The carrier's outlets on standard flow; None while its relief is unknown.

    An unknown flow is taken as more than any carrier has: restrictors make the time, the pump only its floor.

    Args:
        carrier: The carrier, or None.
        rules: swing.toml.
    """
    pressure = None if carrier is None else carrier.known("pressure")
    if carrier is None or pressure is None:
        return None
    flow = flow_of(carrier)
    flows = (ANY_PUMP,) * 3 if flow is None else (flow.low, flow.likely, flow.high)
    droop, back = rules.carrier.droop.three, rules.carrier.back.three
    made = [
        Supply(
            flow=flows[i],
            relief=(pressure.low, pressure.likely, pressure.high)[i],
            # A worn pump and a tight return go with the weak end.
            back=min(back[2 - i], 0.5 * pressure.low),
            droop=0.0 if flow is None else droop[2 - i],
            name=carrier.name,
        )
        for i in range(3)
    ]
    facts = (pressure,) if flow is None else (pressure, flow)
    return Supplied(weakest=made[0], likely=made[1], strongest=made[2], facts=facts, flow=flow, pressure=pressure)


def pack_of(rules: PackRules) -> Supply:
    """The shop's test pack.

    Args:
        rules: `pack` of swing.toml.
    """
    return Supply(flow=rules.flow.value, relief=rules.relief.value, name="test pack")


def oil_of(rules: OilRules) -> Oil:
    """The oil in the carrier and in the pack.

    Args:
        rules: `oil` of swing.toml.

    Raises:
        ModelError: No oil of that grade has that index.
    """
    return _oil(rules.grade.value, rules.index.value, rules.density.value, rules.pour.value)


def lines_of(rules: LineRules, lengths: tuple[float, float] | None = None) -> Lines:
    """The lines to both ports.

    Args:
        rules: `lines` of swing.toml.
        lengths: Cut lengths of the hoses to the cap side and to the rod side, or None for the setting's [m].
    """
    cap, rod = (rules.length.value,) * 2 if lengths is None else lengths
    made = [
        Line(
            bore=rules.bore.value,
            length=length,
            loss=rules.bends.value + rules.coupler_loss.value,
            cold=rules.coupler_cold.value,
        )
        for length in (cap, rod)
    ]
    return Lines(cap=made[0], rod=made[1])


@lru_cache(maxsize=16)
def _oil(grade: int, index: float, density: float, pour: float) -> Oil:
    return oil_of_grade(grade, index, density=density, pour=pour)
