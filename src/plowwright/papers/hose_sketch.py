"""The hose sketch: frame, cylinder and block from above to scale, hoses with tags and cut lengths, lever and order.

Forward is up, so the left of the blade is at the reader's left. Hoses are drawn as they lie at rest, blade straight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.plumbing.plumb import PLUG
from plowwright.blade.plumbing.results import Hose, Plumbing, Port
from plowwright.errors import EntryError
from plowwright.papers import diagram_symbols as symbols
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System, draw
from plowwright.papers.marks import DIMENSION, HIDDEN, OUTLINE, Pen, Point
from plowwright.papers.projection import Seen, see
from plowwright.papers.suiting import wrapped
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View
from plowwright.units.constants import INCH

LEAST_WIDTH: Final = 170.0
"""Below this tags and words have no room [mm]."""
_WALL: Final = Pen(name="hose-wall", layer="hoses", width=1.7)
_CORE: Final = Pen(name="hose-core", layer="hoses", width=0.9, colour="paper")
_SIZE: Final = 2.9
_STEP: Final = 3.9
_BOLD: Final = 0.93
"""Room that is left for bold words measured as plain ones [-]."""
_COLUMN: Final = 64.0
"""Width of the words beside the plan [mm]."""
_PLAN: Final = 138.0
"""Greatest height of the plan [mm]."""
_EDGE: Final = 7.0
_LEGEND: Final = 16.0
"""Room under the words beside the plan for scale and arrow [mm]."""
_UNDER_BARE: Final = 12.0
"""Room for the block's name where no hoses run back from the plate [mm]."""
_CROSS: Final = 1.0
"""Half a cross on the plan [mm]."""
_BODIES: Final = ("mount", "hub", "frame", "link")
_GROUPS_OUT: Final = ("springs",)
_FAR: Final = -22 * INCH
"""Behind this, from the mount plate, hoses are drawn short where the outlets are further off [m]."""
_DRAWN: Final = 16 * INCH
"""How much of a longer way behind it is drawn [m]."""
_TAGS: Final = {"hose 1": 0.24, "hose 2": 0.36, "hose 3": 0.5, "hose 4": 0.55}
"""How far along a hose its tag sits [-]."""


@dataclass(frozen=True, kw_only=True)
class _Sheet:
    """What is drawn on and what from."""

    page: Picture
    build: Build
    plumbing: Plumbing
    view: View
    system: System
    plan_foot: float
    shortened: bool

    def say(self, length: float) -> str:
        """A length in the units of the sheet."""
        return units.say(length, "length", system=self.system)

    def at(self, place: Sequence[float]) -> Point:
        """A place of the blade from above, on the paper."""
        return self.view.at(place[1], _drawn(place[0], self.plumbing))


def picture(build: Build, plumbing: Plumbing, *, width: float = 184.0, system: System = "us") -> Picture:
    """The hose sketch.

    Args:
        build: The blade.
        plumbing: Its plumbing.
        width: Room across the sheet [mm].
        system: US or metric lengths.

    Raises:
        EntryError: Less room than tags and words need.
    """
    if width < LEAST_WIDTH:
        raise EntryError(
            "the hose sketch has no room for its words",
            value=f"{width:g} mm",
            limit=f"at least {LEAST_WIDTH:g} mm",
            way_out="Give it the width of the sheet.",
        )
    seen = _plan(build)
    bounds = _bounds(seen, plumbing)
    words = _words(plumbing, width)
    foot = len(words) * _STEP + (_UNDER_BARE if plumbing.bare else 4.0)
    beside = _beside(plumbing, system)
    view, high = _view(bounds, room=width - _COLUMN - 2 * _EDGE, foot=foot, least=len(beside) * _STEP + _LEGEND)
    sheet = _Sheet(
        page=Picture(width, foot + high + 2 * _EDGE), build=build, plumbing=plumbing, view=view, system=system,
        plan_foot=foot, shortened=not plumbing.bare and _rear(plumbing) < _FAR - _DRAWN,
    )  # fmt: skip
    draw(sheet.page, seen, view)
    _outlets(sheet)
    for hose in plumbing.hoses:
        _hose(sheet, hose)
    for port in plumbing.ports:
        _port(sheet, port)
    if sheet.shortened:
        _break(sheet)
    _names(sheet)
    for hose in plumbing.hoses:
        _tag(sheet, hose)
    _column(sheet, width - _COLUMN + 2.0, beside)
    for i, (line, bold) in enumerate(words):
        at = (2.0, (len(words) - i - 0.5) * _STEP + 2.0)
        sheet.page.text(at, line, size=_SIZE, stand="centre", weight="bold" if bold else "regular")
    return sheet.page


