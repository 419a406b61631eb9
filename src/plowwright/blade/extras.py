"""What options bring along: hoses, shoes, markers, deflector, crate, as the rulebook's `adds` say."""

from __future__ import annotations

from plowwright.blade.datum import Datum
from plowwright.blade.making import Maker, X, Y, box
from plowwright.blade.parts import Body, Part, Place, Vec
from plowwright.blade.spec import Spec, option
from plowwright.errors import RulebookError
from plowwright.physics.regions import polygon
from plowwright.rulebook.schema import Added
from plowwright.units.constants import INCH


def parts(d: Datum, make: Maker, spec: Spec) -> list[Part]:
    """All parts that the chosen options add.

    Args:
        d: Sizes of the blade.
        make: Makes parts of the rulebook's stock.
        spec: The spec.

    Raises:
        RulebookError: An option adds something that is neither bought nor cut from stock.
    """
    pieces: list[Part] = []
    for choice in spec.choices():
        rule = option(make.rulebook, choice)
        for added in rule.adds if rule else ():
            pieces.extend(_added(d, make, added, choice))
    return pieces


def _added(d: Datum, make: Maker, added: Added, choice: str) -> list[Part]:
    if added.section:
        return [_bar(d, make, added)]
    if added.plate:
        return [_strip(d, make, added)]
    if added.bought:
        return [_bought(d, make, added, i) for i in range(added.count)]
    raise RulebookError(
        "an option adds something without saying what it is made of",
        where=f"options.toml, {choice}",
        value=added.name,
        way_out="Give it bought, section or plate.",
    )


def _bar(d: Datum, make: Maker, added: Added) -> Part:
    """A bar across the top, behind the moldboard's upper edge."""
    stock = added.section or ""
    wide, thin = make.sizes(stock)
    x, z = d.arc.at(d.arc.roll, d.skin_wall)
    at = (x - thin, z - wide)
    return make.bar(
        added.name,
        added.name,
        added.name,
        stock=stock,
        start=(at[0], -d.width / 2, at[1]),
        end=(at[0], d.width / 2, at[1]),
        group="extras",
        body="moldboard",
        operations=("saw", "drill"),
        finish="body colour",
    )


def _strip(d: Datum, make: Maker, added: Added) -> Part:
    """A strip of sheet over the blade's width, hung forward from the top."""
    deep = added.depth or 6 * INCH
    x, z = d.arc.at(d.arc.roll)
    outline = polygon(((0, 0), (d.width, 0), (d.width, deep), (0, deep)))
    return make.plate(
        added.name,
        added.name,
        added.name,
        stock=added.plate or "",
        outline=outline,
        origin=(x, -d.width / 2, z),
        u=Y,
        v=(0.866, 0.0, 0.5),
        group="extras",
        body="moldboard",
        finish="none",
    )


def _bought(d: Datum, make: Maker, added: Added, index: int) -> Part:
    name = added.bought or ""
    entry = make.entry(name)
    thick = entry.diameter
    size = (
        entry.length or thick or 6 * INCH,
        entry.width or thick or 4 * INCH,
        entry.height or 4 * INCH,
    )
    side = 1.0 if index % 2 == 0 else -1.0
    origin, body = _where(d, added, size, side, entry.kind)
    number = f" {'left' if side > 0 else 'right'}" if added.count == 2 else (f" {index + 1}" if added.count > 1 else "")
    return make.bought(
        f"{added.name}{number}",
        added.name,
        added.name,
        stock=name,
        solids=(box(size),),
        place=Place(origin=origin, u=X, v=Y),
        group="hoses" if entry.kind == "hose set" else ("packing" if added.place == "packing" else "extras"),
        body=body,
        length=max(size),
    )


def _where(d: Datum, added: Added, size: Vec, side: float, kind: str) -> tuple[Vec, Body]:
    """Middle of a bought part and the body it rides on."""
    if added.place == "ends" and kind == "marker":
        x, z = d.arc.at(d.arc.roll)
        return (x, side * (d.width / 2 - size[1] / 2), z + size[2] / 2), "moldboard"
    if added.place == "ends":
        x = d.beam_x - d.beam_deep / 2 - size[0] / 2
        return (x, side * (d.row.hinge_beam_length / 2 - size[1]), size[2] / 2), "frame"
    if added.place == "top":
        x, z = d.arc.at(d.arc.roll)
        return (x, 0.0, z + size[2] / 2), "moldboard"
    if added.place == "cylinder":
        return (d.king_pin - 3 * INCH, 0.0, d.frame_z + d.leg_size / 2 + 6 * INCH), "hub"
    if added.place == "mount":
        return (d.plate_front + size[0] / 2, 0.0, d.mount.above_ground + d.mount.height), "mount"
    return (d.hinge_x - 12 * INCH, 0.0, -size[2]), "loose"
