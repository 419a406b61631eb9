"""What an order needs from the shelf: bought parts of a blade, its edge, and the pieces behind a spare's name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from plowwright.blade.build import Build
from plowwright.errors import NotFoundError
from plowwright.rulebook.refusals import near_names
from plowwright.shop.stock_edges import edge_want
from plowwright.shop.stock_shortages import Want

_PAIR: Final = 2


def blade_wants(build: Build, *, order: str, day: date, lengths: Sequence[float] = ()) -> tuple[Want, ...]:
    """Everything a blade takes off the shelf: its edge, and every bought part.

    Bars and plates are not here: which stick they come from is the cut plan's to say.

    Args:
        build: The blade.
        order: Who needs it.
        day: By when.
        lengths: Blank lengths there are [m]; left out, the shop's list.
    """
    counts: dict[str, int] = {}
    for row in build.bill.rows:
        if row.kind == "bought":
            counts[row.stock] = counts.get(row.stock, 0) + row.quantity
    parts = (Want(order=order, what=k, day=day, serves=(k,), count=n) for k, n in counts.items())
    return (edge_want(build, order=order, day=day, lengths=lengths), *parts)


def spare_wants(
    name: str, build: Build, *, order: str, day: date, count: int = 1,
    parts: Mapping[str, Sequence[tuple[str, int]]] | None = None,
) -> tuple[Want, ...]:  # fmt: skip
    """The pieces behind a spare of the price list, for one blade: its own edge with its bolts, its own springs.

    Args:
        name: As the price list calls it.
        build: The blade it is for, by its own rules.
        order: Who buys it.
        day: When it is handed over.
        count: How many of it [-].
        parts: What the shop puts under other names: items, each with its count [-].

    Raises:
        NotFoundError: Nobody knows what is behind the name; near ones are named.
    """
    known = dict(parts or {})
    if name in known:
        return tuple(
            Want(order=order, what=item, day=day, serves=(item,), count=each * count) for item, each in known[name]
        )
    bolts = [(row.stock, row.quantity) for row in build.bill.rows if row.mark == "edge bolt"]
    springs = [row.stock for row in build.bill.rows if row.mark == "trip spring"]
    if name.endswith("edge with bolts"):
        return (
            edge_want(build, order=order, day=day, count=count),
            *(Want(order=order, what=item, day=day, serves=(item,), count=n * count) for item, n in bolts),
        )
    if name == "spring pair" and springs:
        return (Want(order=order, what=springs[0], day=day, serves=(springs[0],), count=_PAIR * count),)
    if name in build.rulebook.bought:
        return (Want(order=order, what=name, day=day, serves=(name,), count=count),)
    raise NotFoundError(
        "nobody has said which parts are behind this spare", value=name,
        way_out=near_names(name, [*build.rulebook.prices.spares, *build.rulebook.bought])
        or "Name its items and their counts.",
    )  # fmt: skip