def _rear(plumbing: Plumbing) -> float:
    return min(place[0] for place in plumbing.outlet.places)


def _drawn(x: float, plumbing: Plumbing) -> float:
    """Where a place behind the plate is drawn: a long way back is drawn short [m]."""
    rear = _rear(plumbing)
    if x >= _FAR or rear >= _FAR - _DRAWN:
        return x
    return _FAR + (x - _FAR) * _DRAWN / (_FAR - rear)


def _plan(build: Build) -> Seen:
    """The blade from above without moldboard, springs and what hides the hoses."""
    seen = see(build, "above")
    kept = tuple(
        (part, shapes)
        for part, shapes in seen.shapes
        if part.body in _BODIES and part.group not in _GROUPS_OUT and "spring" not in part.id
    )
    points = [p for _, shapes in kept for shape in shapes for p in shape]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return replace(seen, shapes=kept, left=min(xs), right=max(xs), low=min(ys), high=max(ys))


def _bounds(seen: Seen, plumbing: Plumbing) -> tuple[float, float, float, float]:
    """Least y, least x, greatest y, greatest x of frame, hoses and outlets [m]."""
    places = [(y, _drawn(x, plumbing)) for hose in plumbing.hoses for x, y, _ in hose.path]
    if not plumbing.bare:
        places += [(y, _drawn(x, plumbing) - 2 * INCH) for x, y, _ in plumbing.outlet.places]
    ys, xs = [p[0] for p in places], [p[1] for p in places]
    return min([*ys, seen.left]), min([*xs, seen.low]), max([*ys, seen.right]), max([*xs, seen.high])


def _view(bounds: tuple[float, float, float, float], *, room: float, foot: float, least: float) -> tuple[View, float]:
    """The largest standard scale that fits, and the height plan and words beside it take on the paper [mm]."""
    y0, x0, y1, x1 = bounds
    scale = next(
        (s for s in STANDARD_SCALES if (y1 - y0) * MM_PER_M <= room * s and (x1 - x0) * MM_PER_M <= _PLAN * s),
        STANDARD_SCALES[-1],
    )
    high = (x1 - x0) * MM_PER_M / scale
    left = _EDGE + (room - (y1 - y0) * MM_PER_M / scale) / 2
    tall = max(high, least)
    # The plan hangs from the top, so that names have room under the plate.
    low = foot + _EDGE + tall - high
    return View(ratio=scale, x=left, y=low, model_x=y1, model_y=x0, mirrored=True), tall


def _hose(s: _Sheet, hose: Hose) -> None:
    """A hose as it lies, with a light core, its ends straight to the ports."""
    points = [s.at(p) for p in (*_first(s, hose), *hose.path, *_last(s, hose))]
    with s.page.group(hose.name.replace(" ", "-"), title=f"{hose.name}, {s.say(hose.cut_length)}"):
        s.page.polyline(points, pen=_WALL)
        s.page.polyline(points, pen=_CORE)


def _first(s: _Sheet, hose: Hose) -> list[tuple[float, float, float]]:
    if hose.carrier:
        return [s.plumbing.outlet.places["AB".index(hose.start[-1])]]
    return [_port_of(s, hose.start).place]


def _last(s: _Sheet, hose: Hose) -> list[tuple[float, float, float]]:
    return [_port_of(s, hose.end).place]


def _port_of(s: _Sheet, title: str) -> Port:
    part, _, name = title.partition(", ")
    return s.plumbing.port(part, name)


