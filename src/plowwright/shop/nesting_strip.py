"""A sheet laid anew by spyrrow, which packs true shapes into a strip of the sheet's width as short as it can.

It knows no openings: a piece that lies in another's opening stays there and goes with it, at the angle it has.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, degrees, pi
from typing import TYPE_CHECKING

import shapely
from shapely import affinity

from plowwright.shop.nesting_fill import Bed, Ground, Item, Laid
from plowwright.shop.nesting_model import Sheet
from plowwright.shop.nesting_shapes import Posed

if TYPE_CHECKING:
    from spyrrow import StripPackingSolution


@dataclass(frozen=True, kw_only=True)
class Block:
    """A piece with those that lie in its openings.

    Attributes:
        item: The piece.
        poses: The angles it may lie at, one where it holds others.
        guests: What lies in its openings, places from its own least corner.
    """

    item: Item
    poses: tuple[Posed, ...]
    guests: tuple[Laid, ...] = ()


def hosts(bed: Bed) -> dict[int, int]:
    """Which piece lies in an opening of which, both by place in the bed's list; the innermost where several hold it.

    Args:
        bed: The sheet.
    """
    there = [affinity.translate(lay.pose.polygon, lay.x, lay.y) for lay in bed.laid]
    holed = [at for at, lay in enumerate(bed.laid) if lay.pose.polygon.interiors]
    found: dict[int, int] = {}
    for at, shape in enumerate(there):
        spot = shape.representative_point()
        around = [
            h for h in holed
            if h != at and any(shapely.Polygon(ring).contains(spot) for ring in there[h].interiors)
        ]  # fmt: skip
        if around:
            found[at] = min(around, key=lambda h: bed.laid[h].item.area)
    return found


def blocks(bed: Bed) -> list[Block]:
    """The bed's pieces as blocks that spyrrow can lay.

    Args:
        bed: The sheet.
    """
    inside = hosts(bed)
    outermost: dict[int, int] = {}
    for at in range(len(bed.laid)):
        top = at
        while top in inside:
            top = inside[top]
        outermost[at] = top
    guests: dict[int, list[Laid]] = defaultdict(list)
    for at, top in outermost.items():
        if at != top:
            lay, host = bed.laid[at], bed.laid[top]
            guests[top].append(Laid(item=lay.item, pose=lay.pose, x=lay.x - host.x, y=lay.y - host.y))
    return [
        Block(item=lay.item, poses=(lay.pose,) if at in guests else lay.item.poses, guests=tuple(guests[at]))
        for at, lay in enumerate(bed.laid)
        if outermost[at] == at
    ]


def single(items: Sequence[Item]) -> list[Block]:
    """Pieces that lie by themselves.

    Args:
        items: The pieces.
    """
    return [Block(item=item, poses=item.poses) for item in items]


def lay_strip(
    ground: Ground, sheet: Sheet, what: Sequence[Block], *, seconds: float, seed: int, across: bool
) -> Bed | None:
    """A sheet with all blocks as tight as they go, None where they do not fit on it.

    Args:
        ground: What all sheets have in common.
        sheet: The sheet.
        what: The blocks.
        seconds: Time given, rounded up to whole ones [s].
        seed: Start of its random numbers [-].
        across: Whether they are pushed to the sheet's long side and not to its short one.
    """
    import spyrrow  # a compiled library, read only when a nest is made

    length, width = ground.field(sheet)
    high, far = (length, width) if across else (width, length)
    turn_by = 90.0 if across else 0.0
    items: list[spyrrow.Item] = []
    groups: dict[tuple[object, ...], list[Block]] = defaultdict(list)
    for block in what:
        alone = block.item.number if block.guests else -1
        groups[block.item.poses[0].key, tuple(p.turn for p in block.poses), alone].append(block)
    named = {str(at): group for at, group in enumerate(groups.values())}
    for name, group in named.items():
        pose = group[0].poses[0]
        angles = [degrees(p.turn - pose.turn) + turn_by for p in group[0].poses]
        corners = [(x, y) for x, y, *_ in pose.polygon.exterior.coords]
        items.append(spyrrow.Item(name, corners, len(group), angles))
    config = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=max(1, ceil(seconds)), num_workers=1, seed=seed
    )
    found = spyrrow.StripPackingInstance("sheet", strip_height=high, items=items).solve(config)
    if found.width > far:
        return None
    return _bed(ground, sheet, found, named, turn_by=turn_by)


def _bed(
    ground: Ground, sheet: Sheet, found: StripPackingSolution, named: dict[str, list[Block]], *, turn_by: float
) -> Bed | None:
    """The strip as a sheet, None where its rounding lets two pieces overlap or one stick out."""
    bed = Bed(ground=ground, sheet=sheet)
    length, width = ground.field(sheet)
    left = {name: list(group) for name, group in named.items()}
    for placed in found.placed_items:
        block = left[placed.id].pop()
        turn = (placed.rotation - turn_by) * pi / 180
        first = block.poses[0]
        pose = min(block.poses, key=lambda p: abs(_round_trip(p.turn - first.turn - turn)))
        # Where the first pose's own corner went, and from there where the turned shape's least corner lies.
        x, y = placed.translation
        if turn_by:
            x, y = y, found.width - x
        turned = affinity.rotate(first.polygon, degrees(pose.turn - first.turn), origin=(0.0, 0.0))
        low_x, low_y, _, _ = turned.bounds
        lay = Laid(item=block.item, pose=pose, x=max(0.0, x + low_x), y=max(0.0, y + low_y))
        if lay.x + pose.length > length or lay.y + pose.width > width or bed.clashes(lay):
            return None
        bed.put(lay)
        for guest in block.guests:
            bed.put(Laid(item=guest.item, pose=guest.pose, x=lay.x + guest.x, y=lay.y + guest.y))
    return bed


def _round_trip(angle: float) -> float:
    """The angle between minus half and half a turn."""
    return (angle + pi) % (2 * pi) - pi
