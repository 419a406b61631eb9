"""What each paper says: the data and pictures a typst template sets, worked out from one build."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from importlib import resources
from typing import Any

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.correction import learn
from plowwright.blade.edge_blanks import blank_for
from plowwright.blade.parts import Weld
from plowwright.papers import elevations, finding_rows, holding, svg
from plowwright.papers.elevations import System
from plowwright.papers.pdf import PaperSize
from plowwright.shop import quotes
from plowwright.shop.lines import money
from plowwright.shop.worked import Worked
from plowwright.units import pounds

DISCLAIMER = (
    "Estimates from a model, not the work of a licensed engineer. Local rules and the machine maker's limits come"
    " first."
)
CAUTIONS = {
    "build": (
        "Springs are under load: back the eyebolts off before a pin is driven out. Keep clear of the blade's ends and"
        " of the hinge line when it angles or trips.",
        "Lift at the marked points only, and never stand under the blade. Weld in moving air; grind paint and zinc off"
        " first.",
    ),
    "quote": (
        "Crush and pinch points at angling and trip; oil under pressure can enter the skin: release it before a hose is"
        " opened. Whether the blade suits your machine is checked against its maker's plate, not against this paper.",
    ),
}


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """What all papers of one blade share.

    Attributes:
        worked: The blade and its price.
        system: Units on the paper.
        paper: Sheet size.
        on: Day the paper carries.
        number: Order number, or "".
    """

    worked: Worked
    system: System
    paper: PaperSize
    on: date
    number: str

    @property
    def build(self) -> Build:
        """The blade."""
        return self.worked.build

    def link(self) -> str:
        """What the QR code opens on the shop's network."""
        shop = self.build.rulebook.shop
        return f"{shop.address_on_network.rstrip('/')}/blade/{self.number or self.build.fingerprint}"

    def head(self, title: str, about: str = "") -> dict[str, Any]:
        """Head and foot of a sheet."""
        shop = self.build.rulebook.shop
        return {
            "shop": f"{shop.name}, {shop.place}", "title": title, "order": self.number, "about": about,
            "fingerprint": self.build.fingerprint, "paper": self.paper, "address": f"{self.on:%d %B %Y}",
        }  # fmt: skip

    def length(self, value: float) -> str:
        """A length in the sheet's units."""
        return units.say(value, "length", system=self.system)

    def mass(self, value: float) -> str:
        """A mass in the sheet's units, to the tenth."""
        return f"{pounds(value):,.1f} lb" if self.system == "us" else f"{value:,.1f} kg"


@dataclass(frozen=True, kw_only=True)
class Paper:
    """One paper, ready to be set.

    Attributes:
        template: Name of its typst file.
        data: What the template shows.
        pictures: SVG by the name the template uses.
    """

    template: str
    data: dict[str, Any]
    pictures: Mapping[str, str] = field(default_factory=dict[str, str])


def source(template: str) -> str:
    """Typst text of a paper.

    Args:
        template: Name of its file.
    """
    return resources.files("plowwright.papers").joinpath("typ", template).read_text(encoding="utf-8")


def room(sheet: Sheet) -> float:
    """Width between the margins of an upright sheet [mm]."""
    return 184.0 if sheet.paper == "us-letter" else 178.0


def what(sheet: Sheet) -> list[list[str]]:
    """The blade in a dozen facts."""
    return facts_of(sheet.build, sheet.system)


def facts_of(build: Build, system: System) -> list[list[str]]:
    """A blade in a dozen facts.

    Args:
        build: The blade.
        system: US or metric.
    """
    d, spec = build.datum, build.spec
    options = build.rulebook.options
    extras = [options["extras"][key].name for key in spec.extras]
    notches = units.counted(build.series.notches, "notch", "notches")
    pairs = [
        ("Series", f"{build.series.name}, {build.series.duty_class}, {notches}"),
        ("Width", units.say(spec.width, "length", system=system)),
        ("Mount", d.mount.name),
        ("Carrier", spec.carrier_kind),
        ("Hoses", options["hoses"][spec.hoses].name),
        ("Outlets", f"{spec.outlets} side"),
        ("Extras", ", ".join(extras) or "none"),
        ("Edge", f"{d.edge.edge}, {d.layout.rule.bar.punching if d.layout.rule.bar else ''}"),
        ("Angle cylinder", d.cylinder.cylinder.removeprefix("cylinder ")),
        ("Trip springs", f"{d.springs.count} of {d.springs.spring.removeprefix('trip spring ')}"),
        ("Legs, cross", f"{d.row.leg}, {d.row.cross}"),
        ("Web, ear", f"{d.row.web}, {d.row.ear}"),
        ("Pin plate, mount", f"{d.row.pin_plate}, {d.row.mount_plate}"),
        ("Rulebook", f"{build.rulebook.version.date:%d %b %Y}, {build.rulebook.fingerprint}"),
    ]
    return [[a, b] for a, b in pairs]


