"""Cross-sections and steel of the parts, as strength counts them: design wall for A500 tubes, nominal for the rest.

A bar's section stands as its part has it: local y along the part's u axis, local z along its v axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import Final, Literal

from plowwright.blade.parts import Part
from plowwright.blade.shapes import Vec
from plowwright.errors import ModelError
from plowwright.physics import sections
from plowwright.physics.materials import STEEL_YOUNG
from plowwright.physics.sections import StrengthSection
from plowwright.rulebook.reading import Rulebook


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """What a member is made of.

    Attributes:
        name: Material or grade by the rulebook's name.
        yield_strength: Stress at yield [Pa]; infinite for links that stand for no metal.
    """

    name: str
    yield_strength: float


STIFF: Final = Metal(name="link", yield_strength=inf)
"""Stands for what is much stiffer than the beams around it."""


def strength_of(part: Part, rulebook: Rulebook, kind: Literal["yield", "tensile"]) -> float:
    """Yield or tensile strength of a part [Pa].

    Args:
        part: The part.
        rulebook: The rules in force.
        kind: Which of the two.

    Raises:
        ModelError: The rulebook gives none for its material.
    """
    entry = rulebook.materials.get(part.material)
    found = None if entry is None else entry.yield_strength if kind == "yield" else entry.tensile_strength
    if found is None:
        raise ModelError(
            f"no {kind} strength for {part.id}",
            value=part.material,
            where="materials.toml",
            way_out=f"Give this material a {kind}_strength and its source.",
        )
    return found


def metal(part: Part, rulebook: Rulebook) -> Metal:
    """A part's steel with its yield.

    Args:
        part: The part.
        rulebook: The rules in force.

    Raises:
        ModelError: The rulebook gives no yield for it.
    """
    return Metal(name=part.material, yield_strength=strength_of(part, rulebook, "yield"))


def bar(part: Part, rulebook: Rulebook) -> StrengthSection:
    """A bar's cross-section for strength.

    Args:
        part: A tube, round, round tube or flat.
        rulebook: The rules in force.

    Raises:
        ModelError: A bar of another kind.
    """
    stock = rulebook.sections[part.stock]
    bounds = part.solids[0].region.bounds()
    across, up = bounds[2] - bounds[0], bounds[3] - bounds[1]
    wall = stock.wall or 0.0
    if stock.kind == "round":
        return sections.round_strength(stock.diameter or 0.0)
    if stock.kind == "round tube":
        return sections.round_strength(stock.diameter or 0.0, wall)
    if stock.kind == "flat":
        return sections.flat_strength(across, up)
    if stock.kind != "tube":
        raise ModelError("a bar that the strength model has no section for", where=part.id, value=part.stock)
    return _tube(round(across, 9), round(up, 9), counted_wall(part, rulebook))


def counted_wall(part: Part, rulebook: Rulebook) -> float:
    """Wall of a tube that strength may count on: 0.93 of the nominal one for ASTM A500 [m].

    Args:
        part: The tube.
        rulebook: The rules in force.
    """
    wall = rulebook.sections[part.stock].wall or 0.0
    return sections.design_wall(wall) if "A500" in part.material else wall


@lru_cache(maxsize=500)
def _tube(across: float, up: float, wall: float) -> StrengthSection:
    return sections.tube_strength(across, up, wall)


def strip(wide: float, thick: float) -> StrengthSection:
    """A strip of plate, its width along local y and its thickness along local z.

    Args:
        wide: Width [m].
        thick: Thickness [m].
    """
    return sections.flat_strength(round(wide, 9), round(thick, 9))


def axial(stiffness: float, length: float) -> StrengthSection:
    """A member that only pushes and pulls.

    Args:
        stiffness: Force over change of length [N/m].
        length: Its length [m].
    """
    return _plain(area=stiffness * length / STEEL_YOUNG, inertia=0.0)


def stiff(size: float) -> StrengthSection:
    """A solid block of steel, much stiffer than the tubes around it.

    Args:
        size: Side of its square section [m].
    """
    return _plain(area=size * size, inertia=size**4 / 12)


def _plain(*, area: float, inertia: float) -> StrengthSection:
    return StrengthSection(
        area=area,
        inertia_y=inertia,
        inertia_z=inertia,
        torsion=2 * inertia,
        torsion_modulus=inf,
        shear_y=inf,
        shear_z=inf,
        plastic_y=inf,
        plastic_z=inf,
        points=((0.0, 0.0),),
    )


def axis(part: Part) -> tuple[Vec, Vec]:
    """Both ends of a bar's axis, mitres left aside [m].

    Args:
        part: A bar of one solid.
    """
    solid = part.solids[0]
    place = solid.place or part.place
    return place.point(0.0, 0.0, solid.start), place.point(0.0, 0.0, solid.end)


def hole(part: Part, number: int = 0) -> Vec:
    """Middle of one of a plate's holes, in mid-thickness [m].

    Args:
        part: A plate.
        number: Which hole [-].
    """
    solid, found = part.solids[0], part.holes[number]
    return part.place.point(found.along, found.across, (solid.start + solid.end) / 2)
