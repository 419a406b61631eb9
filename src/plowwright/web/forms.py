"""What the address of a page says about a blade, and back: every choice stands in the address, so a closed lid
or a bookmark loses nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.blade import spec as specs
from plowwright.blade.spec import CARRIER_KINDS, CarrierKind, Spec
from plowwright.errors import PlowwrightError
from plowwright.rulebook.reading import Rulebook

System = Literal["us", "metric"]
FIELDS = ("series", "width", "mount", "carrier", "hoses", "outlets")
YEAR = 365 * 24 * 3600
"""How long a browser remembers the chosen units [s]."""
_GRACE = 1e-4
"""Two widths nearer than this are one [m]."""
_CHOSEN = "chosen"
"""Set when the form itself was sent, so that no ticked extra means none and not "as ordered"."""


@dataclass(frozen=True, kw_only=True)
class Way:
    """A way out of a clash: what to change, as an address that already holds the change.

    Attributes:
        words: What the person would choose.
        spec: The spec it leads to.
    """

    words: str
    spec: Spec


def system_of(query: QueryParams, cookies: Mapping[str, str]) -> System:
    """US or metric: what the address says, or what was chosen last."""
    said = query.get("units") or cookies.get("units", "us")
    return "metric" if said == "metric" else "us"


def entry_of(query: QueryParams, *, ordered: Spec | None) -> dict[str, Any]:
    """Field names and values as a spec file would give them.

    Args:
        query: What the address says.
        ordered: The spec of the order it starts from, for what the address leaves out.
    """
    entry: dict[str, Any] = ordered.as_dict() if ordered else {}
    entry |= {name: query[name] for name in FIELDS if name in query}
    if _CHOSEN in query or "extras" in query:
        entry["extras"] = [key for key in query.getlist("extras") if key]
    return entry


def spec_of(query: QueryParams, *, ordered: Spec | None, rulebook: Rulebook) -> Spec:
    """The spec an address asks for, its width already moved when a stepper was pressed.

    Raises:
        EntryError: A field is missing or cannot be read.
    """
    entry = entry_of(query, ordered=ordered)
    if not entry.get("series"):
        entry = {**first_spec(rulebook).as_dict(), **entry}
    spec = _on_the_mark(specs.from_dict(entry, where="this form"), rulebook)
    step = query.get("step", "")
    return stepped(spec, rulebook, up=step == "wider") if step in ("wider", "narrower") else spec


def first_spec(rulebook: Rulebook) -> Spec:
    """A blade to begin with where the address names none: the middle width of the first series."""
    key, series = next(iter(rulebook.series.items()))
    mount, plate = next(iter(rulebook.mounts.items()))
    widths = series.widths()
    kind: CarrierKind = next(k for k in CARRIER_KINDS if k in plate.carriers)
    hoses = next(iter(rulebook.options.get("hoses", {})), "")
    return Spec(series=key, width=widths[len(widths) // 2], mount=mount, carrier_kind=kind, hoses=hoses)


def _on_the_mark(spec: Spec, rulebook: Rulebook) -> Spec:
    """The same with its width to the last figure as the series counts it, so that one blade is worked out once."""
    series = rulebook.series.get(spec.series)
    near = [w for w in series.widths() if abs(w - spec.width) < _GRACE] if series else []
    return replace(spec, width=near[0]) if near else spec


def stepped(spec: Spec, rulebook: Rulebook, *, up: bool) -> Spec:
    """The same blade one width wider or narrower, or as it is at the end of the range."""
    series = rulebook.series.get(spec.series)
    if series is None:
        return spec
    further = [w for w in series.widths() if (w > spec.width + _GRACE if up else w < spec.width - _GRACE)]
    if not further:
        return spec
    return replace(spec, width=min(further) if up else max(further))


def query_of(spec: Spec, *, order: str = "", system: System = "us", machine: str = "") -> str:
    """The part of an address after the question mark that holds this spec."""
    pairs: list[tuple[str, str]] = [("order", order)] if order else []
    pairs += [
        ("series", spec.series),
        ("width", width_said(spec.width, system)),
        ("mount", spec.mount),
        ("carrier", spec.carrier_kind),
        ("hoses", spec.hoses),
        ("outlets", spec.outlets),
        (_CHOSEN, "yes"),
        *(("extras", key) for key in spec.extras),
    ]
    if system == "metric":
        pairs.append(("units", system))
    if machine:
        pairs.append(("machine", machine))
    return urlencode(pairs)


def width_said(width: float, system: System) -> str:
    """A width as the stepper shows and reads it back without loss."""
    return units.tape(width) if system == "us" else f"{width * 1000:.1f} mm".replace(".0 mm", " mm")


def as_ordered(spec: Spec, ordered: Spec, rulebook: Rulebook, system: System) -> list[str]:
    """What was changed from the order, each in words."""
    pairs = (
        ("series", _series(ordered, rulebook), _series(spec, rulebook)),
        ("width", width_said(ordered.width, system), width_said(spec.width, system)),
        ("mount", ordered.mount, spec.mount),
        ("carrier", ordered.carrier_kind, spec.carrier_kind),
        ("hoses", ordered.hoses, spec.hoses),
        ("outlets", ordered.outlets, spec.outlets),
        ("extras", ", ".join(ordered.extras) or "none", ", ".join(spec.extras) or "none"),
    )
    return [f"{name} {was} → {now}" for name, was, now in pairs if was != now]


def _series(spec: Spec, rulebook: Rulebook) -> str:
    series = rulebook.series.get(spec.series)
    return series.name if series else spec.series


def ways_out(spec: Spec, rulebook: Rulebook, system: System) -> list[Way]:
    """Single changes after which the spec is complete and valid, the nearest first."""
    tried: list[Way] = []
    series = rulebook.series.get(spec.series)
    if series is not None:
        nearest = sorted(series.widths(), key=lambda w: (abs(w - spec.width), w))[:2]
        tried += [Way(words=f"{width_said(w, system)} wide", spec=replace(spec, width=w)) for w in sorted(nearest)]
    for key, other in rulebook.series.items():
        if key != spec.series:
            words = f"{other.name}, {width_said(spec.width, system)}"
            tried.append(Way(words=words, spec=replace(spec, series=key)))
    tried += [Way(words=m.name, spec=replace(spec, mount=key)) for key, m in rulebook.mounts.items()]
    for key in spec.extras:
        rest = tuple(k for k in spec.extras if k != key)
        named = rulebook.options.get("extras", {}).get(key)
        tried.append(Way(words=f"without {named.name if named else key}", spec=replace(spec, extras=rest)))
    tried += [
        Way(words=f"with {o.name}", spec=replace(spec, hoses=key))
        for key, o in rulebook.options.get("hoses", {}).items()
    ]
    return [way for way in tried if way.spec != spec and _stands(way.spec, rulebook)][:5]


def _stands(spec: Spec, rulebook: Rulebook) -> bool:
    try:
        specs.check(spec, rulebook)
    except PlowwrightError:
        return False
    return True


def nearest_valid(spec: Spec, rulebook: Rulebook) -> Spec:
    """A blade that can be drawn when the one asked for cannot: the first way out, or one to begin with."""
    ways = ways_out(spec, rulebook, "us")
    if ways:
        return ways[0].spec
    if spec.series not in rulebook.series:
        return first_spec(rulebook)
    widths = rulebook.series[spec.series].widths()
    width = min(widths, key=lambda w: abs(w - spec.width))
    fitting = [k for k, m in rulebook.mounts.items() if spec.carrier_kind in m.carriers]
    mended = replace(first_spec(rulebook), series=spec.series, width=width)
    if fitting:
        mended = replace(mended, mount=fitting[0], carrier_kind=spec.carrier_kind)
    return mended if _stands(mended, rulebook) else first_spec(rulebook)


def file_name(name: str) -> str:
    """A name of a file that the head of an answer can carry.

    Args:
        name: As it is called; parts of it may have been typed.
    """
    return "".join(letter for letter in name if letter.isascii() and letter.isprintable() and letter not in '"\\/')
