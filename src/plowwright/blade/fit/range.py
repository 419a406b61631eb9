"""All blades a kind of carrier can couple to, worked out once a rulebook: what the fit chooses from."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Final

import numpy as np

from plowwright.blade.build import Build, work_out
from plowwright.blade.poses import clear_width
from plowwright.blade.spec import CarrierKind, Spec
from plowwright.blade.suit.widths import room
from plowwright.errors import SpecError
from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import CLASSES
from plowwright.rulebook.reading import Rulebook

KEPT: Final = 24
"""How many ranges are kept at hand."""
_kept: OrderedDict[tuple[str, str, str], Range] = OrderedDict()
# The pages ask from several threads at once.
_lock = Lock()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Range:
    """Every width of every series on the mounts that couple to one kind of carrier.

    Attributes:
        kind: Kind of carrier.
        hoses: Key of the hose choice all of them have.
        builds: The blades, level 0.
        mass: Of each [kg].
        ahead: Centre of gravity ahead of the mount plate's face [m].
        width: Of the edge [m].
        clear: Width cleared at full angle [m].
        narrowest: Over the whole blade, straight or at full angle, whichever is less [m].
        duty_class: Index into `CLASSES` [-].
    """

    kind: CarrierKind
    hoses: str
    builds: tuple[Build, ...]
    mass: Floats
    ahead: Floats
    width: Floats
    clear: Floats
    narrowest: Floats
    duty_class: Floats

    @classmethod
    def of(cls, rulebook: Rulebook, kind: CarrierKind, hoses: str = "") -> Range:
        """The range for a kind of carrier, kept at hand.

        Args:
            rulebook: The rules in force.
            kind: Kind of carrier.
            hoses: Key of the hose choice, "" for the first of the rulebook.

        Raises:
            SpecError: No mount of the rulebook couples to it.
            ModelError: The rules do not give a blade that can be built.
        """
        chosen = hoses or next(iter(rulebook.options.get("hoses", {})), "")
        key = (rulebook.fingerprint, kind, chosen)
        with _lock:
            if key in _kept:
                _kept.move_to_end(key)
                return _kept[key]
        found = _work_out(rulebook, kind, chosen)
        with _lock:
            _kept[key] = found
            if len(_kept) > KEPT:
                _kept.popitem(last=False)
        return found


def mounts_for(rulebook: Rulebook, kind: str) -> tuple[str, ...]:
    """Keys of the mounts that couple to a kind of carrier.

    Args:
        rulebook: The rules in force.
        kind: Kind of carrier.
    """
    return tuple(key for key, mount in rulebook.mounts.items() if kind in mount.carriers)


def forget() -> None:
    """Drop every range kept at hand, as a bench needs it that measures from cold."""
    with _lock:
        _kept.clear()


def _work_out(rulebook: Rulebook, kind: CarrierKind, hoses: str) -> Range:
    mounts = mounts_for(rulebook, kind)
    if not mounts:
        raise SpecError(
            "no mount of the rulebook couples to such a carrier",
            value=kind,
            way_out=f"Add {kind} to the carriers of a mount in mounts.toml.",
        )
    builds = tuple(
        work_out(
            Spec(series=key, width=width, mount=mount, carrier_kind=kind, hoses=hoses),
            rulebook,
            level=0,
        )
        for mount in mounts
        for key, series in rulebook.series.items()
        for width in series.widths()
    )
    widths = np.array([b.spec.width for b in builds])
    return Range(
        kind=kind,
        hoses=hoses,
        builds=builds,
        mass=np.array([b.mass for b in builds]),
        ahead=np.array([b.centre_of_gravity[0] for b in builds]),
        width=widths,
        clear=np.array([clear_width(b.assembly.width, b.assembly.pivots.angle_stop) for b in builds]),
        narrowest=np.array([_narrowest(b) for b in builds]),
        duty_class=np.array([float(CLASSES.index(b.series.duty_class)) for b in builds]),
    )


def _narrowest(build: Build) -> float:
    """As `blade/suit/widths.py` has it, which takes its time: straight, a blade is never narrower than its edge."""
    angled = room(build, build.assembly.pivots.angle_stop)
    return angled if angled <= build.assembly.width else min(angled, room(build, 0.0))
