"""What a blade is sold for and what it costs the shop; every line opens to its formula and what went into it.

What is for the owner's eyes only (cost, margin, floor) lies in a record of its own, so that no paper for the
customer can show it by mistake.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from plowwright.blade.bill import Bill
from plowwright.blade.mass import MassTally
from plowwright.blade.spec import Spec
from plowwright.errors import RulebookError
from plowwright.findings import Basis, Finding, against_limit
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import cost
from plowwright.shop.lines import Line, entry, money
from plowwright.units import tape

RUSH = "rush"
"""Key of the extra that adds a share of the list price instead of a sum."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """What only the owner sees.

    Attributes:
        lines: Cost roll-up, line by line.
        cost: Sum of the cost lines [money].
        margin: What is left of the list price [money].
        margin_share: The same as a share of the list price [-].
        floor_share: Least share the shop wants [-].
        floor_price: Least price that leaves it [money].
        finding: The list price held against the floor price.
    """

    lines: tuple[Line, ...]
    cost: float
    margin: float
    margin_share: float
    floor_share: float
    floor_price: float
    finding: Finding

    def as_dict(self) -> dict[str, Any]:
        """For a machine that works for the owner."""
        return {
            "lines": [line.as_dict() for line in self.lines],
            "cost": round(self.cost, 2),
            "margin": round(self.margin, 2),
            "margin_share": round(self.margin_share, 4),
            "floor_share": self.floor_share,
            "floor_price": round(self.floor_price, 2),
            "finding": self.finding.as_dict(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """List price of one blade.

    Attributes:
        lines: What the customer is charged for, line by line.
        total: List price [money].
        deposit_share: Share due with the order [-].
        deposit: Due with the order [money].
        currency: Code of the currency.
        list_date: Date of the price list.
        valid_days: How long a quote on it stands [days].
        owner: Cost, margin and floor.
    """

    lines: tuple[Line, ...]
    total: float
    deposit_share: float
    deposit: float
    currency: str
    list_date: date
    valid_days: int
    owner: Owner

    @property
    def verdict(self) -> Finding:
        """The list price held against the owner's floor; for the owner only."""
        return self.owner.finding

    def as_dict(self, *, owner: bool = False) -> dict[str, Any]:
        """The price for a machine.

        Args:
            owner: Whether cost, margin and floor go along.
        """
        shown: dict[str, Any] = {
            "currency": self.currency,
            "lines": [line.as_dict() for line in self.lines],
            "total": self.total,
            "deposit_share": self.deposit_share,
            "deposit": self.deposit,
            "list_date": self.list_date.isoformat(),
            "valid_days": self.valid_days,
        }
        return {**shown, "owner": self.owner.as_dict()} if owner else shown


def price(spec: Spec, pieces: Bill, tally: MassTally, rulebook: Rulebook) -> Price:
    """List price, cost and margin of one blade.

    Args:
        spec: The chosen options.
        pieces: Its bill of materials.
        tally: Its mass, with weld volume and paint area.
        rulebook: The rules and price list in force.

    Raises:
        RulebookError: The price list has no price for the series, or no hours.
    """
    lines = list_lines(spec, rulebook)
    prices, currency = rulebook.prices, rulebook.shop.currency
    total = round(sum(line.amount for line in lines), 2)
    costs = cost.lines(spec.series, pieces, tally, rulebook)
    return Price(
        lines=lines,
        total=total,
        deposit_share=prices.deposit,
        deposit=round(total * prices.deposit, 2),
        currency=currency,
        list_date=prices.list_date,
        valid_days=prices.valid_days,
        owner=_owner(costs, total, prices.margin_floor, currency),
    )


def list_lines(spec: Spec, rulebook: Rulebook) -> tuple[Line, ...]:
    """What the customer is charged for; a choice without a price is included and says so.

    Args:
        spec: The chosen options.
        rulebook: The rules and price list in force.

    Raises:
        RulebookError: The price list has no price for the series.
    """
    prices, currency = rulebook.prices, rulebook.shop.currency
    series = rulebook.series[spec.series]
    row = entry(
        prices.series,
        spec.series,
        "prices.toml, [series]",
        f'{spec.series} = {{ base = "USD 2,000", step = "USD 60" }}',
    )
    steps = round((spec.width - series.from_) / series.step)
    lines = [
        Line(
            kind="blade",
            label=f"{series.name} {tape(spec.width)}",
            amount=round(row.base + steps * row.step, 2),
            formula="base + steps x price of a step",
            inputs={
                "base": f"{money(row.base, currency)} at {tape(series.from_)}",
                "steps": f"{steps} of {tape(series.step)}",
                "price of a step": money(row.step, currency),
            },
        )
    ]
    lines.append(_choice(f"mount.{spec.mount}", rulebook.mounts[spec.mount].name, "mount", prices.options, currency))
    groups = [("hoses", spec.hoses), *(("extras", key) for key in spec.extras if key != RUSH)]
    for group, key in groups:
        option = rulebook.options[group][key]
        line = _choice(f"{group}.{key}", option.name, group, prices.options, currency)
        if line.amount or option.adds:
            lines.append(line)
    if RUSH in spec.extras:
        before = sum(line.amount for line in lines)
        lines.append(
            Line(
                kind="rush",
                label=f"rush, {100 * prices.rush:g} %",
                amount=round(before * prices.rush, 2),
                formula="list price of all lines above x share",
                inputs={"list price": money(before, currency), "share": f"{100 * prices.rush:g} %"},
            )
        )
    return tuple(lines)


def _choice(choice: str, name: str, kind: str, priced: Mapping[str, float], currency: str) -> Line:
    amount = priced.get(choice)
    said = "included" if amount is None else money(amount, currency)
    return Line(kind=kind, label=name, amount=amount or 0.0, formula="price list", inputs={choice: said})


def _owner(costs: tuple[Line, ...], total: float, floor: float, currency: str) -> Owner:
    if not 0.0 <= floor < 1.0:
        raise RulebookError(
            "the margin floor is a share of the price", where="prices.toml, margin_floor", value=f"{floor:g}",
            limit="from 0 to under 1", way_out="Write 0.22 for 22 %.",
        )  # fmt: skip
    spent = sum(line.amount for line in costs)
    least = spent / (1.0 - floor)
    margin = total - spent
    share = margin / total if total > 0.0 else 0.0
    finding = against_limit(
        total,
        least,
        kind="money",
        title="list price against the floor",
        least=True,
        basis=Basis(
            kind="shop rule",
            formula="floor price = cost / (1 - margin floor)",
            inputs={"cost": money(spent, currency), "margin floor": f"{100 * floor:g} %"},
            source="prices.toml, margin_floor",
        ),
        sentence=(
            f"{money(total, currency)} leaves {money(margin, currency)} ({100 * share:.1f} %) over a cost of"
            f" {money(spent, currency)}; the floor of {100 * floor:g} % asks for {money(least, currency)}"
        ),
    )
    return Owner(
        lines=costs,
        cost=spent,
        margin=margin,
        margin_share=share,
        floor_share=floor,
        floor_price=least,
        finding=finding,
    )
