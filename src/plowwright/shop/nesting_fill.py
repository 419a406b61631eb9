"""One sheet being filled: each piece goes where it leaves the most, found from where it may not lie.

Places are those of grown shapes, from the corner of what is left of the sheet when its edge is taken off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import shapely
from shapely import affinity

from plowwright.shop.nesting_model import Box, Outline, Rest, RestRule, Sheet
from plowwright.shop.nesting_shapes import Floats, Posed, Shapes

Lean = Literal["along", "across", "together"]
"""Which way pieces are pushed: to the short side, to the long side, or so that the rests stay large."""
_SLACK = 2e-6
_OVERLAP = 1e-6
"""How deep two grown shapes may lie in each other, less than the hair left off each [m]."""


@dataclass(frozen=True, kw_only=True)
class Item:
    """A piece to be laid.

    Attributes:
        number: Place in the list of pieces [-].
        outline: The piece.
        poses: Its grown shape at each angle.
        area: Area of the grown shape [m2].
    """

    number: int
    outline: Outline
    poses: tuple[Posed, ...]
    area: float

    @property
    def reach(self) -> float:
        """Its longer extent [m]."""
        return max(self.poses[0].length, self.poses[0].width)


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A piece with its place.

    Attributes:
        item: The piece.
        pose: The angle it lies at.
        x: Least x of the grown shape [m].
        y: Least y of the grown shape [m].
    """

    item: Item
    pose: Posed
    x: float
    y: float


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What all sheets of a stock have in common.

    Attributes:
        shapes: The shapes and what is known about pairs of them.
        gap: Between two pieces [m].
        edge: Between a piece and the sheet's edge [m].
        rule: Which rests are kept [-].
    """

    shapes: Shapes
    gap: float
    edge: float
    rule: RestRule

    @property
    def shift(self) -> float:
        """From the corner of the grown field to the sheet's corner [m]."""
        return self.edge - self.gap / 2

    def field(self, sheet: Sheet) -> tuple[float, float]:
        """Length and width in which grown shapes lie [m].

        Args:
            sheet: The sheet.
        """
        return sheet.length - 2 * self.shift + _SLACK, sheet.width - 2 * self.shift + _SLACK


