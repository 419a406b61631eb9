"""The refit sheet for the bench (old and new mount, four lists, lever, checks, cautions) and the customer's quote."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any, Final

from plowwright import units
from plowwright.blade.parts import Part
from plowwright.blade.refit import Refit
from plowwright.blade.refit_rows import RefitRow
from plowwright.findings import Finding, Verdict
from plowwright.papers import content, pdf, plates, qr, svg
from plowwright.papers.content import DISCLAIMER, Paper
from plowwright.papers.elevations import System
from plowwright.papers.finding_rows import because
from plowwright.papers.holding import counted
from plowwright.papers.refit_mount import side_by_side
from plowwright.papers.sheets import PaperName, Written
from plowwright.shop.lines import money
from plowwright.shop.refit_price import RefitPrice

CAUTIONS: Final = (
    "Springs are under load: back the eyebolts off, all of them, before a pin is driven or a lug is touched; stand"
    " beside the line they pull along, never in it.",
    "Old steel is coated: grind paint, zinc and oil a hand's width off before it is cut or welded, and weld in moving"
    " air; the fume makes you ill. Drain and plug hoses and cylinder first, no flame near oil.",
    "Hoist and blocks: the blade falls when its mount comes off. Hang it at the marked points, block moldboard and"
    " frame, nobody under it.",
    "Oil under pressure goes through skin: engine off, blade down, lever worked both ways before a hose is opened.",
)
"""What stands with every refit; it can be added to, not switched off."""
WORST_FIRST: Final[tuple[Verdict, ...]] = ("fails", "near limit", "not checked", "holds")
_ON_SHEET: Final = 3
"""Most checks with words of their own on the shop's sheet; the others are counted [-]."""
_ON_QUOTE: Final = 3
_IN_LINES: Final = 12


@dataclass(frozen=True, kw_only=True, eq=False)
class RefitSheet:
    """What the sheet is made of.

    Attributes:
        refit: The refit.
        price: Its price.
        system: Units on the paper.
        paper: Sheet size.
        on: Day the paper carries.
        number: Order number, or "".
    """

    refit: Refit
    price: RefitPrice
    system: System
    paper: PaperName
    on: date
    number: str = ""

    @property
    def size(self) -> pdf.PaperSize:
        """The sheet as the setter calls it."""
        return "us-letter" if self.paper == "letter" else "a4"

    @property
    def room(self) -> float:
        """Width between the margins [mm]."""
        return 180.0 if self.paper == "letter" else 175.0

    def link(self) -> str:
        """What the QR code opens on the shop's network."""
        shop = self.refit.today.shop
        return f"{shop.address_on_network.rstrip('/')}/refit/{self.number or self.refit.existing.serial}"

    def length(self, value: float) -> str:
        """A length in the sheet's units."""
        return units.say(value, "length", system=self.system)

    def mass(self, value: float) -> str:
        """A mass in the sheet's units."""
        return f"{units.pounds(value):,.0f} lb" if self.system == "us" else f"{value:,.0f} kg"


def refit_sheet(sheet: RefitSheet) -> Paper:
    """The sheet, ready to be set.

    Args:
        sheet: The refit, its price and the units.
    """
    refit = sheet.refit
    drawn = side_by_side(refit, width=sheet.room, system=sheet.system)
    data = {
        "head": _head(sheet, "Refit sheet"),
        "what": _what(sheet),
        "lever": refit.lever_note,
        "change": [_row(sheet, row) for row in refit.change],
        "buy": [_row(sheet, row) for row in refit.buy],
        "keep": _kept(refit.keep),
        "stays": [f"{row.part}: {row.why}" for row in refit.keep if row.instead or not row.stock],
        "check": [[f"{row.act} {row.part}", row.why] for row in refit.check],
        "suit": refit.suit.sentence if refit.suit else "",
        "counted": counted(refit.findings),
        "checks": _checks(refit, _ON_SHEET),
        "cautions": list(CAUTIONS),
        "disclaimer": DISCLAIMER,
    }
    picture = svg.write(drawn, title=f"mount of {refit.existing.serial}, old and new")
    return Paper(template="refit.typ", data=data, pictures={"mount": picture})


