"""What can be said of a build from its own geometry and the shop's stock: each check a finding with its basis."""

from __future__ import annotations

from plowwright import units
from plowwright.blade import clearances
from plowwright.blade.datum import Datum
from plowwright.blade.edge_blanks import CutRefused, blank_for
from plowwright.blade.hinge import CLEAR
from plowwright.blade.parts import Assembly
from plowwright.findings import Basis, Finding, against_limit, not_checked
from plowwright.rulebook.reading import Rulebook
from plowwright.units import inches, tape
from plowwright.units.constants import INCH

# AISC 360 Table J3.4, least distance from the centre of a standard hole to the edge of the part, by bolt diameter
# (from memory).
_LEAST_EDGE_DISTANCE = ((0.5, 0.75), (0.625, 0.875), (0.75, 1.0), (0.875, 1.125), (1.0, 1.25))


def findings(d: Datum, assembly: Assembly, rulebook: Rulebook, *, alone: bool = True) -> tuple[Finding, ...]:
    """Every check of this module that is quickly made.

    Args:
        d: Sizes of the blade.
        assembly: Its parts and joints.
        rulebook: The rules in force.
        alone: Whether nothing is known of a machine that carries it, which is then said.
    """
    found = [
        *_stroke(d, assembly, rulebook),
        *_bolt_line(d, rulebook),
        _blank(d, rulebook),
        _skin_from_sheet(d, assembly, rulebook),
        _longest_bar(assembly, rulebook),
        _eyebolt(d, assembly, rulebook),
    ]
    found += _superseded(assembly, rulebook)
    if d.mount.by_drawing:
        found.append(
            not_checked(
                title="mount sizes",
                because=f"the {d.mount.name} is cut to the customer's machine: measure pins, spread and height there",
                basis=Basis(kind="shop rule", formula="by_drawing = true", source="mounts.toml"),
                place="mount plate",
            )
        )
    if alone:
        found.append(
            not_checked(
                title="carrier",
                because="nothing is known here of the machine that will carry it: lift, axle loads, oil flow, pressure",
                basis=Basis(kind="shop rule", formula="a check needs the carrier's plate or book values"),
                place="blade",
            )
        )
    return tuple(found)


def _stroke(d: Datum, assembly: Assembly, rulebook: Rulebook) -> list[Finding]:
    cylinder = rulebook.bought[d.cylinder.cylinder]
    closed, stroke = cylinder.retracted or 0.0, cylinder.stroke or 0.0
    short, long = assembly.facts["cylinder shortest"], assembly.facts["cylinder longest"]
    basis = Basis(
        kind="shop rule",
        formula="pin to pin at both full angles, from the model turned about the king pin",
        inputs={
            "retracted": tape(closed),
            "stroke": tape(stroke),
            "arm, blade straight": tape(assembly.facts["cylinder arm"]),
            "full angle": units.say(d.series.angle_stop, "angle"),
        },
        source=f"bought.toml, {d.cylinder.cylinder}",
    )
    return [
        against_limit(
            long - closed,
            stroke,
            kind="length",
            title="rod out at full angle",
            basis=basis,
            place="angle cylinder",
            near=0.985,
        ),
        against_limit(
            short,
            closed,
            kind="length",
            title="rod in at full angle",
            basis=basis,
            place="angle cylinder",
            least=True,
            near=0.995,
        ),
    ]


def _bolt_line(d: Datum, rulebook: Rulebook) -> list[Finding]:
    bolt = rulebook.bought[d.edge.bolt].diameter or 0.625 * INCH
    least = (
        next(
            (limit for size, limit in _LEAST_EDGE_DISTANCE if inches(bolt) <= size + 1e-6),
            1.25 * inches(bolt),
        )
        * INCH
    )
    foot = d.bolt_line - d.foot
    root = d.shelf - d.angle_wall - d.bolt_line
    inputs = {
        "bolt line above the edge tip": tape(d.bolt_line),
        "foot of the bottom angle": tape(d.foot),
        "underside of the shelf": tape(d.shelf - d.angle_wall),
        "bolt": tape(bolt),
    }
    return [
        against_limit(
            foot,
            least,
            kind="length",
            title="edge bolts above the foot of the bottom angle",
            place="bottom angle",
            least=True,
            basis=Basis(
                kind="standard",
                formula="bolt line - edge hang",
                inputs=inputs,
                source="AISC 360 Table J3.4, from memory",
            ),
        ),
        against_limit(
            root,
            0.9 * bolt + INCH / 8,
            kind="length",
            title="room for the nuts under the shelf",
            place="bottom angle",
            least=True,
            basis=Basis(
                kind="common practice",
                formula=f"half across corners of the nut (0.9 d) and {tape(INCH / 8)} for the socket",
                inputs=inputs,
            ),
        ),
    ]


