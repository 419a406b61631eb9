"""The carrier from above with the blade on it, straight and at full angle, to scale: what it clears and covers.

Forward is up, the blade's left at the reader's left. Below each plan stand the widths that matter, at the same scale
and in line with it, so that the eye sees which end of the edge runs inside a tyre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.poses import Pose, apply, motions
from plowwright.blade.suit.results import Suit
from plowwright.papers import carrier_shapes, fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System, draw
from plowwright.papers.marks import CENTRE, DIMENSION, THIN
from plowwright.papers.projection import see
from plowwright.papers.suiting import ASSUMED, FILLS, about, frame_of, kind_of, wrapped
from plowwright.papers.suiting_axles import COLOURS
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View

_SIZE: Final = 2.8
_ROW: Final = 6.8
_GAP, _HEAD, _FOOT = 8.0, 7.0, 6.0
_SPECK: Final = 0.005
"""A run narrower than this is rounding, not ground [m]."""
_BACK: Final = 0.4
"""Where the carrier is cut off, behind the front axle, as a share of its wheelbase [-]."""


@dataclass(frozen=True, kw_only=True)
class _Width:
    """One width below a plan.

    Attributes:
        left: Its left end, to the left of the carrier's middle [m].
        right: Its right end, likewise [m].
        text: What it is.
        verdict: The verdict on it, or "".
        assumed: Whether nobody measured it.
        posts: Whether it is a gate.
        bare: Runs of it that the edge does not clear, each from left to right [m].
    """

    left: float
    right: float
    text: str
    verdict: str = ""
    assumed: bool = False
    posts: bool = False
    bare: tuple[tuple[float, float], ...] = ()


def plan(build: Build, suit: Suit, *, width: float, system: System = "us") -> Picture:
    """The carrier from above with the blade straight and at full angle, and the widths that matter below each.

    Args:
        build: The blade.
        suit: How it suits the carrier.
        width: Width of the picture [mm].
        system: Units of the words.
    """
    with units.speaking(system):
        return _plan(build, suit, width=width)


def _plan(build: Build, suit: Suit, *, width: float) -> Picture:
    frame, plate = frame_of(suit), suit.places.plate_low.value
    stop = build.assembly.pivots.angle_stop
    poses = (Pose(), Pose(angle=stop))
    seen = [see(build, "above", pose) for pose in poses]
    rows = [_straight(build, suit), _angled(build, suit, stop)]
    half = max(*(max(abs(s.left), abs(s.right)) for s in seen), *(max(w.left, -w.right) for r in rows for w in r))
    words = max(fonts.text_width(w.text + "  " + w.verdict, size=_SIZE) for r in rows for w in r)
    column = (width - _GAP) / 2
    scale = next((s for s in STANDARD_SCALES if 2 * half * MM_PER_M / s <= column - 4.0), STANDARD_SCALES[-1])
    mm = MM_PER_M / scale
    back = _BACK * frame.wheelbase
    front = plate + max(s.high for s in seen)
    below = _below(suit, rows, scale, width)
    foot = _FOOT + _ROW * max(len(r) for r in rows) + 1.3 * _SIZE * (len(below) - 1) + 2.0
    page = Picture(max(width, 2 * words + _GAP), foot + (back + front) * mm + _HEAD)
    heads = ("straight", f"at {units.say(stop, 'angle')}, left end forward")
    for number, (view_of_blade, listed, head) in enumerate(zip(seen, rows, heads, strict=True)):
        x = column / 2 + number * (column + _GAP)
        view = View(ratio=scale, x=x, y=foot, model_y=-back, mirrored=True)
        page.text((x, page.height - 4.5), head, size=3.2, anchor="middle")
        with page.group("carrier", title=f"{suit.carrier.name} from above: plain outline"):
            _carrier(page, view, suit, back=back, pins=suit.places.pins_ahead.value)
        ahead = replace(view, model_y=view.model_y - plate)
        draw(page, view_of_blade, ahead)
        _widths(page, view, listed, edge=_ends(build, poses[number], plate), top=foot)
    for number, line in enumerate(reversed(below)):
        page.text((0.0, 1.2 + number * 1.3 * _SIZE), line, size=_SIZE)
    return page


def _below(suit: Suit, rows: list[list[_Width]], scale: int, width: float) -> list[str]:
    words = f"Widths below to the same scale, 1:{scale:g}. Broken: assumed."
    if any(w.bare for r in rows for w in r):
        words += " Hatched: runs outside what the edge clears"
        overlap = suit.check("clear_side")
        known = overlap is not None and overlap.value is not None and overlap.finding.verdict != "fails"
        words += f"; overlap passes by {overlap.finding.value}." if overlap is not None and known else "."
    return wrapped(words, width)


def _carrier(page: Picture, view: View, suit: Suit, *, back: float, pins: float) -> None:
    frame = frame_of(suit)
    for shape in carrier_shapes.plan_shapes(frame, back=back, front=pins):
        pen = ASSUMED if suit.places.width.assumed and shape.piece in ("wheel", "track") else THIN
        page.polygon(view.points(shape.ring), pen=pen, fill=FILLS[shape.piece])
    reach = frame.width / 2 + 0.15
    a, b = view.at(reach, -back), view.at(-reach, -back)
    # A paper strip and a wavy edge: the carrier goes on behind it.
    steps = 8
    wave = [(a[0] + (b[0] - a[0]) * i / steps, a[1] + (0.9 if i % 2 else -0.4)) for i in range(steps + 1)]
    page.polygon([*wave, (b[0], a[1] - 2.0), (a[0], a[1] - 2.0)], pen=None, fill="paper")
    page.polyline(wave, pen=THIN)


def _ends(build: Build, pose: Pose, plate: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Left and right end of the edge's front in this pose: to the left, and ahead of the front axle [m]."""
    moved = motions(build.assembly.pivots, pose)["moldboard"]
    half, front = build.assembly.width / 2, build.datum.edge_back + build.assembly.facts["edge thickness"]
    (x0, y0, _), (x1, y1, _) = (apply(moved, (front, y, 0.0)) for y in (half, -half))
    return (y0, x0 + plate), (y1, x1 + plate)


