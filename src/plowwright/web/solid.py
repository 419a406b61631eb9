"""The solid view: every part's outline and place for the browser to push into depth, and where it is in a pose."""

from __future__ import annotations

from math import degrees, isfinite, radians
from typing import Any

from starlette.datastructures import QueryParams

from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.blade.poses import Pose, drawn_out
from plowwright.blade.shapes import Place, Solid
from plowwright.errors import EntryError
from plowwright.physics.regions import flatten

FREE = {"trip": 60.0, "oscillation": 6.0}
"""How far a slider goes where the model has no stop for it [deg]; assumed."""
_CHORD = 4e-4
_FINISH = {"body colour": "body", "frame colour": "frame", "none": "bare"}


def limits(build: Build) -> dict[str, tuple[float, float]]:
    """From where to where the blade angles, trips and rolls: between its stops [deg].

    Args:
        build: The blade.
    """
    pivots = build.assembly.pivots
    angle = degrees(pivots.angle_stop)
    trip = min(degrees(pivots.trip_stop), FREE["trip"])
    roll = degrees(pivots.oscillation_stop)
    roll = roll if isfinite(roll) else FREE["oscillation"]
    return {"angle": (-angle, angle), "trip": (0.0, trip), "oscillation": (-roll, roll)}


def shapes(build: Build) -> dict[str, Any]:
    """Every part at rest: outlines with holes [m], where they start and end, and the place they are pushed from."""
    return {
        "parts": [
            {"id": part.id, "finish": _FINISH[part.finish], "solids": [_solid(part, s) for s in part.solids]}
            for part in build.parts
            if part.group != "packing"
        ]
    }


def _solid(part: Part, solid: Solid) -> dict[str, Any]:
    place: Place = solid.place or part.place
    loops = (solid.region.outer, *solid.region.inner)
    return {
        "loops": [[[round(u, 5), round(v, 5)] for u, v in flatten(loop, _CHORD)] for loop in loops],
        "start": [solid.start, *solid.start_slope],
        "end": [solid.end, *solid.end_slope],
        "place": [*place.u, 0.0, *place.v, 0.0, *place.w, 0.0, *place.origin, 1.0],
    }


def pose(build: Build, query: QueryParams) -> dict[str, Any]:
    """Where every part is, as a matrix from its place at rest, column by column.

    Args:
        build: The blade.
        query: Angle, trip and oscillation [deg], each 0 where it is left out.

    Raises:
        EntryError: Not a number, or beyond a stop.
    """
    angle, trip, oscillation = (_degrees(query, name, *ends) for name, ends in limits(build).items())
    stands = Pose(angle=radians(angle), trip=radians(trip), oscillation=radians(oscillation))
    motion = drawn_out(build.assembly, stands)
    places: dict[str, list[float]] = {}
    for part in build.parts:
        x, y, z, o = motion(part)
        places[part.id] = [*x, 0.0, *y, 0.0, *z, 0.0, *o, 1.0]
    said = f"Angle {angle:g} deg, trip {trip:g} deg, oscillation {oscillation:g} deg."
    rounded = {part: [round(value, 7) for value in place] for part, place in places.items()}
    return {"places": rounded, "said": said}


def _degrees(query: QueryParams, name: str, least: float, most: float) -> float:
    given = query.get(name, "0")
    try:
        value = float(given)
    except ValueError as fault:
        raise EntryError(f"{name} is a number of degrees", value=given, way_out=f"Write {name}=10.") from fault
    if not least - 1e-6 <= value <= most + 1e-6:
        raise EntryError(
            f"{name} is beyond its stop", value=f"{value:g} deg", limit=f"{least:g} to {most:g} deg",
            way_out="Stay between the stops.",
        )  # fmt: skip
    return value