def _tag(s: _Sheet, hose: Hose) -> None:
    """The hose's number in a circle on it."""
    points = hose.path
    at = s.at(points[round(_TAGS.get(hose.name, 0.5) * (len(points) - 1))])
    s.page.circle(at, 2.5, pen=OUTLINE, fill="paper")
    s.page.text(at, hose.name.rpartition(" ")[2], size=3.2, anchor="middle", stand="centre", weight="bold")


def _break(s: _Sheet) -> None:
    """Two slanted strokes across the hoses where they are drawn short."""
    x0, y = s.at(s.plumbing.outlet.places[0])
    x1, _ = s.at(s.plumbing.outlet.places[1])
    y += 0.6 * s.view.length(_DRAWN)
    for up in (0.0, 1.6):
        a, b = (min(x0, x1) - 14.0, y + up - 1.0), (max(x0, x1) + 14.0, y + up + 1.0)
        s.page.line(a, b, pen=DIMENSION)


def _names(s: _Sheet) -> None:
    """Block and guide by name, in the free room behind the plate on the other side."""
    block = s.build.assembly.part("valve block").place.origin
    inboard = 1.0 if s.plumbing.outlets == "left" else -1.0
    x, y = s.at(block)
    _, plate = s.at((0.0, 0.0, 0.0))
    # From the block's inboard corner, past the hoses.
    reach = s.view.length(14 * INCH)
    half = s.view.length(2.75 * INCH)
    # Below the lugs or hooks behind the plate.
    low = plate - max(9.0, s.view.length(_behind(s.build)) + 2.5)
    s.page.leader((x + inboard * half, y - 1.0), (x + inboard * reach, low), "valve block", size=_SIZE)
    if not s.plumbing.bare:
        gx, gy = s.at(s.plumbing.outlet.guides[1])
        to = (x + inboard * reach, low - 6.0)
        s.page.leader((gx + inboard * 1.8, gy), to, "guide, both hoses clamped", size=_SIZE)


def _behind(build: Build) -> float:
    """How far the mount reaches behind the plate [m]."""
    return build.datum.mount.lug_length or 0.0


def _port(s: _Sheet, port: Port) -> None:
    """A dot where a hose sits, a cross where a plug does."""
    at = s.at(port.place)
    if port.joins == PLUG:
        symbols.plug(s.page, at, half=_CROSS)
    else:
        s.page.circle(at, 0.9, pen=OUTLINE, fill="ink")


def _outlets(s: _Sheet) -> None:
    """The two outlets of the machine and the guide on the mount plate."""
    if s.plumbing.bare:
        return
    side = 1.0 if s.plumbing.outlets == "left" else -1.0
    for letter, place, held in zip("AB", s.plumbing.outlet.places, s.plumbing.outlet.guides, strict=True):
        x, y = s.at(place)
        s.page.rectangle(x - 1.6, y - 3.2, 3.2, 3.2, pen=OUTLINE, fill="tint")
        # A is the outboard one: its letter stands outboard of it.
        out = -side if letter == "A" else side
        at = (x + out * 2.6, y - 1.6)
        s.page.text(at, letter, size=3.4, anchor="left" if out > 0 else "right", stand="centre", weight="bold")
        gx, gy = s.at(held)
        s.page.line((gx - 1.8, gy), (gx + 1.8, gy), pen=OUTLINE)
    lefts = [s.at(p) for p in s.plumbing.outlet.places]
    low, high = min(x for x, _ in lefts) - 7.0, max(x for x, _ in lefts) + 7.0
    y = lefts[0][1]
    s.page.polyline(((low, y - 5.0), (low, y + 1.0), (high, y + 1.0), (high, y - 5.0)), pen=HIDDEN)


def _column(s: _Sheet, x: float, lines: Sequence[tuple[str, bool]]) -> None:
    """Words beside the plan, from the top down, and the legend under them."""
    y = s.page.height - _EDGE
    for line, bold in lines:
        y -= _STEP
        s.page.text((x, y), line, size=_SIZE, weight="bold" if bold else "regular")
    _legend(s, x)


