"""What of a blade stays, moves, is made, comes off and is bought when it becomes another one: part by part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from plowwright.blade.build import Build
from plowwright.blade.parts import Part
from plowwright.units import inches, pounds

Sort = Literal["keep", "change", "buy", "check"]
"""The four lists of a refit."""
Act = Literal["keep", "turn over", "move", "make", "take off", "buy", "measure", "look over", "set", "ask"]
"""What is done to a part."""

WELDED = "mount"
"""The body that is one weldment: where its plate changes, all of it is made new."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RefitRow:
    """One line of the four lists.

    Attributes:
        sort: Which list it stands in.
        act: What is done.
        part: Mark of the part, or what is looked at.
        why: Why, one sentence.
        stock: Section, plate or bought part it is of, or "".
        count: How many pieces [-].
        length: Of one piece, over the long points or developed [m]; 0 where a length says nothing.
        mass: Of all of them [kg].
        ids: The pieces by part id: of the new build, of the old one where they come off.
        instead: What is bought today instead of this stock, or "".
    """

    sort: Sort
    act: Act
    part: str
    why: str
    stock: str = ""
    count: int = 0
    length: float = 0.0
    mass: float = 0.0
    ids: tuple[str, ...] = ()
    instead: str = ""

    @property
    def pieces(self) -> str:
        """The part with its count, as people say it."""
        if self.count < 2:
            return self.part
        return f"{self.count} {self.part}" if self.part.endswith("s") else f"{self.count} {self.part}s"

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {
            "list": self.sort,
            "act": self.act,
            "part": self.part,
            "why": self.why,
            "stock": self.stock,
            "count": self.count,
            "length_in": round(inches(self.length), 3),
            "mass_lb": round(pounds(self.mass), 2),
            "pieces": list(self.ids),
            "instead": self.instead,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """The parts of two builds against each other.

    Attributes:
        kept: Pieces that stay where they are.
        moved: Pieces that stay, at another place: as they were and as they will be.
        made: New pieces the shop makes.
        bought: New pieces that are bought.
        gone: Pieces that come off.
    """

    kept: tuple[Part, ...]
    moved: tuple[tuple[Part, Part], ...]
    made: tuple[Part, ...]
    bought: tuple[Part, ...]
    gone: tuple[Part, ...]

    @property
    def new(self) -> tuple[Part, ...]:
        """Everything that is new on the blade."""
        return (*self.made, *self.bought)

    def touches(self, *groups: str) -> bool:
        """Whether anything of these part groups changes.

        Args:
            groups: Part groups, as "mount" or "hoses".
        """
        moved = (after for _, after in self.moved)
        return any(part.group in groups for part in (*self.new, *self.gone, *moved))


def compare(old: Build, new: Build) -> Compared:
    """Which parts of one build serve in the other.

    A piece serves where one with its mark has the same stock and shape; it is kept where it also has the same place
    on the blade, taken from the king pin because the mount is what changes in front of it.

    Args:
        old: The blade as it is.
        new: The blade as it is wanted.
    """
    kept: list[Part] = []
    moved: list[tuple[Part, Part]] = []
    fresh: list[Part] = []
    gone: list[Part] = []
    before, after = _by_mark(old.parts), _by_mark(new.parts)
    for mark in dict.fromkeys((*after, *before)):
        have, want = list(before.get(mark, ())), list(after.get(mark, ()))
        for part in list(want):
            same = next((p for p in have if _spot(p, old) == _spot(part, new) and _shape(p) == _shape(part)), None)
            if same:
                have.remove(same)
                want.remove(part)
                kept.append(part)
        for part in list(want):
            same = next((p for p in have if _shape(p) == _shape(part)), None)
            if same:
                have.remove(same)
                want.remove(part)
                moved.append((same, part))
        fresh += want
        gone += have
    if any(part.body == WELDED for part in (*fresh, *gone)):
        # Cut off the old plate they would be warped, and the old mount would be scrap.
        again = [part for part in kept if part.body == WELDED] + [p for _, p in moved if p.body == WELDED]
        fresh += again
        kept = [part for part in kept if part.body != WELDED]
        moved = [pair for pair in moved if pair[1].body != WELDED]
        ids = {part.id for part in gone}
        gone += [part for part in old.parts if part.body == WELDED and part.id not in ids]
    return Compared(
        kept=tuple(kept),
        moved=tuple(moved),
        made=tuple(part for part in fresh if part.kind != "bought"),
        bought=tuple(part for part in fresh if part.kind == "bought"),
        gone=tuple(gone),
    )


def alike(parts: Iterable[Part]) -> list[tuple[Part, ...]]:
    """Parts of one mark, stock and length together, in the order in which they come.

    Args:
        parts: The parts.
    """
    found: dict[tuple[str, str, float], list[Part]] = {}
    for part in parts:
        found.setdefault((part.mark, part.stock, round(part.length, 5)), []).append(part)
    return [tuple(group) for group in found.values()]


def row_of(group: Sequence[Part], *, sort: Sort, act: Act, why: str, instead: str = "") -> RefitRow:
    """Alike parts as one row.

    Args:
        group: The parts.
        sort: Which list.
        act: What is done.
        why: Why.
        instead: What is bought today instead.
    """
    first = group[0]
    # Barrel and rod of the cylinder are one thing in a box.
    pieces = 1 if first.mark == "angle cylinder" else len(group)
    return RefitRow(
        sort=sort,
        act=act,
        part=first.mark,
        why=why,
        stock=first.stock,
        count=pieces,
        length=0.0 if first.kind == "bought" else first.length,
        mass=sum(part.mass() for part in group),
        ids=tuple(part.id for part in group),
        instead=instead,
    )


def _by_mark(parts: Iterable[Part]) -> dict[str, list[Part]]:
    found: dict[str, list[Part]] = {}
    for part in parts:
        found.setdefault(part.mark, []).append(part)
    return found


def _shape(part: Part) -> tuple[Any, ...]:
    """What makes two pieces the same piece: stock and sizes to a hundredth of a millimetre."""
    if part.kind == "bought":
        return (part.kind, part.stock, part.id if part.mark == "angle cylinder" else "")
    holes = sorted((round(h.along, 5), round(h.across, 5), round(h.diameter, 5), h.kind) for h in part.holes)
    solids = tuple((_rounded(s.region.outer), round(s.end - s.start, 5)) for s in part.solids)
    cuts = tuple(round(cut.angle, 5) for cut in part.cuts or ())
    sizes = (round(part.length, 5), round(part.width, 5), round(part.thickness, 5))
    return (part.kind, part.stock, sizes, cuts, tuple(holes), solids)


def _rounded(loop: Iterable[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(round(number, 5) + 0.0 for number in point) for point in loop)


def _spot(part: Part, build: Build) -> tuple[float, ...]:
    """Where it sits, to a tenth of a millimetre; ahead of the king pin, or of the plate for the mount itself."""
    start = 0.0 if part.body == WELDED else build.datum.king_pin
    x, y, z = part.place.origin
    return tuple(round(number, 4) + 0.0 for number in (x - start, y, z, *part.place.u, *part.place.v))
