"""The plumbing part of 'How it moves': schedule, couplers, ports, what the lever does."""

from __future__ import annotations

from typing import Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import Moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.plumbing.results import HEADS, Coupler, Plumbing
from plowwright.papers import diagram, hose_sketch
from plowwright.web.forms import System
from plowwright.web.matching import folded, inline

_WIDE: Final = 184.0
_WHOSE: Final = {"blade": "on the blade", "carrier": "on the machine"}


def plumbing_view(on: Moved, build: Build, carrier: Carrier | None, system: System) -> dict[str, Any]:
    """What the page shows of a blade's plumbing, in the units spoken.

    Args:
        on: How the blade is plumbed and moves.
        build: The blade.
        carrier: The machine, as far as it is known.
        system: US or metric.
    """
    found = on.plumbing
    if found is None:
        return {"findings": folded([f for f in on.findings if f.title == "plumbing"])}
    return {
        "said": _said(found),
        "pictures": [
            {
                "title": "Hose sketch",
                "picture": inline(
                    hose_sketch.picture(build, found, width=_WIDE, system=system), title="hose sketch", prefix="hoses"
                ),
            },
            {
                "title": "Hydraulic diagram, symbols of ISO 1219-1",
                "picture": inline(
                    diagram.picture(build, found, on.swinging, carrier=carrier, width=_WIDE, system=system),
                    title="hydraulic diagram",
                    prefix="diagram",
                ),
            },
        ],
        "heads": HEADS,
        "rows": [row.cells() for row in found.schedule],
        "couplers": [_coupler(c) for c in found.couplers],
        "ports": [[p.title, p.thread.said, p.turned, p.joins] for p in found.ports],
        "fittings": [[f.name, str(f.count), ", ".join(f.on)] for f in found.fittings],
        "plugs": [[p.name, p.on] for p in found.plugs],
        "findings": folded(found.findings),
        "cautions": found.cautions,
    }


def _said(found: Plumbing) -> list[str]:
    said = [
        f"outlets on the {found.outlets}, seen from the seat; cylinder pinned on the {found.base_side}",
        found.lever_sense,
        found.send,
        f"between cylinder and machine: {found.order}",
    ]
    return [one[:1].upper() + one[1:].rstrip(".") + "." for one in said if one]


def _coupler(found: Coupler) -> list[str]:
    return [_WHOSE[found.side], found.said, found.on, found.pays, units.say(found.rated, "pressure")]