def _blank(d: Datum, rulebook: Rulebook) -> Finding:
    blanks = rulebook.shop.edge_blanks
    choice = blank_for(d.width, blanks, d.layout.rule)
    basis = Basis(
        kind="shop rule",
        formula="shortest stocked blank whose holes meet the bottom angle after cutting the same off both ends",
        inputs={"edge": tape(d.width), "blanks": ", ".join(tape(b) for b in blanks)},
        source="shop.toml, edge_blanks",
    )
    if choice.serving:
        best = choice.best()
        return Finding(
            title="edge from a stocked blank",
            sentence=f"edge from a stocked blank: {best.in_words()}",
            value=tape(best.blank),
            limit="",
            margin=f"{tape(best.waste)} to the rack or scrap",
            verdict="holds",
            basis=basis,
            place="cutting edge",
        )
    why = "; ".join(c.in_words() for c in choice.candidates if isinstance(c, CutRefused))
    return Finding(
        title="edge from a stocked blank",
        sentence=f"edge from a stocked blank: none serves ({why}). {choice.undrilled()}",
        value="none",
        limit="one of the stocked blanks",
        margin="",
        verdict="fails",
        basis=basis,
        place="cutting edge",
    )


def _skin_from_sheet(d: Datum, assembly: Assembly, rulebook: Rulebook) -> Finding:
    skin = assembly.part("skin")
    sheet = rulebook.plates[skin.stock]
    long, short = max(sheet.sheet_length, sheet.sheet_width), min(sheet.sheet_length, sheet.sheet_width)
    inputs = {
        "developed length": tape(skin.length),
        "width": tape(skin.width),
        "radius": tape(d.arc.radius),
        "lap": tape(d.lap),
        "sheet": f"{tape(short)} x {tape(long)}",
    }
    # The narrower side decides first; the other must fit as well.
    a, b = max(skin.length, skin.width), min(skin.length, skin.width)
    value, limit = (a, long) if a / long >= b / short else (b, short)
    return against_limit(
        value,
        limit,
        kind="length",
        title="skin out of one sheet",
        place="skin",
        near=0.995,
        basis=Basis(
            kind="shop rule",
            formula="developed length = lap + radius x angle + fold",
            inputs=inputs,
            source=f"plates.toml, {skin.stock}",
        ),
    )


def _longest_bar(assembly: Assembly, rulebook: Rulebook) -> Finding:
    longest = max((p for p in assembly.parts if p.kind == "bar"), key=lambda p: p.length)
    room = max(rulebook.shop.sticks) - 2 * rulebook.shop.end_trim
    return against_limit(
        longest.length,
        room,
        kind="length",
        title="longest piece out of a stick",
        place=longest.id,
        near=0.995,
        basis=Basis(
            kind="shop rule",
            formula="longest stick less the trim at both ends",
            inputs={"piece": longest.name},
            source="shop.toml",
        ),
    )


def _eyebolt(d: Datum, assembly: Assembly, rulebook: Rulebook) -> Finding:
    spring = assembly.part("spring 1")
    assert spring.link is not None
    start, end = spring.link.start, spring.link.end
    reach = sum((a - b) ** 2 for a, b in zip(start, end, strict=True)) ** 0.5
    eyebolt = rulebook.bought[d.series.tower.eyebolt]
    return against_limit(
        reach - spring.length,
        (eyebolt.length or 6 * INCH) - INCH,
        kind="length",
        title="eyebolt left for setting the springs",
        place="trip springs",
        basis=Basis(
            kind="shop rule",
            formula="lug to anchor, less the spring under preload; an inch of thread stays for the nuts",
            inputs={"lug to anchor": tape(reach), "spring under preload": tape(spring.length)},
            source="series.toml, tower",
        ),
    )


def clear(assembly: Assembly) -> Finding:
    """The nearest that moving parts come to each other over all poses; asked for apart, as long as the rest takes.

    Args:
        assembly: Parts and joints.
    """
    near = clearances.nearest(assembly)
    pair, where = f"{near.first} and {near.second}", clearances.in_words(near.pose)
    if near.gap < 0:
        sentence = f"{pair} cut into each other by {tape(-near.gap)} {where}"
    else:
        sentence = f"nothing that moves comes nearer than {tape(near.gap)}: {pair}, {where}"
    pivots = assembly.pivots
    return against_limit(
        near.gap,
        CLEAR,
        kind="length",
        title="moving parts clear of each other",
        sentence=sentence,
        place=pair,
        least=True,
        # Parts that turn on each other are drawn with just this play.
        near=1.0,
        basis=Basis(
            kind="assumed",
            formula="parts as convex pieces, a plane between every two that are not joined",
            inputs={
                "full angle": units.say(pivots.angle_stop, "angle"),
                "roll each way": units.say(pivots.oscillation_stop, "angle"),
                "trip": units.say(clearances.FULL_TRIP, "angle"),
                "play": tape(CLEAR),
            },
        ),
    )


def _superseded(assembly: Assembly, rulebook: Rulebook) -> list[Finding]:
    found: list[Finding] = []
    for stock in dict.fromkeys(p.stock for p in assembly.parts):
        entry = rulebook.bought.get(stock) or rulebook.sections.get(stock) or rulebook.plates.get(stock)
        if entry is not None and entry.superseded_by:
            found.append(
                Finding(
                    title="superseded stock",
                    sentence=f"{stock} is superseded by {entry.superseded_by}",
                    value=stock,
                    limit=entry.superseded_by,
                    margin="",
                    verdict="near limit",
                    place=stock,
                    basis=Basis(kind="shop rule", formula="superseded_by", source="rulebook"),
                )
            )
    return found
