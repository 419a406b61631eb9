"""The fitting sheet: what differs from the usual, seams in order on a drawing, diagonals and twist with boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import CarrierKind, Spec
from plowwright.blade.squares import diagonals_of, planes_of
from plowwright.blade.welding import Seam, order_of
from plowwright.errors import PlowwrightError
from plowwright.papers import svg
from plowwright.papers.content import DISCLAIMER, Paper, Sheet, facts_of, room, what
from plowwright.papers.elevations import System
from plowwright.papers.weld_views import BODIES, body_view
from plowwright.rulebook.reading import Rulebook

CAUTIONS: Final = (
    "Weld in moving air, and grind paint, zinc and mill scale off first: coated steel gives fumes that make you ill.",
    "Parts weigh more than they look: turn the frame with the hoist, never by hand, and block it before you weld.",
)
_HIGH: Final = 112.0


def fitting_sheet(sheet: Sheet) -> Paper:
    """The sheet, ready to be set.

    Args:
        sheet: The blade, its order and the units.
    """
    build = sheet.build
    seams = order_of(build)
    pictures: dict[str, str] = {}
    bodies: list[dict[str, Any]] = []
    for body in BODIES:
        own = [s for s in seams if s.body == body.key]
        if not own:
            continue
        drawn, scale = body_view(build, body, own, width=room(sheet), height=_HIGH)
        pictures[body.key] = svg.write(drawn, title=body.name)
        bodies.append({
            "title": body.name, "picture": body.key, "scale": f"scale 1:{scale:g}",
            "rows": [_seam_row(s, sheet) for s in own],
        })  # fmt: skip
    rules = build.rulebook.cutting
    square = f"within {sheet.length(rules.fitting.diagonals.value)}" if rules else "equal"
    flat = f"at most {sheet.length(rules.fitting.twist.value)}" if rules else "none"
    data = {
        "head": sheet.head("Fitting sheet", f"{build.name}, {build.series.duty_class}, {_notches(build)}"),
        "differs": differs(sheet),
        "bodies": bodies,
        "diagonals": [[d.name, d.between, sheet.length(d.length)] for d in diagonals_of(build)],
        "square": square,
        "planes": [{"name": p.name, "corners": list(p.corners)} for p in planes_of(build)],
        "flat": flat,
        "walls": _walls(build),
        "cautions": list(CAUTIONS),
        "disclaimer": DISCLAIMER,
    }  # fmt: skip
    return Paper(template="fitting.typ", data=data, pictures=pictures)


def _notches(build: Build) -> str:
    count = build.series.notches
    return f"{count} notch{'es' if count > 1 else ''} in the mount plate"


def _seam_row(seam: Seam, sheet: Sheet) -> list[str]:
    stitched = ""
    if seam.stitch:
        stitched = f", {sheet.length(seam.stitch[0])} every {sheet.length(seam.stitch[1])}"
    return [
        str(seam.number), f"{seam.joins[0]} to {seam.joins[1]}", f"{sheet.length(seam.leg)}{stitched}",
        sheet.length(seam.length),
    ]  # fmt: skip


def _walls(build: Build) -> list[list[str]]:
    """Tubes whose wall is checked by caliper before they are tacked: those that have a twin with another wall."""
    sections = build.rulebook.sections
    used = sorted({p.stock for p in build.parts if p.kind == "bar" and sections[p.stock].kind in ("tube", "angle")})

    def size(name: str) -> tuple[object, ...]:
        s = sections[name]
        return s.kind, s.width, s.height, s.diameter

    found: list[list[str]] = []
    for stock in used:
        twins = [name for name in sections if name != stock and size(name) == size(stock)]
        if twins:
            marks = sorted({p.mark for p in build.parts if p.stock == stock})
            found.append([stock, ", ".join(marks), "not " + ", ".join(t.rpartition(" x ")[2] for t in twins)])
    return found


def differs(sheet: Sheet) -> list[dict[str, Any]]:
    """The blade in a dozen facts, those that are not its class's usual marked with what is.

    Usual is what most widths of the series have with the first mount that couples to its carrier, hoses as sold
    most, no extras.

    Args:
        sheet: The blade, its order and the units.
    """
    spec = sheet.build.spec
    usual = usual_of(sheet.build.rulebook, spec.series, spec.carrier_kind, sheet.system)
    rows: list[dict[str, Any]] = []
    for name, value in what(sheet):
        if name in ("Series", "Width", "Rulebook"):
            continue
        common = usual.get(name, value)
        rows.append({"name": name, "value": value, "usual": "" if value == common else common})
    return rows


@lru_cache(maxsize=64)
def usual_of(rulebook: Rulebook, series: str, carrier_kind: CarrierKind, system: System) -> Mapping[str, str]:
    """Each fact as most widths of a series have it, with the first mount that couples and hoses as listed first.

    Args:
        rulebook: The rules in force.
        series: Key of the series.
        carrier_kind: What it couples to.
        system: US or metric.
    """
    mount = next((key for key, m in rulebook.mounts.items() if carrier_kind in m.carriers), "")
    hoses = next(iter(rulebook.options.get("hoses", {})), "")
    counts: dict[str, Counter[str]] = {}
    for width in rulebook.series[series].widths():
        spec = Spec(series=series, width=width, mount=mount, carrier_kind=carrier_kind, hoses=hoses)
        try:
            build = work_out(spec, rulebook, level=0)
        except PlowwrightError:
            continue  # a width the rules do not give is nobody's usual
        for name, value in facts_of(build, system):
            counts.setdefault(name, Counter())[value] += 1
    return {name: found.most_common(1)[0][0] for name, found in counts.items()}