def quote_sheet(sheet: RefitSheet) -> Paper:
    """What the customer gets: what is done, the price, what is not in it, and what the checks say of his machine.

    Args:
        sheet: The refit, its price and the units.
    """
    refit, price = sheet.refit, sheet.price
    until = sheet.on + timedelta(days=price.valid_days)
    done = [f"{row.act} {row.pieces}" for row in refit.change]
    data = {
        "head": _head(sheet, "Refit quote"),
        "what": _what(sheet),
        "done": [*done, *(f"new: {row.instead or row.stock}" for row in refit.buy)],
        "lines": [[line.label, money(line.amount, price.currency)] for line in price.lines],
        "sums": [
            ["Price", money(price.total, price.currency)],
            ["Deposit with the order", money(price.deposit, price.currency)],
            ["For", refit.existing.customer or "not said"],
            ["Good until", f"{until:%d %B %Y}"],
        ],
        "terms": [*price.doubts[:1], *_measured(refit)],
        "suit": refit.suit.sentence if refit.suit else "",
        "counted": counted(refit.findings),
        "checks": _checks(refit, _ON_QUOTE),
        "lever": refit.lever_note,
        "cautions": list(content.CAUTIONS["quote"]),
        "disclaimer": DISCLAIMER,
    }
    return Paper(template="refit-quote.typ", data=data)


def _measured(refit: Refit) -> Iterator[str]:
    for row in refit.check:
        if row.act == "measure":
            yield f"The {row.part} is {row.why}; nothing is cut before."


def new_plates(refit: Refit) -> list[Part]:
    """One part for each mark that is cut new from plate.

    Args:
        refit: The refit.
    """
    first: dict[str, Part] = {}
    for part in refit.compared.made:
        if part.kind in ("plate", "rolled"):
            first.setdefault(part.mark, part)
    return list(first.values())


def write(
    refit: Refit,
    price: RefitPrice,
    folder: Path,
    *,
    system: System = "us",
    paper: PaperName = "letter",
    on: date,
    number: str = "",
) -> list[Written]:
    """Write the refit sheet, and for each new plate its drawing and its outline for the plasma table. Nothing else.

    Args:
        refit: The refit.
        price: Its price.
        folder: Where to; made if missing.
        system: Units on the papers.
        paper: Sheet size.
        on: Day the papers carry.
        number: Order number, or "".
    """
    sheet = RefitSheet(refit=refit, price=price, system=system, paper=paper, on=on, number=number)
    written: list[Written] = []
    for name, what, make in _jobs(sheet):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(make())
        written.append(Written(path=path, what=what))
    return written


def _jobs(sheet: RefitSheet) -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    yield "refit sheet.pdf", "refit sheet", lambda: as_pdf(sheet, refit_sheet(sheet))
    yield "refit quote.pdf", "quote for the customer", lambda: as_pdf(sheet, quote_sheet(sheet))
    for part in new_plates(sheet.refit):
        yield (
            f"plates/{part.mark}.dxf",
            f"{part.name} for the plasma table",
            lambda part=part: plates.plate_part_dxf(part, units="in" if sheet.system == "us" else "mm"),
        )
        yield f"plates/{part.mark}.svg", f"{part.name} with its size", lambda part=part: _plate(part, sheet.system)


def as_pdf(sheet: RefitSheet, paper: Paper) -> bytes:
    """One of the two papers as PDF.

    Args:
        sheet: The refit, its price and the units.
        paper: The paper, as `refit_sheet` or `quote_sheet` made it.
    """
    pictures = {**paper.pictures, "qr": qr.svg(sheet.link())}
    return pdf.compile(content.source(paper.template), pictures=pictures, data=paper.data, when=_noon(sheet.on))


def plain_lines(refit: Refit, price: RefitPrice, number: str = "", *, system: System = "us") -> list[str]:
    """What the sheet says, in plain lines.

    Args:
        refit: The refit.
        price: Its price.
        number: Order number, or "".
        system: US or metric.
    """
    sheet = RefitSheet(refit=refit, price=price, system=system, paper="letter", on=date.min, number=number)
    head = f"Order {number}: " if number else ""
    old = refit.existing.carrier_name or "an unknown machine"
    lines = [
        f"{head}{refit.existing.serial}, {refit.new.name}, from {old} to {refit.carrier.name}; built by the rules of"
        f" {refit.existing.rulebook.version.date.isoformat()}, changed by those of"
        f" {refit.today.version.date.isoformat()}.",
        f"It weighed {sheet.mass(refit.old.mass)} and will weigh {sheet.mass(refit.new.mass)} by the model.",
        f"Keep: {_kept(refit.keep)}.",
    ]
    for word, rows in (("Change", refit.change), ("Buy", refit.buy)):
        lines.append(f"{word}:")
        lines += [f"  {', '.join(part for part in _row(sheet, row)[:3] if part)}: {row.why}" for row in rows]
    lines.append("Check:")
    lines += [f"  {row.act} {row.part}: {row.why}" for row in refit.check]
    lines.append(refit.lever_note)
    lines += [refit.suit.sentence] if refit.suit else []
    lines.append(f"On {refit.carrier.name}: {counted(refit.findings)}")
    lines += [f"  {': '.join(part for part in row if part)}" for row in _checks(refit, _IN_LINES)]
    lines.append(
        f"Price {money(price.total, price.currency)} by the list of {price.list_date.isoformat()},"
        f" {price.hours / 3600:g} h in the shop."
    )
    return [*lines, *price.doubts]


