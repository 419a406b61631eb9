"""The carrier side-on with the blade on it, to scale: what stands where, what weighs on which axle, what is assumed.

The carrier is our own plain outline in the usual proportions of its kind; only the blade is drawn from its parts. A
distance nobody measured is drawn broken and says "assumed". Seen from the left, the front at the reader's left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import shapely

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.suit.results import Place, Suit
from plowwright.papers import carrier_shapes, fonts, suiting_axles
from plowwright.papers.carrier_shapes import Frame, Piece, Shape
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import DIMENSION, GROUND, THIN, Fill, Group, Outlines, Pen
from plowwright.papers.outlines import Point, fill_of
from plowwright.papers.projection import Seen, see
from plowwright.papers.suiting_axles import COLOURS
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View
from plowwright.units.constants import INCH

ASSUMED: Final = Pen(name="assumed", layer="assumed", width=0.18, dash=(1.2, 0.9))
"""Line of a distance that nobody measured."""
GHOST: Final = Pen(name="ghost", layer="lifted", width=0.25, dash=(2.4, 1.2))
FILLS: Final[dict[Piece, Fill]] = {
    "body": "paper", "cab": "paper", "glass": "none", "wheel": "tint", "hub": "paper", "track": "tint", "arm": "paper",
    "seat": "paper",
}  # fmt: skip
_SIZE: Final = 2.8
_LEFT, _RIGHT, _HEAD = 4.0, 4.0, 14.0
_ROW: Final = 5.4
"""From one row of levers to the next [mm]."""
_BALLAST: Final = (0.30, 0.45)
"""Half the length and the height of the block that stands for ballast [m]; only a sign, its shape is not known."""


@dataclass(frozen=True, kw_only=True)
class _Lever:
    """A distance along the carrier, below the ground line.

    Attributes:
        start: Ahead of the front axle [m].
        end: Likewise [m].
        text: What it is and how long.
        assumed: Whether nobody measured it.
        right: Whether its words stand to the reader's right of `start`, else before it.
    """

    start: float
    end: float
    text: str
    assumed: bool
    right: bool = True


def side(
    build: Build, suit: Suit, *, width: float, system: System = "us", table: bool = True, levers: bool = True
) -> Picture:
    """The carrier from its left with the blade carried low, and lifted in broken line.

    Args:
        build: The blade.
        suit: How it suits the carrier.
        width: Width of the picture [mm].
        system: Units of the words.
        table: Whether the axle loads stand below, under their wheels.
        levers: Whether the distances stand below.
    """
    with units.speaking(system):
        return _side(build, suit, width=width, table=table, levers=_levers(suit) if levers else [])


def frame_of(suit: Suit) -> Frame:
    """Sizes of the carrier's outline.

    Args:
        suit: How a blade suits the carrier.
    """
    p = suit.places
    return Frame(
        kind=kind_of(suit), wheelbase=p.wheelbase.value, front_radius=p.tyre_radius.value,
        rear_radius=p.rear_tyre_radius.value, height=p.height.value, width=p.width.value,
    )  # fmt: skip


def kind_of(suit: Suit) -> str:
    """Kind of the carrier; what the blade is made for while the kind is not told.

    Args:
        suit: How a blade suits the carrier.
    """
    return suit.carrier.kind or suit.build.spec.carrier_kind


def called(suit: Suit) -> str:
    """Name and kind of the carrier.

    Args:
        suit: How a blade suits it.
    """
    return f"{suit.carrier.name}, {suit.carrier.kind or f'kind not told, drawn as a {kind_of(suit)}'}"


def _side(build: Build, suit: Suit, *, width: float, table: bool, levers: Sequence[_Lever]) -> Picture:
    frame, seen, p = frame_of(suit), see(build, "side"), suit.places
    shapes = carrier_shapes.side_shapes(frame)
    plate = _plate_middle(seen)
    rest = (p.pins_ahead.value, p.rise_low.value + plate)
    lifted = (p.pins_ahead.value + p.plate_lifted.value - p.plate_low.value, p.rise_lifted.value + plate)
    front = max(p.plate_low.value, p.plate_lifted.value) + seen.right
    back = min(x for s in shapes for x, _ in s.ring)
    if suit.ballast is not None:
        back = min(back, -frame.wheelbase - p.ballast_behind.value - _BALLAST[0])
    high = max(p.rise_lifted.value + seen.high, frame.height)
    scale = _scale(front - back, width - _LEFT - _RIGHT)
    rows, below = suiting_axles.rows_of(suit) if table else [], _below(suit, scale, width)
    foot = (4.0 if levers or rows else 1.0) + _ROW * len(levers) + suiting_axles.room(rows)
    foot += 5.0 + 1.3 * _SIZE * len(below)
    page = Picture(width, foot + high * MM_PER_M / scale + _HEAD)
    spare = width - _LEFT - _RIGHT - (front - back) * MM_PER_M / scale
    view = View(ratio=scale, x=_LEFT + spare / 2, y=foot, model_x=front, mirrored=True)
    ground = view.at(0.0, 0.0)[1]
    page.line((0.0, ground), (width, ground), pen=GROUND)
    _machine(page, view, [*shapes, carrier_shapes.arm_shape(frame, rest, rest=rest)], suit)
    up = carrier_shapes.arm_shape(frame, lifted, rest=rest)
    with page.group("arm lifted", title="lift arm, lifted"):
        page.polygon(view.points(up.ring), pen=GHOST)
    _coupling(page, view, rest, p.plate_low.value, seen, rise=p.rise_low.value)
    _blade(page, seen, _placed(view, ahead=p.plate_low.value, rise=p.rise_low.value))
    _ghost(page, seen, _placed(view, ahead=p.plate_lifted.value, rise=p.rise_lifted.value))
    _ballast(page, view, suit)
    _centres(page, build, suit, view, seen)
    if rows:
        for x in (0.0, -frame.wheelbase):
            page.line((view.at(x, 0.0)[0], ground - 1.2), (view.at(x, 0.0)[0], ground - 6.0 - _ROW * len(levers)),
                      pen=DIMENSION)  # fmt: skip
    _draw_levers(page, view, levers)
    if rows:
        suiting_axles.table(page, view, rows, wheelbase=frame.wheelbase, top=ground - 4.0 - _ROW * len(levers) - 3.0)
    for number, line in enumerate(reversed(below)):
        page.text((0.0, 1.2 + number * 1.3 * _SIZE), line, size=_SIZE)
    return page


def _scale(span: float, room: float) -> int:
    return next((s for s in STANDARD_SCALES if span * MM_PER_M / s <= room), STANDARD_SCALES[-1])


def _placed(view: View, *, ahead: float, rise: float) -> View:
    """The same view for what is given in blade axes, the face of the mount plate so far ahead and the edge so high."""
    return replace(view, model_x=view.model_x - ahead, model_y=-rise)


def _plate_middle(seen: Seen) -> float:
    """Middle of the mount plate over the edge's tip [m]: where the arm comes in."""
    zs = [z for part, shapes in seen.shapes if part.body == "mount" and part.kind == "plate"
          for shape in shapes for _, z in shape]  # fmt: skip
    return (min(zs) + max(zs)) / 2 if zs else seen.high / 2


