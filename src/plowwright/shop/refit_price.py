"""What a refit costs: new parts and bought parts at today's prices, hours by what changes, paint and wire.

What has a price in the list is sold at it; the rest at cost over (1 - margin) of refit.toml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from plowwright.blade.bill import bill
from plowwright.blade.mass import MassTally, tally
from plowwright.blade.parts import Assembly, Part, Weld
from plowwright.blade.refit import Refit
from plowwright.blade.refit_rows import RefitRow
from plowwright.blade.refit_rules import known_today
from plowwright.errors import RulebookError
from plowwright.findings import Basis, Finding, against_limit
from plowwright.rulebook.refit import Job, When
from plowwright.rulebook.refit import Refit as Settings
from plowwright.shop import cost
from plowwright.shop.lines import Line, entry, money
from plowwright.units import say

GROUPS: dict[When, tuple[str, ...]] = {
    "mount": ("mount",),
    "cylinder": ("cylinder",),
    "hoses": ("hoses",),
    "springs": ("springs",),
    "extras": ("extras",),
}
"""Part groups whose change calls for a job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RefitPrice:
    """Price of a refit.

    Attributes:
        lines: What the customer is charged for, line by line.
        total: Price [money].
        deposit: Due with the order [money].
        currency: Code of the currency.
        list_date: Date of the price list.
        valid_days: How long a quote on it stands [days].
        hours: Bench hours [s].
        costs: Cost, line by line; for the owner only.
        cost: Sum of the cost lines [money].
        margin_share: What is left of the price, as a share of it [-].
        finding: The price held against the owner's floor.
        by_part: Price of each row of parts, by its mark [money].
        doubts: What the price does not know, in sentences.
    """

    lines: tuple[Line, ...]
    total: float
    deposit: float
    currency: str
    list_date: date
    valid_days: int
    hours: float
    costs: tuple[Line, ...]
    cost: float
    margin_share: float
    finding: Finding
    by_part: Mapping[str, float]
    doubts: tuple[str, ...]

    def of(self, row: RefitRow) -> float | None:
        """Price of a row's parts; None where nothing is charged for it by itself [money].

        Args:
            row: A row of the four lists.
        """
        return self.by_part.get(row.part) if row.act in ("make", "buy") else None

    def as_dict(self, *, owner: bool = False) -> dict[str, Any]:
        """The price for a machine.

        Args:
            owner: Whether cost and margin go along.
        """
        shown: dict[str, Any] = {
            "currency": self.currency,
            "lines": [line.as_dict() for line in self.lines],
            "total": self.total,
            "deposit": self.deposit,
            "list_date": self.list_date.isoformat(),
            "valid_days": self.valid_days,
            "hours": round(self.hours / cost.HOUR, 2),
            "doubts": list(self.doubts),
        }
        if owner:
            shown["owner"] = {
                "lines": [line.as_dict() for line in self.costs],
                "cost": round(self.cost, 2),
                "margin_share": round(self.margin_share, 4),
                "finding": self.finding.as_dict(),
            }
        return shown


def refit_price(refit: Refit) -> RefitPrice:
    """Price a refit by today's lists.

    Args:
        refit: The refit.

    Raises:
        RulebookError: Today's rulebook has no refit.toml, or a price or rate is missing.
    """
    settings = refit.today.refit
    if settings is None:
        raise RulebookError(
            "this rulebook has no refit.toml",
            value=refit.today.version.date.isoformat(),
            way_out="Copy the one of a newer rulebook beside series.toml.",
            where=str(refit.today.folder),
        )
    prices, currency, series = refit.today.prices, refit.today.shop.currency, refit.new.spec.series
    listed = _listed(refit)
    costs: list[Line] = []
    lines: list[Line] = []
    by_part: dict[str, float] = {}
    # A row without parts is a single hose, which no list has a price for.
    for row in (row for row in (*refit.change, *refit.buy) if row.act in ("make", "buy") and row.ids):
        own = _parts_cost(refit, row)
        costs += own
        spent = sum(line.amount for line in own)
        line = _sold(row, spent, listed, settings, currency)
        lines.append(line)
        by_part[row.part] = by_part.get(row.part, 0.0) + line.amount
    jobs = jobs_of(refit, settings)
    work = [_hours(job, refit) for job in jobs]
    small = _small(refit, series)
    costs += [*work, *small]
    lines.append(_marked_up("work", "work in the shop", work, settings, currency, hours=sum(job.time for job in jobs)))
    if refit.compared.made:
        lines.append(_marked_up("paint and wire", "paint and welding wire", small, settings, currency))
    total = round(sum(line.amount for line in lines), 2)
    spent = sum(line.amount for line in costs)
    return RefitPrice(
        lines=tuple(lines),
        total=total,
        deposit=round(total * prices.deposit, 2),
        currency=currency,
        list_date=prices.list_date,
        valid_days=prices.valid_days,
        hours=sum(job.time for job in jobs),
        costs=tuple(costs),
        cost=spent,
        margin_share=(total - spent) / total if total > 0.0 else 0.0,
        finding=_floor(total, spent, prices.margin_floor, currency),
        by_part=by_part,
        doubts=tuple(_doubts(refit)),
    )


def _only(refit: Refit, ids: Sequence[str]) -> tuple[Assembly, MassTally]:
    """The new parts of these ids with the seams on them, as a blade of their own."""
    wanted = set(ids)
    whole = refit.new.assembly
    parts = tuple(part for part in whole.parts if part.id in wanted)
    seams = tuple(j for j in whole.joints if isinstance(j, Weld) and wanted & set(j.joins))
    some = replace(whole, parts=parts, joints=seams)
    return some, tally(some)