def _head(sheet: RefitSheet, title: str) -> dict[str, Any]:
    refit, shop = sheet.refit, sheet.refit.today.shop
    old = refit.existing.carrier_name or "an unknown machine"
    return {
        "shop": f"{shop.name}, {shop.place}", "title": title, "order": sheet.number,
        "about": f"{refit.existing.serial}, {refit.new.name}, from {old} to {refit.carrier.name}",
        "fingerprint": refit.new.fingerprint, "paper": sheet.size, "address": f"{sheet.on:%d %B %Y}",
    }  # fmt: skip


def _what(sheet: RefitSheet) -> list[list[str]]:
    refit = sheet.refit
    old, new = refit.old, refit.new
    built = refit.existing.built
    return [
        ["Serial number", refit.existing.serial],
        ["For", refit.existing.customer or "not said"],
        ["Left the shop", f"{built:%d %b %Y}" if built else "not written down"],
        ["Rules", f"{refit.existing.rulebook.version.date:%d %b %Y}, changes {refit.today.version.date:%d %b %Y}"],
        ["Carrier", _arrow(f"{refit.existing.carrier_name or 'unknown'}, {old.spec.carrier_kind}",
                           f"{refit.carrier.name}, {new.spec.carrier_kind}")],
        ["Mount", _arrow(old.datum.mount.name, new.datum.mount.name)],
        ["Hoses", _arrow(old.spec.hoses, new.spec.hoses)],
        ["Outlets", _arrow(old.spec.outlets, new.spec.outlets)],
        ["Weight by the model", _arrow(sheet.mass(old.mass), sheet.mass(new.mass))],
        ["Build", _arrow(old.fingerprint, new.fingerprint)],
    ]  # fmt: skip


def _arrow(was: str, now: str) -> str:
    return now if was == now else f"{was} → {now}"


def _row(sheet: RefitSheet, row: RefitRow) -> list[str]:
    stock = row.instead if row.act == "buy" and row.instead else row.stock
    long = f", {sheet.length(row.length)}" if row.length else ""
    return [row.act, row.pieces, f"{stock}{long}", row.why, sheet.mass(row.mass) if row.mass else ""]


def _kept(rows: Sequence[RefitRow]) -> str:
    """Everything that stays, in one line; a left and a right one are a pair."""
    merged: dict[str, RefitRow] = {}
    for row in rows:
        name = row.part.removesuffix(" left").removesuffix(" right")
        count = row.count + (merged[name].count if name in merged else 0)
        merged[name] = replace(row, part=name, count=count)
    return ", ".join(row.pieces for row in merged.values())


def _checks(refit: Refit, most: int) -> list[list[str]]:
    """What does not simply hold: first what the new machine makes worse, then what fails anyway."""
    ordered = sorted(
        (f for f in refit.findings if f.verdict != "holds"),
        key=lambda f: (not refit.worse(f), WORST_FIRST.index(f.verdict)),
    )
    rows: list[list[str]] = []
    for finding in ordered[:most]:
        name = finding.title if finding.place in finding.title else f"{finding.place}, {finding.title}"
        was = refit.was(finding)
        old = refit.existing.carrier_name or "the old machine"
        before = "" if was is None else f" (as on {old})" if was == finding.verdict else f" ({was} on {old})"
        rows.append([finding.verdict, name, f"{_said(finding)}{before}"])
    if len(ordered) > most:
        rows.append(["", f"and {len(ordered) - most} more that do not simply hold", "the program lists them all"])
    return rows


def _said(finding: Finding) -> str:
    if finding.verdict == "not checked":
        return because(finding)
    return finding.sentence.removeprefix(f"{finding.title}: ")


def _plate(part: Part, system: System) -> bytes:
    picture = plates.plate_part_picture(part, width=150.0, height=110.0, system=system)
    return svg.write(picture, title=f"{part.mark}, {part.stock}").encode()


def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12), tzinfo=UTC)
