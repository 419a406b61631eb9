"""The chosen options of one blade: complete and valid, or an error that names what clashes and what would work."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from plowwright import units
from plowwright.errors import NotFoundError, SpecError
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Option, Series

CarrierKind = Literal["skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"]
CARRIER_KINDS: tuple[CarrierKind, ...] = (
    "skid steer",
    "tracked loader",
    "compact loader",
    "tractor",
    "wheel loader",
)
Side = Literal["left", "right"]
_FIELDS = {"series", "width", "mount", "carrier", "hoses", "outlets", "extras", "number", "customer", "note"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """The options of one blade.

    Attributes:
        series: Key of the series in the rulebook.
        width: Width of the cutting edge [m].
        mount: Key of the mount.
        carrier_kind: What kind of machine carries it.
        hoses: Key of the hose choice.
        outlets: The carrier's side with its auxiliary outlets, seen from the seat.
        extras: Keys of the extras chosen, in the rulebook's order.
        number: Order number, or "".
        customer: Who it is for, or "".
        note: What else was said.
    """

    series: str
    width: float
    mount: str
    carrier_kind: CarrierKind
    hoses: str
    outlets: Side = "left"
    extras: tuple[str, ...] = ()
    number: str = ""
    customer: str = ""
    note: str = ""

    def choices(self) -> tuple[str, ...]:
        """Every choice as "group.value", the way the rulebook's needs and excludes name them."""
        return (
            f"series.{self.series}",
            f"mount.{self.mount}",
            f"carrier.{self.carrier_kind}",
            f"hoses.{self.hoses}",
            f"outlets.{self.outlets}",
            *(f"extras.{key}" for key in self.extras),
        )

    def as_dict(self) -> dict[str, Any]:
        """The spec as its file would say it, lengths read as a tape is."""
        return {
            "number": self.number,
            "customer": self.customer,
            "series": self.series,
            "width": units.tape(self.width),
            "mount": self.mount,
            "carrier": self.carrier_kind,
            "hoses": self.hoses,
            "outlets": self.outlets,
            "extras": list(self.extras),
            "note": self.note,
        }


