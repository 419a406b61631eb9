"""What 'Who's calling' shows: the form as it was typed, the words beside its fields, and the answer."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from plowwright.blade.carrier_facts import NAMES, SOURCES
from plowwright.blade.carriers import KINDS
from plowwright.desk.fit import FitAnswer, FitRow
from plowwright.findings import Verdict
from plowwright.papers import finding_rows
from plowwright.physics.snow import DENSITIES
from plowwright.rulebook.fit import CLASSES
from plowwright.units import inches
from plowwright.web import forms
from plowwright.web.forms import System
from plowwright.web.holding import carrier_said
from plowwright.web.telling import Row, Told, field_id

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

SHOWN: Final = 6
"""Blades shown in full; the others stand on the tape and below it."""
_UNLOOKED: Final = "not looked at yet"
_GROUPS: Final = (
    ("How big", ("power", "mass", "lift", "tipping_load", "breakout")),
    ("Its oil", ("flow", "pressure", "couplers", "outlets")),
    ("Axles and width", ("width", "wheelbase", "front_axle", "rear_axle", "front_axle_limit", "pins_ahead")),
)
_TWICE: Final = {"tipping_load": ("straight", "full turn"), "flow": ("standard", "high-flow")}
"""Facts that a machine often has two of, with what each line is at first."""
_NOUNS: Final = {
    "width": "Width over tyres or tracks", "flow": "Flow at the outlets", "pins_ahead": "Pins ahead of front axle",
}  # fmt: skip
_EXAMPLES: Final = {
    "power": ("48 hp", "36 kW"), "mass": ("4,900 lb", "2200 kg"), "force": ("3,500 lbf", "15 kN"),
    "flow": ("15 gpm", "57 L/min"), "pressure": ("2,500 psi", "170 bar"), "length": ("76 in", "193 cm"),
    "angle": ("40 deg", "40 deg"), "word": ("poppet 1/2", "poppet 1/2"),
}  # fmt: skip
_MARKS: Final = {"suits": "suits", "would suit if": "would", "cannot be told": "open", "does not suit": "out"}
_TONES: Final = {"suits": "holds", "would suit if": "not", "cannot be told": "not", "does not suit": "fails"}


def form_view(told: Told, desk: Desk, system: System) -> dict[str, Any]:
    """The form, every field as it was typed.

    Args:
        told: What the address tells.
        desk: Knows the carriers.
        system: US or metric.
    """
    listed = [name for _, names in _GROUPS for name in names]
    rest = tuple(name for name in NAMES if name not in listed)
    seldom = [line for name in rest for line in _lines(name, told, system)]
    filed = [
        {"value": c.name, "words": carrier_said(c, system), "chosen": c.name == told.base}
        for c in desk.strength.carriers.values()
    ]
    return {
        "filed": filed,
        "base": told.base,
        "kinds": [{"value": kind, "chosen": kind == told.kind} for kind in KINDS],
        "groups": [
            {"legend": legend, "lines": [line for name in names for line in _lines(name, told, system)]}
            for legend, names in _GROUPS
        ],
        "seldom": seldom,
        "seldom_told": any(line["value"] for line in seldom),
        "work": _work_fields(told, system),
        "notes": notes(told),
        "query": told.query,
        "system": system,
    }


def notes(told: Told) -> dict[str, dict[str, str]]:
    """What is said beside each field: refused, doubted, or read back; every field has one, so that old words go.

    Args:
        told: What the address tells.
    """
    found: dict[str, dict[str, str]] = {}
    for field_name, error in told.refused.items():
        limit = f" Known: {error.limit}." if error.limit else ""
        what = error.what[:1].upper() + error.what[1:]
        found[field_name] = {"tone": "fails", "word": "Not taken.", "said": f"{what}.{limit} {error.way_out}".strip()}
    for field_name, (doubt, other) in told.doubts.items():
        said = doubt[:1].upper() + doubt[1:]
        found[field_name] = {"tone": "near", "word": "Sure?", "said": said, "other": other}
    for field_name, said in told.read.items():
        found[field_name] = {"tone": "quiet", "word": "", "said": f"= {said}"}
    return found


def _lines(name: str, told: Told, system: System) -> list[dict[str, Any]]:
    """The lines of one fact: those typed, and the empty ones a machine often has more."""
    known = NAMES[name]
    rows = [row for row in told.rows if row.name == name]
    usual = _TWICE.get(name, ("",))
    free = [what for what in usual if not any(row.what == what for row in rows)]
    while len(rows) < len(usual):
        what = free.pop(0) if free else ""
        rows.append(Row(name=name, value="", what=what or _first_what(known.whats)))
    noun = _NOUNS.get(name, known.noun[:1].upper() + known.noun[1:])
    first = _first_what(known.whats)
    found: list[dict[str, Any]] = []
    for at, row in enumerate(rows):
        found.append(
            {
                "id": field_id(name, at), "name": name, "label": noun if at == 0 else f"{noun}, {row.what}",
                "value": row.value, "example": _EXAMPLES.get(known.quantity, ("", ""))[system == "metric"],
                "whats": [{"value": what, "chosen": what == (row.what or first)} for what in known.whats],
                "sources": [{"value": s, "chosen": s == row.source} for s in reversed(SOURCES)],
                "words": [{"value": w, "chosen": w == row.value} for w in known.words],
                "ahead": row.ahead if name == "lift" else None,
                "far": row.what.startswith("ahead of pins"),
            }
        )  # fmt: skip
    return found


def _first_what(whats: tuple[str, ...]) -> str:
    return "not said which" if "not said which" in whats else whats[0]


def _work_fields(told: Told, system: System) -> list[dict[str, Any]]:
    sure = ("yes", "no")
    choices: tuple[tuple[str, str, tuple[str, ...]], ...] = (
        ("ground", "Ground", ("pavement", "gravel", "sidewalk", "mixed")),
        ("driver", "Who drives", ("owner", "hired")),
        ("curbs", "Curbs or rings to meet", sure),
        ("road", "On the road with the blade on", sure),
        ("ice", "Scrapes ice or packed snow", sure),
        ("snow", "State of the snow", tuple(row.name for row in DENSITIES)),
        ("class", "Class wished", CLASSES),
    )
    lengths = (
        ("depth", "Snow in one go", ("8 in", "20 cm")),
        ("gate", "Narrowest gate", ("7 ft", "210 cm")),
        ("width", "Width wished", ("84 in", "213 cm")),
    )
    fields: list[dict[str, Any]] = [
        {"id": f"w-{name}", "name": f"w_{name}", "label": label, "kind": "choice",
         "choices": [{"value": w, "chosen": told.typed.get(name) == w} for w in words]}
        for name, label, words in choices
    ]  # fmt: skip
    fields += [
        {"id": f"w-{name}", "name": f"w_{name}", "label": label, "kind": "text", "example": example[system == "metric"],
         "value": told.typed.get(name, "")}
        for name, label, example in lengths
    ]  # fmt: skip
    note = {"id": "w-note", "name": "w_note", "label": "Whatever else was said", "kind": "note"}
    return [*fields, {**note, "value": told.typed.get("note", "")}]


def answer_view(found: FitAnswer, told: Told, system: System) -> dict[str, Any]:
    """The answer beside the form.

    Args:
        found: What the desk says.
        told: What it was asked.
        system: US or metric.
    """
    price, _, of = found.prices.partition(": ")
    counts = ", ".join(f"{n} {_said_count(verdict, n)}" for verdict, n in found.counts.items() if n)
    machine = urlencode(told.pairs())
    rows = [_row(row, machine, system) for row in found.rows]
    return {
        "query": told.query,
        "price": price,
        "of": of,
        "asks": " ".join(f"{said}." for said in (found.asks, found.decides) if said),
        "questions": [
            {"href": f"#{field_id(q.fact)}", "ask": q.ask, "why": q.why, "changes": q.changes} for q in found.questions
        ],
        "tape": tape(found.rows, system),
        "counts": f"{counts}." if counts else "",
        "rows": rows[:SHOWN],
        "rest": rows[SHOWN:],
        "strength": found.strength,
        "unlooked": any(row.strength == _UNLOOKED for row in found.rows[:SHOWN] if row.verdict != "does not suit"),
        "cautions": found.cautions,
    }


def _said_count(verdict: str, count: int) -> str:
    if count == 1:
        return verdict
    return {"suits": "suit", "does not suit": "do not suit"}.get(verdict, verdict)


def _row(row: FitRow, machine: str, system: System) -> dict[str, Any]:
    spec = forms.query_of(row.option.build.spec, system=system)
    also = f", or {', '.join(row.other_mounts)}" if row.other_mounts else ""
    return {
        "name": row.name,
        "id": _anchor(row),
        "class": row.duty_class,
        "mount": f"{row.mount}{also}",
        "verdict": row.verdict[:1].upper() + row.verdict[1:],
        "tone": _TONES[row.verdict],
        "reason": _without(row.reason, row.verdict),
        "bites": "" if row.bites in row.reason else row.bites,
        "bar": _barred(row.name, _bar_verdict(row), round(row.used, 2)),
        "price": row.price_said,
        "strength": "" if row.strength == _UNLOOKED else f"{row.strength[:1].upper()}{row.strength[1:]}.",
        "chance": round(100 * row.chance),
        "facts": f"{row.weight}, clears {row.clears} at full angle; {row.pushes}",
        "suits": f"/suits?{spec}&{machine}",
        "moves": f"/moves?{spec}&{machine}",
        "blade": f"/blade?{spec}",
    }


def _without(reason: str, verdict: str) -> str:
    """The reason without the verdict it may begin with, as that stands before it in bold."""
    if reason.casefold().startswith(verdict):
        return reason[len(verdict) :].lstrip(":;, ")
    return reason


def _anchor(row: FitRow) -> str:
    return f"{row.option.series}-{round(inches(row.option.width))}"


def _bar_verdict(row: FitRow) -> Verdict:
    if row.verdict == "does not suit":
        return "fails"
    if row.verdict != "suits":
        return "not checked"
    return "near limit" if row.used > 0.9 else "holds"


@lru_cache(maxsize=4096)
def _barred(name: str, verdict: Verdict, used: float) -> str:
    return finding_rows.bar_inline(title=name, verdict=verdict, least=False, used=used)


def tape(rows: tuple[FitRow, ...], system: System) -> dict[str, Any]:
    """All series over all widths, as along a tape: how each stands, and the share of such machines it suits.

    Args:
        rows: Every series and width once.
        system: US or metric.
    """
    widths = sorted({round(inches(row.option.width)) for row in rows})
    series: dict[str, dict[int, FitRow]] = {}
    for row in sorted(rows, key=lambda r: CLASSES.index(r.duty_class)):
        series.setdefault(f"{row.option.build.series.name}", {})[round(inches(row.option.width))] = row
    marks = widths if system == "us" else [round(25.4 * width) for width in widths]
    return {
        "widths": marks,
        "unit": "inches" if system == "us" else "mm",
        "series": [
            {"name": name, "cells": [_cell(cells.get(width)) for width in widths]} for name, cells in series.items()
        ],
    }


def _cell(row: FitRow | None) -> dict[str, Any] | None:
    if row is None:
        return None
    share = round(100 * row.chance) if row.verdict != "suits" else 100
    said = f"{row.name}: {row.verdict}"
    return {"mark": _MARKS[row.verdict], "said": said, "share": share, "href": f"#{_anchor(row)}"}
