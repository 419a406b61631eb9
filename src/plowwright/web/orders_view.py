"""What the page of an order shows: its file turned into words, with what was typed put back into its forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from plowwright.blade.spec import CARRIER_KINDS, Spec
from plowwright.desk.floor_words import HELD
from plowwright.desk.order_file import OrderPage
from plowwright.desk.order_papers import name_of
from plowwright.desk.selling_words import said_day
from plowwright.shop.orders import PAYMENTS, STATES, money
from plowwright.store import records as r
from plowwright.web import forms
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

WAY: Final = {"quote": "quoted", "order": "ordered", "released": "released", "done": "done", "weighed": "weighed",
              "loaded": "loaded"}  # fmt: skip
"""The steps of the way as the page says them."""
_FLOORS: Final = "Settle the problem on the floor's page; the hold goes with it."
_ELSEWHERE: Final = {"done": ("/floor/{}", "On the floor"), "weighed": ("/scale?order={}", "On the scale"),
                     "loaded": ("/loading/{}", "Its load slip")}  # fmt: skip
_KEYS: Final = {"answer": "ask", "settle": "note", "drop": "note"}
"""Forms of which there is one to each question or change note, and the field that tells them apart."""
_WAYS_OUT: Final = {
    "deposit": "Take it below, under Money.", "hold": "Settle it, then lift the hold below.",
    "questions": "Ask the customer, and write the answers down below.",
    "change notes": "Ring him: yes or no, below under Changes.", "quote": "Quote it again below; the number stays.",
    "promise": "Ask What we promised, then give the day here.", "work": "It is ticked off on the floor.",
    "scale": "Weigh it on the scale page.", "balance": "Take it below, or give your word below.",
    "match": "Read order, stamp and label at loading.", "cure": "Wait, or warm the shop; do not strap it.",
}  # fmt: skip


def page_view(
    page: OrderPage, desk: Desk, *, system: System, draw: Callable[[Spec, str], str], act: str = "",
    typed: Mapping[str, Any] | None = None,
) -> dict[str, Any]:  # fmt: skip
    """All of the page.

    Args:
        page: The order's file.
        desk: The shop.
        system: US or metric.
        draw: Draws a blade by the rules with this fingerprint.
        act: The form that was refused, or "".
        typed: What was typed into it.
    """
    row = page.file.order
    spec, build = page.order.spec, page.file.build
    return {
        "number": page.number,
        "name": name_of(page),
        "kind": row.kind,
        "state": row.state,
        "cancelled": page.cancelled,
        "customer": page.order.customer,
        "phone": page.file.customer.phone if page.file.customer else "",
        "machine": page.order.carrier,
        "note": row.note,
        "hold": row.hold,
        "problems": [{"said": one, "holds": holds(one, row.hold)} for one in page.more.problems],
        "held_by_floor": any(holds(one, row.hold) for one in page.more.problems),
        "serial": _on_file(page.order.serial, desk) if spec is None else "",
        "drawing": draw(spec, build.rulebook) if spec is not None and build is not None else "",
        "facts": _facts(page, system),
        "way": _way(page),
        "next": _next(page),
        "back": _back(page),
        "money": _money(page),
        "promise": said_day(page.promise) if page.promise else "",
        "wished": said_day(page.wished) if page.wished else "",
        "until": f"{page.file.quote.valid_until:%a %d %b %Y}" if page.file.quote else "",
        "day": _least(desk),
        "changes": _changes(page),
        "dropped": [f"{one.day:%d %b %Y}: {one.note}, dropped" for one in page.dropped],
        "asks": list(page.more.asks),
        "answers": [{**one, "on": f"{date.fromisoformat(one['on']):%a %d %b}"} for one in page.answers],
        "copied": page.more.rest.get("copy"),
        "notes": _notes(page),
        "papers": _papers(page),
        "history": [{"number": h.number, "at": f"{h.at:%a %d %b, %H:%M}", "who": h.who, "what": h.what, "said": h.said}
                    for h in reversed(page.history)],
        "options": options_of(spec, desk, system, typed if act == "change" else None) if spec else None,
        "act": act,
        "key": str((typed or {}).get(_KEYS.get(act, ""), "")),
        "typed": dict(typed or {}),
    }  # fmt: skip


def _on_file(serial: str, desk: Desk) -> str:
    """The serial of an old blade that has a life record to look at, else nothing."""
    if not serial:
        return ""
    with desk.book.reading() as reads:
        return serial if reads.look(r.Blade, serial) is not None else ""


def _facts(page: OrderPage, system: System) -> list[tuple[str, str]]:
    spec = page.order.spec
    if spec is None:
        return []
    facts = [("Width", forms.width_said(spec.width, system)), ("Mount", spec.mount), ("Hoses", spec.hoses),
             ("Outlets", spec.outlets), ("Extras", ", ".join(spec.extras) or "none")]  # fmt: skip
    build = page.file.build
    return [*facts, ("Build", f"{build.fingerprint}, rules of {build.rulebook_day:%d %b %Y}")] if build else facts


def _way(page: OrderPage) -> list[dict[str, Any]]:
    if page.standing is None:
        return []
    at = STATES.index(page.standing.state)
    return [
        {"word": WAY[state], "past": STATES.index(state) < at, "here": STATES.index(state) == at} for state in WAY
    ]


def _next(page: OrderPage) -> dict[str, Any] | None:
    step = page.step
    if step is None:
        return None
    floors = any(holds(one, page.file.order.hold) for one in page.more.problems)
    return {
        "to": step.to,
        "word": WAY.get(step.to, step.to),
        "open": step.open,
        "elsewhere": [one.format(page.number) for one in _ELSEWHERE.get(step.to, ())],
        "shut": [
            {"title": gate.title, "said": gate.sentence.rstrip("."),
             "way_out": _FLOORS if gate.title == "hold" and floors else _WAYS_OUT.get(gate.title, "")}
            for gate in step.missing
        ],
        "passed": [gate.sentence for gate in step.gates if gate not in step.missing],
    }  # fmt: skip


def _back(page: OrderPage) -> list[str]:
    if page.standing is None or page.standing.state == "loaded":
        return []
    at, least = STATES.index(page.standing.state), STATES.index("order")
    return list(STATES[least:at])


def _money(page: OrderPage) -> dict[str, Any]:
    row, quote_ = page.file.order, page.file.quote
    paid = page.file.paid_cents
    missing = max(row.deposit_cents - paid, 0) if page.standing is not None else 0
    reversed_ = {one.reverses for one in page.file.money}
    ordered = page.standing is not None and page.standing.state not in ("enquiry", "quote")
    return {
        "lines": [(line["label"], money(round(100 * line["amount"])) if line["amount"] else "included")
                  for line in (quote_.lines if quote_ else ())],
        "changes": [(note.said, money(note.cents)) for _, note in page.notes if note.settled and note.cents],
        "total": money(row.cents),
        "paid": [
            {"id": m.id, "day": f"{m.day:%d %b}", "kind": m.kind, "sum": money(m.cents), "note": m.note,
             "may": m.reverses is None and m.id not in reversed_, "right": m.reverses is not None}
            for m in page.file.money
        ],
        "deposit": money(row.deposit_cents),
        "deposit_missing": money(missing) if missing else "",
        "open": money(row.cents - paid) if page.standing else money(-paid) if paid else "nothing",
        "open_plain": f"{(missing or max(row.cents - paid, 0)) / 100:.2f}",
        "kinds": [(kind, kind == ("deposit" if missing else "balance")) for kind in PAYMENTS],
        "takes": ordered or (page.standing is None and paid > 0),
        "terms": page.more.terms,
        "before_balance": page.standing is not None and page.standing.state != "loaded" and row.cents > paid,
    }  # fmt: skip


def _changes(page: OrderPage) -> list[dict[str, Any]]:
    return [
        {"id": row.id, "text": note.text, "settled": note.settled,
         "href": f"/order/{page.number}/{quote(f'change note {row.id}.pdf')}"}
        for row, note in page.notes
    ]  # fmt: skip


def _notes(page: OrderPage) -> list[dict[str, str]]:
    return [
        {"day": f"{one.day:%a %d %b}", "note": one.note,
         "photo": f"/order/{page.number}/photo/{one.file}" if one.file else ""}
        for one in reversed(page.file.attachments)
    ]  # fmt: skip


def _papers(page: OrderPage) -> list[dict[str, str]]:
    found: list[dict[str, str]] = []
    if page.file.quote is not None:
        found.append({"words": "Quote", "what": "as it was frozen", "href": f"/order/{page.number}/quote.pdf"})
    if page.standing is not None and page.standing.state not in ("enquiry", "quote"):
        href = f"/order/{page.number}/{quote('order confirmation.pdf')}"
        found.append({"words": "Order confirmation", "what": "price, day, what he must still tell us", "href": href})
    found += [
        {"words": f"Change note {one['id']}", "what": note.said, "href": one["href"]}
        for one, (_, note) in zip(_changes(page), page.notes, strict=True)
    ]  # fmt: skip
    if page.order.spec is not None:
        found.append({"words": "Build sheet and the rest", "what": "drawings, lists, labels, test card",
                      "href": f"/blade/{page.number}"})  # fmt: skip
    if page.order.kind == "refit":
        found.append({"words": "Refit sheet", "what": "keep, change, buy, check", "href": f"/refit/{page.number}"})
    return found


def options_of(spec: Spec, desk: Desk, system: System, typed: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The choices of a blade for a form, as they are or as they were typed.

    Args:
        spec: The blade.
        desk: Knows what can be chosen.
        system: US or metric.
        typed: What was typed instead.
    """
    rules = desk.rulebook
    chosen = {"series": spec.series, "mount": spec.mount, "hoses": spec.hoses, "outlets": spec.outlets,
              "width": forms.width_said(spec.width, system), "carrier": spec.carrier_kind}  # fmt: skip
    extras = set(spec.extras)
    if typed:
        chosen |= {name: str(typed[name]) for name in chosen if typed.get(name)}
        extras = set(typed.get("extras", ()))
    listed = {"series": {k: s.name for k, s in rules.series.items()},
              "mount": {k: m.name for k, m in rules.mounts.items()},
              "hoses": {k: o.name for k, o in rules.options.get("hoses", {}).items()},
              "carrier": {kind: kind for kind in CARRIER_KINDS},
              "outlets": {"left": "left", "right": "right"}}  # fmt: skip
    return {
        "width": chosen["width"],
        "lists": [
            {"name": name, "values": [{"value": k, "words": w, "chosen": k == chosen[name]} for k, w in values.items()]}
            for name, values in listed.items()
        ],
        "extras": [{"value": k, "words": o.name, "chosen": k in extras}
                   for k, o in rules.options.get("extras", {}).items()],
    }  # fmt: skip


def _least(desk: Desk) -> str:
    tomorrow: date = desk.now.date() + timedelta(days=1)
    return tomorrow.isoformat()


def holds(problem: str, hold: str) -> bool:
    """Whether a problem of the floor put the hold on an order, so that settling it lifts the hold.

    Args:
        problem: As it stands on the order.
        hold: As the order has it, "" for none.
    """
    return hold.startswith(HELD) and problem.startswith(f"{hold.removeprefix(HELD)} (")
