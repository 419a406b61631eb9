"""Two or more builds side by side: only what differs, from class down to holes, then mass and price."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import sqrt
from typing import Any, Final, Literal, Protocol

from plowwright.blade.build import Build
from plowwright.blade.looks import Looks, class_row, edge_row, label, looks
from plowwright.blade.parts import Bolted, Part, Pinned, Sprung, Weld
from plowwright.blade.spec import option
from plowwright.blade.wording import Wording
from plowwright.errors import EntryError
from plowwright.rulebook.schema import Series
from plowwright.units import System, pounds, say

Chapter = Literal["class", "spec", "class row", "parts", "joints", "holes", "mass", "price"]
ABSENT: Final = "none"
"""What stands where a build does not have the thing."""


class PriceLine(Protocol):
    """A line of a price, as far as a comparison looks at it."""

    @property
    def kind(self) -> str:
        """What sort of line it is; "blade" for the blade itself."""
        ...

    @property
    def label(self) -> str:
        """What it is for."""
        ...

    @property
    def amount(self) -> float:
        """The sum [money]."""
        ...


class Priced(Protocol):
    """A price, as far as a comparison looks at it."""

    @property
    def lines(self) -> Sequence[PriceLine]:
        """Its lines."""
        ...

    @property
    def total(self) -> float:
        """List price [money]."""
        ...

    @property
    def currency(self) -> str:
        """Code of the currency."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that is not the same in all builds.

    Attributes:
        chapter: Where it belongs.
        what: What differs.
        values: What each build has, in the order of the builds.
        apart: How far apart they are where that is a quantity, in words, else "".
    """

    chapter: Chapter
    what: str
    values: tuple[str, ...]
    apart: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        return {"chapter": self.chapter, "what": self.what, "values": list(self.values), "apart": self.apart}


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What differs between builds.

    Attributes:
        names: What the builds are called.
        rows: What differs, from class down to price.
        looks: For each pair, whether they can be told apart.
        mass_apart: Heaviest less lightest [kg].
    """

    names: tuple[str, ...]
    rows: tuple[Row, ...]
    looks: tuple[Looks, ...]
    mass_apart: float

    def chapter(self, name: Chapter) -> tuple[Row, ...]:
        """The rows of one chapter.

        Args:
            name: The chapter.
        """
        return tuple(row for row in self.rows if row.chapter == name)

    def as_dict(self) -> dict[str, Any]:
        """The difference for a machine."""
        return {
            "builds": list(self.names),
            "rows": [row.as_dict() for row in self.rows],
            "looks": [one.as_dict() for one in self.looks],
            "mass_apart_lb": round(pounds(self.mass_apart), 1),
        }


def differ(builds: Sequence[Build], prices: Sequence[Priced] = (), *, system: System = "us") -> Difference:
    """What differs between two or more builds.

    Args:
        builds: The builds.
        prices: Their prices in the same order, or none.
        system: The reader's units.

    Raises:
        EntryError: Fewer than two builds, or not one price for each.
    """
    if len(builds) < 2:
        raise EntryError(
            "side by side takes two builds or more",
            value=str(len(builds)),
            limit="at least 2",
            way_out="Name one more.",
        )
    if prices and len(prices) != len(builds):
        raise EntryError(
            "one price for each build", value=f"{len(prices)} prices for {len(builds)} builds",
            way_out="Give all prices, or none.",
        )  # fmt: skip
    words = Wording(system=system)
    rows = [
        *_class(builds), *_spec(builds, words), *_class_rows(builds, words),
        *_parts(builds, words), *_joints(builds, words), *_holes(builds, words), *_mass(builds, words),
        *_prices(prices),
    ]  # fmt: skip
    masses = [build.mass for build in builds]
    return Difference(
        names=tuple(label(build) for build in builds),
        rows=tuple(_paired(rows)),
        looks=tuple(looks(a, b, system=system) for a, b in combinations(builds, 2)),
        mass_apart=max(masses) - min(masses),
    )


def _rows(chapter: Chapter, tables: Sequence[Mapping[str, str]]) -> Iterator[Row]:
    """A row for each name whose value is not the same in all tables."""
    for what in dict.fromkeys(name for table in tables for name in table):
        values = tuple(table.get(what, ABSENT) for table in tables)
        if len(set(values)) > 1:
            yield Row(chapter=chapter, what=what, values=values)


