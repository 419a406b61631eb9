"""Audit of prices and hours: what is missing, and what is out of line with its neighbours."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from typing import Final

from plowwright.findings import Finding
from plowwright.rulebook.audit_said import fault, listed, percent, rule
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.schema import Hours, Series
from plowwright.units import say, tape

STEP_FACTOR: Final = 2.0
"""How far a series' step over base may be from the middle one of all series, as a factor [-]; assumed."""

SPARE_FACTOR: Final = 4.0
"""Greatest selling price of a spare over what its part costs [-]; assumed."""

_CLASSES: Final = ("light", "standard", "heavy")


def price_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Series without a price, steps out of line, and heavier series that are cheaper."""
    prices = rulebook.prices.series
    for key, series in rulebook.series.items():
        if key not in prices:
            yield fault(
                "price list",
                f"{series.name} has no price.",
                basis=rule("every series has a base and a step"),
                place=rulebook.place("prices", "series"),
                value="no price",
                limit="a base and a step",
            )
    shares = {key: p.step / p.base for key, p in prices.items() if p.base > 0}
    middle = median(shares.values()) if shares else 0.0
    odd = {key for key, share in shares.items() if not _in_line(share, middle)}
    for key in prices:
        if key in odd or key not in shares:
            yield _odd_step(rulebook, key, shares.get(key, 0.0), middle)
    yield from _cheaper_heavier(rulebook, odd)


def _in_line(share: float, middle: float) -> bool:
    return share > 0 and middle / STEP_FACTOR <= share <= middle * STEP_FACTOR


def _odd_step(rulebook: Rulebook, key: str, share: float, middle: float) -> Finding:
    price, name = rulebook.prices.series[key], rulebook.series[key].name
    step, base = say(price.step, "money"), say(price.base, "money")
    if price.step <= 0 or price.base <= 0:
        sentence = f"{name} at {base} with a step of {step} gets no dearer with width."
    else:
        sentence = (
            f"{name} goes up {step} a step, {percent(share)} of its base of {base}; "
            f"the middle one of the series goes up {percent(middle)}."
        )
    return fault(
        "price list",
        sentence,
        basis=rule("step over base within a factor of 2 of the middle series", kind="assumed"),
        place=rulebook.place("prices", "series", key, "step"),
        value=percent(share),
        limit=f"{percent(middle / STEP_FACTOR)} to {percent(middle * STEP_FACTOR)}",
    )


def list_price(rulebook: Rulebook, key: str, width: float) -> float:
    """List price of a series at a width, without mount and options, in the shop's currency.

    Args:
        rulebook: The rules.
        key: Of the series.
        width: Of the blade [m].
    """
    series, price = rulebook.series[key], rulebook.prices.series[key]
    return price.base + price.step * round((width - series.from_) / series.step)


def _cheaper_heavier(rulebook: Rulebook, odd: set[str]) -> Iterator[Finding]:
    known = [(k, s) for k, s in rulebook.series.items() if k in rulebook.prices.series and k not in odd]
    for key, series in known:
        for other, lighter in known:
            if _CLASSES.index(lighter.duty_class) >= _CLASSES.index(series.duty_class):
                continue
            width = _first_cheaper(rulebook, (key, series), (other, lighter))
            if width is None:
                continue
            mine, theirs = list_price(rulebook, key, width), list_price(rulebook, other, width)
            yield fault(
                "price list",
                f"{series.name} {tape(width)} costs {say(mine, 'money')}, no more than {lighter.name} "
                f"{tape(width)} at {say(theirs, 'money')}, although it is the heavier class.",
                basis=rule("a heavier class costs more at the same width"),
                place=rulebook.place("prices", "series", key),
                value=say(mine, "money"),
                limit=f"over {say(theirs, 'money')}",
            )


def _first_cheaper(
    rulebook: Rulebook, heavier: tuple[str, Series], lighter: tuple[str, Series]
) -> float | None:
    offered = [round(width, 5) for width in lighter[1].widths()]
    for width in heavier[1].widths():
        if round(width, 5) in offered and list_price(rulebook, heavier[0], width) <= list_price(
            rulebook, lighter[0], width
        ):
            return width
    return None


def option_price_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Options that bring bought parts and are not charged, or charged below what the parts cost."""
    for group, values in rulebook.options.items():
        for value, option in values.items():
            parts = [(a.bought, a.count) for a in option.adds if a.bought is not None]
            cost = sum(rulebook.bought[name].price * count for name, count in parts)
            price = rulebook.prices.options.get(f"{group}.{value}", 0.0)
            if parts and price < cost:
                charged = f"is charged {say(price, 'money')}" if price else "is not charged"
                yield fault(
                    "prices of options",
                    f"{option.name} {charged}, but its bought parts cost {say(cost, 'money')}.",
                    basis=rule("price of an option over the price of its bought parts"),
                    place=rulebook.place("prices", "options", f"{group}.{value}"),
                    value=say(price, "money"),
                    limit=f"at least {say(cost, 'money')}",
                )


def spare_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Spares sold below what the part of the same name costs, or far above."""
    for name, price in rulebook.prices.spares.items():
        part = rulebook.bought.get(name)
        if part is None or part.price <= price <= SPARE_FACTOR * part.price:
            continue
        below = price < part.price
        yield fault(
            "spares",
            f"The spare {name} sells for {say(price, 'money')}, "
            f"{'below' if below else f'more than {SPARE_FACTOR:g} times'} "
            f"the {say(part.price, 'money')} it costs.",
            basis=rule("between once and four times the part's price", kind="assumed"),
            place=rulebook.place("prices", "spares", name),
            value=say(price, "money"),
            limit=f"{say(part.price, 'money')} to {say(SPARE_FACTOR * part.price, 'money')}",
            verdict="fails" if below else "near limit",
        )


def hour_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Series without hours, and work without a rate."""
    for key, series in rulebook.series.items():
        if key not in rulebook.hours:
            yield fault(
                "hours",
                f"{series.name} has no hours, so its cost cannot be worked out.",
                basis=rule("every series has hours"),
                place=rulebook.place("hours"),
                value="no hours",
                limit="hours",
            )
    lacking = [work for work in Hours.model_fields if work not in rulebook.prices.rates]
    if lacking:
        yield fault(
            "hours",
            f"There is no rate for {listed(lacking)}.",
            basis=rule("every kind of work has a rate"),
            place=rulebook.place("prices", "rates"),
            value="no rate",
            limit="a rate",
        )
