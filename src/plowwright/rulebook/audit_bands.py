"""Audit of what goes by width: rows of the tables, edge blanks, skins and the places of edge holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import asin, pi, sin
from typing import Final

from plowwright.findings import Finding, against_limit
from plowwright.rulebook.audit_said import fault, listed, rule
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Band, EdgeRow, Series
from plowwright.units import tape

_TABLES: Final = {"rows": "class table", "edges": "edge table", "cylinders": "cylinder table"}

LEAST_TO_END: Final = 2.0
"""Middle of a bolt hole to the end or tip of an edge, in bolt diameters [-]; common practice."""

LEAST_TO_FOOT: Final = 1.75
"""Middle of a bolt hole to the foot of the bottom angle, in bolt diameters [-]; common practice."""


def band_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Widths offered that no row serves, or that two rows serve."""
    basis = rule("each width offered is in exactly one row")
    for key, series in rulebook.series.items():
        for table, called in _TABLES.items():
            bands: list[Band] = getattr(series, table)
            unserved: list[float] = []
            twice: dict[tuple[int, ...], list[float]] = {}
            for width in series.widths():
                serving = tuple(i for i, band in enumerate(bands) if band.serves(width))
                if not serving:
                    unserved.append(width)
                elif len(serving) > 1:
                    twice.setdefault(serving, []).append(width)
            if unserved:
                yield fault(
                    "bands by width",
                    f"{series.name} is offered {_widths(unserved)} wide, "
                    f"but no row of its {called} serves that.",
                    basis=basis,
                    place=rulebook.place("series", key, table, _row_before(bands, unserved[0])),
                    value=_widths(unserved),
                    limit="one row",
                )
            for serving, widths in twice.items():
                rows = listed([str(i + 1) for i in serving])
                yield fault(
                    "bands by width",
                    f"{series.name} {_widths(widths)} is in rows {rows} of its {called} at once.",
                    basis=basis,
                    place=rulebook.place("series", key, table, serving[1]),
                    value=f"rows {rows}",
                    limit="one row",
                )


def edge_stock_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Widths wider than every edge blank, and hinge beams longer than every stick."""
    shop = rulebook.shop
    longest = max(shop.edge_blanks, default=0.0)
    usable = max(shop.sticks, default=0.0) - 2 * shop.end_trim
    for key, series in rulebook.series.items():
        over = [width for width in series.widths() if width > longest + 1e-6]
        if over:
            yield fault(
                "edge blanks",
                f"{series.name} is offered {_widths(over)} wide, "
                f"but the longest edge blank is {tape(longest)}.",
                basis=rule("a blank at least as long as the width"),
                place=rulebook.place("shop", "edge_blanks"),
                value=_widths(over),
                limit=f"at most {tape(longest)}",
                margin=f"{tape(over[-1] - longest)} short",
            )
        for i, row in enumerate(series.rows):
            if row.hinge_beam_length > usable + 1e-6:
                yield fault(
                    "edge blanks",
                    f"{series.name} wants a hinge beam of {tape(row.hinge_beam_length)}, but a stick gives "
                    f"{tape(usable)} after trimming.",
                    basis=rule("longest stick less two end trims"),
                    place=rulebook.place("series", key, "rows", i, "hinge_beam_length"),
                    value=tape(row.hinge_beam_length),
                    limit=f"at most {tape(usable)}",
                )


def skin_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Skins that cannot be rolled, or whose sheet is too short or too narrow."""
    for key, series in rulebook.series.items():
        mold = series.moldboard
        sheet = rulebook.plates[mold.skin]
        place = rulebook.place("series", key, "moldboard", "skin")
        developed = developed_length(rulebook, series)
        if developed is None:
            yield fault(
                "skins",
                f"{series.name}: an arc of radius {tape(mold.skin_radius)} never gets as high as its body, "
                f"{tape(mold.body_height)}.",
                basis=rule("height over radius less the sine of the lean is below 1", kind="common practice"),
                place=rulebook.place("series", key, "moldboard", "skin_radius"),
                value=tape(mold.skin_radius),
                limit="a larger radius",
            )
            continue
        widest = series.widths()[-1]
        need, have = (widest, developed), (sheet.sheet_length, sheet.sheet_width)
        for what, needed, there in (("long", need[0], have[0]), ("wide", need[1], have[1])):
            if needed > there + 1e-6:
                yield fault(
                    "skins",
                    f"{series.name} {tape(widest)} needs a skin {tape(needed)} {what}, but {mold.skin} comes "
                    f"{tape(there)} {what}.",
                    basis=rule("sheet at least as large as the flat skin"),
                    place=place,
                    value=tape(needed),
                    limit=f"at most {tape(there)}",
                    margin=f"{tape(needed - there)} short",
                )


