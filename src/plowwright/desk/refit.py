"""A refit at the desk: the blade by its serial number, its old rules, the new machine, price and papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from plowwright import rulebook as rulebook_files
from plowwright import units
from plowwright.blade.build import Level
from plowwright.blade.refit import Existing, Refit, refit
from plowwright.blade.refit_rows import RefitRow
from plowwright.desk import serials
from plowwright.desk.desk import Desk
from plowwright.desk.orders import Order
from plowwright.desk.serials import Record
from plowwright.errors import EntryError, NotFoundError
from plowwright.papers import refit_sheet
from plowwright.papers.sheets import PaperName, Written
from plowwright.shop.refit_price import RefitPrice, refit_price


@dataclass(frozen=True, kw_only=True, eq=False)
class Refitted:
    """A refit with its price.

    Attributes:
        refit: What is done to the blade, and what was checked.
        price: What it costs.
        order: The order it is for, or None.
    """

    refit: Refit
    price: RefitPrice
    order: Order | None = None

    def as_dict(self, *, owner: bool = False) -> dict[str, Any]:
        """The refit for a machine.

        Args:
            owner: Whether cost and margin go along.
        """
        found = self.refit
        return {
            "serial": found.existing.serial,
            "order": self.order.number if self.order else None,
            "from": found.existing.carrier_name or None,
            "to": found.carrier.name,
            "rules_of": found.existing.rulebook.version.date.isoformat(),
            "rules_today": found.today.version.date.isoformat(),
            "old": {"fingerprint": found.old.fingerprint, "spec": found.old.spec.as_dict(),
                    "mass_lb": round(units.pounds(found.old.mass), 1)},
            "new": {"fingerprint": found.new.fingerprint, "spec": found.new.spec.as_dict(),
                    "mass_lb": round(units.pounds(found.new.mass), 1)},
            **{sort: [self._row(row) for row in getattr(found, sort)] for sort in ("keep", "change", "buy", "check")},
            "lever_note": found.lever_note,
            "price": self.price.as_dict(owner=owner),
            "suit": found.suit.as_dict() if found.suit else None,
            "plumbing": found.plumbing.as_dict() if found.plumbing else None,
            "swinging": found.swinging.as_dict() if found.swinging else None,
            "findings": [finding.as_dict() for finding in found.findings],
        }  # fmt: skip

    def _row(self, row: RefitRow) -> dict[str, Any]:
        amount = self.price.of(row)
        return {**row.as_dict(), "price": None if amount is None else round(amount, 2)}

    def lines(self, *, system: units.System = "us") -> list[str]:
        """What the papers say, in plain lines.

        Args:
            system: US or metric.
        """
        return refit_sheet.plain_lines(self.refit, self.price, self.order.number if self.order else "", system=system)


class RefitDesk:
    """What can be said of the shop's old blades on other machines.

    Args:
        desk: The shop's desk.
        folder: Folder of the serials' files, or None for the one beside the rulebook.
    """

    def __init__(self, desk: Desk, folder: Path | None = None) -> None:
        self._desk = desk
        self._folder = folder or desk.rulebook.folder.parent / serials.FOLDER

    def existing(self, what: str, rules_of: date | None = None) -> Existing:
        """A blade that was built, with its own rules.

        Args:
            what: Its serial number, or the path of a spec or serial file.
            rules_of: Day whose rules it was built by, where its file does not say or says it wrongly.

        Raises:
            NotFoundError: No such serial number, or no rules were in force on that day.
            EntryError: Its file cannot be taken, or nobody says by which rules it was built.
        """
        return self._with_rules(serials.find(what, self._folder), rules_of)

    def work_out(
        self,
        what: str,
        to: str = "",
        *,
        rules_of: date | None = None,
        changes: Mapping[str, str] | None = None,
        level: Level = 2,
        system: units.System = "us",
    ) -> Refitted:
        """Work a refit out.

        Args:
            what: A serial number, a spec or serial file, or the number of an open order for a refit.
            to: The machine it goes to: a known carrier's name or a carrier file; left out, the order's own.
            rules_of: Day whose rules it was built by, where its file does not say.
            changes: What is wished otherwise than the carrier would have it (see `blade.refit.refit`).
            level: How deep the strength of the new build is looked at.
            system: Units its sentences speak.

        Raises:
            NotFoundError: No such serial number, carrier or rules.
            EntryError: Nobody says where it goes, or something cannot be taken.
        """
        order = self._order(what)
        existing = self.existing(order.serial if order else what, rules_of)
        carrier = self._desk.strength.carrier(to or (order.carrier if order else ""))
        if carrier is None:
            raise EntryError(
                "which machine it goes to is not said",
                value=existing.serial,
                way_out="Name it with --to, as --to K4 or --to carriers/k4.toml.",
            )
        with units.speaking(system):
            found = refit(existing, carrier, self._desk.rulebook, changes=changes, level=level)
            return Refitted(refit=found, price=refit_price(found), order=order)

    def papers(
        self, found: Refitted, folder: Path, *, system: units.System = "us", paper: PaperName = "letter"
    ) -> list[Written]:
        """Write the refit sheet and the drawings of what is new.

        Args:
            found: The refit.
            folder: Where to; made if missing.
            system: Units on the papers.
            paper: Sheet size.
        """
        number = found.order.number if found.order else ""
        with units.speaking(system):
            return refit_sheet.write(
                found.refit, found.price, folder, system=system, paper=paper, on=self._desk.now.date(), number=number
            )

    def _order(self, what: str) -> Order | None:
        wanted = what.strip().upper()
        order = next((one for one in self._desk.orders() if one.number == wanted), None)
        if order is not None and (order.kind != "refit" or not order.serial):
            raise NotFoundError(
                f"order {order.number} is for {order.kind} and refits nothing",
                value=order.number,
                way_out="Give an order for a refit, or a serial number.",
            )
        return order

    def _with_rules(self, record: Record, rules_of: date | None) -> Existing:
        day = rules_of or record.rules
        if day is None:
            raise EntryError(
                "by which rules this blade was built is not said",
                value=record.serial,
                way_out="Name the day with --rules-of, as --rules-of 2022-03-01.",
            )
        rules = rulebook_files.load(self._desk.rulebook.folder, on=day)
        return Existing(
            serial=record.serial,
            spec=record.spec,
            rulebook=rules,
            carrier=self._desk.strength.of_order(record.carrier),
            carrier_name=record.carrier,
            built=record.built,
            customer=record.customer,
            known=record.known,
            note=record.note,
        )
