"""What cylinder, block, hoses and couplers see against what they are rated for; the rod side is intensified."""

from __future__ import annotations

from collections.abc import Sequence

from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import Fact
from plowwright.blade.moving import judging
from plowwright.blade.moving.results import PressureRow
from plowwright.blade.moving.supplies import Supplied
from plowwright.blade.spans import Span
from plowwright.findings import Basis, Finding
from plowwright.physics.circuits import Cylinder, Supply
from plowwright.rulebook.settings import Setting
from plowwright.rulebook.swing import Swing

PARTS = ("cylinder", "valve block", "hoses", "couplers")


def ratings(build: Build, rules: Swing, given: dict[str, float] | None = None) -> dict[str, tuple[float, str]]:
    """Working pressure of each part and where it comes from: plumbing, the bought part, else swing.toml.

    Args:
        build: The blade.
        rules: swing.toml.
        given: What plumbing says, by part, or None [Pa].
    """
    settings: dict[str, Setting[float]] = {
        "cylinder": rules.ratings.cylinder,
        "valve block": rules.ratings.valve_block,
        "hoses": rules.ratings.hoses,
        "couplers": rules.ratings.couplers,
    }
    found = {name: (setting.value, f"{setting.note} ({setting.rests_on})") for name, setting in settings.items()}
    bought = {"cylinder": build.datum.cylinder.cylinder, "valve block": build.series.valve_block}
    for name, key in bought.items():
        own = build.rulebook.bought[key].rated
        if own is not None:
            found[name] = (own, f"{key} in bought.toml")
    for name, pressure in (given or {}).items():
        found[name] = (pressure, "plumbing of this blade")
    return found


def blocked_pressure(cylinder: Cylinder, supplies: Sequence[Supply]) -> Span:
    """Pressure on the rod side when the rod is driven out against a blocked return: p A_cap / A_rod.

    Args:
        cylinder: The cylinder.
        supplies: Weakest, likely and strongest.

    Returns:
        Pressure [Pa].

    Source: statics.
    """
    low, likely, high = (s.relief * cylinder.ratio for s in supplies)
    return Span(low=low, likely=likely, high=high)


def rows(
    cylinder: Cylinder, supplies: Sequence[Supply], supply: Supplied | None, rated: dict[str, tuple[float, str]]
) -> tuple[PressureRow, ...]:
    """Each part against its rating, at work and with the rod side blocked.

    Args:
        cylinder: The cylinder.
        supplies: Weakest, likely and strongest.
        supply: The carrier's outlets, or None on the test pack.
        rated: Working pressures and where they come from [Pa].
    """
    low, likely, high = (s.relief for s in supplies)
    working, blocked = Span(low=low, likely=likely, high=high), blocked_pressure(cylinder, supplies)
    facts: tuple[Fact, ...] = () if supply is None else (supply.pressure,)
    return tuple(
        PressureRow(
            part=part,
            rated=rated[part][0],
            from_=rated[part][1],
            working=working,
            blocked=blocked,
            finding=_finding(part, working, blocked, rated[part], cylinder, facts),
        )
        for part in PARTS
    )


def _finding(
    part: str, working: Span, blocked: Span, rated: tuple[float, str], cylinder: Cylinder, facts: Sequence[Fact]
) -> Finding:
    limit, source = rated
    supply = "the shop's test pack" if not facts else facts[0].said()
    basis = Basis(
        kind="handbook",
        formula="rod side = relief x cap area / rod-side area when its return is blocked",
        inputs={
            "relief": supply,
            "cap area over rod-side area": f"{cylinder.ratio:.3f}",
            "rated": f"{judging.pressure(limit)}: {source}",
        },
        source="statics; ratings as named",
    )
    at_work = judging.span_said(working, judging.pressure)
    over = working.likely <= limit < blocked.likely
    because = f"{at_work} at work; a coupler not pushed home blocks the return and raises the rod side to the rest"
    if over:
        because += f": fit one rated {judging.pressure(blocked.high)} there, or a carrier of lower relief"
    return judging.judged(
        blocked, limit, say=judging.pressure, title=f"pressure on the rod side, {part}", basis=basis, place=part,
        facts=facts, because=because,
    )  # fmt: skip
