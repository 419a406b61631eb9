"""The hydraulic diagram of one blade on one carrier, in symbols of ISO 1219-1, each with its values.

From the top down as the oil goes: cylinder, crossover relief, restrictors, hoses, couplers; below the chain line what
the carrier has. Left and right on the paper are the cap side and the rod side, whichever side of the blade they are on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.results import Swinging
from plowwright.blade.plumbing.results import Coupler, Hose, Plumbing
from plowwright.errors import EntryError
from plowwright.papers import diagram_symbols as symbols
from plowwright.papers.diagram_symbols import CHAIN, LINE
from plowwright.papers.drawing import Picture
from plowwright.papers.elevations import System
from plowwright.papers.marks import Point

LEAST_WIDTH: Final = 178.0
"""Below this the labels have no room [mm]."""
_SIZE: Final = 2.9
_STEP: Final = 3.9
_APART: Final = 17.0
"""Cap line and rod line off the middle [mm]."""
_BLOCK: Final = 27.0
"""Half the width of the block's enclosure [mm]."""
_HEIGHT: Final = 194.0
_BARE: Final = 100.0
"""Height of the picture of a bare blade [mm]."""
_CYLINDER, _PORTS, _TOP, _FIRST, _TESTS, _SECOND, _HOLES, _FOOT = -12.0, -17.5, -36.0, -47.0, -56.0, -65.0, -78.0, -84.0
_CROSS, _COUPLED, _VALVE, _RELIEF, _PUMP, _TANK = -106.0, -115.0, -139.0, -159.0, -170.0, -184.0
"""Heights of everything, down from the top edge [mm]."""


@dataclass(frozen=True, kw_only=True)
class _Sheet:
    """What is drawn on and what from."""

    page: Picture
    build: Build
    plumbing: Plumbing
    swinging: Swinging | None
    system: System
    middle: float
    top: float

    @property
    def cap(self) -> float:
        """Line of the cap side on the paper."""
        return self.middle - _APART

    @property
    def rod(self) -> float:
        """Line of the rod side on the paper."""
        return self.middle + _APART

    def y(self, down: float) -> float:
        """Height on the paper of a distance down from the top edge."""
        return self.top + down

    def say(self, value: float, kind: str) -> str:
        """A value in the units of the sheet."""
        return units.say(value, kind, system=self.system)

    def hose(self, start_or_end: str) -> Hose | None:
        """The hose on a port, or None."""
        for hose in self.plumbing.hoses:
            if start_or_end in (hose.start, hose.end):
                return hose
        return None

    def left(self, y: float, words: Sequence[str], *, bold: bool = True) -> None:
        """Words in the left column, the first line bold, their middle at a height."""
        self._column(2.0, y, words, bold=bold)

    def right(self, y: float, words: Sequence[str], *, bold: bool = True) -> None:
        """Words in the right column."""
        self._column(self.middle + _BLOCK + 8.0, y, words, bold=bold)

    def _column(self, x: float, y: float, words: Sequence[str], *, bold: bool) -> None:
        for i, line in enumerate(words):
            weight = "bold" if bold and i == 0 else "regular"
            at = (x, y + (0.5 * (len(words) - 1) - i) * _STEP)
            self.page.text(at, line, size=_SIZE, stand="centre", weight=weight)


def picture(
    build: Build,
    plumbing: Plumbing,
    swinging: Swinging | None = None,
    *,
    carrier: Carrier | None = None,
    width: float = 184.0,
    system: System = "us",
) -> Picture:
    """The diagram.

    Args:
        build: The blade.
        plumbing: Its plumbing.
        swinging: How it moves, for the relief's setting and the restrictors; None where no rulebook says.
        carrier: The machine, where `swinging` does not know it.
        width: Room across the sheet [mm].
        system: US or metric values.

    Raises:
        EntryError: Less room than its labels need.
    """
    if width < LEAST_WIDTH:
        raise EntryError(
            "the diagram has no room for its labels",
            value=f"{width:g} mm",
            limit=f"at least {LEAST_WIDTH:g} mm",
            way_out="Give it the width of the sheet.",
        )
    tall = _BARE if plumbing.bare else _HEIGHT
    sheet = _Sheet(
        page=Picture(width, tall), build=build, plumbing=plumbing, swinging=swinging, system=system, middle=width / 2,
        top=tall,
    )  # fmt: skip
    _cylinder(sheet)
    _block(sheet)
    if plumbing.bare:
        _bare(sheet)
    else:
        _hoses(sheet)
        _couplers(sheet)
        _carrier(sheet, carrier or (swinging.carrier if swinging else None) or build.carrier)
    return sheet.page


