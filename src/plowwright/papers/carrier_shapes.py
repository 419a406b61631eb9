"""Plain outlines of carriers by kind, drawn by ourselves from a handful of sizes: they show where a carrier stands.

Axes: x ahead of the front axle, z above the ground, y to the left, all in metres. What is not known of a machine is
drawn in the usual proportions of its kind and says so where the picture stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, sin
from typing import Any, Final, Literal

import shapely

from plowwright.papers.outlines import Point

Piece = Literal["body", "cab", "glass", "wheel", "hub", "track", "arm", "seat"]
TRACKED: Final = ("tracked loader", "compact loader")
"""Kinds that stand on tracks."""
_ARM_HALF: Final = 0.07
_ROUND: Final = 24


@dataclass(frozen=True, kw_only=True)
class Frame:
    """The sizes an outline is drawn from.

    Attributes:
        kind: Kind of carrier.
        wheelbase: Axle to axle, or the tracks' length on the ground [m].
        front_radius: Of the front tyres [m].
        rear_radius: Of the rear tyres [m].
        height: Over all [m].
        width: Over tyres or tracks [m].
    """

    kind: str
    wheelbase: float
    front_radius: float
    rear_radius: float
    height: float
    width: float


@dataclass(frozen=True, kw_only=True)
class Shape:
    """One outline of a carrier.

    Attributes:
        piece: What it is.
        ring: Its corners [m].
    """

    piece: Piece
    ring: tuple[Point, ...]


Shares = Sequence[tuple[float, float]]
# Corners as shares of the wheelbase (x) and of the height (z).
_LOADER_TUB: Shares = (
    (0.28, 0.13), (0.30, 0.30), (-0.05, 0.44), (-1.10, 0.47), (-1.30, 0.60), (-1.80, 0.58), (-1.86, 0.52),
    (-1.80, 0.17), (-0.10, 0.12),
)  # fmt: skip
_LOADER_CAB: Shares = (
    (0.20, 0.34), (0.04, 0.97), (-0.02, 1.0), (-0.86, 1.0), (-0.98, 0.95), (-1.04, 0.47), (-0.05, 0.44)
)  # fmt: skip
_LOADER_UPRIGHT: Shares = ((-1.22, 0.56), (-1.36, 0.88), (-1.60, 0.88), (-1.66, 0.56))
_LOADER_GLASS: Shares = ((0.04, 0.50), (-0.06, 0.92), (-0.80, 0.92), (-0.86, 0.52))
_STAND_ON: Shares = (
    (0.16, 0.20), (0.18, 0.50), (-0.12, 0.68), (-0.80, 0.76), (-0.98, 1.0), (-1.14, 0.98), (-1.10, 0.70),
    (-1.12, 0.22),
)  # fmt: skip
_STEP: Shares = ((-1.10, 0.13), (-1.10, 0.17), (-1.58, 0.17), (-1.58, 0.13))
_HOOD: Shares = (
    (0.30, 0.28), (0.32, 0.50), (0.22, 0.56), (-0.52, 0.60), (-0.56, 0.34), (-0.10, 0.26)
)  # fmt: skip
_GEARBOX: Shares = ((-0.50, 0.24), (-0.52, 0.52), (-0.80, 0.56), (-1.22, 0.54), (-1.24, 0.36), (-1.05, 0.26))
_TRACTOR_CAB: Shares = ((-0.56, 0.56), (-0.62, 0.98), (-0.68, 1.0), (-1.12, 1.0), (-1.18, 0.96), (-1.24, 0.56))
_TRACTOR_GLASS: Shares = ((-0.62, 0.60), (-0.67, 0.94), (-1.11, 0.94), (-1.17, 0.60))
_LOADER_POST: Shares = ((-0.20, 0.30), (-0.26, 0.62), (-0.38, 0.62), (-0.36, 0.30))
_WHEEL_REAR: Shares = (
    (-0.52, 0.24), (-0.50, 0.50), (-0.84, 0.56), (-1.34, 0.54), (-1.40, 0.46), (-1.38, 0.24), (-1.10, 0.20)
)  # fmt: skip
_WHEEL_FRONT: Shares = (
    (-0.56, 0.30), (-0.56, 0.42), (-0.40, 0.46), (-0.26, 0.62), (-0.12, 0.60), (0.14, 0.32), (0.12, 0.20)
)  # fmt: skip
_WHEEL_CAB: Shares = ((-0.46, 0.46), (-0.50, 0.97), (-0.54, 1.0), (-0.86, 1.0), (-0.92, 0.96), (-0.94, 0.52))
_WHEEL_GLASS: Shares = ((-0.52, 0.58), (-0.55, 0.93), (-0.85, 0.93), (-0.88, 0.60))
_LOADER: tuple[tuple[Piece, Shares], ...] = (
    ("body", _LOADER_UPRIGHT), ("body", _LOADER_TUB), ("cab", _LOADER_CAB), ("glass", _LOADER_GLASS)
)  # fmt: skip
_SIDES: Final[dict[str, tuple[tuple[Piece, Shares], ...]]] = {
    "skid steer": _LOADER,
    "tracked loader": _LOADER,
    "compact loader": (("seat", _STEP), ("body", _STAND_ON)),
    "tractor": (
        ("body", _HOOD), ("body", _GEARBOX), ("cab", _TRACTOR_CAB), ("glass", _TRACTOR_GLASS), ("body", _LOADER_POST)
    ),
    "wheel loader": (
        ("body", _WHEEL_REAR), ("cab", _WHEEL_CAB), ("glass", _WHEEL_GLASS), ("body", _WHEEL_FRONT)
    ),
}  # fmt: skip
_ARMS: Final[dict[str, tuple[tuple[float, float], tuple[float, float]]]] = {
    "skid steer": ((-1.50, 0.84), (0.30, 0.62)),
    "tracked loader": ((-1.50, 0.84), (0.30, 0.62)),
    "compact loader": ((-0.98, 0.84), (0.20, 0.66)),
    "tractor": ((-0.31, 0.60), (0.26, 0.50)),
    "wheel loader": ((-0.22, 0.60), (0.24, 0.46)),
}
"""Pivot and knee of the lift arm, as shares of wheelbase and height [-]."""


def _ring(frame: Frame, shares: Shares) -> tuple[Point, ...]:
    return tuple((x * frame.wheelbase, z * frame.height) for x, z in shares)


def _disc(centre: Point, radius: float) -> Any:
    return shapely.Point(centre).buffer(radius, quad_segs=_ROUND)


def _corners(area: Any) -> tuple[Point, ...]:
    return tuple((float(x), float(z)) for x, z in area.exterior.coords[:-1])


def side_shapes(frame: Frame) -> list[Shape]:
    """The carrier from its left, without its lift arm; what lies behind comes first.

    Args:
        frame: Its sizes.
    """
    kind = frame.kind if frame.kind in _SIDES else "tractor"
    body = [Shape(piece=piece, ring=_ring(frame, shares)) for piece, shares in _SIDES[kind]]
    return [*body, *_running_gear(frame)]


def _running_gear(frame: Frame) -> list[Shape]:
    long, front, rear = frame.wheelbase, frame.front_radius, frame.rear_radius
    if frame.kind in TRACKED:
        roller = 0.62 * front
        wheels = [(0.0, roller), (-long, roller)]
        raised = (-0.86 * long, 1.35 * front)
        loop = shapely.MultiPolygon([*(_disc(w, roller) for w in wheels), _disc(raised, 0.8 * roller)]).convex_hull
        inner = loop.buffer(-0.14 * front)
        hubs = [Shape(piece="hub", ring=_corners(_disc(w, 0.62 * roller))) for w in (*wheels, raised)]
        return [
            Shape(piece="track", ring=_corners(loop)), Shape(piece="hub", ring=_corners(inner)), *hubs
        ]  # fmt: skip
    found: list[Shape] = []
    for at, radius in (((0.0, front), front), ((-long, rear), rear)):
        found.append(Shape(piece="wheel", ring=_corners(_disc(at, radius))))
        found.append(Shape(piece="hub", ring=_corners(_disc(at, 0.55 * radius))))
    return found


def arm_shape(frame: Frame, pins: Point, *, rest: Point) -> Shape:
    """The lift arm from its pivot over its knee to the loader pins.

    Args:
        frame: Sizes of the carrier.
        pins: Where the pins are now [m].
        rest: Where they are with the blade carried low, for which the knee is drawn [m].
    """
    pivot, knee = (
        (x * frame.wheelbase, z * frame.height) for x, z in _ARMS.get(frame.kind, _ARMS["tractor"])
    )
    turned = _turned(pivot, knee, rest, pins)
    line = shapely.LineString([pivot, turned, pins])
    return Shape(piece="arm", ring=_corners(line.buffer(_ARM_HALF, quad_segs=4, join_style="mitre", cap_style="flat")))


def _turned(pivot: Point, knee: Point, rest: Point, pins: Point) -> Point:
    """The knee turned about the pivot as the pins turned, and drawn out as they were."""
    ax, az, bx, bz = rest[0] - pivot[0], rest[1] - pivot[1], pins[0] - pivot[0], pins[1] - pivot[1]
    turn, out = atan2(bz, bx) - atan2(az, ax), hypot(bx, bz) / max(hypot(ax, az), 1e-6)
    x, z = knee[0] - pivot[0], knee[1] - pivot[1]
    return (
        pivot[0] + out * (x * cos(turn) - z * sin(turn)),
        pivot[1] + out * (x * sin(turn) + z * cos(turn)),
    )


def plan_shapes(frame: Frame, *, back: float, front: float) -> list[Shape]:
    """The carrier from above as (y, x) rings, cut off behind: tyres or tracks, body, and both lift arms.

    Args:
        frame: Its sizes.
        back: Where it is cut off, behind the front axle [m].
        front: Where the lift arms end, ahead of the front axle [m].
    """
    half = frame.width / 2
    tracked = frame.kind in TRACKED
    tread = (0.22 if tracked else 0.17 if frame.kind != "tractor" else 0.15) * frame.width
    inner = half - tread

    def box(y0: float, y1: float, x0: float, x1: float) -> tuple[Point, ...]:
        return ((y0, x0), (y1, x0), (y1, x1), (y0, x1))

    shapes: list[Shape] = []
    radius = frame.front_radius
    for sign in (1.0, -1.0):
        near, far = sorted((sign * inner, sign * half))
        ahead = 0.62 * radius if tracked else radius
        behind = -back if tracked else max(-back, -radius)
        shapes.append(Shape(piece="track" if tracked else "wheel", ring=box(near, far, behind, ahead)))
    nose = {"tractor": 0.32, "wheel loader": 0.12}.get(frame.kind, 0.28) * frame.wheelbase
    body = (0.42 if frame.kind == "tractor" else 0.92) * inner
    shapes.append(Shape(piece="body", ring=box(-body, body, -back, nose)))
    arm = min(0.28, 0.55 * inner) if frame.kind == "wheel loader" else inner
    for sign in (1.0, -1.0):
        near, far = sorted((sign * (arm - 0.11), sign * arm))
        shapes.append(Shape(piece="arm", ring=box(near, far, max(-back, -0.35 * frame.wheelbase), front)))
    return shapes
