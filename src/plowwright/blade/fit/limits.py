"""The limits a blade meets on a machine, for many machines and many blades in one go.

The formulas are those of `blade/suit/formulas.py`, which the checks of one blade on one carrier use as well, and the
same limits bind; so the quick answer and the full one cannot disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from plowwright.blade.fit.range import Range
from plowwright.blade.suit import formulas
from plowwright.blade.suit.axles import ROUND
from plowwright.blade.suit.lifting_checks import UNDERCARRIAGE
from plowwright.physics.frame_elements import Floats
from plowwright.physics.lifting import RATED_SHARE, REAR_SHARE
from plowwright.rulebook.settings import Spread
from plowwright.rulebook.suit import MountKind, Suit


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit, as people name it.

    Attributes:
        title: What is held against what.
        facts: Facts of the machine or the work it leans on.
        kind: Kind of quantity of value and limit.
    """

    title: str
    facts: tuple[str, ...]
    kind: str


AXLES: Final = ("front_axle", "rear_axle", "wheelbase", "pins_ahead", "plate_ahead", "ballast")
"""What axle loads lean on."""
LIMITS: Final[Mapping[str, Limit]] = {
    "front_axle": Limit(title="front axle with the arms level", facts=(*AXLES, "front_axle_limit"), kind="mass"),
    "lift": Limit(title="lift at the blade's centre of gravity", facts=("lift", "reach"), kind="mass"),
    "operating": Limit(title="rated load (a comparison)", facts=("tipping_load",), kind="mass"),
    "turn": Limit(title="rated load at full turn (a comparison)", facts=("turn_tipping",), kind="mass"),
    "ballast": Limit(title="ballast it would need at the rear", facts=AXLES, kind="mass"),
    "rear_axle": Limit(title="weight the rear axle must keep against what is left on it", facts=AXLES, kind="mass"),
    "rear_limit": Limit(title="rear axle, blade on the ground", facts=(*AXLES, "rear_axle_limit"), kind="mass"),
    "clear_angled": Limit(title="width of the machine against what the blade clears", facts=("width",), kind="length"),
    "gate": Limit(title="width it takes, against the gate less room", facts=("gate",), kind="length"),
    "travel": Limit(title="width on the road", facts=("road",), kind="length"),
    "ground": Limit(title="width on this ground", facts=("ground",), kind="length"),
}
"""Every limit by its key, the first to be said in front; the duty class is a rule of its own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assumed:
    """What is assumed of where a machine holds a blade: likely values, or best, likely and worst ends as a column.

    Attributes:
        from_pins: Face of the mount plate ahead of the pins, by blade [m].
        swing_out: How much further ahead the pins stand with the arms level [m].
        reach_share: Loader pivot to pins over the wheelbase [-].
        behind: Ballast behind the rear axle [m].
        plate_ahead: Face of the plate ahead of the front axle, where pins are unknown [m]; nan where there is none.
        rated_ahead: Load centre of the bucket a rating is meant for, ahead of the plate [m]; nan likewise.
    """

    from_pins: Floats
    swing_out: Floats
    reach_share: Floats
    behind: Floats
    plate_ahead: Floats
    rated_ahead: Floats


def assumed(blades: Range, suit: Suit, *, ends: bool) -> Assumed:
    """What suit.toml assumes for a range.

    Args:
        blades: The range.
        suit: Settings of suit.toml.
        ends: Whether best, likely and worst are wanted as rows, instead of the likely value alone.
    """

    def rows(spread: Spread[float] | None, *, more_is_better: bool = False) -> Floats:
        low, likely, high = (float("nan"),) * 3 if spread is None else spread.three
        if not ends:
            return np.array([[likely]])
        return np.array([[high], [likely], [low]]) if more_is_better else np.array([[low], [likely], [high]])

    kind = suit.kinds.get(blades.kind)
    couplings: list[MountKind] = [build.datum.mount.kind for build in blades.builds]
    one_each = {coupling: rows(suit.plate_ahead_of_pins[coupling])[:, 0] for coupling in set(couplings)}
    return Assumed(
        from_pins=np.stack([one_each[coupling] for coupling in couplings], axis=1),
        swing_out=rows(suit.swing_out),
        reach_share=rows(suit.reach_over_wheelbase, more_is_better=True),
        behind=rows(suit.ballast.behind, more_is_better=True),
        plate_ahead=rows(None if kind is None else kind.plate_ahead_of_axle),
        rated_ahead=rows(None if kind is None else kind.rated_ahead_of_plate, more_is_better=True),
    )


def limits(
    blades: Range, machine: Mapping[str, Floats], suit: Suit, *, ends: bool = False, by_front: bool = True
) -> dict[str, tuple[Floats, Floats]]:
    """Value and limit of every limit that binds on this kind of machine.

    Args:
        blades: The range.
        machine: Columns of facts, and of gate and widest width by ground where they bind [SI of each kind].
        suit: Settings of suit.toml.
        ends: Whether the rows are the best, likely and worst ends of one machine, which hangs one ballast.
        by_front: Whether the limit of a tractor's front axle is known, so that ballast can be hung for it.

    Returns:
        Value and limit, machines by blades, by the limit's key [SI of its kind].

    Source: `blade/suit/formulas.py`.
    """
    taken = assumed(blades, suit, ends=ends)
    found: dict[str, tuple[Floats, Floats]] = {}
    if "lift" in machine:
        found["lift"] = (blades.mass[np.newaxis, :], _lift(blades, machine, taken, suit))
    if blades.kind == "tractor":
        found |= _axles(blades, machine, taken, suit, ends=ends, by_front=by_front)
    else:
        if {"front_axle", "front_axle_limit", "wheelbase"} <= machine.keys():
            ahead = _plate(machine, taken) + blades.ahead + taken.swing_out
            front, _ = _standing(machine, taken)
            on = formulas.front_axle(blades.mass, ahead, machine["wheelbase"], front, np.zeros(1), taken.behind)
            found["front_axle"] = (on, machine["front_axle_limit"])
        share = RATED_SHARE[UNDERCARRIAGE[blades.kind]]
        for key, fact in (("operating", "tipping_load"), ("turn", "turn_tipping")):
            if fact in machine:
                rated = formulas.operating(machine[fact], np.array(share))
                found[key] = (blades.mass[np.newaxis, :], _moved(rated, blades, machine, taken))
    found["clear_angled"] = (machine["width"], blades.clear[np.newaxis, :])
    if "gate" in machine:
        found["gate"] = (blades.narrowest[np.newaxis, :], np.maximum(machine["gate"] - suit.gate_room.value, 0.0))
    if "road" in machine:
        found["travel"] = (blades.narrowest[np.newaxis, :], machine["road"])
    if "widest" in machine:
        found["ground"] = (blades.width[np.newaxis, :], machine["widest"])
    return found


def _lift(blades: Range, machine: Mapping[str, Floats], taken: Assumed, suit: Suit) -> Floats:
    base = machine.get("wheelbase", np.array([[suit.kinds["tractor"].drawn.wheelbase]]))
    reach = machine.get("reach", taken.reach_share * base)
    out = taken.from_pins + blades.ahead - machine.get("lift_ahead", np.zeros((1, 1)))
    return formulas.at_center(machine["lift"], reach, out)


def _plate(machine: Mapping[str, Floats], taken: Assumed) -> Floats:
    """Face of the mount plate ahead of the front axle, carried low."""
    if "plate_ahead" in machine:
        return machine["plate_ahead"]
    return machine["pins_ahead"] + taken.from_pins if "pins_ahead" in machine else taken.plate_ahead


def _standing(machine: Mapping[str, Floats], taken: Assumed) -> tuple[Floats, Floats]:
    """Loads on both axles without a blade, with the ballast that hangs on the machine already."""
    front, rear = machine["front_axle"], machine["rear_axle"]
    if "ballast" not in machine:
        return front, rear
    base, nothing, hung = machine["wheelbase"], np.zeros((1, 1)), machine["ballast"]
    behind = taken.behind * machine["ballast_behind"]
    return (
        formulas.front_axle(nothing, nothing, base, front, hung, behind),
        formulas.rear_axle(nothing, nothing, base, rear, hung, behind),
    )


def _moved(rated: Floats, blades: Range, machine: Mapping[str, Floats], taken: Assumed) -> Floats:
    """A rated load at the blade's own centre of gravity, as it is where nothing says where it was meant for."""
    centre = _plate(machine, taken) + taken.rated_ahead
    moved = formulas.at_center(rated, centre, blades.ahead - taken.rated_ahead)
    return np.where(np.isnan(moved), rated, moved)