def _legend(s: _Sheet, x: float) -> None:
    """Scale and where forward is, under the column."""
    y = s.plan_foot + 4.0
    s.page.text((x, y), f"from above, {s.view.title}, blade straight", size=_SIZE)
    if s.shortened:
        s.page.text((x, y - _STEP), "hoses drawn short at the strokes", size=_SIZE)
    s.page.arrow((x + 1.5, y + 5.0), (x + 1.5, y + 13.0), pen=DIMENSION)
    s.page.text((x + 4.0, y + 8.0), "forward", size=_SIZE)


def _beside(p: Plumbing, system: System) -> list[tuple[str, bool]]:
    """Tags with cut lengths, couplers, ports and plugs, in lines as wide as the column."""
    found: list[tuple[str, bool]] = []
    for words, bold in _said(p, system):
        found += [(line, bold) for line in wrapped(words, (_COLUMN - 4.0) * (_BOLD if bold else 1.0), size=_SIZE)]
    return found


def _said(p: Plumbing, system: System) -> list[tuple[str, bool]]:
    def say(length: float) -> str:
        return units.say(length, "length", system=system)

    rows: list[tuple[str, bool]] = [(f"Outlets {p.outlets}, cylinder base {p.base_side}", True), ("", False)]
    for hose in p.hoses:
        rows.append((f"{hose.name}: {say(hose.cut_length)}, {_short(hose.start)} to {_short(hose.end)}", True))
    if p.hoses:
        hose = p.hoses[0]
        rated = units.say(hose.rated, "pressure", system=system)
        rows.append((f"{hose.size}, {hose.ends[0]} at both ends, rated {rated}", False))
        rows.append(("Lengths over the seats, slack included.", False))
        rows.append(("", False))
    rows += _couplers(p)
    for name in dict.fromkeys(f"{port.part}: {port.thread.said}" for port in p.ports):
        rows.append((name, False))
    rows.append(("Block: carrier ports on top, A outboard; cylinder A at its outboard end, B in front.", False))
    plugged = [port.name for port in p.ports if port.joins == PLUG]
    if p.bare:
        rows.append((f"Plug every port: {len(plugged)} plugs, crosses on the plan.", True))
    elif plugged:
        rows.append((f"Plugged: {', '.join(plugged)} (crosses).", False))
    rows.append(("", False))
    if not p.bare:
        place = p.outlet.places
        aside = abs(place[0][1] + place[1][1]) / 2
        word = "assumed, not measured" if p.outlet.assumed else "measured"
        rows.append((
            f"Outlets of the {p.outlet.kind} {word}: {say(-place[0][0])} behind the plate, {say(aside)} off the "
            f"middle, {say(place[0][2])} up.", False,
        ))  # fmt: skip
    return rows


def _couplers(p: Plumbing) -> list[tuple[str, bool]]:
    if p.bare:
        return [("No hoses, no couplers.", True), ("", False)]
    ours = [c for c in p.couplers if c.side == "blade"]
    theirs = [c for c in p.couplers if c.side == "carrier"]
    if not ours:
        return [("Customer's own couplers; both loose ends capped.", True), ("", False)]
    rows = [(f"{ours[0].family} {ours[0].size}, {ours[0].standard}", True)]
    rows += [
        (f"{letter}: {mine.sex} on {mine.on}, {other.sex} on the machine", False)
        for letter, mine, other in zip("AB", ours, theirs, strict=True)
    ]
    return [*rows, ("", False)]


def _short(end: str) -> str:
    return end.replace("valve block, ", "block ").replace("cylinder, ", "")


def _words(p: Plumbing, width: float) -> list[tuple[str, bool]]:
    """Lever, order and cautions under the plan."""
    found: list[tuple[str, bool]] = []
    for head, text in (("Lever", p.lever_sense), ("Order", p.order)):
        # Bold letters are the wider ones.
        room = (width - 4.0) * (_BOLD if head == "Order" else 1.0)
        found += [(line, head == "Order") for line in wrapped(f"{head}. {text}", room, size=_SIZE)]
    if p.bare:
        found.append(("Fit both restrictors in the carrier ports before any hose: without them the blade slams.", True))
    else:
        found.append(("Put hose 1 on A and hose 2 on B; clamp both to the guide on the mount plate.", False))
    for text in p.cautions:
        found += [(line, False) for line in wrapped(text, width - 4.0, size=_SIZE)]
    return found
