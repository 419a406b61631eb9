"""A blade bent under a load: its parts at rest and bent, so many times too far, and how near each is to its yield.

Lines grow thicker with the share of yield, so that a photocopy still tells them apart; the three parts nearest to yield
carry their names and figures. An arrow stands where the load comes in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Final

import numpy as np

from plowwright import units
from plowwright.blade.loads import LoadCase
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import ACCENT, DIMENSION, HAIR, Pen
from plowwright.papers.views import MM_PER_M, STANDARD_SCALES, View
from plowwright.physics.frame_elements import Floats

_STEPS: Final = (
    (0.5, Pen(name="bent-low", layer="under half of yield", width=0.3), "under half of yield"),
    (0.9, Pen(name="bent-half", layer="over half of yield", width=0.7), "half to nine tenths"),
    (1.0, Pen(name="bent-near", layer="near yield", width=1.2, colour="near"), "near yield"),
    (np.inf, Pen(name="bent-over", layer="over yield", width=1.9, colour="fails"), "over yield"),
)
_LINK: Final = Pen(name="bent-link", layer="held together", width=0.18)
_EXAGGERATIONS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000)
_SIZE: Final = 2.8
_NAMED: Final = 3
_APART: Final = 0.004
"""Ends at one joint that lie further apart are drawn joined [m]."""
_ARROW: Final = 11.0
_HEAD: Final = 8.0
_FOOT: Final = 17.0
_BETWEEN: Final = 12.0
_NAME_ROW: Final = 4.4
_MARGIN: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strand:
    """One line of the blade: places [m], displacements [m], and the share of yield of its part [-]."""

    part: str
    points: Floats
    moved: Floats
    share: float


def bent(
    analysis: Analysis,
    case: str,
    *,
    force: float,
    width: float,
    system: units.System = "us",
    names: int = _NAMED,
    beside: bool = False,
) -> Picture:
    """One load case from above and from behind.

    Args:
        analysis: The blade under all its load cases.
        case: Name of the case.
        force: Force of the case [N]; 1 where the case does not scale.
        width: Width of the picture [mm].
        system: Units of the words.
        names: How many parts nearest to yield are named [-].
        beside: Whether the two views stand beside each other, else one above the other.
    """
    c = analysis.number(case)
    load = analysis.cases[c]
    factor = force / load.reference
    strands, links = _strands(analysis, c, factor), _links(analysis, c, factor)
    rest = np.concatenate([strand.points for strand in strands])
    largest = max(float(np.linalg.norm(s.moved, axis=1).max(initial=0.0)) for s in strands)
    times = _times(largest, float(np.ptp(rest[:, 1])))
    every = np.concatenate([rest, *(s.points + times * s.moved for s in strands)])
    low, high = every.min(axis=0), every.max(axis=0)
    field = (width - _BETWEEN) / 2 if beside else width
    scale = _scale(float(high[1] - low[1]), field)
    deep, tall = ((float(high[axis]) - float(low[axis])) * MM_PER_M / scale for axis in (0, 2))
    deep += _NAME_ROW * names
    page = Picture(width, _HEAD + _ARROW + _FOOT + (max(deep, tall) if beside else deep + _BETWEEN + tall))
    middle = float(low[1] + high[1]) / 2
    # Seen from above with the front up, and from behind: both have the blade's left on the left.
    level = (_FOOT if beside else _FOOT + tall + _BETWEEN) + _NAME_ROW * names
    above = View(ratio=scale, x=field / 2, y=level, model_x=middle, model_y=float(low[0]), mirrored=True)
    to_back = width - field / 2 if beside else field / 2
    foot = page.height - _HEAD - _ARROW - tall if beside else _FOOT
    back = View(ratio=scale, x=to_back, y=foot, model_x=middle, model_y=float(low[2]), mirrored=True)
    for view, axis, title in ((above, 0, "from above"), (back, 2, "from behind")):
        _drawn(page, view, axis, strands, links, times=times)
        top = view.at(0.0, float(high[axis]))[1]
        page.text((view.x - field / 2, top + 4.0), title, size=_SIZE, weight="bold")
    _struck(page, load, above, strands, times=times)
    _name_worst(page, strands, above, times=times, names=names, field=field)
    _legend(page, times=times, largest=largest, system=system)
    said = f", {units.say(force, 'force', system=system)}" if load.scales else ""
    page.text((0.0, page.height - 4.0), f"{load.title}{said}", size=3.2, weight="bold")
    return page


def _strands(analysis: Analysis, c: int, factor: float) -> list[_Strand]:
    found = [
        _Strand(
            part=line.part,
            points=line.points,
            moved=line.moved[c] * factor,
            share=float(analysis.part_share(line.part)[c]) * factor,
        )
        for line in analysis.lines()
    ]
    outlines = analysis.board.outlines if analysis.board is not None else ()
    return found + [
        _Strand(part=line.name, points=line.places, moved=line.moved[c] * factor, share=0.0) for line in outlines
    ]


def _links(analysis: Analysis, c: int, factor: float) -> list[_Strand]:
    """Stiff steps from axis to axis at each joint, so that the parts do not seem to hang in the air."""
    gathered: dict[int, list[tuple[Floats, Floats]]] = {}
    for m, beam in enumerate(analysis.beams):
        for e, place in enumerate((beam.start, beam.end)):
            end = (np.array(place), analysis.moved[c, m, e] * factor)
            gathered.setdefault(int(analysis.nodes[m, e]), []).append(end)
    found: list[_Strand] = []
    for ends in gathered.values():
        (first, first_moved), *others = ends
        for place, moved in others:
            if float(np.linalg.norm(place - first)) > _APART:
                points = np.stack([first, place])
                found.append(_Strand(part="", points=points, moved=np.stack([first_moved, moved]), share=0.0))
    return found


def _drawn(
    page: Picture, view: View, axis: int, strands: Sequence[_Strand], links: Sequence[_Strand], *, times: int
) -> None:
    def run(points: Floats) -> list[tuple[float, float]]:
        return [view.at(float(p[1]), float(p[axis])) for p in points]

    for strand in (*links, *strands):
        page.polyline(run(strand.points), pen=HAIR)
    for link in links:
        page.polyline(run(link.points + times * link.moved), pen=_LINK)
    for strand in sorted(strands, key=lambda s: s.share):
        with page.group(f"bent {strand.part}", part=strand.part, title=_said(strand)):
            page.polyline(run(strand.points + times * strand.moved), pen=_pen(strand.share))


def _struck(page: Picture, load: LoadCase, view: View, strands: Sequence[_Strand], *, times: int) -> None:
    """An arrow where the load comes in, from above; a load over the whole width gets five."""
    if not load.board:
        return
    points = np.concatenate([s.points for s in strands])
    moved = np.concatenate([s.moved for s in strands])
    for one in load.board:
        x, y, _ = one.force
        along = hypot(x, y)
        if along < 1e-9:
            continue
        y0, y1 = one.place.y0, one.place.y1
        wide = y1 - y0 > 0.3
        for at in np.linspace(y0, y1, 5) if wide else [(y0 + y1) / 2]:
            # The front of the bent blade nearest to the load.
            gap = np.abs(points[:, 1] - at) - 0.5 * points[:, 0]
            nearest = int(np.argmin(gap))
            to = points[nearest] + times * moved[nearest]
            tip = view.at(float(at + times * moved[nearest][1]), float(to[0]))
            side = -1.0 if view.mirrored else 1.0
            tail = (tip[0] - side * y / along * _ARROW, tip[1] - x / along * _ARROW)
            _arrow(page, tail, tip)


def _arrow(page: Picture, tail: tuple[float, float], tip: tuple[float, float]) -> None:
    """A stout arrow, to be told from the thin ones of notes."""
    long = hypot(tip[0] - tail[0], tip[1] - tail[1])
    ux, uy = (tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long
    back = (tip[0] - 3.6 * ux, tip[1] - 3.6 * uy)
    page.line(tail, back, pen=ACCENT)
    head = (tip, (back[0] - 1.3 * uy, back[1] + 1.3 * ux), (back[0] + 1.3 * uy, back[1] - 1.3 * ux))
    page.polygon(head, pen=None, fill="accent")


def _times(largest: float, span: float) -> int:
    """How many times too far the shape is drawn: its largest displacement comes to about a twelfth of the width."""
    if largest <= 0:
        return 1
    wanted = span / 12 / largest
    return max((t for t in _EXAGGERATIONS if t <= wanted), default=1)


def _scale(span: float, width: float) -> int:
    return next((s for s in STANDARD_SCALES if span * MM_PER_M / s <= width - 2 * _MARGIN), STANDARD_SCALES[-1])


def _pen(share: float) -> Pen:
    return next(pen for most, pen, _ in _STEPS if share <= most)


def _said(strand: _Strand) -> str:
    return f"{strand.part}: {strand.share * 100:.0f} % of yield" if strand.share else strand.part


def _name_worst(
    page: Picture, strands: Sequence[_Strand], view: View, *, times: int, names: int, field: float
) -> None:
    """Names below the view, the nearest to yield first, each with an arrow to its part."""
    worst = sorted((s for s in strands if s.share > 0), key=lambda s: -s.share)[:names]
    left = view.x - field / 2
    for row, strand in enumerate(worst):
        points = strand.points + times * strand.moved
        middle = points[len(points) // 2]
        tip = view.at(float(middle[1]), float(middle[0]))
        words = _said(strand)
        y = view.y - _NAME_ROW * (row + 0.6)
        end = left + fonts.text_width(words, size=_SIZE) * 1.08
        page.text((left, y), words, size=_SIZE, weight="bold", stand="centre")
        page.arrow((end + 1.0, y), tip, pen=DIMENSION)


def _legend(page: Picture, *, times: int, largest: float, system: units.System) -> None:
    """What the thicknesses mean, in a second row where one does not hold them all."""
    x, y = 0.0, _FOOT - 4.0
    for _, pen, words in _STEPS:
        wide = 14.5 + fonts.text_width(words, size=_SIZE)
        if x + wide > page.width + 4.0:
            x, y = 0.0, y - 5.0
        page.line((x + 1.0, y), (x + 8.0, y), pen=pen)
        page.text((x + 10.5, y), words, size=_SIZE, stand="centre")
        x += wide
    most = units.say(largest, "length", system=system, style="decimal")
    words = f"bent {times} times too far; the largest movement is {most}" if times > 1 else f"moves {most} at most"
    page.text((0.0, 1.5), f"{words}. Pale: at rest.", size=_SIZE)