def _machine(page: Picture, view: View, shapes: Sequence[Shape], suit: Suit) -> None:
    with page.group("carrier", title=f"{called(suit)}: plain outline, not measured"):
        for shape in shapes:
            page.polygon(view.points(shape.ring), pen=THIN, fill=FILLS[shape.piece])


def _coupling(page: Picture, view: View, pins: Point, plate: float, seen: Seen, *, rise: float) -> None:
    """From the loader pins to the face of the mount plate: the carrier's own coupler, only a sign."""
    if plate - pins[0] < 0.01:
        return
    low, high = rise + 0.45 * _plate_middle(seen), rise + 1.5 * _plate_middle(seen)
    ring = ((pins[0] - 0.05, pins[1] - 0.06), (plate, low), (plate, high), (pins[0] - 0.05, pins[1] + 0.06))
    page.polygon(view.points(ring), pen=THIN, fill="paper")
    page.circle(view.at(*pins), 0.8, pen=THIN, fill="paper")


def _blade(page: Picture, seen: Seen, view: View) -> None:
    start, step = view.at(0.0, 0.0), view.step()
    for part, shapes in seen.shapes:
        mark = Outlines(rings=shapes, start=start, step=step, pen=THIN, fill=fill_of(part))
        page.add(Group(name=part.id, part=part.id, title=part.name, marks=(mark,)))


def silhouettes(seen: Seen) -> list[list[Point]]:
    """Outer outlines of a blade in one view, all parts as one.

    Args:
        seen: The view.
    """
    sheets = [shapely.make_valid(shapely.Polygon(ring)) for _, shapes in seen.shapes for ring in shapes]
    whole: Any = shapely.union_all(sheets)
    pieces = [g for g in shapely.get_parts(whole) if g.geom_type == "Polygon"]
    return [[(float(x), float(z)) for x, z in g.exterior.coords[:-1]] for g in pieces]