def build_sheet(sheet: Sheet) -> Paper:
    """Drawing first, then what it is, mass by group, findings, welds, cautions."""
    build = sheet.build
    picture, scale = elevations.four_views(build, width=room(sheet), system=sheet.system)
    pictures = {"views": svg.write(picture, title=f"{build.name}, elevations")}
    findings: list[dict[str, Any]] = []
    for number, finding in enumerate(holding.own_findings(build)):
        name = f"bar{number}"
        if finding.used is not None:
            pictures[name] = finding_rows.bar(finding)
        findings.append(
            finding_rows.row(finding, name=finding.title, bar=name, below=finding_rows.basis(finding))
        )
    strength = holding.short(build, pictures, width=room(sheet), system=sheet.system)
    x, y, z = build.centre_of_gravity
    mass = [[group, sheet.mass(value)] for group, value in build.tally.group_masses.items()]
    mass += [["all together", sheet.mass(build.mass)]]
    mass += [["ahead of the mount plate", sheet.length(x)], ["above the ground", sheet.length(z)]]
    mass += [["left of the middle" if y >= 0 else "right of the middle", sheet.length(abs(y))]]
    data = {
        "head": sheet.head("Build sheet", f"{build.name}, {build.series.duty_class}"),
        "scale": f"1:{scale:g}. Oil, grease and dirt are not in the weight; scale tickets correct it.",
        "what": what(sheet), "mass": mass,
        "correction": f"Correction from scale tickets: {learn(()).apply(build.tally).sentence}.",
        "findings": findings, "carrier": _on_carrier(build), "strength": strength, "welds": _welds(sheet),
        "cautions": CAUTIONS["build"], "disclaimer": DISCLAIMER,
    }  # fmt: skip
    return Paper(template="build.typ", data=data, pictures=pictures)


def _on_carrier(build: Build) -> dict[str, Any] | None:
    """What its carrier asks for, in short: how many checks hold, and each that does not."""
    if build.carrier is None or not build.on_carrier:
        return None
    counts = Counter(f.verdict for f in build.on_carrier)
    checks = units.counted(len(build.on_carrier), "check")
    said = f"{counts['holds']} of {checks} hold, {counts['not checked']} not checked"
    shown = [f for f in build.on_carrier if f.verdict in ("fails", "near limit")]
    return {
        "title": f"On {build.carrier.name}, {build.carrier.kind or build.spec.carrier_kind}",
        "said": f"{said}: what was not is on the fit sheet, the hose sheet and the test card.",
        "rows": [[f.verdict, f.sentence] for f in sorted(shown, key=lambda f: f.verdict)],
    }


def _welds(sheet: Sheet) -> list[list[str]]:
    """Seams by the marks they join; alike ones added up."""
    marks = {p.id: p.mark for p in sheet.build.parts}
    found: dict[tuple[str, float], float] = {}
    for joint in sheet.build.assembly.joints:
        if isinstance(joint, Weld):
            a, b = (marks[i] for i in joint.joins)
            key = (f"{a} to {b}" + (", stitched" if joint.stitch else ""), joint.leg)
            found[key] = found.get(key, 0.0) + joint.length()
    return [[name, sheet.length(leg), sheet.length(run)] for (name, leg), run in found.items()]


def _table(
    title: str,
    headings: list[str],
    rows: list[list[str]],
    *,
    wide: int,
    numbers: list[int],
    ticks: bool = False,
) -> dict[str, Any]:
    columns = [1 if i == wide else 0 for i in range(len(headings))]
    return {
        "title": title,
        "headings": headings,
        "rows": rows,
        "columns": columns,
        "numbers": numbers,
        "ticks": ticks,
    }


def bill_sheet(sheet: Sheet) -> Paper:
    """Every piece by mark, and what is bought with its lead time."""
    build = sheet.build
    rows = [
        [
            r.mark,
            r.stock,
            sheet.length(r.length) if r.length else "",
            str(r.quantity),
            sheet.mass(r.mass_total),
        ]
        for r in build.bill.rows
    ]
    bought = [
        [b.stock, str(b.quantity), units.counted(b.lead_time_days, "day"), b.superseded_by]
        for b in build.bill.bought_list(build.rulebook.bought)
    ]
    weld = build.mass - build.bill.mass
    notes = [
        f"Pieces {sheet.mass(build.bill.mass)}, weld metal and paint {sheet.mass(weld)},"
        f" together {sheet.mass(build.mass)}."
    ]
    parts = [
        _table("Pieces", ["Mark", "Stock", "Length", "Quantity", "Mass"], rows, wide=1, numbers=[2, 3, 4]),
        _table("Bought", ["Part", "Quantity", "Lead time", "Superseded by"], bought, wide=0, numbers=[1, 2]),
    ]
    return Paper(
        template="list.typ",
        data={"head": sheet.head("Bill of materials", build.name), "parts": parts, "notes": notes},
    )


