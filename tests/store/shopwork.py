"""A few days of an invented shop's work, written through commands, with a row in every table."""

from __future__ import annotations

from datetime import date, datetime

from plowwright.store import records as r
from plowwright.store.workbook import Workbook

TODAY = date(2026, 11, 11)
FRIDAY = datetime(2026, 11, 13, 7, 0)
EDGE = "edge blank 90 in"


def fill(book: Workbook) -> None:
    """From an enquiry to a blade's second owner, and a rack with one mistake put right."""
    with book.command("take an enquiry", who="R.K.", key="w1") as c:
        customer = c.add(r.Customer, name="T.B.", phone="555 0142")
        carrier = c.add(
            r.CarrierFacts,
            customer=customer.id,
            name="K7",
            kind="skid steer",
            facts=[{"name": "mass", "value": "7,300 lb"}],
        )
        enquiry = c.add(
            r.Enquiry, day=TODAY, customer=customer.id, carrier=carrier.id, told={"width": "84 in"}, state="open"
        )
    with book.command("quote", who="R.K.", key="w2") as c:
        c.keep_rulebook(fingerprint="aaaa-1111", day=date(2026, 9, 1), files={"shop.toml": 'name = "Ostrel Ridge"\n'})
        build = c.keep_build(
            fingerprint="bbbb-2222",
            spec={"series": "basalt", "width": "84 in"},
            rulebook_day=date(2026, 9, 1),
            rulebook="aaaa-1111",
            facts={"mass_lb": 912.4, "parts": [{"mark": "P1", "length_in": 84.0}]},
        )
        quote = c.add(
            r.Quote,
            enquiry=enquiry.id,
            customer=customer.id,
            build=build.id,
            lines=[{"what": "Basalt 84", "cents": 281000}],
            cents=281000,
            day=TODAY,
            valid_until=date(2026, 12, 11),
        )
    with book.command("take the order", who="R.K.", key="w3") as c:
        c.add(
            r.Order, number="418K", kind="blade", state="order", customer=customer.id, carrier=carrier.id,
            quote=quote.id, build=build.id, cents=281000, deposit_cents=112400, promise=FRIDAY, more={"rush": True},
        )  # fmt: skip
        c.add(r.Money, order="418K", kind="deposit", cents=112400, day=TODAY)
        c.change(r.Enquiry, enquiry.id, state="ordered")
        c.add(r.Change, order="418K", day=TODAY, note="shoes added", cents=9400, promise_was=FRIDAY, promise=FRIDAY)
        c.add(r.Change, order="418K", day=TODAY, note="yes by phone", settles=1)
    with book.command("take in edges", who="M.S.", key="w4") as c:
        c.add(r.Arrival, item=EDGE, count=6, due=date(2026, 11, 30), state="expected", supplier="by the roller")
        c.line(kind="receive", item=EDGE, count=5, lot="L1", facts={"thickness_in": 0.502})
        c.line(kind="reserve", item=EDGE, count=2, order="418K", needed=date(2026, 11, 12))
        wrong = c.line(kind="scrap", item=EDGE, count=1, lot="L1", reason="bent")
    with book.command("put a line right", who="M.S.", key="w5") as c:
        c.reverse(wrong.id, reason="was another one")
    with book.command("build", who="D.V.", key="w6") as c:
        c.line(kind="release", item=EDGE, count=1, order="418K", needed=date(2026, 11, 12))
        c.line(kind="issue", item=EDGE, count=1, lot="L1", order="418K")
        c.add(r.Hours, order="418K", operation="fit and weld", person="D.V.", day=TODAY, minutes=540)
        c.change(r.Order, "418K", state="done")
        c.add(
            r.Blade, serial="B84-26-018", order="418K", build=build.id, customer=customer.id, carrier=carrier.id,
            built=TODAY, marks={"width_in": 84},
        )  # fmt: skip
        chapter = c.add(r.Chapter, serial="B84-26-018", kind="as-built", day=TODAY, said="as drawn", build=build.id)
        c.add(r.Fitted, chapter=chapter.id, serial="B84-26-018", item=EDGE, lot="L1", place="edge")
        photo = c.keep_file(b"a photo of the stamp", name="stamp.jpg", media="image/jpeg")
        c.add(r.Attachment, file=photo.digest, about="blades", key="B84-26-018", day=TODAY, note="the stamp")
    with book.command("weigh", who="M.S.", key="w7") as c:
        off = c.add(r.Ticket, order="418K", serial="B84-26-018", at=FRIDAY, mass=431.0, predicted=413.9, packed="bare")
        c.add(
            r.Ticket, order="418K", serial="B84-26-018", at=FRIDAY, mass=414.2, predicted=413.9, packed="bare",
            explained="a chain lay on the scale", explains=off.id,
        )  # fmt: skip
        c.add(r.Plan, kind="cut", state="released", at=FRIDAY, asked={"orders": ["418K"]}, body={"sticks": 3})
    with book.command("second owner", who="R.K.", key="w8") as c:
        other = c.add(r.Customer, name="H.L.", phone="555 0199")
        c.change(r.Blade, "B84-26-018", customer=other.id)
        c.add(r.Chapter, serial="B84-26-018", kind="owner", day=TODAY, said="H.L. has it now")