def developed_length(rulebook: Rulebook, series: Series) -> float | None:
    """Flat length of a skin up the blade [m]: arc, lap and fold; None where the arc cannot reach the height.

    Args:
        rulebook: The rules.
        series: The series whose skin it is.
    """
    mold = series.moldboard
    angle = rulebook.sections[mold.bottom_angle]
    leg = (angle.height if mold.bottom_leg == "height" else angle.width) or 0.0
    rise = (mold.body_height - mold.edge_hang - leg) / mold.skin_radius - sin(mold.skin_lean)
    if rise > 1.0:
        return None
    arc = mold.skin_radius * (asin(max(rise, -1.0)) + mold.skin_lean)
    lap = leg if mold.skin_lap == "whole leg" else mold.skin_lap
    return min(arc, 2 * pi * mold.skin_radius) + lap + (mold.top_fold or 0.0)


def hole_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Edge holes too near an end, a tip of the edge or the foot of the bottom angle."""
    for key, series in rulebook.series.items():
        bolts = [rulebook.bought[row.bolt].diameter or 0.0 for row in series.edges]
        thickest = max(bolts, default=0.0)
        first = against_limit(
            series.holes.end,
            LEAST_TO_END * thickest,
            kind="length",
            least=True,
            title="edge holes",
            place=rulebook.place("series", key, "holes", "end"),
            basis=rule("2 x bolt diameter", kind="common practice", bolt=tape(thickest)),
            sentence=(
                f"{series.name} has its first edge hole {tape(series.holes.end)} from the end; "
                f"a {tape(thickest)} bolt wants {tape(LEAST_TO_END * thickest)} at least."
            ),
        )
        if first.verdict == "fails":
            yield first
        for i, row in enumerate(series.edges):
            yield from _across(rulebook, key, series, i, row)


def _across(rulebook: Rulebook, key: str, series: Series, i: int, row: EdgeRow) -> Iterator[Finding]:
    height = rulebook.sections[row.edge].width or 0.0
    bolt = rulebook.bought[row.bolt].diameter or 0.0
    from_top = height / 2 if row.hole_line == "mid" else row.hole_line
    above_foot = height - from_top - series.moldboard.edge_hang
    place = rulebook.place("series", key, "edges", i)
    for what, there, times in (
        ("from the top of the edge", from_top, LEAST_TO_END),
        ("from the tip of the edge", height - from_top, LEAST_TO_END),
        ("above the foot of the bottom angle", above_foot, LEAST_TO_FOOT),
    ):
        if there < times * bolt - 1e-6:
            side = tape(there) if there >= 0 else f"-{tape(-there)}"
            yield fault(
                "edge holes",
                f"{series.name}: the bolt line of {row.edge} stands {side} {what}; a {tape(bolt)} bolt wants "
                f"{tape(times * bolt)} at least.",
                basis=rule(f"{times:g} x bolt diameter", kind="common practice", bolt=tape(bolt)),
                place=place,
                value=side,
                limit=f"at least {tape(times * bolt)}",
                margin=f"{tape(times * bolt - there)} short",
            )


def _widths(widths: Sequence[float]) -> str:
    if len(widths) == 1:
        return tape(widths[0])
    if len(widths) == 2:
        return f"{tape(widths[0], unit=False)} and {tape(widths[1])}"
    return f"{tape(widths[0], unit=False)} to {tape(widths[-1])}"


def _row_before(bands: Sequence[Band], width: float) -> int:
    below = [i for i, band in enumerate(bands) if band.up_to_and_including < width]
    return below[-1] if below else 0
