"""The restrictors a blade leaves the shop with: one drill for both ports, slow enough on every carrier it may meet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.moving.geometry import cylinder_of, linkage_of
from plowwright.blade.moving.judging import seconds
from plowwright.blade.moving.supplies import lines_of, oil_of
from plowwright.errors import NotFoundError
from plowwright.findings import Basis, Finding, Verdict
from plowwright.physics import drills
from plowwright.physics.circuits import Cylinder, Lines, Restrictors, Supply
from plowwright.physics.drills import Drill
from plowwright.physics.hydraulics import ANY_PUMP, Sizing, size_restrictor
from plowwright.physics.oil import Oil
from plowwright.physics.orifices import PLUGS, Restrictor
from plowwright.rulebook.swing import Swing

PLACE = "carrier ports of the valve block"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The restrictors of a blade; they are its own, whatever carrier it goes on.

    Attributes:
        drill: The drill, the same for both ports.
        restrictor: The hole it makes.
        sizing: How it was found, with its tolerance and without restrictors.
        target: Least time of the faster way it was sized to [s].
        finding: What is said of it.
    """

    drill: Drill
    restrictor: Restrictor
    sizing: Sizing
    target: float
    finding: Finding

    @property
    def pair(self) -> Restrictors:
        """In both ports."""
        return Restrictors(cap=self.restrictor, rod=self.restrictor)


def rules_of(build: Build) -> Swing:
    """swing.toml of the blade's rulebook.

    Args:
        build: The blade.

    Raises:
        NotFoundError: This rulebook has none.
    """
    if build.rulebook.swing is None:
        raise NotFoundError(
            "this rulebook has no swing.toml",
            value=build.rulebook.version.date.isoformat(),
            way_out="Copy the one of a newer rulebook beside series.toml.",
        )
    return build.rulebook.swing


def fitted(build: Build) -> Fitted:
    """The drill with which the faster way takes at least the series' swing_time, warm, on any pump. Never rounded up.

    Args:
        build: The blade.

    Raises:
        NotFoundError: The rulebook has no swing.toml.
        ModelError: No drill is small enough.
    """
    rules = rules_of(build)
    stopped, target = linkage_of(build).stopped(cylinder_of(build)), build.series.swing_time
    supply = Supply(flow=ANY_PUMP, relief=rules.restrictors.sized_at.value, back=rules.carrier.back.low)
    sizing = _sized(
        stopped,
        target,
        supply,
        oil_of(rules.oil),
        rules.oil.tank.value,
        lines_of(rules.lines),
        rules.restrictors.length.value,
        rules.restrictors.tolerance.value,
        tuple(rules.restrictors.drawer.value),
    )
    drill = sizing.drill or drills.table()[-1]
    hole = Restrictor(diameter=drill.diameter, length=rules.restrictors.length.value)
    return Fitted(
        drill=drill, restrictor=hole, sizing=sizing, target=target, finding=_finding(build, rules, sizing, drill)
    )


@lru_cache(maxsize=256)
def _sized(
    stopped: Cylinder,
    target: float,
    supply: Supply,
    oil: Oil,
    temperature: float,
    lines: Lines,
    length: float,
    tolerance: float,
    drawer: tuple[str, ...],
) -> Sizing:
    choice = tuple(sorted((drills.named(name) for name in drawer), key=lambda d: d.diameter)) or None
    return size_restrictor(
        stopped, target, supply, oil, temperature,
        length=length, lines=lines, drawer=choice, tolerance=tolerance, any_pump=True,
    )  # fmt: skip


def _finding(build: Build, rules: Swing, sizing: Sizing, drill: Drill) -> Finding:
    found, off = sizing.times.shortest, drill.time_spread(rules.restrictors.tolerance.value)
    plugs = drill.diameter < PLUGS
    loose = sizing.loosest.shortest < sizing.target * (1.0 - rules.targets.time_off.value)
    verdict: Verdict = "fails" if found < sizing.target * (1.0 - 1e-6) else "near limit" if plugs or loose else "holds"
    said = (
        f"restrictors: drill {drill.text} in both ports, {seconds(found)} the faster way with warm oil at "
        f"{units.say(rules.restrictors.sized_at.value, 'pressure')} on any pump, asked for {seconds(sizing.target)}; "
        f"the hole may be off by {units.say(rules.restrictors.tolerance.value, 'length', style='decimal')}, "
        f"{off * 100:.0f} % of the time"
    )
    cautions = "; ".join(sizing.cautions)
    return Finding(
        title="restrictors",
        sentence=f"{said}; {cautions}" if cautions else said,
        value=f"drill {drill.text}",
        limit=f"at least {seconds(sizing.target)}",
        margin=f"{seconds(sizing.loosest.shortest)} to {seconds(sizing.tightest.shortest)} within its tolerance",
        verdict=verdict,
        basis=Basis(
            kind="shop rule",
            formula="largest drill with which the faster way takes at least swing_time of the series; T ~ d^-2",
            inputs={
                "swing_time": seconds(sizing.target),
                "hole that meets it": units.say(sizing.ideal, "length", style="decimal"),
                "relief": rules.restrictors.sized_at.said("pressure"),
                "oil": f"VG {rules.oil.grade.value} at {rules.oil.tank.said('temperature')}",
                "hole tolerance": rules.restrictors.tolerance.said("length"),
            },
            source=f"law of the hole: Lichtarowicz et al., 1965 (from memory); {build.series.name} in series.toml",
        ),
        place=PLACE,
        used=sizing.target / found,
    )