def _axles(
    blades: Range, machine: Mapping[str, Floats], taken: Assumed, suit: Suit, *, ends: bool, by_front: bool
) -> dict[str, tuple[Floats, Floats]]:
    """Front axle with the ballast both rules ask for, and that ballast against what can be hung."""
    base, most, mass = machine["wheelbase"], machine["front_axle_limit"], blades.mass[np.newaxis, :]
    empty = machine["front_axle"] + machine["rear_axle"]
    front, rear = _standing(machine, taken)
    low = _plate(machine, taken) + blades.ahead
    swing, stands = taken.swing_out, empty - rear
    if ends:
        # As the full check has it: at its best end the blade is never lifted, and the empty machine is the likely one.
        swing, stands = swing * np.array([[0.0], [1.0], [1.0]]), stands[1:2]
    need = formulas.ballast_by_rear(mass, low + swing, base, stands, rear, taken.behind, np.array(REAR_SHARE))
    if by_front:
        need = np.maximum(need, formulas.ballast_by_front(mass, low + swing, base, front, most, taken.behind))
    greatest = suit.ballast.greatest.value * empty
    if "ballast" in machine:
        greatest = greatest - machine["ballast"] * machine["ballast_behind"]
    hung = np.where(need <= greatest, np.ceil(need / ROUND - 1e-9) * ROUND, 0.0)
    asked = need > 0.0
    if ends:
        hung, greatest, asked, empty = hung[1:2], greatest[1:2], asked[1:2], empty[1:2]
    lifted = low + taken.swing_out
    left = formulas.rear_axle(mass, lifted, base, rear, hung, taken.behind)
    found = {
        "front_axle": (formulas.front_axle(mass, lifted, base, front, hung, taken.behind), most),
        "ballast": (need, greatest + 0.0 * need),
        # Without ballast asked for, what the rear axle keeps binds nothing.
        "rear_axle": (np.where(asked, REAR_SHARE * empty, 0.0), np.where(asked, left, 1.0)),
    }
    if "rear_axle_limit" in machine:
        grounded = formulas.rear_axle(0.0 * mass, lifted, base, rear, hung, taken.behind)
        # The least that may stand on it is this limit's best end.
        found["rear_limit"] = (grounded[::-1] if ends else grounded, machine["rear_axle_limit"])
    return found


def lifts(blades: Range, machine: Mapping[str, Floats]) -> Floats:
    """What class rules take for the lift: at the pins, or the rated operating load.

    Args:
        blades: The range.
        machine: Columns of facts [SI of each kind].

    Returns:
        A column [kg].

    Source: `RATED_SHARE`.
    """
    if blades.kind == "tractor":
        return machine["lift"]
    fact = "turn_tipping" if blades.kind == "wheel loader" else "tipping_load"
    return RATED_SHARE[UNDERCARRIAGE[blades.kind]] * machine[fact]