def _parts_cost(refit: Refit, row: RefitRow) -> list[Line]:
    """Steel and bought parts of one row, nothing else."""
    if row.instead:
        each = entry(refit.today.bought, row.instead, "bought.toml", f'["{row.instead}"]').price
        inputs = {"quantity": str(row.count), "price": money(each, refit.today.shop.currency), "instead of": row.stock}
        line = Line(
            kind="bought", label=row.instead, amount=row.count * each, formula="quantity x price", inputs=inputs
        )
        return [line]
    some, weighed = _only(refit, row.ids)
    found = cost.lines(refit.new.spec.series, bill(some), weighed, refit.rulebook)
    return [line for line in found if line.kind in ("bar", "plate", "bought", "outside work")]


def _small(refit: Refit, series: str) -> list[Line]:
    """Paint and wire of everything the shop makes new."""
    made: tuple[Part, ...] = refit.compared.made
    some, weighed = _only(refit, [part.id for part in made])
    return [line for line in cost.lines(series, bill(some), weighed, refit.rulebook) if line.kind in ("paint", "wire")]


def _listed(refit: Refit) -> dict[str, tuple[str, float]]:
    """Stocks of bought parts that come with a choice of the price list: the choice and its price."""
    found: dict[str, tuple[str, float]] = {}
    prices, options = refit.today.prices.options, refit.today.options
    for choice in refit.new.spec.choices():
        group, _, value = choice.partition(".")
        option = options.get(group, {}).get(value)
        if option is None or choice not in prices or choice in refit.old.spec.choices():
            continue
        bought = [added.bought for added in option.adds if added.bought]
        # One price for a choice: it can stand only where one thing is added.
        if len(bought) == 1 and len(option.adds) == 1:
            found[bought[0]] = (choice, prices[choice])
    return found


def _sold(
    row: RefitRow, spent: float, listed: Mapping[str, tuple[str, float]], settings: Settings, currency: str
) -> Line:
    stock = row.instead or row.stock
    label = stock if stock.startswith(row.part) and row.count < 2 else f"{row.pieces}, {stock}"
    if row.stock in listed:
        choice, price = listed[row.stock]
        return Line(
            kind=row.act, label=label, amount=price, formula="price list", inputs={choice: money(price, currency)}
        )
    return Line(
        kind=row.act,
        label=label,
        amount=round(spent / (1.0 - settings.margin.value), 2),
        formula="cost / (1 - margin)",
        inputs={"margin": settings.margin.said("-")},
    )


def _marked_up(
    kind: str, label: str, costs: Sequence[Line], settings: Settings, currency: str, *, hours: float | None = None
) -> Line:
    spent = sum(line.amount for line in costs)
    said = {} if hours is None else {"hours": say(hours, "time")}
    return Line(
        kind=kind,
        label=label if hours is None else f"{label}, {hours / cost.HOUR:g} h",
        amount=round(spent / (1.0 - settings.margin.value), 2),
        formula="cost / (1 - margin)",
        inputs={**said, "margin": settings.margin.said("-")},
    )


def jobs_of(refit: Refit, settings: Settings) -> list[Job]:
    """The jobs of refit.toml that a refit calls for, by what of the blade changes.

    Args:
        refit: The refit.
        settings: Settings of refit.toml.
    """
    single = {"hoses"} if _single_hoses(refit) else set[str]()
    return [
        job
        for job in settings.jobs
        if job.when == "always" or job.when in single or refit.compared.touches(*GROUPS[job.when])
    ]


def _single_hoses(refit: Refit) -> list[RefitRow]:
    return [row for row in refit.buy if not row.ids]


def _hours(job: Job, refit: Refit) -> Line:
    currency = refit.today.shop.currency
    rate = entry(refit.today.prices.rates, job.work, "prices.toml, [rates]", f'{job.work} = "USD 32/h"')
    return Line(
        kind="hours",
        label=f"{job.work.replace('_', ' ')}: {job.note}",
        amount=job.time / cost.HOUR * rate,
        formula="hours x rate",
        inputs={
            "hours": f"{say(job.time, 'time')} ({job.rests_on})",
            "rate": say(rate, "money_per_hour", currency=currency),
        },
    )


def _floor(total: float, spent: float, floor: float, currency: str) -> Finding:
    return against_limit(
        total,
        spent / (1.0 - floor),
        kind="money",
        title="price of the refit against the floor",
        least=True,
        basis=Basis(
            kind="shop rule",
            formula="floor price = cost / (1 - margin floor)",
            inputs={"cost": money(spent, currency), "margin floor": f"{100 * floor:g} %"},
            source="prices.toml, margin_floor",
        ),
    )


def _doubts(refit: Refit) -> list[str]:
    found = [
        "Nothing worn or cracked is in this price: what the check list finds is priced on its own before it is done."
    ]
    if hoses := _single_hoses(refit):
        found.append(f"No price is in the lists for a single hose: {', '.join(row.part for row in hoses)}. Add it.")
    old = sorted({part.stock for part in refit.compared.new if not known_today(part.stock, refit.today)})
    if old:
        day = refit.existing.rulebook.version.date.isoformat()
        found.append(f"Not in today's lists, taken at the price of {day}: {', '.join(old)}. Ask before you quote.")
    return found
