"""Outlines out of a foreign DXF, with an audit: what was found wrong with it, what was mended and what was not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, pi, radians, sin, tan
from pathlib import Path
from typing import Any, Final, Literal

from plowwright.errors import EntryError, NotFoundError
from plowwright.papers.outline_regions import regions_of
from plowwright.papers.outlines_in import Point, Problem, Stroke, bulge_of, cleaned, joined
from plowwright.physics.regions import Region
from plowwright.units.constants import FOOT, INCH

Unit = Literal["in", "ft", "mm", "cm", "m"]

METRES: Final[dict[str, float]] = {"in": INCH, "ft": FOOT, "mm": 0.001, "cm": 0.01, "m": 1.0}
_INSUNITS: Final[dict[int, Unit]] = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
_TEXTS: Final = ("TEXT", "MTEXT", "ATTRIB", "ATTDEF")
_LEFT_OUT: Final = (
    "DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "HATCH", "POINT", "VIEWPORT", "IMAGE", "SOLID", "XLINE", "RAY",
)  # fmt: skip
_USUAL: Final = (0.006, 6.5)
"""Longest side of a drawing of plate parts, least and greatest [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DxfRead:
    """A drawing as it was understood.

    Attributes:
        name: Name of the file.
        unit: Unit its numbers were taken in.
        unit_known: Whether the file or the person said so.
        parts: Closed outlines with their holes, the largest first [m].
        problems: What was wrong with it.
    """

    name: str
    unit: Unit
    unit_known: bool
    parts: tuple[Region, ...]
    problems: tuple[Problem, ...]

    @property
    def fixed(self) -> tuple[Problem, ...]:
        """What was mended."""
        return tuple(p for p in self.problems if p.fixed)

    @property
    def not_fixed(self) -> tuple[Problem, ...]:
        """What was not."""
        return tuple(p for p in self.problems if not p.fixed)

    def lines(self) -> list[str]:
        """The audit in sentences."""
        said = [f"{self.name}: {len(self.parts)} outlines in {self.unit}."]
        for heading, found in (("mended", self.fixed), ("not mended", self.not_fixed)):
            said += [f"{heading}, {p.kind}: {p.sentence}." for p in found]
        return [*said, "Nothing wrong with it."] if not self.problems else said

    def as_dict(self) -> dict[str, Any]:
        """The audit for a machine."""
        return {
            "name": self.name,
            "unit": self.unit,
            "unit_known": self.unit_known,
            "outlines": len(self.parts),
            "problems": [{"kind": p.kind, "sentence": p.sentence, "fixed": p.fixed} for p in self.problems],
        }


def read(path: Path | str, unit: Unit | None = None) -> DxfRead:
    """Read a drawing and audit it.

    Args:
        path: The .dxf file.
        unit: What its numbers are in, where the person knows; goes before what the file says.

    Raises:
        NotFoundError: There is no such file.
        EntryError: It is no DXF at all.
    """
    file = Path(path)
    if not file.is_file():
        raise NotFoundError("there is no drawing here", value=str(file), way_out="Give a .dxf file.")
    document, problems = _document(file)
    found, known, more = _unit(document, unit)
    problems += more
    metre = METRES[found]
    strokes, more = _strokes(document, metre)
    problems += more
    kept, more = cleaned(strokes, 1.0 / metre)
    problems += more
    loops, more = joined(kept, 1.0 / metre)
    problems += more
    parts, more = regions_of(loops, 1.0 / metre)
    problems += [*more, *_doubt(parts, found, file.name)]
    return DxfRead(name=file.name, unit=found, unit_known=known, parts=tuple(parts), problems=tuple(problems))


def _document(file: Path) -> tuple[Any, list[Problem]]:
    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    try:
        document, auditor = recover.readfile(file)
    except (DXFError, OSError, ValueError) as error:
        raise EntryError(
            "this is no DXF that can be read", where=file.name, value=str(error)[:80],
            way_out="Export it again as DXF, R2000 or later.",
        ) from error  # fmt: skip
    said = [*(("fixed", e) for e in auditor.fixes), *(("left", e) for e in auditor.errors)]
    return document, [
        Problem(kind="file", sentence=str(e.message)[:120].rstrip("."), fixed=how == "fixed") for how, e in said
    ]


def _unit(document: Any, told: Unit | None) -> tuple[Unit, bool, list[Problem]]:
    code = int(document.header.get("$INSUNITS", 0))
    own = _INSUNITS.get(code)
    if told is not None:
        if own is not None and own != told:
            said = f"the file says {own}, it is taken in {told} as told"
            return told, True, [Problem(kind="unit", sentence=said, fixed=True)]
        return told, True, []
    if own is not None:
        return own, True, []
    # Without a unit the file still says whether it was drawn in metric or not; that is a hint, no answer.
    guess: Unit = "mm" if int(document.header.get("$MEASUREMENT", 0)) == 1 else "in"
    named = "no unit" if code == 0 else f"unit {code}, which is not taken here"
    said = f"the file says {named}; it is looked at in {guess}, and must be told before anything is cut from it"
    return guess, False, [Problem(kind="unit", sentence=said, fixed=False)]


def _doubt(parts: Sequence[Region], unit: Unit, name: str) -> Iterator[Problem]:
    if not parts:
        yield Problem(kind="not an outline", sentence="no closed outline is left of it", fixed=False)
        return
    low_u, low_v, high_u, high_v = zip(*(p.bounds() for p in parts), strict=True)
    size = max(max(high_u) - min(low_u), max(high_v) - min(low_v))
    if not _USUAL[0] <= size <= _USUAL[1]:
        given = size / METRES[unit]
        other = [u for u in ("in", "mm") if u != unit and _USUAL[0] <= given * METRES[u] <= _USUAL[1]]
        hint = f"; is it in {other[0]}?" if other else ""
        yield Problem(kind="unit", sentence=f"{given:.6g} {unit} over all is no plate part's size{hint}", fixed=False)


def _strokes(document: Any, metre: float) -> tuple[list[Stroke], list[Problem]]:
    hidden = {layer.dxf.name for layer in document.layers if layer.is_off() or layer.is_frozen()}
    strokes: list[Stroke] = []
    left: Counter[tuple[str, str]] = Counter()
    odd: Counter[str] = Counter()
    for entity in _opened(document.modelspace(), odd):
        kind, layer = entity.dxftype(), str(entity.dxf.get("layer", "0"))
        if layer in hidden:
            left["hidden layer", layer] += 1
        elif kind in _TEXTS:
            left["text", layer] += 1
        elif kind in _LEFT_OUT:
            left["not an outline", kind.lower()] += 1
        else:
            found = list(_of(entity, kind, layer, metre))
            if not found:
                left["not an outline", kind.lower()] += 1
            if kind in ("SPLINE", "ELLIPSE"):
                odd["curve"] += 1
            if _off_plane(entity):
                odd["off the plane"] += 1
            strokes += found
    return strokes, [*_left_out(left), *_odd(odd)]


def _opened(entities: Any, odd: Counter[str]) -> Iterator[Any]:
    """Every entity, blocks opened."""
    for entity in entities:
        if entity.dxftype() == "INSERT":
            # One reference may stand for rows and columns of copies.
            for copy in entity.multi_insert() if entity.mcount > 1 else (entity,):
                odd["block"] += 1
                yield from _opened(copy.virtual_entities(), odd)
        else:
            yield entity


def _off_plane(entity: Any) -> bool:
    kind = entity.dxftype()
    z = [float(entity.dxf.get(name).z) for name in ("start", "end", "center") if entity.dxf.hasattr(name)]
    if kind == "LWPOLYLINE":
        z.append(float(entity.dxf.get("elevation", 0.0) or 0.0))
    elif kind == "POLYLINE":
        z += [float(v.dxf.location.z) for v in entity.vertices]
    return any(abs(v) > 1e-9 for v in z)


def _left_out(left: Counter[tuple[str, str]]) -> Iterator[Problem]:
    for (kind, name), count in sorted(left.items()):
        many = "" if count == 1 else "s"
        if kind == "hidden layer":
            said = f"{count} thing{many} on the layer {name}, which is switched off; left out"
            yield Problem(kind="hidden layer", fixed=True, sentence=said)
        elif kind == "text":
            yield Problem(
                kind="text", fixed=True, sentence=f"{count} text{many} on the layer {name}; left out, not cut"
            )
        else:
            yield Problem(kind="not an outline", fixed=True, sentence=f"{count} {name}{many}; left out")


def _odd(odd: Counter[str]) -> Iterator[Problem]:
    if odd["block"]:
        were = "blocks were" if odd["block"] > 1 else "block was"
        yield Problem(kind="block", sentence=f"{odd['block']} {were} opened", fixed=True)
    if odd["curve"]:
        were = "free curves were" if odd["curve"] > 1 else "free curve was"
        said = f"{odd['curve']} {were} cut into short straight strokes within 0.001 in"
        yield Problem(kind="curve", sentence=said, fixed=True)
    if odd["off the plane"]:
        lie = "strokes do" if odd["off the plane"] > 1 else "stroke does"
        said = f"{odd['off the plane']} {lie} not lie at height zero; seen from above"
        yield Problem(kind="off the plane", sentence=said, fixed=True)


def _of(entity: Any, kind: str, layer: str, metre: float) -> Iterator[Stroke]:
    if kind == "LINE":
        a, b = entity.dxf.start, entity.dxf.end
        yield _stroke((a.x, a.y), (b.x, b.y), 0.0, layer, metre)
    elif kind in ("ARC", "CIRCLE"):
        yield from _round(entity, kind, layer, metre)
    elif kind in ("LWPOLYLINE", "POLYLINE"):
        yield from _polyline(entity, kind, layer, metre)
    elif kind in ("SPLINE", "ELLIPSE"):
        points = [(p.x, p.y) for p in entity.flattening(0.001 * INCH / metre)]
        for a, b in pairwise(points):
            yield _stroke(a, b, 0.0, layer, metre)


def _round(entity: Any, kind: str, layer: str, metre: float) -> Iterator[Stroke]:
    centre, radius = entity.ocs().to_wcs(entity.dxf.center), float(entity.dxf.radius)
    mirrored = entity.dxf.extrusion.z < 0.0
    if kind == "CIRCLE":
        first, sweep = 0.0, 2.0 * pi
    else:
        first = radians(float(entity.dxf.start_angle))
        sweep = (radians(float(entity.dxf.end_angle)) - first) % (2.0 * pi) or 2.0 * pi
    # An arc seen from below runs the other way round, mirrored at its centre's upright.
    steps = max(1, ceil(sweep / pi - 1e-9))
    for at in range(steps):
        begin, end = first + sweep * at / steps, first + sweep * (at + 1) / steps
        a, b = ((radius * cos(t), radius * sin(t)) for t in (begin, end))
        if mirrored:
            a, b = (-a[0], a[1]), (-b[0], b[1])
        bulge = bulge_of(sweep / steps) * (-1.0 if mirrored else 1.0)
        yield _stroke((centre.x + a[0], centre.y + a[1]), (centre.x + b[0], centre.y + b[1]), bulge, layer, metre)


def _polyline(entity: Any, kind: str, layer: str, metre: float) -> Iterator[Stroke]:
    if kind == "LWPOLYLINE":
        vertices = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    else:
        vertices = [(v.dxf.location.x, v.dxf.location.y, float(v.dxf.get("bulge", 0.0))) for v in entity.vertices]
    if float(entity.dxf.extrusion.z) < 0.0 and not (kind == "POLYLINE" and entity.is_3d_polyline):
        # Drawn in a plane of its own that is seen from below: across runs the other way, and every arc with it.
        vertices = [(-x, y, -b) for x, y, b in vertices]
    closed = bool(entity.closed if kind == "LWPOLYLINE" else entity.is_closed)
    count = len(vertices)
    for at in range(count if closed else count - 1):
        (x, y, bulge), (to_x, to_y, _) = vertices[at], vertices[(at + 1) % count]
        if (x, y) != (to_x, to_y):
            yield _stroke((x, y), (to_x, to_y), bulge, layer, metre)


def _stroke(start: Point, end: Point, bulge: float, layer: str, metre: float) -> Stroke:
    # Half a turn is the most one stroke says without doubt; a larger bulge is kept as drawn.
    bulge = 0.0 if abs(bulge) < tan(1e-6) else bulge
    return Stroke(
        start=(start[0] * metre, start[1] * metre), end=(end[0] * metre, end[1] * metre), bulge=bulge, layer=layer
    )
