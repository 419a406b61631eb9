"""An order as one row of a list: the same from a file and from the records, so that the two can be compared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final

from plowwright.blade import spec as specs
from plowwright.blade.spec import CARRIER_KINDS, Spec
from plowwright.desk.books import NO_DAY
from plowwright.desk.import_days import day_said
from plowwright.desk.import_rows import Row, inches_said, sum_said
from plowwright.desk.order_more import CHAIN, more_of
from plowwright.desk.orders import Order
from plowwright.errors import SpecError
from plowwright.rulebook.reading import Rulebook
from plowwright.store import records as r
from plowwright.units import tape

BLADE: Final = "blade"
STATES: Final[Mapping[str, tuple[str, int]]] = {
    "quote": ("quote", 0),
    "order": ("order", 0),
    "on hold": ("order", 0),
    "released": ("released", 0),
    "cut": ("released", 2),
    "welded": ("released", 3),
    "cleaned": ("released", 4),
    "painted": ("released", 5),
    "assembled": ("released", 6),
    "tested": ("released", 7),
    "done": ("done", len(CHAIN)),
    "weighed": ("weighed", len(CHAIN)),
    "loaded": ("loaded", len(CHAIN)),
    "cancelled": ("cancelled", 0),
}
"""States of a list: the state of the records, and how many operations of a blade are done [-]."""
_WORDS: Final = {
    "quote only": "quote", "not started": "order", "ordered": "order", "welding": "cut", "to pack": "released",
    "waiting for the blade": "order", "shipped": "loaded", "delivered": "loaded",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One order of a list.

    Attributes:
        number: With its check letter, "" for the next one.
        kind: blade, refit or spares.
        customer: Name.
        phone: Number or its last figures, "" where nobody noted it.
        carrier: The machine, as the shop calls it.
        carrier_kind: Kind of carrier, "" where nobody said.
        spec: The blade, None for a refit or spares.
        due: Day, with the hour where one was given, or None.
        state: One of `STATES`.
        price: As agreed [cents], None where the list leaves it to the price list.
        paid: Of it [cents].
        note: What else must be known.
        serial: Of an existing blade, or "".
        spares: Spares sold.
    """

    number: str
    kind: str
    customer: str
    phone: str
    carrier: str
    carrier_kind: str
    spec: Spec | None
    due: date | datetime | None
    state: str
    price: int | None
    paid: int
    note: str
    serial: str
    spares: tuple[str, ...]

    @property
    def likeness(self) -> object:
        """What two rows of one order have in common."""
        spec = bare_spec(self.spec) if self.spec else None
        shape = (spec.series, round(spec.width, 3), spec.mount) if spec else (self.serial, self.spares)
        return self.customer.casefold(), self.kind, shape, day_said(self.due)

    def in_words(self, rulebook: Rulebook) -> str:
        """What is ordered, in a few words."""
        if self.spec is None:
            return self.kind + (f" of {self.serial}" if self.serial else "")
        series = rulebook.series.get(self.spec.series)
        return f"{series.name if series else self.spec.series} {tape(self.spec.width)}, {self.state}"


def bare_spec(spec: Spec) -> Spec:
    """A spec without whose it is, so that the same blade is the same.

    Args:
        spec: The blade.
    """
    return replace(spec, number="", customer="", note="")


def cells_of(row: OrderRow) -> dict[str, Any]:
    """The row as the cells of a list.

    Args:
        row: The order.
    """
    spec = row.spec
    return {
        "number": row.number, "kind": row.kind, "customer": row.customer, "phone": row.phone, "carrier": row.carrier,
        "carrier kind": row.carrier_kind, "series": spec.series if spec else "",
        "width": inches_said(spec.width) if spec else "", "mount": spec.mount if spec else "",
        "hoses": spec.hoses if spec else "", "outlets": spec.outlets if spec else "",
        "extras": ", ".join(sorted(spec.extras)) if spec else "", "due": day_said(row.due), "state": row.state,
        "price": "" if row.price is None else sum_said(row.price), "deposit paid": sum_said(row.paid),
        "serial": row.serial, "spares": "; ".join(row.spares), "note": row.note,
    }  # fmt: skip


