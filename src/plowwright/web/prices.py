"""The price as the page shows it: what the customer pays, and, apart from it, what only the owner opens."""

from __future__ import annotations

from typing import Any

from plowwright.shop.price import Price


def price_view(price: Price) -> dict[str, Any]:
    """Lines, totals and the owner's own lines, each with its amount in words."""

    def money(amount: float) -> str:
        return f"{price.currency} {amount:,.2f}".removesuffix(".00")

    owner = price.owner
    return {
        "total": money(price.total),
        "lines": [
            {"name": line.label, "amount": money(line.amount) if line.amount else "included"}
            for line in price.lines
        ],
        "totals": [
            {"name": "list price", "amount": money(price.total)},
            {"name": f"deposit with the order, {price.deposit_share * 100:.0f} %", "amount": money(price.deposit)},
        ],
        "owner": [
            *({"name": line.label, "amount": money(line.amount)} for line in owner.lines),
            {"name": "cost", "amount": money(owner.cost)},
            {"name": f"margin, {owner.margin_share * 100:.1f} %", "amount": money(owner.margin)},
            {"name": f"floor price at {owner.floor_share * 100:.0f} %", "amount": money(owner.floor_price)},
            {"name": "list price against the floor", "amount": owner.finding.verdict},
        ],
    }  # fmt: skip