def cut_sheet(sheet: Sheet) -> Paper:
    """Bars by section with their end cuts, then plate blanks."""
    build = sheet.build
    stocks: dict[str, list[list[str]]] = {}
    for r in build.bill.cut_list():
        stocks.setdefault(r.stock, []).append([r.mark, sheet.length(r.length), r.cuts, str(r.quantity)])
    parts = [
        _table(
            stock,
            ["Mark", "Length over long points", "End cuts", "Pieces"],
            rows,
            wide=2,
            numbers=[1, 3],
            ticks=True,
        )
        for stock, rows in stocks.items()
    ]
    plate = [
        [r.mark, r.stock, f"{sheet.length(r.length)} x {sheet.length(r.width)}", str(r.quantity)]
        for r in build.bill.plate_list()
    ]
    parts.append(
        _table(
            "Plate and sheet", ["Mark", "Stock", "Blank", "Pieces"], plate, wide=1, numbers=[2, 3], ticks=True
        )
    )
    notes = [
        "Tubes of one outside size and another wall look alike: measure the wall with a caliper before the first cut."
    ]
    return Paper(
        template="list.typ", data={"head": sheet.head("Cut list", build.name), "parts": parts, "notes": notes}
    )


def hole_sheet(sheet: Sheet) -> Paper:
    """The edge to scale with running dimensions from one datum, and what else the driller must know."""
    build, d = sheet.build, sheet.build.datum
    bar = d.layout.rule.bar
    wide = 240.0 if sheet.paper == "us-letter" else 258.0
    picture = elevations.edge_sheet(build, width=wide, system=sheet.system)
    choice = blank_for(d.width, build.rulebook.shop.edge_blanks, d.layout.rule)
    with units.speaking(sheet.system):
        blank = choice.best().in_words() if choice.serving else choice.undrilled()
        flips = d.layout.flip_reason()
    pairs = [
        ["Edge", f"{d.edge.edge}, {sheet.length(d.width)}"],
        [
            "Holes",
            f"{len(d.layout.positions)}, {_bore(bar.hole.size, sheet.system) if bar else ''} square, countersunk",
        ],
        ["Bolt", d.edge.bolt],
        ["Hole line", f"{sheet.length(d.bolt_line)} from the bottom of the edge"],
        ["Bottom angle", d.series.moldboard.bottom_angle],
        ["On the angle", f"{sheet.length(d.bolt_line - d.foot)} from its foot, same distances along"],
        ["Turned end for end", "yes" if d.layout.is_flippable() else "no"],
        ["Why", flips],
    ]
    notes = [
        f"Blank: {blank}",
        "Lay every distance off from the same end; never add gap to gap.",
        "Hold the drilled edge against the drilled angle before either is painted.",
    ]
    us = sheet.system == "us"
    square = [101.6, 25.4, "check: 4 in across, 1 in up"] if us else [100.0, 25.0, "check: 100 mm across, 25 mm up"]
    data = {"head": sheet.head("Hole sheet", build.name), "what": pairs, "notes": notes, "square": square}
    return Paper(template="holes.typ", data=data, pictures={"edge": svg.write(picture, title="edge")})


def frozen_quote(sheet: Sheet) -> quotes.Quote:
    """The quote as it will stay."""
    build = sheet.build
    number = sheet.number or build.fingerprint
    return quotes.freeze(
        number,
        sheet.on,
        spec=build.spec,
        build_fingerprint=build.fingerprint,
        price=sheet.worked.price,
        rulebook=build.rulebook,
    )


def quote_sheet(sheet: Sheet) -> Paper:
    """What the customer gets: no cost, no margin."""
    build, quote = sheet.build, frozen_quote(sheet)
    front = elevations.picture_of(build, "front", width=110.0)
    lines = [
        [line.label, money(line.amount, quote.currency) if line.amount else "included"]
        for line in quote.lines
    ]
    facts = [
        pair
        for pair in what(sheet)
        if pair[0] in ("Series", "Width", "Mount", "Hoses", "Outlets", "Extras", "Edge", "Trip springs")
    ]
    if build.spec.customer:
        facts.insert(0, ["For", build.spec.customer])
    facts.append(["Weight, by the model", units.say(build.mass, "mass", system=sheet.system)])
    facts.append(["Body height", sheet.length(build.assembly.facts["body height"])])
    sums = [
        ["Price", money(quote.total, quote.currency)], ["Deposit with the order", money(quote.deposit, quote.currency)],
        ["Good until", f"{quote.valid_until:%d %B %Y}"],
    ]  # fmt: skip
    terms = "The blade is built as described here when the deposit is in; a change after that is priced on its own."
    data = {
        "head": sheet.head("Quote", build.name), "what": facts, "lines": lines, "sums": sums, "terms": terms,
        "cautions": CAUTIONS["quote"], "disclaimer": DISCLAIMER,
    }  # fmt: skip
    return Paper(
        template="quote.typ",
        data=data,
        pictures={"front": svg.write(front, title=f"{build.name} from the front")},
    )


def _bore(size: float, system: System) -> str:
    """A hole as the drill is picked: to 1/32 in, or to a tenth of a millimetre."""
    return units.tape(size, denominator=32) if system == "us" else f"{size * 1000:.1f} mm"