def _paired(rows: Sequence[Row]) -> Iterator[Row]:
    """Left and right in one row where they say the same."""
    same = {(row.chapter, row.what, row.values) for row in rows}
    for row in rows:
        left, right = row.what.replace(" right", " left"), row.what.replace(" left", " right")
        if left == right or not {(row.chapter, left, row.values), (row.chapter, right, row.values)} <= same:
            yield row
        elif row.what == left:
            yield replace(row, what=left.replace(" left", " left and right"))


def _class(builds: Sequence[Build]) -> Iterator[Row]:
    return _rows(
        "class",
        [
            {
                "series": b.series.name,
                "duty class": b.series.duty_class,
                "notches": str(b.series.notches),
                "rulebook": f"{b.rulebook.version.date.isoformat()}, {b.rulebook.fingerprint}",
            }
            for b in builds
        ],
    )


def _spec(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    def said(b: Build) -> dict[str, str]:
        chosen = {
            "width": words.size(b.spec.width),
            "mount": b.rulebook.mounts[b.spec.mount].name,
            "carrier": b.spec.carrier_kind,
            "hoses": _name(b, f"hoses.{b.spec.hoses}"),
            "outlets": b.spec.outlets,
        }
        return {**chosen, **{_name(b, f"extras.{key}"): "yes" for key in b.spec.extras}}

    return _rows("spec", [said(b) for b in builds])


def _name(build: Build, choice: str) -> str:
    rule = option(build.rulebook, choice)
    return rule.name if rule else choice.partition(".")[2]


def _class_rows(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    return _rows("class row", [{**_stock(b, words), **_settings(b.series, words)} for b in builds])


def _stock(b: Build, words: Wording) -> dict[str, str]:
    row, edge, board, hinge = class_row(b), edge_row(b), b.series.moldboard, b.series.hinge
    cylinder = next(r for r in b.series.cylinders if r.serves(b.spec.width))
    return {
        "leg": row.leg,
        "cross member": row.cross,
        "hinge beam": row.hinge_beam,
        "hinge beam length": words.size(row.hinge_beam_length),
        "frame length": words.size(row.frame_length),
        "web": row.web,
        "ear": row.ear,
        "king-pin plate": row.pin_plate,
        "mount plate": row.mount_plate,
        "tower": row.tower,
        "skin": board.skin,
        "bottom angle": board.bottom_angle,
        "top": board.top_member or f"fold {words.size(board.top_fold or 0.0)}",
        "cutting edge": edge.edge,
        "edge bolt": edge.bolt,
        "angle cylinder": cylinder.cylinder,
        "cylinder arm": words.size(cylinder.arm),
        "hinge pin": hinge.pin,
        "king pin": b.series.king_pin,
        "gusset": b.series.gusset,
        "valve block": b.series.valve_block,
    }


def _settings(s: Series, words: Wording) -> dict[str, str]:
    return {
        "body height": words.size(s.moldboard.body_height),
        "hinge pins": str(s.hinge.pins),
        "hinge height": words.size(s.hinge.height),
        "angle stop": say(s.angle_stop, "angle"),
        "swing time": say(s.swing_time, "time"),
        "spring preload": words.size(s.tower.preload),
    }


def _by_mark(build: Build) -> dict[str, list[Part]]:
    found: dict[str, list[Part]] = {}
    for part in build.parts:
        found.setdefault(part.mark, []).append(part)
    return found


def _parts(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    facets: tuple[tuple[str, Callable[[list[Part]], str]], ...] = (
        ("stock", lambda parts: parts[0].stock),
        ("quantity", lambda parts: str(len({p.id for p in parts}))),
        ("length", lambda parts: words.size(parts[0].length)),
        ("width", lambda parts: words.size(parts[0].width) if parts[0].width else ABSENT),
        ("thickness", lambda parts: words.wall(parts[0].thickness) if parts[0].thickness else ABSENT),
        (
            "cuts",
            lambda parts: "; ".join(f"{c.angle * 57.29578:.1f} deg" for c in parts[0].cuts or ()) or ABSENT,
        ),
        ("finish", lambda parts: parts[0].finish),
    )
    tables = [_by_mark(b) for b in builds]
    for mark in dict.fromkeys(mark for table in tables for mark in table):
        groups = [table.get(mark) for table in tables]
        if not all(groups):
            said = tuple(f"{len(g)} of {g[0].stock}" if g else ABSENT for g in groups)
            yield Row(chapter="parts", what=mark, values=said)
            continue
        yield from _rows("parts", [{f"{mark}, {name}": say_it(g) for name, say_it in facets} for g in groups if g])


def _joints(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    return _rows("joints", [_joint_table(b, words) for b in builds])


def _joint_table(build: Build, words: Wording) -> dict[str, str]:
    marks = {part.id: part.mark for part in build.parts}
    legs: dict[str, set[str]] = {}
    found: dict[str, str] = {}
    run: dict[str, float] = {}
    for joint in build.assembly.joints:
        if isinstance(joint, Weld):
            pair = " to ".join(marks.get(i, i) for i in joint.joins)
            leg = words.bore(joint.leg)
            legs.setdefault(f"weld, {pair}", set()).add(leg)
            run[leg] = run.get(leg, 0.0) + joint.length()
        elif isinstance(joint, Bolted):
            found[f"bolted, {' to '.join(marks.get(i, i) for i in joint.joins)}"] = (
                f"{len(joint.positions)} of {joint.bolt}"
            )
        elif isinstance(joint, Pinned):
            found[f"pin, {marks.get(joint.pin, joint.pin)}"] = words.bore(joint.diameter)
        elif isinstance(joint, Sprung):
            stretched = sqrt(sum((a - b) ** 2 for a, b in zip(joint.start, joint.end, strict=True)))
            found[f"spring, {marks.get(joint.spring, joint.spring)}"] = (
                f"preload {words.size(joint.preload)}, {words.size(stretched)} lug to anchor"
            )
    welds = {pair: " and ".join(sorted(sizes)) for pair, sizes in legs.items()}
    lengths = {f"fillet {leg}, length in all": words.run(length) for leg, length in sorted(run.items())}
    return {**welds, **lengths, **found}


def _holes(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    def table(build: Build) -> dict[str, str]:
        return {
            f"{mark}, holes": _hole_text(parts[0], words) for mark, parts in _by_mark(build).items() if parts[0].holes
        }

    tables = [table(b) for b in builds]
    marks = [{part.mark for part in b.parts} for b in builds]
    for row in _rows("holes", tables):
        # A piece that one build does not have at all is told among the parts.
        if all(row.what.removesuffix(", holes") in some for some in marks):
            yield row


def _hole_text(part: Part, words: Wording) -> str:
    at = words.sizes([hole.along for hole in part.holes])
    sizes = sorted({words.bore(hole.diameter) for hole in part.holes})
    if part.kind != "bar":
        return f"{len(part.holes)} of {' and '.join(sizes)}"
    return f"{len(part.holes)} of {' and '.join(sizes)} at {at}"


def _mass(builds: Sequence[Build], words: Wording) -> Iterator[Row]:
    totals = [b.mass for b in builds]
    yield from _quantity("mass", "mass in all", totals, words.mass)
    tables = [b.tally.group_masses for b in builds]
    for group in dict.fromkeys(g for table in tables for g in table):
        yield from _quantity("mass", group, [t.get(group, 0.0) for t in tables], words.mass)
    for axis, name in enumerate(("ahead of the mount plate's face", "left of the middle", "above the edge")):
        at = [b.centre_of_gravity[axis] for b in builds]
        yield from _quantity("mass", f"centre of gravity, {name}", at, words.place)


def _prices(prices: Sequence[Priced]) -> Iterator[Row]:
    if not prices:
        return
    currency = prices[0].currency

    def said(amount: float) -> str:
        return say(amount, "money", currency=currency)

    yield from _quantity("price", "list price", [p.total for p in prices], said)
    tables = [{"blade" if line.kind == "blade" else line.label: said(line.amount) for line in p.lines} for p in prices]
    yield from _rows("price", tables)


def _quantity(chapter: Chapter, what: str, found: Sequence[float], said: Callable[[float], str]) -> Iterator[Row]:
    values = tuple(said(x) for x in found)
    if len(set(values)) > 1:
        yield Row(chapter=chapter, what=what, values=values, apart=said(max(found) - min(found)))