def _ghost(page: Picture, seen: Seen, view: View) -> None:
    with page.group("blade lifted", title="the blade, lifted"):
        for ring in silhouettes(seen):
            page.polygon(view.points(ring), pen=GHOST)


def _ballast(page: Picture, view: View, suit: Suit) -> None:
    if suit.ballast is None:
        return
    p = suit.places
    half, tall = _BALLAST
    middle, low = -p.wheelbase.value - p.ballast_behind.value, 0.35
    ring = ((middle - half, low), (middle + half, low), (middle + half, low + tall), (middle - half, low + tall))
    with page.group("ballast", title="ballast"):
        page.polygon(view.points(ring), pen=THIN, fill="paper")
        page.hatch([view.points(ring)], spacing=1.6)
        _centre_sign(page, view.at(middle, low + tall / 2))
        # Over the rear wheel, which reaches to the block.
        x, y = view.at(middle - half, max(low + tall, 2 * p.rear_tyre_radius.value))
        for row, words in enumerate((suit.ballast.mass.said("mass"), "ballast")):
            at = (min(x + 6.0, page.width), y + 1.2 + row * 1.3 * _SIZE)
            page.text(at, words, size=_SIZE, anchor="right", weight="bold", halo=True)


def _centre_sign(page: Picture, at: Point, *, radius: float = 1.7) -> None:
    """The sign of a centre of gravity: a disc in four quarters, two of them filled."""
    page.circle(at, radius, pen=THIN, fill="paper")
    quarter = 0.41421356237309503  # tan of a quarter of a right angle
    for sx, sy in ((1.0, 1.0), (-1.0, -1.0)):
        ring = ((at[0], at[1], 0.0), (at[0] + sx * radius, at[1], quarter), (at[0], at[1] + sy * radius, 0.0))
        page.polygon(ring, pen=None, fill="ink")


def _centres(page: Picture, build: Build, suit: Suit, view: View, seen: Seen) -> None:
    """Both centres of gravity, each with the weight and what the carrier lifts there."""
    p, z = suit.places, build.centre_of_gravity[2]
    low = view.at(p.cg_low.value, p.rise_low.value + z)
    up = view.at(p.cg_lifted.value, p.rise_lifted.value + z)
    _centre_sign(page, low)
    _centre_sign(page, up)
    weighs = f"{build.name}, {units.say(build.mass, 'mass')} by the model"
    # Over the blade, and under the broken one where a marker reaches up to it.
    over, under = (view.at(0.0, z)[1] for z in (p.rise_low.value + seen.high, p.rise_lifted.value))
    _note(page, (0.0, min(over + 5.0, under - 3.5)), (weighs, "centre of gravity"), low)
    lines, verdict = _lifts(suit)
    _note(page, (0.0, page.height - 4.0), lines, up, verdict=verdict)


def _lifts(suit: Suit) -> tuple[list[str], str]:
    """What the carrier lifts at the blade's centre of gravity, in words, and the verdict on it."""
    for key, words in (("lift", "lifted: good for {} here"), ("operating", "lifted: rated load {} here, a comparison")):
        check = suit.check(key)
        if check is None:
            continue
        if check.limit is None:
            return ["lifted"], check.finding.verdict
        return [words.format(check.limit.said("mass"))], check.finding.verdict
    return ["lifted"], ""


def _note(page: Picture, at: Point, lines: Sequence[str], tip: Point, *, verdict: str = "") -> None:
    """Words at the left edge, a thin line from them to the thing."""
    with page.group("note", title=" ".join(lines)):
        for row, line in enumerate(lines):
            page.text((at[0], at[1] - row * 1.3 * _SIZE), line, size=_SIZE, halo=True, pen=DIMENSION)
        x, y = at[0], at[1] - (len(lines) - 1) * 1.3 * _SIZE
        if verdict:
            y -= 1.3 * _SIZE
            page.text((x, y), verdict, size=_SIZE, weight="bold", colour=COLOURS.get(verdict, "ink"), halo=True)
        page.arrow((x + 8.0, y - 1.2), (tip[0] - 1.2, tip[1] + 1.2), pen=DIMENSION)