def load(path: str | Path) -> Spec:
    """Read a spec file (TOML).

    Args:
        path: The file.

    Raises:
        NotFoundError: No such file.
        SpecError: The file is not TOML, a field is missing, unknown or cannot be read.
    """
    file = Path(path)
    if not file.is_file():
        raise NotFoundError(
            "no spec file here", value=str(file), way_out="Give the path of a .toml file or an order number."
        )
    try:
        entry = tomllib.loads(file.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as fault:
        raise SpecError(
            "this is not TOML",
            where=file.name,
            value=str(fault),
            way_out='Write each line as: field = "value".',
        ) from fault
    return from_dict(entry, where=file.name)


def from_dict(entry: dict[str, Any], *, where: str = "spec") -> Spec:
    """Make a spec of plain values as a file, a form or a command gives them.

    Args:
        entry: Field names and values; width as text with its unit.
        where: What to call the source in messages.

    Raises:
        SpecError: A field is missing, unknown or of the wrong kind.
        UnitError: The width has no unit.
    """
    unknown = sorted(set(entry) - _FIELDS)
    if unknown:
        raise SpecError(
            "unknown field",
            where=where,
            value=", ".join(unknown),
            way_out=f"Fields are: {', '.join(sorted(_FIELDS))}.",
        )
    missing = [name for name in ("series", "width", "mount", "carrier", "hoses") if not entry.get(name)]
    if missing:
        raise SpecError(
            f"not complete: {', '.join(missing)} not chosen",
            where=where,
            way_out='Add a line for each, as width = "84 in".',
        )
    kind, outlets = str(entry["carrier"]), str(entry.get("outlets", "left"))
    if kind not in CARRIER_KINDS:
        raise SpecError(
            "unknown kind of carrier",
            where=f"{where}, carrier",
            value=kind,
            way_out=f"Choose one of: {', '.join(CARRIER_KINDS)}.",
        )
    if outlets not in ("left", "right"):
        raise SpecError(
            "outlets are on the left or the right",
            where=f"{where}, outlets",
            value=outlets,
            way_out='Write outlets = "left" or "right", seen from the seat.',
        )
    return Spec(
        series=str(entry["series"]),
        width=units.si(str(entry["width"]), "length", f"{where}, width"),
        mount=str(entry["mount"]),
        carrier_kind=kind,
        hoses=str(entry["hoses"]),
        outlets=outlets,
        extras=tuple(str(key) for key in entry.get("extras", ())),
        number=str(entry.get("number", "")),
        customer=str(entry.get("customer", "")),
        note=str(entry.get("note", "")),
    )


def check(spec: Spec, rulebook: Rulebook) -> None:
    """Hold a spec against the rulebook; every clash is named at once, each with what would work.

    Args:
        spec: The spec.
        rulebook: The rules in force.

    Raises:
        SpecError: Something is not offered or two choices clash.
    """
    faults = [*_unknown(spec, rulebook)]
    if not faults:
        faults = [*_width_faults(spec, rulebook.series[spec.series]), *_clashes(spec, rulebook)]
    if faults:
        raise SpecError(
            "; ".join(f[0] for f in faults),
            where=f"spec {spec.number}".strip(),
            way_out=" ".join(f[1] for f in faults),
        )


def option(rulebook: Rulebook, choice: str) -> Option | None:
    """The rulebook's option behind "group.value", or None for choices that bring no rules.

    Args:
        rulebook: The rules in force.
        choice: "group.value".
    """
    group, _, value = choice.partition(".")
    return rulebook.options.get(group, {}).get(value)


def _unknown(spec: Spec, rulebook: Rulebook) -> list[tuple[str, str]]:
    asked = [
        ("series", spec.series, list(rulebook.series)),
        ("mount", spec.mount, list(rulebook.mounts)),
        ("hoses", spec.hoses, list(rulebook.options.get("hoses", {}))),
        *(("extra", key, list(rulebook.options.get("extras", {}))) for key in spec.extras),
    ]
    return [
        (f"no {what} '{key}' in the rulebook", f"Choose {what} from: {', '.join(known)}.")
        for what, key, known in asked
        if key not in known
    ]


def _width_faults(spec: Spec, series: Series) -> list[tuple[str, str]]:
    widths = series.widths()
    if any(abs(spec.width - w) < 1e-4 for w in widths):
        return []
    near = sorted(widths, key=lambda w: abs(w - spec.width))[:2]
    return [
        (
            f"{series.name} is not built {units.tape(spec.width)} wide"
            f" (from {units.tape(widths[0])} up to and including {units.tape(widths[-1])},"
            f" in steps of {units.tape(series.step)})",
            f"Nearest widths: {' or '.join(units.tape(w) for w in sorted(near))}.",
        )
    ]


def _clashes(spec: Spec, rulebook: Rulebook) -> list[tuple[str, str]]:
    chosen = set(spec.choices())
    faults: list[tuple[str, str]] = []
    mount = rulebook.mounts[spec.mount]
    if spec.carrier_kind not in mount.carriers:
        fitting = [key for key, m in rulebook.mounts.items() if spec.carrier_kind in m.carriers]
        faults.append(
            (
                f"{mount.name} does not couple to a {spec.carrier_kind}",
                f"For a {spec.carrier_kind} choose mount: {', '.join(fitting) or 'none in the rulebook yet'}.",
            )
        )
    for choice in spec.choices():
        rule = option(rulebook, choice)
        if rule is None:
            continue
        why = f" ({rule.why})" if rule.why else ""
        for need in rule.needs:
            if need not in chosen:
                faults.append((f"{rule.name} needs {need}{why}", f"Add {need} or leave out {choice}."))
        for other in rule.excludes:
            if other in chosen:
                faults.append((f"{rule.name} cannot go with {other}{why}", f"Choose either {choice} or {other}."))
    return faults
