"""How deep and how fast a carrier pushes snow with a blade: an envelope for each ground, straight and at full angle.

Sure takes the worst end of everything (weight, power, grip, density, weight on the edge), perhaps the best end.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.suit.judging import PLACE, span_of, unknown
from plowwright.blade.suit.places import kind_of, of_spread
from plowwright.blade.suit.results import Check, SnowEnvelope
from plowwright.blade.work import Work
from plowwright.findings import Basis, Finding, Verdict, not_checked
from plowwright.physics.snow import Front, Pusher, Snow, density, envelope, grip, speed_to_push
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.settings import Spread
from plowwright.rulebook.suit import Suit
from plowwright.units.constants import GRAVITY

STEPS: Final = 12
"""Steps of speed from standing to the fastest [-]."""
TRACKED: Final = ("tracked loader", "compact loader")
"""Kinds that stand on tracks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """One end of every bracket."""

    snow: Snow
    driven: float
    weight: float
    power: float
    grip: float
    on_edge: float
    scrapes: tuple[float, float]

    def front(self, build: Build, angle: float) -> Front:
        return Front(width=build.assembly.width, height=build.assembly.facts["body height"], angle=angle,
                     on_edge=self.on_edge, scrapes=self.scrapes)  # fmt: skip

    @property
    def pusher(self) -> Pusher:
        return Pusher(driven=self.driven, weight=self.weight, power=self.power, grip=(self.grip, self.grip))


def envelopes_of(
    build: Build, carrier: Carrier, work: Work, settings: Suit, rulebook: Rulebook
) -> tuple[SnowEnvelope, ...]:
    """Depth against speed on pavement (or gravel), packed snow and ice; none while weight or power is not known.

    Args:
        build: The blade.
        carrier: The machine.
        work: Ground and snow, as far as they were told.
        settings: suit.toml.
        rulebook: Grips of strength.toml, where it has them.
    """
    mass, power = carrier.known("mass"), carrier.known("power")
    if mass is None or power is None:
        return ()
    speeds = tuple(settings.snow.fastest.value * i / STEPS for i in range(STEPS + 1))
    found: list[SnowEnvelope] = []
    for ground, holds in _grips(build, carrier, work, rulebook).items():
        worst, best = _ends(build, carrier, work, settings, (mass, power), ground, holds)
        for angle in (0.0, build.assembly.pivots.angle_stop):
            front = worst.front(build, angle)
            sure = envelope(front, worst.snow, worst.pusher, speeds).sure
            perhaps = envelope(best.front(build, angle), best.snow, best.pusher, speeds).perhaps
            found.append(
                SnowEnvelope(ground=ground, angle=angle, speeds=speeds, sure=sure, perhaps=perhaps,
                             clear_width=front.clear_width, grip=holds)
            )  # fmt: skip
    return tuple(found)


def snow_check(build: Build, carrier: Carrier, work: Work, settings: Suit, rulebook: Rulebook) -> Check:
    """Whether it moves the snow that was told, angled, on packed snow (ice where he scrapes ice); a note, not a limit.

    Args:
        build: The blade.
        carrier: The machine.
        work: Depth, snow and ice, as far as they were told.
        settings: suit.toml.
        rulebook: Grips of strength.toml, where it has them.
    """
    mass, power = carrier.known("mass"), carrier.known("power")
    grips = _grips(build, carrier, work, rulebook)
    ground = next(g for g in grips if g.startswith("ice" if work.ice else "packed"))
    title, basis = f"push at full angle on {ground}", _basis(carrier, work, settings, ground)
    if mass is None or power is None:
        missing = [name for name, fact in (("mass", mass), ("power", power)) if fact is None]
        return unknown("snow", title, missing, kind="speed", basis=basis, binds=False)
    worst, best = _ends(build, carrier, work, settings, (mass, power), ground, grips[ground])
    angle, fastest = build.assembly.pivots.angle_stop, settings.snow.fastest.value
    hard, easy = worst.front(build, angle), best.front(build, angle)
    if work.depth is None:
        at = settings.snow.told_at.value
        sure = envelope(hard, worst.snow, worst.pusher, (at,)).sure[0]
        perhaps = envelope(easy, best.snow, best.pusher, (at,)).perhaps[0]
        because = f"nobody said how deep; at {units.say(at, 'speed')} it moves {_reach(sure, perhaps, build)}"
        finding = not_checked(title=title, because=because, basis=basis, place=PLACE)
        return Check(key="snow", title=title, value=None, limit=None, kind="length", used=None, facts=(),
                     finding=finding, binds=False)  # fmt: skip
    slow = speed_to_push(hard, worst.snow, worst.pusher, work.depth, fastest=fastest)[0]
    fast = max(speed_to_push(easy, best.snow, best.pusher, work.depth, fastest=fastest)[1], slow)
    finding = _judged(f"{title}, {units.say(work.depth, 'length')} deep", slow, fast, (mass, power), basis, settings)
    return Check(key="snow", title=title, value=Span(low=slow, likely=0.5 * (slow + fast), high=fast),
                 limit=Span.sure(settings.snow.slowest.value), kind="speed", used=None, facts=("mass", "power"),
                 finding=finding, binds=False)  # fmt: skip


def _reach(sure: float, perhaps: float, build: Build) -> str:
    full = build.assembly.facts["body height"] - 1e-6
    least, most = (f"{'a full blade, ' if d >= full else ''}{units.say(d, 'length')}" for d in (sure, perhaps))
    return f"{least} surely" + ("" if sure >= full else f", and perhaps {most}")


