"""The buying list: what to order by when, for whom, and whether even an order placed today comes too late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from plowwright.papers import qr
from plowwright.papers.content import Paper
from plowwright.papers.lists import Column, Row, Sheet
from plowwright.papers.pdf import PaperSize
from plowwright.rulebook.schema import Shop
from plowwright.shop.stock_buying import ToBuy, Use

COLUMNS: Final = (
    Column(field="item", heading="item"),
    Column(field="count", heading="pieces"),
    Column(field="orders", heading="for"),
    Column(field="needed", heading="needed"),
    Column(field="order_by", heading="order by"),
    Column(field="comes", heading="comes if ordered today"),
    Column(field="lead", heading="lead time", unit="working days"),
    Column(field="late", heading="too late"),
)
"""Columns of the list."""


_NOTE: Final = (
    "What comes when is worked out from the lead times of the rulebook, in days the shop is open. Note what you "
    "ordered and when it comes, or it is on this list again tomorrow."
)


@dataclass(frozen=True, kw_only=True)
class Buying:
    """What a buying list is made from.

    Attributes:
        rows: What is to be bought, the most urgent first.
        shop: Who buys.
        on: Day the sheet carries.
        refill: Items at their re-order point.
        paper: Sheet size.
    """

    rows: Sequence[ToBuy]
    shop: Shop
    on: date
    refill: Sequence[Use] = ()
    paper: PaperSize = "us-letter"


def buying_list(buying: Buying) -> Paper:
    """The list, ready to be set.

    Args:
        buying: What it is made from.
    """
    shop = buying.shop
    late = sum(1 for row in buying.rows if row.late)
    about = f"{len(buying.rows)} to order" + (f", {late} of them too late for somebody." if late else ".")
    if not buying.rows:
        about = "No order waits for anything that is not on its way."
    waits: dict[str, Any] = {
        "title": "What orders wait for",
        "headings": ["Item", "Pieces", "For", "Needed", "Order by", "Comes if ordered today"],
        "rows": [
            [row.item, str(row.count), ", ".join(row.orders), f"{row.needed:%a %d %b}", f"{row.order_by:%a %d %b}",
             f"{row.comes:%a %d %b}" + (", too late" if row.late else "")]
            for row in buying.rows
        ],
        "columns": [1, 0, 0, 0, 0, 0], "numbers": [1], "ticks": True,
    }  # fmt: skip
    parts = [waits] if buying.rows else []
    if buying.refill:
        parts.append({
            "title": "Below their re-order point", "headings": ["Item", "There or coming", "Order at", "Used a week"],
            "rows": [[u.item, str(u.left), str(u.point), f"{u.per_week:.1f}"] for u in buying.refill],
            "columns": [1, 0, 0, 0], "numbers": [1, 2, 3], "ticks": True,
        })  # fmt: skip
    data = {
        "head": {
            "shop": f"{shop.name}, {shop.place}", "title": "Buying list", "order": "", "about": about,
            "fingerprint": "", "paper": buying.paper, "address": f"{buying.on:%d %B %Y}",
        },
        "parts": parts,
        "notes": [_NOTE] if parts else [],
    }  # fmt: skip
    pictures = {"qr": qr.svg(f"{shop.address_on_network.rstrip('/')}/parts")}
    return Paper(template="list.typ", data=data, pictures=pictures)


def rows_of(rows: Sequence[ToBuy]) -> list[Row]:
    """The list as rows.

    Args:
        rows: What is to be bought.
    """
    return [
        {"item": r.item, "count": r.count, "orders": ", ".join(r.orders), "needed": r.needed.isoformat(),
         "order_by": r.order_by.isoformat(), "comes": r.comes.isoformat(), "lead": r.lead_days, "late": r.late}
        for r in rows
    ]  # fmt: skip


def pages_of(rows: Sequence[ToBuy]) -> tuple[Sheet, ...]:
    """The list as the page of a workbook.

    Args:
        rows: What is to be bought.
    """
    return (Sheet(name="buying list", columns=COLUMNS, rows=rows_of(rows)),)
