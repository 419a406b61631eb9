"""What is offered and for how much: a blade, a refit of an old one, spares. Worked out before anything is written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plowwright.blade.build import Build
from plowwright.blade.spec import Spec
from plowwright.desk.refit import RefitDesk
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import Line
from plowwright.shop.lines import money as said_money

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What a quote freezes.

    Attributes:
        kind: Blade, refit or spares.
        name: What it is, in words.
        lines: What the customer is charged for.
        cents: Sum of the lines [cents].
        deposit_cents: Due with the order [cents].
        valid_days: How long the offer stands [d].
        build: The blade; None for spares, and for a refit, whose blade mixes its old rules with today's.
        asks: What has to be asked before steel is cut.
        serial: The old blade it is about, or "".
        carrier: The machine it goes to where the offer says it, or "".
        spares: Spares sold.
    """

    kind: str
    name: str
    lines: tuple[Line, ...]
    cents: int
    deposit_cents: int
    valid_days: int
    build: Build | None = None
    asks: tuple[str, ...] = ()
    serial: str = ""
    carrier: str = ""
    spares: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The offer for a machine."""
        return {
            "kind": self.kind, "name": self.name, "lines": [line.as_dict() for line in self.lines],
            "cents": self.cents, "deposit_cents": self.deposit_cents, "valid_days": self.valid_days,
            "build": self.build.fingerprint if self.build else None, "asks": list(self.asks),
            "serial": self.serial or None, "spares": list(self.spares),
        }  # fmt: skip


def blade_offer(desk: Desk, spec: Spec) -> Offer:
    """A blade by today's rules and prices.

    Args:
        desk: The shop.
        spec: What is asked for.

    Raises:
        SpecError: It is not complete, or its choices clash.
    """
    worked = desk.worked(spec)
    price, mount = worked.price, worked.build.datum.mount
    asks = (f"sizes of the {mount.name}, measured on the machine",) if mount.by_drawing else ()
    return Offer(
        kind="blade", name=worked.build.name, lines=price.lines, cents=round(100 * price.total),
        deposit_cents=round(100 * price.deposit), valid_days=price.valid_days, build=worked.build, asks=asks,
    )  # fmt: skip


def refit_offer(desk: Desk, serial: str, to: str) -> Offer:
    """An old blade for another machine, by today's prices.

    Args:
        desk: The shop.
        serial: Serial number of the blade.
        to: The machine it goes to.

    Raises:
        NotFoundError: No such serial number or carrier.
        EntryError: Nobody says where it goes, or by which rules it was built.
    """
    found = RefitDesk(desk).work_out(serial, to, level=0)
    refit, price = found.refit, found.price
    return Offer(
        kind="refit", name=f"refit of {refit.existing.serial} for {refit.carrier.name}", lines=price.lines,
        cents=round(100 * price.total), deposit_cents=round(100 * price.deposit), valid_days=price.valid_days,
        asks=tuple(f"{row.part}: {row.why}" for row in refit.check if row.act == "measure"),
        serial=refit.existing.serial, carrier=refit.carrier.name,
    )  # fmt: skip


def spares_offer(rulebook: Rulebook, spares: Sequence[str], serial: str = "") -> Offer:
    """Spares by the price list; one named twice is sold twice. Nothing is cut for them, so no deposit is asked.

    Args:
        rulebook: The rules and prices in force.
        spares: As the price list calls them.
        serial: The blade they are for, or "".

    Raises:
        EntryError: None is named.
        NotFoundError: The price list has no such spare.
    """
    prices, currency = rulebook.prices, rulebook.shop.currency
    wanted = [one.strip() for one in spares if one.strip()]
    if not wanted:
        raise EntryError("no spare is named", limit=", ".join(prices.spares), way_out='Name one, as "seal kit".')
    listed = {name.casefold(): name for name in prices.spares}
    counts: dict[str, int] = {}
    for one in wanted:
        if one.casefold() not in listed:
            raise NotFoundError("the price list has no such spare", value=one, limit=", ".join(prices.spares),
                                way_out="Name it as the list does, or add it to prices.toml.")  # fmt: skip
        name = listed[one.casefold()]
        counts[name] = counts.get(name, 0) + 1
    lines = tuple(
        Line(
            kind="spare", label=name if count == 1 else f"{name}, {count} of it",
            amount=round(float(prices.spares[name]) * count, 2), formula="price list x pieces",
            inputs={"price list": said_money(prices.spares[name], currency), "pieces": str(count)},
        )
        for name, count in counts.items()
    )  # fmt: skip
    return Offer(
        kind="spares", name=", ".join(line.label for line in lines), lines=lines,
        cents=round(100 * sum(line.amount for line in lines)), deposit_cents=0, valid_days=prices.valid_days,
        serial=serial, spares=tuple(name for name, count in counts.items() for _ in range(count)),
    )  # fmt: skip