def row_of_record(row: r.Order, order: Order, paid: int, *, phone: str, carrier_kind: str) -> OrderRow:
    """An order of the records as a row.

    Args:
        row: Its row.
        order: The same as planners read it.
        paid: What came in so far [cents].
        phone: Of its customer.
        carrier_kind: Of its machine.
    """
    more = more_of(row.more)
    spec = bare_spec(order.spec) if order.spec else None
    return OrderRow(
        number=row.number, kind=row.kind, customer=order.customer, phone=phone, carrier=order.carrier,
        carrier_kind=spec.carrier_kind if spec else carrier_kind, spec=spec,
        due=None if order.due == NO_DAY else order.due, state=_state(row, len(more.work)), price=row.cents, paid=paid,
        note=order.note, serial=more.serial if row.kind != BLADE else "", spares=more.spares,
    )  # fmt: skip


def _state(row: r.Order, done: int) -> str:
    if row.hold:
        return "on hold"
    if row.state != "released":
        return row.state if row.state in STATES else "quote"
    words = [word for word, (state, count) in STATES.items() if state == "released" and count <= done]
    return words[-1]


def state_of(row: Row) -> str:
    """The state a row says; an order that is not begun where it says nothing.

    Args:
        row: The row.
    """
    said = row.text("state")
    if not said:
        row.note("filled-in", "changed", "state", "nothing is said: taken as an order that is not begun")
        return "order"
    known = {**{word: word for word in STATES}, **_WORDS}
    found = row.named("state", said, {word: word for word in known})
    state = known.get(found, "")
    if state and state != found:
        row.note("spelling", "changed", "state", f"taken as {state}", value=said)
    return state


def spec_of_row(
    row: Row, rulebook: Rulebook, machine: r.CarrierFacts | None, *, by_its_day: bool = False
) -> Spec | None:
    """The blade of a row, None where it is not complete or cannot be built; why is noted.

    Args:
        row: The row.
        rulebook: The rules in force.
        machine: The customer's machine where the records know it.
        by_its_day: Whether older rules may know what those in force do not: then choices are not held together here.
    """
    series = row.choice("series", {key: s.name for key, s in rulebook.series.items()})
    width = row.size("width", "length")
    mount = row.choice("mount", {key: m.name for key, m in rulebook.mounts.items()})
    kinds: dict[str, str] = {kind: kind for kind in CARRIER_KINDS}
    kind = row.choice("carrier kind", kinds, must=False)
    if not kind and not row.text("carrier kind"):
        kind = _kind_of(row, rulebook, mount, machine)
    hoses = row.choice("hoses", {key: o.name for key, o in rulebook.options.get("hoses", {}).items()})
    outlets = row.choice("outlets", {"left": "left", "right": "right"}, must=False)
    if not outlets and not row.text("outlets"):
        outlets = "left"
        row.note("filled-in", "changed", "outlets", "nothing is said: taken as left, seen from the seat")
    extras = row.many("extras", {key: o.name for key, o in rulebook.options.get("extras", {}).items()})
    if width is not None and series and not by_its_day:
        width = _built_width(row, rulebook, series, width)
    if row.is_wrong or width is None or not (series and mount and kind and hoses and outlets):
        return None
    spec = specs.from_dict(
        {"series": series, "width": f"{width!r} m", "mount": mount, "carrier": kind, "hoses": hoses, "outlets": outlets,
         "extras": extras}
    )  # fmt: skip
    if by_its_day:
        return spec
    try:
        specs.check(spec, rulebook)
    except SpecError as error:
        row.refused("clash", "", error)
        return None
    return spec


def _kind_of(row: Row, rulebook: Rulebook, mount: str, machine: r.CarrierFacts | None) -> str:
    fitting = rulebook.mounts[mount].carriers if mount else ()
    if machine is not None and machine.kind in CARRIER_KINDS:
        row.note("filled-in", "changed", "carrier kind", f"taken from {machine.name}: {machine.kind}")
        return machine.kind
    if len(fitting) == 1:
        row.note("filled-in", "changed", "carrier kind", f"taken from the mount: {fitting[0]}")
        return fitting[0]
    row.note("empty", "wrong", "carrier kind", "no kind of carrier here", limit=", ".join(fitting or CARRIER_KINDS),
             way_out="Fill in the column carrier kind.")  # fmt: skip
    return ""


def _built_width(row: Row, rulebook: Rulebook, key: str, width: float) -> float | None:
    series = rulebook.series[key]
    widths = series.widths()
    for built in widths:
        if abs(width - built) < 1e-4:
            return built
    near = sorted(widths, key=lambda w: abs(w - width))[:2]
    row.note(
        "width-not-built", "wrong", "width", f"{series.name} is not built {tape(width)} wide", value=row.text("width"),
        limit=f"{tape(widths[0])} to {tape(widths[-1])} in steps of {tape(series.step)}",
        way_out=f"Nearest: {' or '.join(tape(w) for w in sorted(near))}.",
    )  # fmt: skip
    return None
