"""Quotes: what was offered, when, by which rules; a quote stays as it was when the price list changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, cast

from plowwright.blade import spec as specs
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import Line, line_from_dict
from plowwright.shop.price import Price


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnersNote:
    """What the owner wants to find again beside a quote; never part of what the customer gets.

    Attributes:
        cost: Cost on the day [money].
        floor_price: Least price on the day [money].
        margin_share: Margin as a share of the quoted total [-].
        verdict: holds, near limit or fails.
    """

    cost: float
    floor_price: float
    margin_share: float
    verdict: str

    def as_dict(self) -> dict[str, Any]:
        """The note for the owner's own file."""
        return {
            "cost": self.cost,
            "floor_price": self.floor_price,
            "margin_share": self.margin_share,
            "verdict": self.verdict,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """An offer, frozen.

    Attributes:
        number: Number of the quote.
        date: Day it was made.
        valid_until: Last day it stands.
        spec: What was offered.
        rulebook_fingerprint: Mark of the rules and prices in force that day.
        rulebook_date: Date of those rules.
        list_date: Date of the price list.
        build_fingerprint: Mark of the build.
        lines: What the customer is charged for.
        total: Sum of the lines [money].
        deposit: Due with the order [money].
        currency: Code of the currency.
        owner: Kept apart; None on a copy made for somebody else.
    """

    number: str
    date: date
    valid_until: date
    spec: Spec
    rulebook_fingerprint: str
    rulebook_date: date
    list_date: date
    build_fingerprint: str
    lines: tuple[Line, ...]
    total: float
    deposit: float
    currency: str
    owner: OwnersNote | None = None

    def stands_on(self, day: date) -> bool:
        """Whether the offer still stands on a day, its last day included.

        Args:
            day: The day asked about.
        """
        return self.date <= day <= self.valid_until

    def as_dict(self, *, owner: bool = False) -> dict[str, Any]:
        """The quote as plain values, ready for JSON.

        Args:
            owner: Whether the owner's note goes along; only for the shop's own file.
        """
        shown: dict[str, Any] = {
            "number": self.number,
            "date": self.date.isoformat(),
            "valid_until": self.valid_until.isoformat(),
            # The tape's sixteenths would not bring a metric width back exactly.
            "spec": {**self.spec.as_dict(), "width": f"{self.spec.width!r} m"},
            "rulebook_fingerprint": self.rulebook_fingerprint,
            "rulebook_date": self.rulebook_date.isoformat(),
            "list_date": self.list_date.isoformat(),
            "build_fingerprint": self.build_fingerprint,
            "lines": [line.as_dict() for line in self.lines],
            "total": self.total,
            "deposit": self.deposit,
            "currency": self.currency,
        }
        return {**shown, "owner": self.owner.as_dict()} if owner and self.owner else shown


def freeze(number: str, on: date, *, spec: Spec, build_fingerprint: str, price: Price, rulebook: Rulebook) -> Quote:
    """Make a quote of a worked-out price; from here on it no longer looks at the rulebook.

    Args:
        number: Number of the quote.
        on: Day it is made.
        spec: What is offered.
        build_fingerprint: Mark of the build.
        price: Its price.
        rulebook: The rules it was worked out by.

    Raises:
        EntryError: The number is empty.
    """
    if not number.strip():
        raise EntryError("a quote needs a number", value=repr(number), way_out="Give it the next number of the book.")
    private = price.owner
    return Quote(
        number=number.strip(),
        date=on,
        valid_until=on + timedelta(days=price.valid_days),
        spec=spec,
        rulebook_fingerprint=rulebook.fingerprint,
        rulebook_date=rulebook.version.date,
        list_date=price.list_date,
        build_fingerprint=build_fingerprint,
        lines=price.lines,
        total=price.total,
        deposit=price.deposit,
        currency=price.currency,
        owner=OwnersNote(
            cost=round(private.cost, 2),
            floor_price=round(private.floor_price, 2),
            margin_share=round(private.margin_share, 4),
            verdict=private.finding.verdict,
        ),
    )


def from_dict(entry: Mapping[str, Any], *, where: str = "quote") -> Quote:
    """A quote read back from what `as_dict` wrote.

    Args:
        entry: The quote as plain values.
        where: What to call the source in messages.

    Raises:
        EntryError: A field is missing or cannot be read.
        SpecError: Its spec is not complete.
    """
    lines = _field(entry, "lines", where)
    if not isinstance(lines, list):
        raise EntryError("lines is a list", where=where, value=str(lines), way_out="Give one entry a price line.")
    private = entry.get("owner")
    return Quote(
        number=str(_field(entry, "number", where)),
        date=_day(entry, "date", where),
        valid_until=_day(entry, "valid_until", where),
        spec=specs.from_dict(dict(_field(entry, "spec", where)), where=f"{where}, spec"),
        rulebook_fingerprint=str(_field(entry, "rulebook_fingerprint", where)),
        rulebook_date=_day(entry, "rulebook_date", where),
        list_date=_day(entry, "list_date", where),
        build_fingerprint=str(_field(entry, "build_fingerprint", where)),
        lines=tuple(
            line_from_dict(line, where=f"{where}, line {at}")
            for at, line in enumerate(cast("list[dict[str, Any]]", lines), 1)
        ),
        total=_sum(entry, "total", where),
        deposit=_sum(entry, "deposit", where),
        currency=str(_field(entry, "currency", where)),
        owner=_note(private, f"{where}, owner") if private else None,
    )


def _note(entry: Mapping[str, Any], where: str) -> OwnersNote:
    return OwnersNote(
        cost=_sum(entry, "cost", where),
        floor_price=_sum(entry, "floor_price", where),
        margin_share=_sum(entry, "margin_share", where),
        verdict=str(_field(entry, "verdict", where)),
    )


def _field(entry: Mapping[str, Any], name: str, where: str) -> Any:
    if name not in entry:
        raise EntryError(f"{name} is missing", where=where, way_out="Take the quote from its backup, or make it anew.")
    return entry[name]


def _day(entry: Mapping[str, Any], name: str, where: str) -> date:
    value = _field(entry, name, where)
    try:
        return date.fromisoformat(str(value))
    except ValueError as fault:
        raise EntryError(
            f"{name} is not a date", where=where, value=str(value), way_out="Write it as 2026-11-11."
        ) from fault


def _sum(entry: Mapping[str, Any], name: str, where: str) -> float:
    value = _field(entry, name, where)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise EntryError(f"{name} is not a number", where=where, value=str(value), way_out="Write it as 2488.0.")
    return float(value)
