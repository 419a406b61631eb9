"""The order confirmation, and the same sheet as a quote for spares and refits: what, price, day, what is still open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, Final, Literal

from plowwright import units
from plowwright.papers import content, elevations, pdf, qr, svg
from plowwright.papers.content import CAUTIONS, DISCLAIMER, Paper, Sheet
from plowwright.rulebook.schema import Shop
from plowwright.shop.orders import money

PaperName = Literal["letter", "a4"]
TERMS: Final = (
    "Steel is bought and cut when the deposit is in and you have told us all we asked.",
    "The balance is due before the goods are loaded. A change after today is a note of its own, with its price and day,"
    " and counts when you have said yes to it.",
    "Paint cures before it can be strapped; a cold shop takes longer. If a part from outside comes late we ring you.",
)
"""What is agreed with every order; the shop's own terms, *common practice*. Local law comes first."""
SPARE_TERMS: Final = (
    TERMS[1],
    "If a part comes late we ring you.",
)
"""The same for spares, which nobody cuts or paints."""
_HELD: Final = "This order is on hold: the day above counts again when the hold is lifted. Ring us."
SPARE_CAUTION: Final = (
    "Springs are under load and oil is under pressure: back the eyebolts off, blade down, engine off, lever worked both"
    " ways before anything is opened. Fit edge bolts with washers and new nuts."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """What the sheet says of an order.

    Attributes:
        number: Number with its check letter.
        kind: Blade, refit or spares.
        name: What is ordered, in words.
        customer: Who ordered it.
        machine: His machine, or "".
        on: Day the paper carries.
        shop: Whose paper it is.
        lines: Price lines: what for, and how much as people read it.
        cents: Price in all [cents].
        deposit_cents: Due with the order [cents].
        paid_cents: In so far [cents].
        promise: The day given, in words, or "".
        valid_until: Last day of a quote, in words; "" for an order.
        asks: What the customer must still tell us.
        changes: Change notes as he reads them.
        fingerprint: Of the build, or "".
        held: Whether it is on hold.
    """

    number: str
    kind: str
    name: str
    customer: str
    machine: str
    on: date
    shop: Shop
    lines: Sequence[tuple[str, str]]
    cents: int
    deposit_cents: int
    paid_cents: int
    promise: str
    valid_until: str = ""
    asks: Sequence[str] = ()
    changes: Sequence[str] = ()
    fingerprint: str = ""
    held: bool = False

    def link(self) -> str:
        """What the QR code opens on the shop's network."""
        return f"{self.shop.address_on_network.rstrip('/')}/order/{self.number}"

    def head(self, title: str, paper: PaperName, about: str = "") -> dict[str, Any]:
        """Head and foot of the sheet.

        Args:
            title: What the sheet is.
            paper: Sheet size.
            about: Line below the head; left out, what is ordered.
        """
        return {
            "shop": f"{self.shop.name}, {self.shop.place}", "title": title, "order": self.number,
            "about": about or f"{self.name[:1].upper()}{self.name[1:]}", "fingerprint": self.fingerprint,
            "paper": "us-letter" if paper == "letter" else "a4", "address": f"{self.on:%d %B %Y}",
        }  # fmt: skip


def order_sheet(order: Ordered, paper: PaperName = "letter", sheet: Sheet | None = None) -> Paper:
    """The sheet, ready to be set.

    Args:
        order: What it says.
        paper: Sheet size.
        sheet: The blade with its units, where one is built.
    """
    quoted = bool(order.valid_until)
    title = "Quote" if quoted else "Order confirmation"
    pictures: dict[str, str] = {}
    facts = [["For", order.customer]]
    if order.machine or order.kind == "blade":
        facts.append(["Machine", order.machine or "not named"])
    if sheet is not None:
        drawn = elevations.picture_of(sheet.build, "front", width=64.0)
        pictures["front"] = svg.write(drawn, title=f"{sheet.build.name} from the front")
        shown = ("Series", "Width", "Mount", "Hoses", "Outlets", "Extras", "Edge", "Trip springs")
        facts += [pair for pair in content.what(sheet) if pair[0] in shown]
        facts.append(["Weight, by the model", units.say(sheet.build.mass, "mass", system=sheet.system)])
    data = {
        "head": order.head(title, paper),
        "drawn": sheet is not None,
        "what": facts,
        "lines": [list(line) for line in order.lines],
        "sums": _sums(order, quoted=quoted),
        "promise": order.promise,
        "held": _HELD if order.held else "",
        "asks": list(order.asks),
        "changes": list(order.changes),
        "terms": _terms(order, quoted=quoted),
        "cautions": list(CAUTIONS["quote"]) if order.kind != "spares" else [SPARE_CAUTION],
        "disclaimer": DISCLAIMER,
        "signed": not quoted,
    }
    return Paper(template="order.typ", data=data, pictures=pictures)


def _terms(order: Ordered, *, quoted: bool) -> list[str]:
    if not quoted:
        return list(SPARE_TERMS if order.kind == "spares" else TERMS)
    first = "It is made as described here when the deposit is in; a change after that is priced on its own."
    return [*([first] if order.deposit_cents else []), f"This stands until {order.valid_until}."]


def _sums(order: Ordered, *, quoted: bool) -> list[list[str]]:
    open_ = order.cents - order.paid_cents
    deposit = money(order.deposit_cents) if order.deposit_cents else "none"
    rows = [["Price", money(order.cents)], ["Deposit with the order", deposit]]
    if quoted:
        return [*rows, ["Good until", order.valid_until]]
    missing = max(order.deposit_cents - order.paid_cents, 0)
    rows += [["Paid so far", money(order.paid_cents)]]
    rows += [["Deposit still missing", money(missing) if missing else "nothing"]]
    return [*rows, ["Balance before loading", money(max(open_ - missing, 0))]]


def write(paper: Paper, order: Ordered) -> bytes:
    """The paper as PDF.

    Args:
        paper: From `order_sheet` or `change_note.change_sheet`.
        order: Whose QR code it carries.
    """
    pictures: Mapping[str, str] = {**paper.pictures, "qr": qr.svg(order.link())}
    when = datetime.combine(order.on, time(12), tzinfo=UTC)
    return pdf.compile(content.source(paper.template), pictures=pictures, data=paper.data, when=when)
