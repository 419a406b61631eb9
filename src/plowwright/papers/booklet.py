"""The owner's booklet: one blade's own numbers, what is looked at when, how it is lifted, parked and coupled.

Nothing in it is surer than what is on file: a number nobody noted is said to be missing, and the machine maker's own
book comes first wherever the machine is concerned.
"""

from __future__ import annotations

from typing import Any, Final

from plowwright import units
from plowwright.blade.carried import moved
from plowwright.blade.moving import judging
from plowwright.papers import elevations, svg
from plowwright.papers.content import DISCLAIMER, Paper
from plowwright.papers.history_sheet import SerialSheet
from plowwright.papers.lifting_picture import lifting_picture
from plowwright.papers.wear_card import rows_of, turn_said
from plowwright.shop.dock_freight import Lifting, lifting

CAUTIONS: Final = (
    "Crush and pinch: nobody within reach while it angles or trips. It springs back after a trip.",
    "Oil under pressure goes through skin: never feel for a leak by hand. Oil under the skin is a case for surgery.",
    "Blade on the ground, engine off, lever worked both ways before a hose or coupler is opened.",
    "Springs are under load: back every eyebolt off before a pin is driven; stand beside their line.",
    "Nobody under a raised blade. Block it before you work on it; the machine's arms can sink.",
    "Weld nothing on it without asking the shop: what cracked once cracks again beside a patch.",
)
"""What stands in every booklet; it can be added to, not switched off."""
_HIGH: Final = 46.0
"""Room for the blade from the front, so that its numbers and cautions stay on the first sheet [mm]."""
_FIRST: Final = (
    "Read your machine's own book first: its limits, and what it says of attachments, come before this paper."
)
_COUPLE: Final = {
    "plate": (
        "Drive up square, tilt the plate forward, bring its top under the blade's top lip, tilt back until it sits.",
        "Close both latches and look at each wedge from outside: through the slot, not beside it.",
        "Lift a hand's width, tilt forward, push the edge on the ground: the blade must not come off.",
    ),
    "pins": (
        "Drive up square, line the lower pins up first, then the upper ones; never with a finger in a hole.",
        "A linch pin or bolt through the end of every pin; the pins are measured, not forced.",
        "Lift a hand's width and shake it with the lever: no pin may walk.",
    ),
    "hook": (
        "Hooks under the cross shaft, lift until it hangs, then roll back until the lower ears meet.",
        "Lock pins through both lower ears, each with its clip; look from outside.",
        "Lift a hand's width, tilt forward, push the edge on the ground: it must not come off.",
    ),
}
"""How a blade is coupled, by the kind of its mount; *common practice*."""


def booklet(sheet: SerialSheet) -> Paper:
    """The booklet, ready to be set.

    Args:
        sheet: The blade, its chapters, what fits it, and the units.
    """
    build = sheet.build
    with units.speaking(sheet.system):
        hung = lifting(build, sheet.today.dock, mass=sheet.weighed) if sheet.today.dock else None
        data = {
            "head": sheet.head("Owner's booklet", f"{build.name}, {build.series.duty_class} class"),
            "what": _numbers(sheet),
            "doubts": [*sheet.doubts],
            "where": _where(sheet),
            "first": _FIRST,
            "when": _when(sheet),
            "rows": [list(row) for row in rows_of(sheet)],
            "turn": turn_said(sheet),
            "lift": hung.sentence if hung else "Ask the shop where it hangs level.",
            "park": _park(sheet),
            "couple": [*_COUPLE[build.rulebook.mounts[build.spec.mount].kind], _hoses(sheet)],
            "spares": [_spare(row) for row in sheet.spares],
            "said": _advice(sheet),
            "cautions": list(CAUTIONS),
            "disclaimer": DISCLAIMER,
        }
        pictures = _pictures(sheet, hung)
    return Paper(template="booklet.typ", data={**data, "hung": "lift" in pictures}, pictures=pictures)


def _pictures(sheet: SerialSheet, hung: Lifting | None) -> dict[str, str]:
    build = sheet.build
    front = elevations.picture_of(build, "front", width=content_width(sheet), height=_HIGH)
    found = {"front": svg.write(front, title=f"{build.name} from the front")}
    if hung is not None:
        drawn = lifting_picture(build, hung, width=150.0, system=sheet.system)
        found["lift"] = svg.write(drawn, title=f"how {build.name} is lifted")
    return found


