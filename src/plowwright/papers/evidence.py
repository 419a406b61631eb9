"""What stands behind a width limit, as one picture: corner strength of a series over its widths against strikes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from plowwright import units
from plowwright.blade.evidence import Evidence, WidthPoint
from plowwright.papers import charts, svg
from plowwright.papers.charts import Band, Curve, Line, Upright
from plowwright.papers.drawing import Picture
from plowwright.units.constants import INCH, LBF

_FORCES: Final[dict[units.System, tuple[str, float]]] = {"us": ("lb", LBF), "metric": ("kN", 1000.0)}
_WIDTHS: Final[dict[units.System, tuple[str, float, float]]] = {"us": ("in", INCH, 12.0), "metric": ("m", 1.0, 0.5)}
_SLANTS: Final = (45.0, -45.0, 90.0)


def width_curves(
    found: Evidence, *, width: float, height: float = 120.0, system: units.System = "us", ruled: Evidence | None = None
) -> Picture:
    """Frame, hub, relief and trip over the width, strikes of carriers behind, the limit upright.

    Args:
        found: A series over its widths.
        width: Width of the picture [mm].
        height: Its height [mm].
        system: Units of the axes.
        ruled: The same by the rules in force, where `found` is a trial.
    """
    unit, newtons = _FORCES[system]
    across, metres, step = _WIDTHS[system]
    points = found.points

    def along(value: float) -> float:
        return value / metres

    def curve(
        name: str, of: Callable[[WidthPoint], float | None], line: Line = "full", run_of: Evidence = found
    ) -> Curve:
        run = ((along(p.width), of(p)) for p in run_of.points)
        return Curve(name=name, points=tuple((x, force / newtons) for x, force in run if force is not None), line=line)

    lines = [
        curve("frame first yields", lambda p: p.first_yield),
        curve("frame folds up", lambda p: p.plastic, "broken"),
        curve("hub first yields", lambda p: p.hub, "thin"),
        curve("trip, new edge", lambda p: p.trip.low, "marked"),
        curve("relief lifts", lambda p: p.relief.likely if p.relief else None, "dotted"),
    ]
    if ruled is not None and ruled.on_trial != found.on_trial:
        lines.append(curve("first yield as ruled", lambda p: p.first_yield, "thin broken", ruled))
    bands = [
        Band(
            name=f"strike of {name}",
            low=span.low / newtons,
            high=span.high / newtons,
            likely=span.likely / newtons,
            slant=slant,
        )
        for (name, span), slant in zip(found.strikes.items(), _SLANTS, strict=False)
    ]
    moved = ruled is not None and abs(ruled.limit - found.limit) > 1e-6
    limits = [Upright(name="limit on trial" if moved else "limit of the rules", at=along(found.limit))]
    if ruled is not None and moved:
        limits.append(Upright(name="limit of the rules", at=along(ruled.limit)))
    first, last = along(points[0].width), along(points[-1].width)
    marks = charts.ticks(first, last) if len(points) < 2 else _steps(first, last, step)
    return charts.curves(
        width=width,
        height=height,
        along=f"width, {across}",
        up=f"strike at the corner, {unit}",
        lines=[line for line in lines if line.points],
        bands=bands,
        uprights=limits,
        along_ticks=marks,
    )


def _steps(first: float, last: float, step: float) -> list[float]:
    low, high = int(first // step), int(-(-last // step))
    return [step * i for i in range(low, high + 1)]


def as_svg(found: Evidence, *, system: units.System = "us", ruled: Evidence | None = None) -> bytes:
    """The picture as a file.

    Args:
        found: A series over its widths.
        system: Units of the axes.
        ruled: The same by the rules in force, where `found` is a trial.
    """
    picture = width_curves(found, width=200.0, height=130.0, system=system, ruled=ruled)
    trial = f", {found.on_trial} on trial" if found.on_trial else ""
    return svg.write(picture, title=f"{found.name}: corner strength over width{trial}").encode()


def compared(ruled: Evidence, trial: Evidence) -> list[str]:
    """What a trial does to the margin at the width limit, in sentences: it grows, shrinks, appears or disappears.

    Args:
        ruled: The series by the rules in force.
        trial: The same with something on trial.
    """
    a, b = _at_limit(ruled), _at_limit(trial)
    lines = [
        f"First yield at the width limit: {_force(a.first_yield)} at {units.tape(a.width)} by the rules in force, "
        f"{_force(b.first_yield)} at {units.tape(b.width)} on trial; first to yield {_first(a.yields, b.yields)}."
    ]
    for (name, before), after in zip(ruled.strikes.items(), trial.strikes.values(), strict=False):
        was, now = a.first_yield - before.likely, b.first_yield - after.likely
        lines.append(f"Strike of {name}, {_force(after.likely)} likely: {_moved(was, now)}.")
    return lines


def _at_limit(found: Evidence) -> WidthPoint:
    return min(found.points, key=lambda point: abs(point.width - found.limit))


def _first(before: str, after: str) -> str:
    return f"is the {after} in both" if before == after else f"was the {before} and is the {after}"


def _moved(was: float, now: float) -> str:
    """A margin before and after, in words."""
    if was < 0 <= now:
        return f"{_force(-was)} were short, a margin of {_force(now)} appears"
    if now < 0 <= was:
        return f"the margin of {_force(was)} disappears, {_force(-now)} are short"
    if now < 0:
        return f"{_force(-was)} were short, {_force(-now)} are"
    return f"the margin goes from {_force(was)} to {_force(now)}"


def _force(value: float) -> str:
    return units.say(value, "force")
