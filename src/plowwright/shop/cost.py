"""What one blade costs the shop: steel, bought parts, outside work, hours, paint and wire, line by line."""

from __future__ import annotations

from plowwright.blade.bill import Bill
from plowwright.blade.mass import MassTally
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import Line, entry, money
from plowwright.units import say, tape

OUTSIDE = "roll outside"
"""Operation that is bought by mass."""

HOUR = 3600.0
"""Seconds in an hour: times are held in seconds, rates by the hour as they are paid [s]."""


def lines(series: str, pieces: Bill, tally: MassTally, rulebook: Rulebook) -> tuple[Line, ...]:
    """Every cost line of one blade.

    Args:
        series: Key of the series.
        pieces: Its bill of materials.
        tally: Mass, with weld volume and paint area.
        rulebook: The rules and price list in force.

    Raises:
        RulebookError: Stock, hours or a rate is missing.
    """
    return (
        *_bars(pieces, rulebook),
        *_plates(pieces, rulebook),
        *_bought(pieces, rulebook),
        *_outside(pieces, rulebook),
        *_hours(series, rulebook),
        _paint(tally, rulebook),
        _wire(tally, rulebook),
    )


def _bars(pieces: Bill, rulebook: Rulebook) -> list[Line]:
    """Cut length and one kerf a piece; drops are the cut plan's affair."""
    kerf, currency = rulebook.shop.kerf, rulebook.shop.currency
    length: dict[str, float] = {}
    count: dict[str, int] = {}
    for row in pieces.rows:
        if row.kind == "bar":
            length[row.stock] = length.get(row.stock, 0.0) + row.length * row.quantity
            count[row.stock] = count.get(row.stock, 0) + row.quantity
    found: list[Line] = []
    for stock, run in length.items():
        each = entry(rulebook.sections, stock, "sections.toml", f'["{stock}"]').price
        found.append(
            Line(
                kind="bar",
                label=stock,
                amount=(run + kerf * count[stock]) * each,
                formula="(length + pieces x kerf) x price per length",
                inputs={
                    "length": tape(run),
                    "pieces": str(count[stock]),
                    "kerf": tape(kerf),
                    "price": say(each, "money_per_length", currency=currency),
                },
            )
        )
    return found


def _plates(pieces: Bill, rulebook: Rulebook) -> list[Line]:
    """The rectangle each piece is cut from; what lies between them is the nest's affair."""
    currency = rulebook.shop.currency
    area: dict[str, float] = {}
    count: dict[str, int] = {}
    for row in pieces.rows:
        if row.kind in ("plate", "rolled"):
            area[row.stock] = area.get(row.stock, 0.0) + row.length * row.width * row.quantity
            count[row.stock] = count.get(row.stock, 0) + row.quantity
    found: list[Line] = []
    for stock, blanks in area.items():
        plate = entry(rulebook.plates, stock, "plates.toml", f'["{stock}"]')
        found.append(
            Line(
                kind="plate",
                label=stock,
                amount=blanks * plate.mass * plate.price,
                formula="area of the blanks x mass per area x price per mass",
                inputs={
                    "area": say(blanks, "area"),
                    "pieces": str(count[stock]),
                    "mass per area": say(plate.mass, "areal_mass"),
                    "price": say(plate.price, "money_per_mass", currency=currency),
                },
            )
        )
    return found


def _bought(pieces: Bill, rulebook: Rulebook) -> list[Line]:
    currency = rulebook.shop.currency
    found: list[Line] = []
    for row in pieces.bought_list(rulebook.bought):
        each = rulebook.bought[row.stock].price
        found.append(
            Line(
                kind="bought",
                label=row.stock,
                amount=row.quantity * each,
                formula="quantity x price",
                inputs={"quantity": str(row.quantity), "price": money(each, currency)},
            )
        )
    return found


def _outside(pieces: Bill, rulebook: Rulebook) -> list[Line]:
    rate = rulebook.prices.rolling
    return [
        Line(
            kind="outside work",
            label=f"rolling the {row.name.removeprefix('rolled ')}",
            amount=row.mass_total * rate,
            formula="mass x price per mass",
            inputs={
                "mass": say(row.mass_total, "mass"),
                "price": say(rate, "money_per_mass", currency=rulebook.shop.currency),
            },
        )
        for row in pieces.rows
        if OUTSIDE in row.operations
    ]


def _hours(series: str, rulebook: Rulebook) -> list[Line]:
    times = entry(rulebook.hours, series, "hours.toml", f"[{series}]")
    rates, currency = rulebook.prices.rates, rulebook.shop.currency
    found: list[Line] = []
    for work in type(times).model_fields:
        time: float = getattr(times, work)
        rate = entry(rates, work, "prices.toml, [rates]", f'{work} = "USD 32/h"')
        found.append(
            Line(
                kind="hours",
                label=work.replace("_", " "),
                amount=time / HOUR * rate,
                formula="hours x rate",
                inputs={"hours": say(time, "time"), "rate": say(rate, "money_per_hour", currency=currency)},
            )
        )
    return found


def _paint(tally: MassTally, rulebook: Rulebook) -> Line:
    rate = rulebook.prices.paint
    return Line(
        kind="paint",
        label="paint, by area",
        amount=tally.paint_area * rate,
        formula="painted area x price per area",
        inputs={
            "area": say(tally.paint_area, "area"),
            "price": say(rate, "money_per_area", currency=rulebook.shop.currency),
        },
    )


def _wire(tally: MassTally, rulebook: Rulebook) -> Line:
    prices = rulebook.prices
    if not 0.0 < prices.deposition <= 1.0:
        raise RulebookError(
            "deposition is weld metal over wire used",
            where="prices.toml, deposition", value=f"{prices.deposition:g}",
            limit="above 0, up to 1", way_out="Write 0.95 for solid wire under gas.",
        )  # fmt: skip
    weld = tally.weld_volume * tally.settings.weld_density
    wire = wire_used(weld, prices.deposition)
    return Line(
        kind="wire",
        label="welding wire",
        amount=wire * prices.wire,
        formula="weld metal / deposition x price per mass",
        inputs={
            "weld metal": say(weld, "mass"),
            "deposition": f"{100 * prices.deposition:g} %",
            "wire": say(wire, "mass"),
            "price": say(prices.wire, "money_per_mass", currency=rulebook.shop.currency),
        },
    )


def wire_used(weld: float, deposition: float) -> float:
    """Wire that a mass of weld metal takes: weld metal over deposition [kg].

    Args:
        weld: Mass of weld metal [kg].
        deposition: Weld metal over wire used [-].

    Source: the consumable formula P = W L / E of the welding handbooks; W L is the weld metal.

    >>> round(wire_used(10.61, 0.96), 2)
    11.05
    """
    return weld / deposition
