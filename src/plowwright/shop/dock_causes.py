"""What a blade could be that the scale says is wrong: each thing that may have gone wrong, and what it would weigh.

Nothing is guessed from a table of masses: the blade is worked out again with the other wall, the other class, without
the hoses, and so on, by the one parametric model.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.errors import PlowwrightError
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Plate, Section
from plowwright.units import tape

_SAME = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One thing that may have gone wrong.

    Attributes:
        kind: Which sort of cause: wall, plate, class, hoses, edge, spring, extras, stand.
        said: What it would be, in words.
        change: What it adds to the predicted mass [kg]; below zero for lighter.
        look: What to measure or look at to be sure.
    """

    kind: str
    said: str
    change: float
    look: str


def alternatives(build: Build, dock: Dock, others: Mapping[str, Build] | None = None) -> tuple[Alternative, ...]:
    """Everything that is thought of, by the model; what would not change the weight is left out.

    Args:
        build: The blade as ordered.
        dock: The dock's settings.
        others: Other blades in the yard by order number: the wrong one may hang on the scale.
    """
    found = [
        *_walls(build, dock),
        *_classes(build, others or {}),
        *_missing(build),
        *_extras(build),
        Alternative(kind="stand", said="a paint stand is still in its pocket", change=dock.scale.stand.value,
                    look="look under the hinge beam"),
    ]  # fmt: skip
    return tuple(one for one in found if abs(one.change) > 0.05)


def _walls(build: Build, dock: Dock) -> Iterator[Alternative]:
    book = build.rulebook
    used: dict[str, str] = {}
    for row in sorted(build.bill.rows, key=lambda row: row.mass_total):
        # The heaviest piece of a stock is where the caliper goes first.
        used[row.stock] = row.name
    thinner: dict[str, Section] = {}
    for stock, name in used.items():
        if stock in book.sections:
            own = book.sections[stock]
            for other, entry in look_alikes(book, stock, dock):
                if own.kind == "tube" and (entry.wall or 0.0) < (own.wall or 0.0):
                    thinner[stock] = entry
                yield from _swapped(build, {stock: entry}, "wall", f"{other} instead of {stock}", name,
                                    (own.wall or 0.0, entry.wall or 0.0))  # fmt: skip
        elif stock in book.plates:
            for other in _next_plates(book, stock):
                yield from _swapped(build, {stock: book.plates[other]}, "plate", f"{other} instead of {stock}", name,
                                    (book.plates[stock].thickness, book.plates[other].thickness))  # fmt: skip
    frame = {part.stock for part in build.parts if part.group == "push frame"} & set(thinner)
    for said, stocks in (("every tube of the push frame", frame), ("every tube of the blade", set(thinner))):
        if len(stocks) > 1:
            yield from _swapped(build, {k: thinner[k] for k in sorted(stocks)}, "wall", f"{said} one wall thinner",
                                "push frame", None)  # fmt: skip


def look_alikes(book: Rulebook, stock: str, dock: Dock) -> Iterator[tuple[str, Section]]:
    """Sections of the same outside size with another wall: those of the rulebook, and the next walls tubes come in.

    Args:
        book: The rules.
        stock: The section.
        dock: The dock's settings, for the walls tubes are sold in.
    """
    own = book.sections[stock]
    known = {
        name: one for name, one in book.sections.items()
        if name != stock and one.kind == own.kind and _outside(one) == _outside(own) and one.wall
    }  # fmt: skip
    yield from known.items()
    if own.kind != "tube" or own.wall is None or own.width is None or own.height is None:
        return
    walls = sorted(dock.receiving.walls)
    below = [w for w in walls if w < own.wall - _SAME]
    above = [w for w in walls if w > own.wall + _SAME]
    for wall in (*below[-1:], *above[:1]):
        listed = any(abs((one.wall or 0.0) - wall) < _SAME for one in known.values())
        if listed or 2 * wall >= min(own.width, own.height):
            continue
        # The listed mass is carried over by the steel areas, so that its corners stay as the list has them.
        mass = own.mass * _steel(own.width, own.height, wall) / _steel(own.width, own.height, own.wall)
        yield (
            f"tube {_plain(own.width)} x {_plain(own.height)} x {_plain(wall)}",
            own.model_copy(update={"wall": wall, "mass": mass}),
        )


def _outside(section: Section) -> tuple[float, ...]:
    return tuple(round(size or 0.0, 6) for size in (section.width, section.height, section.diameter))


def _steel(width: float, height: float, wall: float) -> float:
    return width * height - (width - 2 * wall) * (height - 2 * wall)