def _verdict(suit: Suit, key: str) -> str:
    check = suit.check(key)
    return "" if check is None else check.finding.verdict


def _machine(suit: Suit, *, left: float, right: float) -> list[_Width]:
    """Over tyres or tracks, and how much of it runs outside what the edge clears from left to right [m]."""
    place = suit.places.width
    half = place.value / 2
    bare = tuple((a, b) for a, b in ((half, left), (right, -half)) if a - b > _SPECK)
    over = "tracks" if kind_of(suit) in carrier_shapes.TRACKED else "tyres"
    said = about(place.value) if place.assumed else units.say(place.value, "length")
    text = f"{'about ' if place.assumed else ''}{said} over {over}{', assumed' if place.assumed else ''}"
    return [_Width(left=half, right=-half, text=text, assumed=place.assumed, bare=bare)]


def _gate(suit: Suit) -> list[_Width]:
    gate = suit.widths.gate
    if gate is None:
        return []
    text = f"gate {units.say(gate, 'length')}"
    return [_Width(left=gate / 2, right=-gate / 2, posts=True, verdict=_verdict(suit, "gate"), text=text)]


def _over_all(suit: Suit, wide: float, *, middle: float, narrowest: bool) -> list[_Width]:
    """The whole blade; where it is narrowest, with the verdicts on road and gate, which are passed so."""
    verdict = _verdict(suit, "travel") if narrowest else ""
    words = "over all, on the road" if verdict else "over all"
    text = f"{units.say(wide, 'length')} {words}"
    row = _Width(left=middle + wide / 2, right=middle - wide / 2, text=text, verdict=verdict)
    return [row, *(_gate(suit) if narrowest else [])]


def _straight(build: Build, suit: Suit) -> list[_Width]:
    (left, _), (right, _) = _ends(build, Pose(), 0.0)
    w = suit.widths
    text = f"clears {units.say(w.straight, 'length')}"
    clears = _Width(left=left, right=right, text=text, verdict=_verdict(suit, "clear_straight"))
    whole = _over_all(suit, w.whole, middle=(left + right) / 2, narrowest=w.whole <= w.travel)
    return [clears, *_machine(suit, left=left, right=right), *whole]


def _angled(build: Build, suit: Suit, stop: float) -> list[_Width]:
    (left, _), (right, _) = _ends(build, Pose(angle=stop), 0.0)
    w = suit.widths
    text = f"clears {units.say(w.full_angle, 'length')}"
    clears = _Width(left=left, right=right, text=text, verdict=_verdict(suit, "clear_angled"))
    whole = _over_all(suit, w.travel, middle=(left + right) / 2, narrowest=w.travel < w.whole)
    return [clears, *_machine(suit, left=left, right=right), *whole]


def _widths(
    page: Picture, view: View, rows: list[_Width], *, edge: tuple[tuple[float, float], tuple[float, float]], top: float
) -> None:
    """Rows of widths, with plumb lines down from the ends of the edge and from the middle of the carrier."""
    foot = top - 3.0 - _ROW * (len(rows) - 1) - 2.5
    for y, x in edge:
        spot = view.at(y, x)
        page.line((spot[0], spot[1] - 1.0), (spot[0], top - 4.5 - 1.2), pen=CENTRE)
    page.line((view.x, top - 0.5), (view.x, foot - 2.0), pen=CENTRE)
    for number, row in enumerate(rows):
        y = top - 5.0 - number * _ROW
        a, b = view.at(row.left, 0.0)[0], view.at(row.right, 0.0)[0]
        with page.group("width", title=f"{row.text} {row.verdict}".strip()):
            page.line((a, y), (b, y), pen=ASSUMED if row.assumed else DIMENSION)
            for x, out in ((a, -1.0), (b, 1.0)):
                if row.posts:
                    post = [(x, y - 1.4), (x + out * 2.2, y - 1.4), (x + out * 2.2, y + 1.4), (x, y + 1.4)]
                    page.polygon(post, pen=THIN, fill="ink")
                page.line((x, y - 1.4), (x, y + 1.4), pen=THIN)
            page.arrow((b, y), (a, y), pen=DIMENSION, shaft=False)
            page.arrow((a, y), (b, y), pen=DIMENSION, shaft=False)
            for one, other in row.bare:
                u, v = view.at(one, 0.0)[0], view.at(other, 0.0)[0]
                box = [(u, y - 2.4), (v, y - 2.4), (v, y - 0.4), (u, y - 0.4)]
                page.polygon(box, pen=THIN, fill="paper")
                page.hatch([box], spacing=0.8)
            _says(page, (view.x, y + 0.8), row)


def _says(page: Picture, at: tuple[float, float], row: _Width) -> None:
    gap = 1.4 if row.verdict else 0.0
    wide = fonts.text_width(row.text, size=_SIZE)
    whole = wide + gap + fonts.text_width(row.verdict, size=_SIZE, weight="bold")
    x = min(max(at[0] - whole / 2, 0.0), page.width - whole)
    page.rectangle(x - 0.5, at[1] - 0.5, whole + 1.0, 3.0, pen=None, fill="paper")
    page.text((x, at[1]), row.text, size=_SIZE, pen=DIMENSION)
    if row.verdict:
        colour = COLOURS.get(row.verdict, "ink")
        page.text((x + wide + gap, at[1]), row.verdict, size=_SIZE, weight="bold", colour=colour)