class Bed:
    """A sheet with the pieces laid so far; it fills up as it is used."""

    def __init__(self, *, ground: Ground, sheet: Sheet) -> None:
        """An empty sheet.

        Args:
            ground: What all sheets have in common.
            sheet: The sheet.
        """
        self.ground = ground
        self.sheet = sheet
        self.laid: list[Laid] = []
        self._free: dict[int, tuple[int, Any]] = {}
        self._far = (0.0, 0.0)

    def copy(self) -> Bed:
        """A copy that can be filled further by itself."""
        twin = Bed(ground=self.ground, sheet=self.sheet)
        twin.laid, twin._free, twin._far = [*self.laid], {**self._free}, self._far
        return twin

    @property
    def area(self) -> float:
        """Area of the grown shapes on it [m2]."""
        return sum(lay.item.area for lay in self.laid)

    @property
    def far(self) -> tuple[float, float]:
        """Greatest x and y of the grown shapes [m]."""
        return self._far

    def put(self, lay: Laid) -> None:
        """Lay a piece.

        Args:
            lay: The piece and its place.
        """
        self.laid.append(lay)
        self._far = (max(self._far[0], lay.x + lay.pose.length), max(self._far[1], lay.y + lay.pose.width))

    def try_put(self, item: Item, lean: Lean) -> bool:
        """Lay a piece where it goes best, if it goes anywhere.

        Args:
            item: The piece.
            lean: Which way pieces are pushed.
        """
        best: tuple[tuple[float, ...], Laid] | None = None
        for pose in item.poses:
            spot = self._spot(pose, lean)
            if spot is not None and (best is None or spot[0] < best[0]):
                best = spot[0], Laid(item=item, pose=pose, x=spot[1][0], y=spot[1][1])
        if best is None or self.clashes(best[1]):
            return False
        self.put(best[1])
        return True

    def fill(self, items: Sequence[Item], lean: Lean) -> list[Item]:
        """Lay all pieces that find room, one after another; those that find none are handed back.

        Args:
            items: Pieces in order.
            lean: Which way pieces are pushed.
        """
        return [item for item in items if not self.try_put(item, lean)]

    def _spot(self, pose: Posed, lean: Lean) -> tuple[tuple[float, ...], tuple[float, float]] | None:
        points = shapely.get_coordinates(self._room(pose))
        if len(points) == 0:
            return None
        xs, ys = points[:, 0], points[:, 1]
        more_x = np.maximum(0.0, xs + pose.length - self._far[0])
        more_y = np.maximum(0.0, ys + pose.width - self._far[1])
        if lean == "along":
            keys = (np.round(more_x, 6), np.round(xs, 6), ys)
        elif lean == "across":
            keys = (np.round(more_y, 6), np.round(ys, 6), xs)
        else:
            far_x, far_y = self._far[0] + more_x, self._far[1] + more_y
            keys = (-self._kept(far_x, far_y), np.round(far_x * far_y, 6), np.round(xs + ys, 6), xs)
        at = int(np.lexsort(keys[::-1])[0])
        return tuple(float(k[at]) for k in keys), (float(xs[at]), float(ys[at]))

    def _kept(self, far_x: Floats, far_y: Floats) -> Floats:
        """Area of the rests that are left when the pieces reach so far."""
        start, least = self.ground.shift + self.ground.gap / 2, self.ground.rule.least
        length, width = self.sheet.length, self.sheet.width
        x, y = np.minimum(far_x + start, length), np.minimum(far_y + start, width)

        def area(a: Floats | float, b: Floats | float) -> Floats:
            return np.asarray(a * b * (np.minimum(a, b) >= least), dtype=np.float64)

        beside = area(length - x, width) + area(x, width - y)
        above = area(length, width - y) + area(length - x, y)
        kept: Floats = np.maximum(beside, above)
        return np.round(kept, 6)

    def _room(self, pose: Posed) -> Any:
        """Where the least corner of a shape may lie."""
        seen, room = self._free.get(pose.key, (0, None))
        if room is None:
            length, width = self.ground.field(self.sheet)
            spare = length - pose.length, width - pose.width
            room = shapely.Polygon() if min(spare) < 0 else shapely.box(0.0, 0.0, *spare)
        if not room.is_empty and seen < len(self.laid):
            low_x, low_y, high_x, high_y = room.bounds
            # A piece too far off to bar anything of what is still free is passed over.
            near = [
                lay for lay in self.laid[seen:]
                if lay.x - pose.length < high_x and lay.x + lay.pose.length > low_x
                and lay.y - pose.width < high_y and lay.y + lay.pose.width > low_y
            ]  # fmt: skip
            if near:
                away = np.array([self.ground.shapes.barred(lay.pose, pose) for lay in near])
                points, of = shapely.get_coordinates(away, return_index=True)
                points += np.array([(lay.x, lay.y) for lay in near])[of]
                moved = shapely.set_coordinates(away, points)
                room = shapely.difference(room, moved[0] if len(near) == 1 else shapely.union_all(moved))
        self._free[pose.key] = (len(self.laid), room)
        return room

    def clashes(self, lay: Laid) -> bool:
        """Whether a piece overlaps one that lies: rounding of the places, seen seldom and never let through.

        Args:
            lay: The piece and its place.
        """
        mine = affinity.translate(lay.pose.polygon, lay.x, lay.y)
        for other in self.laid:
            if (
                other.x < lay.x + lay.pose.length and other.x + other.pose.length > lay.x
                and other.y < lay.y + lay.pose.width and other.y + other.pose.width > lay.y
            ):  # fmt: skip
                there = affinity.translate(other.pose.polygon, other.x, other.y)
                if mine.intersection(there).area > _OVERLAP * (lay.pose.length + lay.pose.width):
                    return True
        return False

    def rests(self) -> tuple[Rest, ...]:
        """The rectangles worth keeping: beside the pieces and above them, cut whichever way is worth more."""
        ground, sheet = self.ground, self.sheet
        start = ground.shift + ground.gap / 2
        x, y = (min(side, far + start) for side, far in zip((sheet.length, sheet.width), self._far, strict=True))
        ways: list[tuple[Box, Box]] = [
            ((x, 0.0, sheet.length, sheet.width), (0.0, y, x, sheet.width)),
            ((0.0, y, sheet.length, sheet.width), (x, 0.0, sheet.length, y)),
        ]
        kept: list[tuple[Rest, ...]] = []
        for way in ways:
            rests = (Rest(box=b, worth=ground.rule.worth(b[2] - b[0], b[3] - b[1], sheet)) for b in way)
            kept.append(tuple(r for r in rests if r.worth > 0))
        return max(kept, key=lambda rests: sum(r.worth for r in rests))

    @property
    def cost(self) -> float:
        """Price less the worth of its rests [money]."""
        return self.sheet.price - sum(r.worth for r in self.rests())