def _cylinder(s: _Sheet) -> None:
    y, name = s.y(_CYLINDER), s.build.datum.cylinder.cylinder
    with s.page.group("cylinder", part="cylinder barrel", title="angle cylinder"):
        symbols.cylinder(s.page, (s.middle, y), length=2 * _APART + 12.0, high=11.0, rod=17.0)
    words = [name, f"base pinned {s.plumbing.base_side}"]
    if s.swinging is not None:
        words.append(f"cap over rod side {s.swinging.cylinder.ratio:.2f} to 1")
    s.left(y, words)
    if s.swinging is not None:
        # Past the rod's end.
        x = s.middle + _APART + 30.0
        for i, way in enumerate(("out", "in")):
            says = s.swinging.ways["out" if way == "out" else "in"]
            s.page.text((x, y + 2.0 - i * _STEP), f"rod {way}: {says}", size=_SIZE, stand="centre")
    for x, port, side in ((s.cap, "cap port", -1.0), (s.rod, "rod port", 1.0)):
        _short(s, x, port, side)


def _short(s: _Sheet, x: float, port: str, side: float) -> None:
    """The short hose between cylinder and block, or two plugs."""
    hose, high, low = s.hose(f"cylinder, {port}"), s.y(_PORTS), s.y(_TOP)
    thread = s.plumbing.port("cylinder", port).thread.short
    if hose is None:
        s.page.line((x, high), (x, high - 4.0), pen=LINE)
        s.page.line((x, low), (x, low + 4.0), pen=LINE)
        symbols.plug(s.page, (x, high - 4.0))
        symbols.plug(s.page, (x, low + 4.0))
        words = [f"{port} plugged", thread]
    else:
        with s.page.group(hose.name.replace(" ", "-"), title=hose.name):
            s.page.line((x, high), (x, high - 2.5), pen=LINE)
            symbols.hose(s.page, (x, high - 2.5), (x, low + 2.5), bow=-0.3 * side)
            s.page.line((x, low + 2.5), (x, low), pen=LINE)
        words = [f"{hose.name}, {s.say(hose.cut_length, 'length')}", f"to the {port}, {thread}"]
    (s.left if side < 0 else s.right)((high + low) / 2, words)


def _block(s: _Sheet) -> None:
    page, half = s.page, _BLOCK
    page.rectangle(s.middle - half, s.y(_FOOT), 2 * half, _TOP - _FOOT, pen=CHAIN)
    for x in (s.cap, s.rod):
        page.line((x, s.y(_TOP)), (x, s.y(_FOOT)), pen=LINE)
    with page.group("crossover-relief", part="valve block", title="crossover relief"):
        for down, inlet, way in ((_FIRST, s.cap, s.rod), (_SECOND, s.rod, s.cap)):
            y = s.y(down)
            page.line((inlet, y), (way, y), pen=LINE)
            symbols.relief(page, (s.middle, y), inlet="left" if inlet < way else "right")
            for x in (inlet, way):
                page.circle((x, y), 0.9, pen=None, fill="ink")
    relief = None if s.swinging is None else s.swinging.relief
    said = "setting not known" if relief is None else f"set to {s.say(relief.setting, 'pressure')}"
    s.left(s.y(_FIRST - 4.0), ["crossover relief", said, "one valve each way"])
    _tests(s)
    _holes(s)


def _tests(s: _Sheet) -> None:
    tests = [p for p in s.plumbing.ports if p.name.startswith("test")]
    for x, out, port in zip((s.cap, s.rod), (-1.0, 1.0), tests, strict=False):
        y = s.y(_TESTS)
        s.page.line((x, y), (x + out * 6.0, y), pen=LINE)
        s.page.circle((x, y), 0.9, pen=None, fill="ink")
        symbols.plug(s.page, (x + out * 6.0, y))
        if out > 0:
            s.right(y, [f"{len(tests)} test ports, plugged", f"{port.thread.short}, for a gauge"])


def _holes(s: _Sheet) -> None:
    """The restrictors in the block's carrier ports."""
    y, p = s.y(_HOLES), s.plumbing
    if p.bare:
        s.left(y, ["restrictors", "not in it: they come with the hoses"])
        return
    for x in (s.cap, s.rod):
        symbols.restrictor(s.page, (x, y))
    drill = "drill: see test card" if s.swinging is None else f"drilled {s.swinging.fitted.drill.text}, both"
    s.left(y, ["restrictors", drill])
    s.right(y, ["order along the oil", "cylinder, relief, restrictors, hoses"])


def _bare(s: _Sheet) -> None:
    thread = s.plumbing.port("valve block", "carrier A").thread.short
    for x in (s.cap, s.rod):
        s.page.line((x, s.y(_FOOT)), (x, s.y(_FOOT - 5.0)), pen=LINE)
        symbols.plug(s.page, (x, s.y(_FOOT - 5.0)))
    s.left(s.y(_FOOT - 7.0), ["bare: no hoses", f"every port plugged ({thread} at the block)"])
    s.right(s.y(_FOOT - 7.0), ["first the restrictors,", "then hoses: else it slams"], bold=False)


