"""The wall: what is ordered, by the day it was promised for, each blade standing on its ground line to one scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from typing import Any

from plowwright.blade.assemble import assemble
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units import inches
from plowwright.web import silhouette
from plowwright.web.pages import notches_said


def wall_view(
    orders: Sequence[Any], *, rulebook: Rulebook, now: datetime, draw: Callable[[Spec], str]
) -> dict[str, Any]:
    """Days in order, the late ones first, each with its orders."""
    days: dict[date, list[Any]] = {}
    for order in sorted(orders, key=lambda o: (_moment(o.due), o.number)):
        days.setdefault(_day(order.due), []).append(order)
    shown = [
        {
            "name": f"{day:%a} {day.day} {day:%b}",
            "distance": _distance(day, now.date()),
            "late": day < now.date(),
            "slips": [_slip(order, rulebook=rulebook, now=now, draw=draw) for order in listed],
        }
        for day, listed in days.items()
    ]
    return {"days": shown, "summary": _summary(orders, now)}


def standing(rulebook: Rulebook, spec: Spec) -> str:
    """The small drawing of one ordered blade."""
    return silhouette.picture(assemble(spec, rulebook), title=f"{rulebook.series[spec.series].name}, to scale")


def clock_said(now: datetime) -> str:
    """The moment the wall is read at."""
    return f"{now:%a} {now.day} {now:%b %Y, %H:%M}"


def _slip(order: Any, *, rulebook: Rulebook, now: datetime, draw: Callable[[Spec], str]) -> dict[str, Any]:
    words = _words(order, now)
    base = {
        "number": order.number, "customer": order.customer, "carrier": order.carrier, "state": order.state,
        "note": order.note, "words": words, "drawing": "", "series": "",
    }  # fmt: skip
    if order.spec is None:
        serial = getattr(order, "serial", "")
        whole = {"refit": "Refit of", "spares": "Spares for"}.get(order.kind, order.kind.capitalize())
        return {**base, "what": f"{whole} {serial}".strip(), "instead": _instead(order)}
    series = rulebook.series[order.spec.series]
    return {
        **base,
        "what": f"{series.name} {inches(order.spec.width):g} in",
        "series": f"{series.duty_class}, {notches_said(series.notches)}",
        "drawing": draw(order.spec),
    }


def _instead(order: Any) -> str:
    parts = ", ".join(getattr(order, "spares", ()) or ())
    return f"Nothing new is built: {parts}." if parts else "Nothing new is built: an old blade is changed."


def _words(order: Any, now: datetime) -> list[dict[str, str]]:
    words: list[dict[str, str]] = []
    if _moment(order.due) < now:
        words.append({"text": "late", "tone": "fails"})
    if order.spec is not None and "rush" in order.spec.extras:
        words.append({"text": "rush", "tone": "near"})
    if isinstance(order.due, datetime) and order.due.time() != time():
        words.append({"text": f"due {order.due:%H:%M}", "tone": "holds"})
    return words


def _summary(orders: Sequence[Any], now: datetime) -> str:
    late = sum(_moment(o.due) < now for o in orders)
    rush = sum(o.spec is not None and "rush" in o.spec.extras for o in orders)
    held = sum(o.state == "on hold" for o in orders)
    return f"{len(orders)} order{'s' if len(orders) != 1 else ''}: {late} late, {rush} rush, {held} on hold."


def _day(due: date | datetime) -> date:
    return due.date() if isinstance(due, datetime) else due


def _moment(due: date | datetime) -> datetime:
    # A day without an hour is kept if the blade leaves before midnight.
    return due if isinstance(due, datetime) else datetime.combine(due, time(23, 59))


def _distance(day: date, today: date) -> str:
    days = (day - today).days
    if days == 0:
        return "today"
    if days < 0:
        return f"late by {-days} day{'s' if days < -1 else ''}"
    return f"in {days} day{'s' if days > 1 else ''}"