def content_width(sheet: SerialSheet) -> float:
    """Room for the blade from the front [mm].

    Args:
        sheet: For the size of its paper.
    """
    return 130.0 if sheet.paper == "us-letter" else 125.0


def _numbers(sheet: SerialSheet) -> list[list[str]]:
    build = sheet.build
    d = build.datum
    pins = sum(1 for part in build.parts if part.mark == "hinge pin")
    spring, cylinder = d.springs.spring.removeprefix("trip spring "), d.cylinder.cylinder.removeprefix("cylinder ")
    return [
        ["Serial number", sheet.serial],
        ["Width", sheet.length(build.spec.width)],
        ["Mass", sheet.mass],
        ["Mount", d.mount.name],
        ["Machine", sheet.carrier or "not noted"],
        ["Edge", f"{d.edge.edge}, {len(d.layout.positions)} bolts {d.edge.bolt.removeprefix('plow bolt ')}"],
        ["Trip springs, hinge pins", f"{d.springs.count} of {spring}, {pins}"],
        ["Angle cylinder", cylinder],
        ["Restrictors stamped", sheet.stamp],
        ["Crossover relief", _relief(sheet)],
        ["Seconds each way", sheet.seconds],
        ["Edge bolts, torque", "not in our rules: by the bolt maker's table"],
    ]


def _relief(sheet: SerialSheet) -> str:
    """A setting that was measured counts; what the rules ask for is said to be that."""
    for chapter in reversed(sheet.life.standing):
        if "relief" in chapter.facts:
            return f"{chapter.facts['relief']} ({chapter.kind} of {chapter.day:%d %b %Y})"
        if "relief to be set to" in chapter.facts:
            return f"to be set to {chapter.facts['relief to be set to']}; nobody noted what it was"
    swing = moved(sheet.build, None).swinging
    if swing is None or swing.relief is None:
        return "not known: have it read with a gauge"
    return f"by the rules {judging.pressure(swing.relief.setting)}; nobody noted what it was"


def _where(sheet: SerialSheet) -> str:
    count = sheet.build.series.notches
    notched = f"{units.counted(count, 'notch', 'notches')} in the top of the mount plate"
    return f"Its number is stamped on the mount plate; this class has {notched}. Give the number when you ring."


def _when(sheet: SerialSheet) -> list[dict[str, Any]]:
    """What is looked at when; *common practice* of the trade."""
    d = sheet.build.datum
    bolts = f"{len(d.layout.positions)} edge bolts"
    return [
        {"when": "Each time before work", "what": [
            "Latches or pins closed, looked at from outside.",
            "No oil on cylinder, block or hoses; hoses clear of arms and tyres at both full angles.",
            f"All {d.springs.count} springs hooked in, no coil cracked.",
        ]},
        {"when": "After the first hour", "what": [
            f"Nuts of the {bolts}, eyebolts and mount again: paint settles.",
            f"Time it both ways with warm oil, stop to stop; on file: {sheet.seconds}.",
        ]},
        {"when": "Each month of winter", "what": [
            "Fill in the wear card; grease king pin, hinge pins and oscillation pin.",
            "Look for cracks in the paint: legs at the hinge beam, foot of the outer webs, ears, cylinder lugs.",
        ]},
        {"when": "In spring", "what": [
            "Wash, grease, rod drawn in, caps on couplers, springs slack; note what was changed and tell the shop.",
        ]},
    ]  # fmt: skip


def _park(sheet: SerialSheet) -> list[str]:
    pockets = any(part.mark == "stand pocket" for part in sheet.build.parts)
    stand = "Stands in both pockets, pinned." if pockets else "On level ground, foot blocked behind."
    return [
        "On level hard ground, straight, edge down; it must not lean on anything.",
        stand,
        "Lever worked both ways with the engine off, then the couplers, caps on both, hoses up off the ground.",
        "Back off straight; look whether it stands by itself.",
    ]


def _hoses(sheet: SerialSheet) -> str:
    hoses = sheet.build.rulebook.options["hoses"][sheet.build.spec.hoses].name
    side = sheet.build.spec.outlets
    return f"Hoses last ({hoses}), outlets {side}: wipe both halves, push until they lock, try slowly."


def _spare(row: Any) -> list[str]:
    return [row.name, str(row.count), row.now or "none sold today", row.fit.sentence]


def _advice(sheet: SerialSheet) -> list[str]:
    last = sheet.life.last("advice")
    return [] if last is None else [f"{last.said} ({last.day:%d %b %Y})"]
