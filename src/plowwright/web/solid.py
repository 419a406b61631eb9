"""The solid view: every part's outline and place for the browser to push into depth, and where it is in a pose."""

from __future__ import annotations

from math import radians
from typing import Any

import numpy as np
from starlette.datastructures import QueryParams

from plowwright.blade.build import Build
from plowwright.blade.parts import Link, Part, Place, Solid
from plowwright.blade.poses import Pose, matrices, stretch
from plowwright.errors import EntryError
from plowwright.physics.regions import flatten

LIMITS = {"trip": (0.0, 60.0), "oscillation": (-6.0, 6.0)}
"""What a slider may ask for beside the angle, which has the stops [deg]; assumed, no stop is modelled."""
_CHORD = 4e-4
_FINISH = {"body colour": "body", "frame colour": "frame", "none": "bare"}


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
    stop = float(np.degrees(build.assembly.pivots.angle_stop))
    angle = _degrees(query, "angle", -stop, stop)
    trip = _degrees(query, "trip", *LIMITS["trip"])
    oscillation = _degrees(query, "oscillation", *LIMITS["oscillation"])
    stands = Pose(angle=radians(angle), trip=radians(trip), oscillation=radians(oscillation))
    places = matrices(build.assembly, stands)
    for part in build.parts:
        if part.link and part.link.follows == "both":
            longer = stretch(part.link, build.assembly, stands) / stretch(part.link, build.assembly, Pose())
            places[part.id] = _stretched(places[part.id], part.link, longer)
    said = f"Angle {angle:g} deg, trip {trip:g} deg, oscillation {oscillation:g} deg."
    rounded = {part: [round(value, 7) for value in place] for part, place in places.items()}
    return {"places": rounded, "said": said}


def _stretched(place: list[float], link: Link, longer: float) -> list[float]:
    """A spring's motion with its stretch along its own line at rest, seen from its start."""
    start, end = np.asarray(link.start), np.asarray(link.end)
    along = (end - start) / np.linalg.norm(end - start)
    stretching = np.eye(4)
    stretching[:3, :3] += (longer - 1.0) * np.outer(along, along)
    stretching[:3, 3] = start - stretching[:3, :3] @ start
    moved = np.asarray(place).reshape(4, 4).T @ stretching
    return moved.T.ravel().tolist()


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