def _judged(title: str, slow: float, fast: float, facts: tuple[Fact, ...], basis: Basis, settings: Suit) -> Finding:
    """Sure where even the worst end is fast enough; a middle of such a bracket is nothing to judge by."""
    wanted = settings.snow.slowest.value
    least, top = units.say(wanted, "speed"), units.say(fast, "speed")
    if fast >= settings.snow.fastest.value:
        top += " and more"
    verdict: Verdict = "near limit"
    words = f"perhaps, not surely: at the best end of everything {top}, at the worst {units.say(slow, 'speed')}"
    if slow >= wanted:
        verdict, words = "holds", f"surely at {units.say(slow, 'speed')}, perhaps at {top}"
    elif fast < wanted:
        verdict, words = "fails", f"no: {top} even at the best end of everything"
    if verdict != "fails" and not all(fact.certain for fact in facts):
        verdict, words = "not checked", f"{words}, if weight and power are as told"
    return Finding(
        title=title,
        sentence=f"{title}: {words}; wanted at least {least}",
        value=Span(low=slow, likely=slow, high=fast).said("speed"),
        limit=f"at least {least}",
        margin="",
        verdict=verdict,
        basis=basis,
        place=PLACE,
    )


def _grips(build: Build, carrier: Carrier, work: Work, rulebook: Rulebook) -> dict[str, tuple[float, float]]:
    """Grip on every ground, least and greatest: strength.toml's where it is there, else the table's."""
    rows = None if rulebook.strength is None else rulebook.strength.traction
    tyres = carrier.known("tyres")
    better = on_tracks(build, carrier) or (tyres is not None and tyres.text == "chains")

    def of(mine: str, table: str) -> tuple[float, float]:
        if rows is not None:
            spread = getattr(rows, mine)
            return spread.low, spread.high
        row = grip(table)
        return row.low, row.high

    packed = of("chains_or_tracks", "packed snow, chains or tracks") if better else of("packed_snow", "packed snow")
    first = {"pavement": of("pavement", "wet pavement")}
    if work.ground == "gravel":
        first = {"gravel": (grip("gravel").low, grip("gravel").high)}
    with_ = "" if not better else ", tracks" if on_tracks(build, carrier) else ", chains"
    return {**first, f"packed snow{with_}": packed, "ice": of("ice", "ice")}


def on_tracks(build: Build, carrier: Carrier) -> bool:
    """Whether the machine stands on tracks.

    Args:
        build: The blade.
        carrier: The machine.
    """
    drive = carrier.known("drive")
    return kind_of(build, carrier) in TRACKED if drive is None else drive.text == "tracks"


def _driven(carrier: Carrier, mass: Span, settings: Suit) -> tuple[float, float]:
    """Mass on the driven wheels or tracks at its worst and best; all wheels, where nobody said otherwise [kg]."""
    drive = carrier.known("drive")
    if drive is None or drive.text != "rear wheels":
        return mass.low, mass.high
    rear = carrier.known("rear_axle")
    if rear is not None:
        return rear.low, rear.high
    share = settings.snow.rear_drive
    return share.low * mass.low, share.high * mass.high


def scrapes_on(ground: str, settings: Suit) -> Spread[float]:
    """Friction of the edge on a ground.

    Args:
        ground: As an envelope names it.
        settings: suit.toml.
    """
    rows = settings.snow.scrapes
    return rows.ice if ground == "ice" else rows.packed_snow if ground.startswith("packed") else rows.pavement


def _state(work: Work, settings: Suit) -> str:
    return work.snow or settings.snow.state.value


def _ends(
    build: Build,
    carrier: Carrier,
    work: Work,
    settings: Suit,
    facts: tuple[Fact, Fact],
    ground: str,
    holds: tuple[float, float],
) -> tuple[_End, _End]:
    """The worst and the best end of all brackets; the blade floats, so its own weight is on the edge."""
    mass, power = (span_of(fact) for fact in facts)
    state, to_ground = density(_state(work, settings)), settings.snow.to_ground
    on_edge = of_spread(settings.snow.on_edge)
    driven = _driven(carrier, mass, settings)
    rubs = scrapes_on(ground, settings)
    held_back = (rubs.low, rubs.high)
    blade = build.mass * GRAVITY
    worst = _End(snow=Snow(density=state.high), driven=driven[0] * GRAVITY, weight=mass.low * GRAVITY,
                 power=to_ground.low * power.low, grip=holds[0], on_edge=on_edge.high * blade,
                 scrapes=held_back)  # fmt: skip
    best = _End(snow=Snow(density=state.low), driven=driven[1] * GRAVITY, weight=mass.high * GRAVITY,
                power=to_ground.high * power.high, grip=holds[1], on_edge=on_edge.low * blade,
                scrapes=held_back)  # fmt: skip
    return worst, best


def _basis(carrier: Carrier, work: Work, settings: Suit, ground: str) -> Basis:
    state = density(_state(work, settings))
    told = {name: carrier.known(name) for name in ("mass", "power", "drive")}
    inputs = {name: "not known" if fact is None else fact.said() for name, fact in told.items() if name != "drive"}
    drive = told["drive"]
    return Basis(
        kind="assumed",
        formula="sliding pile to passive wedge, and momentum, against grip x weight and power / speed",
        inputs={
            **inputs,
            "drive": "all wheels or tracks (assumed)" if drive is None else drive.said(),
            "ground": ground,
            "snow": f"{state.name}, {units.say(state.low, 'density')} to {units.say(state.high, 'density')}"
            + ("" if work.snow else f" ({settings.snow.state.rests_on})"),
            "power to the ground": settings.snow.to_ground.said("-"),
            "blade's weight on the edge": settings.snow.on_edge.said("-"),
            "edge on the ground": scrapes_on(ground, settings).said("-"),
        },
        source=f"physics/snow.py; density: {state.source}; strength.toml, traction",
    )
