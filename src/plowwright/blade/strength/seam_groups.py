"""The welds of a blade as groups of lines, and what each may carry per length."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade
from plowwright.blade.parts import Part, Weld
from plowwright.blade.strength.members import strength_of
from plowwright.errors import ModelError
from plowwright.physics import welds
from plowwright.physics.joints import Floats, Seam, SeamGroup

Pair = frozenset[str]


@dataclass(frozen=True, kw_only=True, eq=False)
class WeldedJoint:
    """Welds that share one load.

    Attributes:
        name: The joint.
        welds: Its welds.
        group: The same as lines in space [m].
        allowed: What each line may carry per length, weld metal and plate beside it, for daily loads, (lines,) [N/m].
        by_plate: Whether the plate beside a line decides, (lines,).
    """

    name: str
    welds: tuple[Weld, ...]
    group: SeamGroup
    allowed: Floats
    by_plate: tuple[bool, ...]


def by_pair(joints: Iterable[object]) -> Mapping[Pair, tuple[Weld, ...]]:
    """Every weld of a blade by the two parts it joins.

    Args:
        joints: The joints of the blade, of any kind.
    """
    found: dict[Pair, list[Weld]] = {}
    for joint in joints:
        if isinstance(joint, Weld):
            found.setdefault(frozenset(joint.joins), []).append(joint)
    return {pair: tuple(rows) for pair, rows in found.items()}


def welded(name: str, rows: Iterable[Weld], blade: Blade, electrode: float) -> WeldedJoint:
    """Welds as one group of lines.

    Args:
        name: The joint, for messages.
        rows: Its welds.
        blade: The blade.
        electrode: Tensile strength of the weld metal [Pa].

    Raises:
        ModelError: A weld has no length, or a part no tensile strength; it is named.
    """
    kept = tuple(rows)
    seams: list[Seam] = []
    allowed: list[float] = []
    by_plate: list[bool] = []
    for weld in kept:
        metal = welds.fillet_strength(weld.leg, electrode=electrode)
        plate = min(_beside(weld, blade.assembly.part(part_id), blade) for part_id in weld.joins)
        for a, b in weld.lines():
            seams.append(Seam(name=weld.id, start=a, end=b, leg=weld.leg, share=weld.share))
            allowed.append(min(metal, plate))
            by_plate.append(plate < metal)
    return WeldedJoint(
        name=name,
        welds=kept,
        group=SeamGroup(name=name, seams=tuple(seams)),
        allowed=np.array(allowed),
        by_plate=tuple(by_plate),
    )


def thickness(part: Part, blade: Blade) -> float:
    """Thickness of metal at a part's welds: of its plate, wall or leg; a solid bar's own size [m].

    Args:
        part: The part.
        blade: The blade.
    """
    if part.thickness:
        return part.thickness
    stock = blade.rulebook.sections.get(part.stock)
    if stock is None:
        raise ModelError(
            f"no thickness is known of {part.id}, which is welded",
            value=part.stock,
            way_out="Give its stock a wall or a thickness.",
        )
    # A flat's second size is its thickness, a round's its diameter.
    sizes = [size for size in (stock.wall, stock.height, stock.width, stock.diameter) if size]
    return min(sizes)


def _beside(weld: Weld, part: Part, blade: Blade) -> float:
    """What the metal of one part beside one line may carry; two seams on both faces of a plate share it."""
    t = thickness(part, blade)
    stands = part.id == weld.joins[0] and part.thickness > 0 and weld.joint == "tee" and weld.sides == 2
    return welds.plate_shear(t / 2 if stands else t, strength_of(part, blade.rulebook, "tensile"))


def legs_said(joint: WeldedJoint) -> str:
    """The legs of a joint in words."""
    return ", ".join(units.tape(leg) for leg in sorted({weld.leg for weld in joint.welds}))