def _hoses(s: _Sheet) -> None:
    """The two hoses to the carrier; crossed where the lever asks for it."""
    high, low = s.y(_FOOT), s.y(_CROSS)
    for i, letter in enumerate("AB"):
        hose = s.hose(f"outlet {letter}")
        assert hose is not None  # a blade that is not bare has both
        # Coupler A stands left; the block's port A is the cap side.
        below, above = (s.cap, s.rod)[i], (s.cap, s.rod)["AB".index(hose.end[-1])]
        bow = (0.25 if i == 0 else -0.25) if below == above else 0.12
        with s.page.group(hose.name.replace(" ", "-"), title=hose.name):
            s.page.line((above, high), (above, high - 2.5), pen=LINE)
            symbols.hose(s.page, (below, low + 2.0), (above, high - 2.5), bow=bow)
            s.page.line((below, low + 2.0), (below, s.y(_COUPLED + 6.0)), pen=LINE)
        side = s.left if i == 0 else s.right
        side(
            (high + low) / 2,
            [
                f"{hose.name}, {s.say(hose.cut_length, 'length')}",
                f"outlet {letter} to carrier port {hose.end[-1]}",
                f"rated {s.say(hose.rated, 'pressure')}",
            ],
        )
    if s.plumbing.crossed:
        s.page.text((s.middle, s.y(_FOOT - 2.6)), "crossed", size=_SIZE, anchor="middle", stand="centre", halo=True)


def _couplers(s: _Sheet) -> None:
    y, p = s.y(_COUPLED), s.plumbing
    s.page.line((2.0, y), (s.page.width - 2.0, y), pen=CHAIN)
    for x in (s.cap, s.rod):
        symbols.coupler(s.page, (x, y))
    for side, up, word in (("blade", 1.0, "the blade's"), ("carrier", -1.0, "the machine's")):
        s.page.text((s.middle, y + up * 2.6), word, size=_SIZE, anchor="middle", stand="centre", weight="bold")
        halves = [c for c in p.couplers if c.side == side]
        s.left(y + up * 4.6, _half(halves, word), bold=False)
    rated = min((c.rated for c in p.couplers), default=None)
    if rated is not None:
        s.right(y - 4.6, [f"rated {s.say(rated, 'pressure')}, coupled: read the label"], bold=False)
        s.right(y + 4.6, [f"{p.couplers[0].family} {p.couplers[0].size} ({p.couplers[0].standard})"], bold=False)


def _half(halves: Sequence[Coupler], whose: str) -> list[str]:
    if not halves:
        return ["customer's own couplers, both halves"] if whose == "the blade's" else []
    return [
        f"{letter}: {half.sex}" + (f" on {half.on}" if half.side == "blade" else "")
        for letter, half in zip("AB", halves, strict=True)
    ]


def _carrier(s: _Sheet, carrier: Carrier | None) -> None:
    page, y = s.page, s.y(_VALVE)
    port, half = symbols.valve(page, (s.middle, y), side=14.0)
    for x, px, name, out in ((s.cap, s.middle - port, "A", -1.0), (s.rod, s.middle + port, "B", 1.0)):
        bend = y + half + 4.0
        page.polyline(((x, s.y(_COUPLED - 6.0)), (x, bend), (px, bend), (px, y + half)), pen=LINE)
        page.text((x + out * 1.5, bend + 3.0), name, size=_SIZE, anchor="right" if out < 0 else "left", weight="bold")
    _supply(s, (s.middle - port, y - half), (s.middle + port, y - half))
    kind = s.plumbing.outlet.kind
    s.left(y, [f"valve of the {kind}", "lever left: oil to A", "drawn shut in the middle:", "float or lock not known"])
    s.right(y, [carrier.name if carrier else "carrier not known", f"plumbed for outlets {s.plumbing.outlets}"])
    s.left(s.y(_RELIEF), ["the machine's relief", _known(s, carrier, "pressure", "pressure")])
    s.right(s.y(_PUMP), ["pump", _known(s, carrier, "flow", "flow")])


def _known(s: _Sheet, carrier: Carrier | None, name: str, kind: str) -> str:
    fact = None if carrier is None else carrier.known(name)
    return "not known: ask" if fact is None else f"{s.say(fact.likely, kind)} ({fact.source})"


def _supply(s: _Sheet, p: Point, t: Point) -> None:
    """Pump, relief and tank under the valve."""
    page, pump, tank = s.page, (p[0], s.y(_PUMP)), s.y(_TANK)
    page.line(p, (p[0], pump[1] + 5.0), pen=LINE)
    symbols.pump(page, pump, 5.0)
    page.line((p[0], pump[1] - 5.0), (p[0], tank + 1.0), pen=LINE)
    symbols.tank(page, (p[0], tank))
    down, back = s.middle + 16.0, t[1] - 6.0
    page.polyline((t, (t[0], back), (down, back), (down, tank + 1.0)), pen=LINE)
    symbols.tank(page, (down, tank))
    # The relief stands left of the pressure line and opens to the tank on its far side.
    y, x = s.y(_RELIEF), s.middle - 18.0
    page.polyline(((p[0], y), (x - 11.0, y), (x - 11.0, tank + 1.0)), pen=LINE)
    page.circle((p[0], y), 0.9, pen=None, fill="ink")
    symbols.relief(page, (x, y), inlet="right")
    symbols.tank(page, (x - 11.0, tank))
    page.text((p[0] - 1.2, p[1] - 3.4), "P", size=_SIZE, anchor="right")
    page.text((t[0] + 1.2, t[1] - 3.4), "T", size=_SIZE)