def _levers(suit: Suit) -> list[_Lever]:
    """What the axle loads turn on, from the front axle; assumed ones say so."""
    p = suit.places
    tracked = kind_of(suit) in carrier_shapes.TRACKED
    axle = "front of the tracks" if tracked else "front axle"
    base = "tracks on the ground" if tracked else "wheelbase"

    def said(place: Place, words: str) -> str:
        # Nobody measured it: whole inches or centimetres say so as well as the word.
        if place.assumed:
            return f"about {about(place.value)} {words}, assumed"
        return f"{units.say(place.value, 'length')} {words}"

    found = [
        _Lever(start=-p.wheelbase.value, end=0.0, text=said(p.wheelbase, base), assumed=p.wheelbase.assumed,
               right=False),
        _Lever(start=0.0, end=p.pins_ahead.value, text=said(p.pins_ahead, f"loader pins ahead of {axle}"),
               assumed=p.pins_ahead.assumed),
        _Lever(start=0.0, end=p.cg_low.value, text=said(p.cg_low, "centre of gravity, carried low"),
               assumed=p.cg_low.assumed),
    ]  # fmt: skip
    if abs(p.cg_lifted.value - p.cg_low.value) > 0.005:
        found.append(_Lever(start=0.0, end=p.cg_lifted.value, assumed=p.cg_lifted.assumed,
                            text=said(p.cg_lifted, "centre of gravity, arms level")))  # fmt: skip
    if suit.ballast is not None:
        behind = p.ballast_behind
        found.append(_Lever(start=-p.wheelbase.value, end=-p.wheelbase.value - behind.value, right=False,
                            text=said(behind, "ballast behind the rear axle"), assumed=behind.assumed))  # fmt: skip
    return found


def about(length: float) -> str:
    """A length that is only assumed, to the inch or to 10 mm.

    Args:
        length: The length [m].
    """
    step = INCH if units.tape(INCH, unit=False) == "1" else 0.01
    return units.say(round(length / step) * step, "length")


def _draw_levers(page: Picture, view: View, levers: Sequence[_Lever]) -> None:
    ground = view.at(0.0, 0.0)[1]
    placed = [(ground - 5.0 - n * _ROW, view.at(v.start, 0.0)[0], view.at(v.end, 0.0)[0], v)
              for n, v in enumerate(levers)]  # fmt: skip
    for y, a, b, _ in placed:  # before the words, which keep clear of them
        for x in (a, b):
            page.line((x, ground - 1.2), (x, y - 1.2), pen=DIMENSION)
    for row, (y, a, b, lever) in enumerate(placed):
        pen = ASSUMED if lever.assumed else DIMENSION
        with page.group("lever", title=lever.text):
            if abs(b - a) > 0.5:
                page.line((a, y), (b, y), pen=pen)
            if abs(b - a) > 6.0:
                page.arrow((a, y), (b, y), pen=DIMENSION, shaft=False)
                page.arrow((b, y), (a, y), pen=DIMENSION, shaft=False)
            if row == 0 and fonts.text_width(lever.text, size=_SIZE) < abs(b - a) - 2.0:
                page.text(((a + b) / 2, y + 0.7), lever.text, size=_SIZE, anchor="middle", halo=True, pen=DIMENSION)
            else:
                _beside(page, b if row == 0 else a, y, lever)


def _beside(page: Picture, x: float, y: float, lever: _Lever) -> None:
    """Words of a lever beside the axle it starts from, on the side away from it, never off the picture."""
    wide = fonts.text_width(lever.text, size=_SIZE)
    start = min(x + 1.5, page.width - wide) if lever.right else max(x - 1.5 - wide, 0.0)
    # Lines of other levers stop at the words.
    page.rectangle(start - 0.6, y - 1.7, wide + 1.2, 3.4, pen=None, fill="paper")
    page.text((start, y), lever.text, size=_SIZE, stand="centre", pen=DIMENSION)


def _below(suit: Suit, scale: int, width: float) -> list[str]:
    """What the outline is worth, in as many lines as the picture's width asks."""
    words = f"{called(suit)}: plain outline in the usual proportions of its kind. Broken: assumed, or lifted."
    return wrapped(f"{words} Scale 1:{scale:g}.", width)


def wrapped(words: str, width: float, *, size: float = _SIZE) -> list[str]:
    """A sentence in lines no wider than a picture.

    Args:
        words: The sentence.
        width: Room across [mm].
        size: Size of the letters [mm].
    """
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and fonts.text_width(longer, size=size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
