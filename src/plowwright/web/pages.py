"""What each page shows, as plain values for its template: the blade's sheet and the form at its edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal

from plowwright import units
from plowwright.blade.build import Build, checked
from plowwright.blade.spec import CARRIER_KINDS, Spec
from plowwright.findings import Finding, Verdict
from plowwright.papers import bars, svg
from plowwright.papers.drawing import Picture
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import Worked
from plowwright.web import drawing, forms, solid
from plowwright.web.forms import System
from plowwright.web.prices import price_view

TONES = {"holds": "holds", "near limit": "near", "fails": "fails", "not checked": "not"}
_WORST_FIRST = ("fails", "near limit", "not checked", "holds")
_COUNTS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}
_BAR_WIDTH = 84.0
_NARROW = 10.0
"""A slider that goes less far than this moves in half degrees [deg]."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Which blade a page is about, and how it is to be read.

    Attributes:
        spec: What was chosen.
        system: US or metric.
        order: Number of the order it belongs to, or "".
        ordered: The spec as ordered, or None.
        customer: Who it is for, or "".
        machine: The carrier it is held against where that is not the order's own, or "".
    """

    spec: Spec
    system: System
    order: str = ""
    ordered: Spec | None = None
    customer: str = ""
    machine: str = ""

    @property
    def query(self) -> str:
        """The part of an address after the question mark."""
        return forms.query_of(self.spec, order=self.order, system=self.system, machine=self.machine)


def build_view(worked: Worked, system: System) -> dict[str, Any]:
    """What follows from the choices alone, whoever ordered it: drawing, title block, lists.

    Args:
        worked: The blade and its price.
        system: US or metric.
    """
    build = worked.build
    price = price_view(worked.price)
    return {
        "name": build.name,
        "drawing": drawing.sheet(build, system),
        "block": _block(build, price, system),
        "sliders": _sliders(build),
        **_lists(build, system),
        "price": price,
    }


def blade_view(asked: Asked, known: dict[str, Any], rulebook: Rulebook) -> dict[str, Any]:
    """The sheet of one blade as its page and its changes show it.

    Args:
        asked: The blade, its order and the units.
        known: What `build_view` gave for it.
        rulebook: The rules in force.
    """
    title = f"{asked.order} for {asked.customer}: {known['name']}" if asked.order else known["name"]
    return {
        **known,
        "title": title,
        "order": asked.order,
        "changes": forms.as_ordered(asked.spec, asked.ordered, rulebook, asked.system) if asked.ordered else [],
        "system": asked.system,
        "query": asked.query,
        "bare": replace(asked, machine="").query,
        "width": forms.width_said(asked.spec.width, asked.system),
        "widths": widths_said(asked.spec, rulebook, asked.system),
    }


def notches_said(count: int) -> str:
    """How many notches the mount plate carries, in words."""
    return f"{_COUNTS.get(count, str(count))} notch{'es' if count > 1 else ''}"


def widths_said(spec: Spec, rulebook: Rulebook, system: System) -> str:
    """Which widths the chosen series comes in."""
    series = rulebook.series.get(spec.series)
    if series is None:
        return "Choose a series."
    widths = series.widths()
    least, most, step = (units.say(w, "length", system=system) for w in (widths[0], widths[-1], series.step))
    return f"{series.name}: {least} up to and including {most}, in steps of {step}."


def _block(build: Build, price: dict[str, Any], system: System) -> list[dict[str, Any]]:
    series = build.series
    return [
        {"id": "mass", "name": "mass", "value": units.say(build.mass, "mass", system=system)},
        {"id": "price", "name": "list price", "value": price["total"]},
        {"id": "pieces", "name": "pieces", "value": str(len(build.parts))},
        {
            "id": "class",
            "name": "series",
            "value": f"{series.name}, {series.duty_class}, {notches_said(series.notches)}",
            "small": True,
        },
        {
            "id": "fingerprint",
            "name": "build, and rules of",
            "value": f"{build.fingerprint}, {units_date(build.rulebook)}",
            "small": True,
        },
    ]


def units_date(rulebook: Rulebook) -> str:
    """Date of the rules as people write it."""
    day = rulebook.version.date
    return f"{day.day} {day:%B %Y}"


@lru_cache(maxsize=4096)
def _said(value: float, kind: Literal["length", "mass"], system: System) -> str:
    """A length or a mass in words; from one width to the next most of a blade's parts stay the same."""
    return units.say(value, kind, system=system)


