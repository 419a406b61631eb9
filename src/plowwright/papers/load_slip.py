"""The load slip: may it go, the three readings, what is ticked, how wide it travels, and how it is lifted, drawn."""

from __future__ import annotations

from typing import Any

from plowwright import units
from plowwright.papers import svg
from plowwright.papers.content import DISCLAIMER, Paper, Sheet, room
from plowwright.papers.dock_sheet import about, both
from plowwright.papers.lifting_picture import lifting_picture
from plowwright.papers.packing_list import beside, piece_facts
from plowwright.shop.dock_load import CAUTIONS, Load


def load_slip(sheet: Sheet, load: Load) -> Paper:
    """The slip of one load, two sheets: gates and ticks, then the lift.

    Args:
        sheet: The blade, its order and the units.
        load: The load.
    """
    travel = load.travel
    with units.speaking(sheet.system):
        data: dict[str, Any] = {
            "head": sheet.head("Load slip", about(sheet, load.serial)),
            "go": "LOADED" if load.state == "loaded" else "MAY BE LOADED" if load.may_go else "NOT YET",
            "gates": [[gate.title, gate.verdict, gate.sentence[:1].upper() + gate.sentence[1:]] for gate in load.gates],
            "order": load.number,
            "piece": piece_facts(sheet, load),
            "rows": [
                [str(r.count), r.name, "on it" if r.where == "on the blade" else "loose", beside(r)] for r in load.rows
            ],
            "travel": [
                ["Across, straight", both(travel.crosswise, "length", sheet)],
                ["Across, fully angled", both(travel.angled, "length", sheet)],
                ["Laid along the bed", f"{sheet.length(travel.lengthwise)} across the bed"],
                ["Class", f"{load.by.freight_class:g}"],
            ],
            "travel_said": f"{_capital(travel.finding.sentence)}. {_capital(load.by.finding.sentence)}.",
            "lift": [
                ["On the hook", both(load.lift.mass, "mass", sheet)],
                ["In each sling leg", both(load.lift.leg, "force", sheet)],
                ["Hook ahead of the mount plate", both(load.lift.ahead, "length", sheet)],
                ["Slings apart", both(load.lift.apart, "length", sheet)],
            ],
            "lift_said": "Two slings round the hinge beam and the foot, the hook over the quartered mark.",
            "weighed": "by the scale" if load.weighed else "by the model: weigh it first",
            "cautions": list(CAUTIONS),
            "disclaimer": DISCLAIMER,
        }
    picture = lifting_picture(sheet.build, load.lift, width=room(sheet), system=sheet.system)
    return Paper(template="load-slip.typ", data=data, pictures={"lift": svg.write(picture, title="lifting points")})


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