def _plain(length: float) -> str:
    return tape(length).removesuffix(" in")


def _next_plates(book: Rulebook, stock: str) -> Iterator[str]:
    """The next thinner and the next thicker plate of the rulebook."""
    own = book.plates[stock].thickness
    others = sorted((p.thickness, name) for name, p in book.plates.items() if name != stock and "belting" not in name)
    below = [name for thickness, name in others if thickness < own - _SAME]
    above = [name for thickness, name in others if thickness > own + _SAME]
    yield from (*below[-1:], *above[:1])


def _swapped(
    build: Build, entries: Mapping[str, Section | Plate], kind: str, said: str, name: str,
    sizes: tuple[float, float] | None,
) -> Iterator[Alternative]:  # fmt: skip
    data = build.rulebook.data
    sections = {**data.sections, **{k: v for k, v in entries.items() if isinstance(v, Section)}}
    plates = {**data.plates, **{k: v for k, v in entries.items() if isinstance(v, Plate)}}
    book = replace(build.rulebook, data=data.model_copy(update={"sections": sections, "plates": plates}))
    again = _worked(build.spec, book)
    if again is None:
        return
    look = f"caliper on the {name}"
    if sizes is not None:
        look += f": {tape(sizes[0])} as ordered, {tape(sizes[1])} if wrong"
    yield Alternative(kind=kind, said=said, change=again.mass - build.mass, look=look)


def _classes(build: Build, others: Mapping[str, Build]) -> Iterator[Alternative]:
    for number, other in others.items():
        if number != build.spec.number:
            look = "read the stamp"
            if other.series.notches != build.series.notches:
                look += f" and count the notches: {build.series.notches} as ordered, {other.series.notches} on {number}"
            yield Alternative(kind="class", said=f"it is {number}, {other.name}", change=other.mass - build.mass,
                              look=look)  # fmt: skip
    named = {other.series.name for other in others.values()}
    for key, series in build.rulebook.series.items():
        if key == build.spec.series or series.name in named:
            continue
        other = _worked(replace(build.spec, series=key), build.rulebook)
        if other is not None:
            yield Alternative(
                kind="class", said=f"it is a {other.name}", change=other.mass - build.mass,
                look=f"count the notches: {build.series.notches} as ordered, {series.notches} on a {series.name}",
            )  # fmt: skip


def _missing(build: Build) -> Iterator[Alternative]:
    if build.spec.hoses != "none":
        bare = _worked(replace(build.spec, hoses="none"), build.rulebook)
        if bare is not None:
            yield Alternative(kind="hoses", said="the hose set is not on it", change=bare.mass - build.mass,
                              look="look at the valve block")  # fmt: skip
    edge = build.tally.group_masses.get("cutting edge", 0.0)
    yield Alternative(kind="edge", said="the cutting edge is not on it", change=-edge, look="look at the foot")
    springs = [part for part in build.parts if part.mark == "trip spring"]
    if springs:
        each = next(row.mass_each for row in build.bill.rows if row.mark == "trip spring")
        yield Alternative(kind="spring", said="one trip spring is missing", change=-each,
                          look=f"count the springs: {len(springs)} as ordered")  # fmt: skip
        yield Alternative(kind="spring", said="one trip spring more than ordered", change=each,
                          look=f"count the springs: {len(springs)} as ordered")  # fmt: skip


def _extras(build: Build) -> Iterator[Alternative]:
    for key, option in build.rulebook.options["extras"].items():
        has = key in build.spec.extras
        extras = tuple(e for e in build.spec.extras if e != key) if has else (*build.spec.extras, key)
        other = _worked(replace(build.spec, extras=extras), build.rulebook)
        if other is not None:
            packing = abs(_packing(other) - _packing(build))
            if packing > _SAME:
                # Ordered or not, it does not hang on the scale; where it does, it adds its whole mass.
                yield Alternative(kind="extras", said=f"{option.name}: round it already", change=packing,
                                  look="see whether it is on it")  # fmt: skip
                continue
            said = f"{option.name}: not on it" if has else f"{option.name}: on it, and not ordered"
            yield Alternative(kind="extras", said=said, change=other.mass - build.mass, look="see whether it is on it")


def _packing(build: Build) -> float:
    return build.tally.group_masses.get("packing", 0.0)


def _worked(spec: Spec, book: Rulebook) -> Build | None:
    """The other blade, or None where these rules do not give one."""
    try:
        return work_out(spec, book, level=0)
    except PlowwrightError:
        return None