def _lists(build: Build, system: System) -> dict[str, Any]:
    rows = [
        {
            "mark": row.mark,
            "name": row.name,
            "stock": row.stock,
            "length": _said(row.length, "length", system) if row.length else "",
            "quantity": row.quantity,
            "mass": _said(row.mass_total, "mass", system),
            "ids": "|".join(row.ids),
        }
        for row in build.bill.rows
    ]
    x, y, z = (units.say(c, "length", system=system) for c in build.centre_of_gravity)
    with units.speaking(system):
        said = build.findings if system == "us" else checked(build)
    findings = sorted(said, key=lambda f: _WORST_FIRST.index(f.verdict))
    return {
        "parts": rows,
        "parts_said": f"{units.counted(len(build.parts), 'piece')} in {units.counted(len(rows), 'row')}.",
        "findings": [_finding(f) for f in findings],
        "findings_said": findings_said(build.findings),
        "groups_mass": [
            {"name": share.name, "mass": _said(share.mass, "mass", system)} for share in build.tally.groups
        ],
        "mass": units.say(build.mass, "mass", system=system),
        "cog": f"Centre of gravity {x} ahead of the mount plate, {y} left of the middle, {z} above the edge tip.",
    }


def findings_said(findings: Sequence[Finding]) -> str:
    """How the checks stand, in one sentence, the worst first."""
    said: list[str] = []
    for verdict in _WORST_FIRST:
        count = sum(f.verdict == verdict for f in findings)
        if count:
            said.append(f"{count} {verdict if verdict != 'holds' or count == 1 else 'hold'}")
    return f"{units.counted(len(findings), 'check')}: {', '.join(said)}." if said else "Nothing was checked."


def _finding(finding: Finding) -> dict[str, Any]:
    known = (finding.value, finding.limit, finding.margin)
    numbers = ", ".join(word for word in known if word)
    return {
        "title": finding.title,
        "verdict": finding.verdict,
        "tone": TONES[finding.verdict],
        "bar": _bar(finding),
        "numbers": numbers or finding.sentence,
        "kind": finding.basis.kind,
        "formula": finding.basis.formula,
        "inputs": list(finding.basis.inputs.items()),
        "source": finding.basis.source,
    }


def _bar(finding: Finding) -> str:
    if finding.used is None and finding.verdict != "not checked":
        return ""
    return _barred(finding.title, finding.verdict, round(finding.used or 0.0, 3))


@lru_cache(maxsize=2048)
def _barred(title: str, verdict: Verdict, ratio: float) -> str:
    page = Picture(width=_BAR_WIDTH + 2.0, height=bars.BAR_HEIGHT + 4.4)
    bars.bar(page, 1.0, 2.2, _BAR_WIDTH, ratio=ratio, verdict=verdict)
    return svg.write(page, title=f"{title}: {verdict}", inline=True)


def _sliders(build: Build) -> list[dict[str, Any]]:
    words = {
        "angle": "right end forward|straight|left end forward",
        "trip": "|at rest|over",
        "oscillation": "right end up|level|left end up",
    }
    rows: list[dict[str, Any]] = []
    for name, (least, most) in solid.limits(build).items():
        # Half degrees where the stops are near; never beyond one, so rounded towards rest.
        step = 0.5 if most < _NARROW else 1
        ends = [f"{step * int(end / step + 1e-9 * (1 if end > 0 else -1)):g}" for end in (least, most)]
        rows.append(
            {"name": name, "label": name.capitalize(), "least": ends[0], "most": ends[1], "step": step,
             "words": words[name], "said": words[name].split("|")[1]}
        )  # fmt: skip
    return rows


def choices(spec: Spec, rulebook: Rulebook) -> list[dict[str, Any]]:
    """The controls at the sheet's edge, each with what is chosen now."""
    options = rulebook.options
    series = [(key, f"{s.name}, {s.duty_class}", key == spec.series) for key, s in rulebook.series.items()]
    mounts = [(key, m.name, key == spec.mount) for key, m in rulebook.mounts.items()]
    carriers = [(kind, kind, kind == spec.carrier_kind) for kind in CARRIER_KINDS]
    hoses = [(key, o.name, key == spec.hoses) for key, o in options.get("hoses", {}).items()]
    extras = [(key, o.name, key in spec.extras) for key, o in options.get("extras", {}).items()]
    sides = [(side, side, side == spec.outlets) for side in ("left", "right")]
    groups = (
        ("series", "Series", "one", series),
        ("carrier", "Carrier", "select", carriers),
        ("mount", "Mount", "select", mounts),
        ("hoses", "Hoses", "select", hoses),
        ("outlets", "Outlets, from the seat", "row", sides),
        ("extras", "Extras", "many", extras),
    )
    return [
        {"name": name, "legend": legend, "kind": kind,
         "choices": [{"value": v, "words": w, "chosen": c} for v, w, c in listed]}
        for name, legend, kind, listed in groups
    ]  # fmt: skip
