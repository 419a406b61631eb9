"""The hose sheet: hose sketch with what the lever does and its cautions, plumbing schedule, hydraulic diagram."""

from __future__ import annotations

from typing import Any

from plowwright import units
from plowwright.blade.carried import Moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.plumbing.results import HEADS
from plowwright.errors import NotFoundError
from plowwright.papers import diagram, hose_sketch, svg
from plowwright.papers.content import DISCLAIMER, Paper, Sheet, room


def hose_sheet(sheet: Sheet, on: Moved, carrier: Carrier | None) -> Paper:
    """The sheet, ready to be set.

    Args:
        sheet: The blade, its order and the units.
        on: Its plumbing and its swing.
        carrier: The machine it is for, as far as it is known.

    Raises:
        NotFoundError: The rulebook says nothing of plumbing.
    """
    found, build = on.plumbing, sheet.build
    if found is None:
        raise NotFoundError("this rulebook has no plumbing.toml", way_out="Copy the one of a newer rulebook.")
    width = room(sheet)
    with units.speaking(sheet.system):
        sketch = hose_sketch.picture(build, found, width=width, system=sheet.system)
        drawn = diagram.picture(build, found, on.swinging, carrier=carrier, width=width, system=sheet.system)
        data: dict[str, Any] = {
            "head": sheet.head("Hose sheet", _about(build.name, carrier)),
            "heads": [h[:1].upper() + h[1:] for h in HEADS],
            "rows": [list(row.cells()) for row in found.schedule],
            "couplers": [[c.side, c.said, c.on, c.pays, units.say(c.rated, "pressure")] for c in found.couplers],
            "fittings": [[f.name, str(f.count), ", ".join(f.on)] for f in found.fittings],
            "plugs": [[p.name, p.on] for p in found.plugs],
            "open": [[f.verdict, f.sentence] for f in found.findings if f.verdict != "holds"],
            "disclaimer": DISCLAIMER,
        }
    pictures = {
        "sketch": svg.write(sketch, title="hose sketch"),
        "diagram": svg.write(drawn, title="hydraulic diagram"),
    }
    return Paper(template="hoses.typ", data=data, pictures=pictures)


def _about(name: str, carrier: Carrier | None) -> str:
    return f"{name}, for {carrier.name}, {carrier.kind}" if carrier else f"{name}, carrier not known"
