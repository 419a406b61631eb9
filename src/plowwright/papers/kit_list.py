"""The kit list: what is laid out before a blade is assembled, and the pairs that must match, each with its figures."""

from __future__ import annotations

from typing import Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.restrictors import fitted
from plowwright.errors import NotFoundError
from plowwright.papers.content import DISCLAIMER, Paper, Sheet
from plowwright.units.constants import INCH

CAUTIONS: Final = (
    "Springs go on under load: stand aside of their line, and screw the eyebolts in by turns, not one after the other.",
    "Oil under pressure goes through skin: plug every port until its hose is on.",
)
_SAME: Final = INCH / 32


def kit_list(sheet: Sheet, carrier: Carrier | None = None) -> Paper:
    """The list, ready to be set.

    Args:
        sheet: The blade, its order and the units.
        carrier: The machine it is for, as far as it is known.
    """
    build = sheet.build
    notches = build.series.notches
    bought = [
        [row.stock, str(row.quantity), row.superseded_by and f"now {row.superseded_by}"]
        for row in build.bill.bought_list(build.rulebook.bought)
    ]
    made = [
        [row.mark, row.stock, str(row.quantity)]
        for row in build.bill.rows
        if row.kind != "bought"
    ]  # fmt: skip
    data = {
        "head": sheet.head(
            "Kit list", f"{build.name}, {build.series.duty_class}, {notches} notch{'es' if notches > 1 else ''}"
        ),
        "bought": bought,
        "made": made,
        "pairs": [_pair(*p) for p in pairs_of(build, carrier, sheet)],
        "cautions": list(CAUTIONS),
        "disclaimer": DISCLAIMER,
    }
    return Paper(template="kit.typ", data=data)


Pair = tuple[str, str, str, str]
"""What must match, the one, the other, and what the model says: "match", "do NOT match", or what to ask."""


def _pair(name: str, one: str, other: str, verdict: str) -> dict[str, Any]:
    return {"name": name, "one": one, "other": other, "verdict": verdict}


def pairs_of(build: Build, carrier: Carrier | None, sheet: Sheet) -> list[Pair]:
    """Every pair that must match on this blade.

    Args:
        build: The blade.
        carrier: The machine it is for, as far as it is known.
        sheet: For the units.
    """
    return [
        _edge(build, sheet), _relief(build, sheet), _restrictor(build, carrier, sheet), _couplers(build, carrier),
        *_walls(build, sheet),
    ]  # fmt: skip


def _edge(build: Build, sheet: Sheet) -> Pair:
    layout = build.datum.layout
    angle = build.assembly.part("bottom angle")
    start = (angle.length - layout.length) / 2
    holes = sorted(h.along - start for h in angle.holes if h.kind != "slot")
    said = ", ".join(sheet.length(p) for p in layout.positions)
    across = [p for p in holes if any(abs(p - q) <= _SAME for q in layout.positions)]
    fits = len(across) == len(layout.positions)
    return (
        "edge and bottom angle", f"edge: {len(layout.positions)} holes at {said}",
        f"angle: {len(across)} of them met", "match" if fits else "do NOT match",
    )  # fmt: skip


def _relief(build: Build, sheet: Sheet) -> Pair:
    cylinder = build.rulebook.bought[build.datum.cylinder.cylinder]
    one = f"bore {sheet.length(cylinder.bore or 0.0)}, rod {sheet.length(cylinder.rod or 0.0)}"
    strength = build.rulebook.strength
    if strength is None:
        return "bore and relief", one, "relief setting not in this rulebook", "ask"
    setting = strength.relief.of(build.spec.series)
    return (
        "bore and relief",
        one,
        f"relief set to {_pressure(setting.value, sheet)}",
        "set it on the bench, write it down",
    )


def _pressure(value: float, sheet: Sheet) -> str:
    return units.say(value, "pressure", system=sheet.system)


def _restrictor(build: Build, carrier: Carrier | None, sheet: Sheet) -> Pair:
    try:
        found = fitted(build)
    except NotFoundError:
        return "restrictor and carrier flow", "no swing.toml in this rulebook", "", "ask"
    one = f"drill {found.drill.text} in both ports, sized to {found.target:g} s"
    flow = carrier.known("flow") if carrier else None
    if flow is None:
        return "restrictor and carrier flow", one, "carrier's flow not known", "slow enough on any pump"
    other = f"{carrier.name if carrier else ''}: {units.say(flow.likely, 'flow', system=sheet.system)} ({flow.source})"
    return "restrictor and carrier flow", one, other, "slow enough on any pump; stamp the drill"


def _couplers(build: Build, carrier: Carrier | None) -> Pair:
    hoses = build.rulebook.options["hoses"][build.spec.hoses].name
    known = carrier.known("couplers") if carrier else None
    if known is None:
        return "couplers and carrier", hoses, "carrier's couplers not known", "ask for a photo with a ruler"
    kind = known.text.split()[0] if known.text else ""
    if build.spec.hoses in ("flat-face", "poppet"):
        verdict = "match" if kind == build.spec.hoses else "do NOT match"
    else:
        verdict = "customer's own"
    return "couplers and carrier", hoses, f"{carrier.name if carrier else ''}: {known.text} ({known.source})", verdict


def _walls(build: Build, sheet: Sheet) -> list[Pair]:
    sections = build.rulebook.sections
    d = build.datum
    return [
        (f"wall of the {name}", stock, f"caliper {sheet.length(sections[stock].wall or 0.0)}", "measure one cut end")
        for name, stock in (("legs", d.row.leg), ("hinge beam", d.row.hinge_beam))
    ]
