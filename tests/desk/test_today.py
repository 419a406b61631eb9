"""The owner's morning, from the records alone."""

from __future__ import annotations

from datetime import date, datetime

from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk
from plowwright.desk.floor import Floor
from plowwright.desk.floor_words import FloorWords
from plowwright.desk.log import log_of, opened
from plowwright.desk.promising import Promising
from plowwright.desk.today import Today, today_of
from plowwright.store import records as r


def lines(found: Today, part: str) -> list[str]:
    return [f"{one.order} {one.text}".strip() for one in found.parts[part]]


def test_the_demo_morning_names_what_leaves_what_is_late_and_what_waits_for_a_word(shop: Desk) -> None:
    found = today_of(shop)
    # What is fetched at seven on Friday stands ready on Thursday evening: it leaves next, too.
    assert [one.order.number for one in found.leaving] == ["431G", "418K", "419T"]
    needs = found.leaving[2].needs
    assert needs[0] == "assemble, test and weigh" and "the scale" in needs and needs[-1].endswith("of balance")
    assert lines(found, "late") == ["423P 5 days late, promised Fri 6 Nov: waits for its edge, 108 in, due Tue 17 Nov"]
    assert lines(found, "asks") == ["422D pin sizes, measured on the machine", "424H ballast for the tractor"]
    assert lines(found, "deposits")[0].startswith("421M USD 1,210.80 of deposit from H.L.")
    assert found.parts["problems"] == () and found.parts["stopped"] == ()


def test_what_is_ordered_today_leaves_out_what_is_on_its_way_already(shop: Desk) -> None:
    told = " ".join(lines(today_of(shop), "to_order"))
    assert "crossover relief block for 428C" in told
    assert "423P" not in told  # its edge comes on the 17th, no later than one ordered today


def test_a_problem_a_delivery_a_stopped_blade_and_a_quote_stand_on_the_page(shop: Desk) -> None:
    FloorWords(shop).problem(hand("D.V."), "420A", "weld", "web is bent")

    def more(c: object) -> dict[str, str]:
        from plowwright.store.commands import Command

        assert isinstance(c, Command)
        c.add(r.Arrival, item="flat 8 x 5/8 blank, 108 in", count=1, due=date(2026, 11, 10), state="expected")
        c.change(r.Order, "419T", more={**c.get(r.Order, "419T").more, "scale": "stopped"})
        return {"said": "set up"}

    shop.book.run("set up", more, who="R.K.", key="set up")
    shop.book.keep_time_by(lambda: datetime(2026, 12, 8, 8))
    with shop.book.reading() as reads:
        until = next(q.valid_until for q in reads.find(r.Quote) if q.id == reads.get(r.Order, "432N").quote)
    found = today_of(shop)
    assert lines(found, "problems") == ["420A fit and weld: web is bent (D.V., Wed 11 Nov 08:00)"]
    assert lines(found, "stopped") == ["419T stopped at the scale: measure, or explain the difference"]
    assert "1 x flat 8 x 5/8 blank, 108 in, should have come Tue 10 Nov" in lines(found, "arrivals")
    assert until == date(2026, 12, 11) and lines(found, "quotes")[0].endswith("runs out Fri 11 Dec")


def test_without_a_plan_each_piece_of_work_lies_once_in_the_hours_of_who_can_do_it(shop: Desk) -> None:
    found = today_of(shop)
    assert not any(block.planned for block in found.blocks)
    laid = [(b.name, b.order, b.operation, b.begin, b.end) for b in found.blocks]
    # Three hours of welding are left on 418K, as the floor said; then 420A until noon and after the break.
    assert laid[0] == ("D.V.", "418K", "fit and weld", datetime(2026, 11, 11, 8), datetime(2026, 11, 11, 11))
    assert laid[1][1:] == ("420A", "fit and weld", datetime(2026, 11, 11, 11), datetime(2026, 11, 11, 12))
    assert {b.name for b in found.blocks if (b.order, b.operation) == ("419T", "assemble")} == {"M.S."}
    for block in found.blocks:
        spans = [span for one in found.hours if one.name == block.name for span in one.spans]
        assert any(begin <= block.begin < block.end <= end for begin, end in spans)


def test_a_kept_crew_plan_is_drawn_and_followed_on_the_floor(shop: Desk) -> None:
    promising = Promising(shop)
    promising.keep(hand("R.K."), promising.plan(promising.standing()))
    found = today_of(shop)
    assert found.work.by == "the crew plan of Wed 11 Nov 08:00"
    planned = [block for block in found.blocks if block.planned]
    assert ("D.V.", "418K", "fit and weld") in [(b.name, b.order, b.operation) for b in planned]
    with shop.book.reading() as reads:
        state = {row.number: row.state for row in reads.find(r.Order)}
    assert planned and all(block.released == (state[block.order] == "released") for block in planned)
    mine = found.work.of("M.S.")
    assert mine is not None and mine.next[0].planned is not None
    begins = [slip.planned for slip in mine.next if slip.planned is not None]
    assert begins == sorted(begins)


def test_the_log_tells_who_did_what_and_opens_each_with_what_it_was_before(shop: Desk) -> None:
    Floor(shop).done(hand("D.V."), "418K", "weld", took="3 h")
    FloorWords(shop).note(hand("M.S."), "419T", "", "stands on the left stand")
    log = log_of(shop)
    assert [(e.who, e.command, e.order) for e in log.entries[:2]] == [("M.S.", "note and photo", "419T"),
                                                                       ("D.V.", "done", "418K")]  # fmt: skip
    assert [e.order for e in log_of(shop, order="418k", who="D.V.").entries] == ["418K"]
    one = opened(shop, log.entries[1].number)
    fields = {c.field: (c.was, c.now) for c in one.changed}
    assert fields["work, fit and weld"] == ("", "by: D.V., ended: 2026-11-11T08:00:00")
    assert one.right == ("/floor/418K/fit_and_weld#right", "Put it right on the operation's sheet")
    assert opened(shop, log.entries[0].number).before == one.digest and len(one.digest) == 64


def test_the_log_turns_its_pages(shop: Desk) -> None:
    for number in range(5):
        FloorWords(shop).note(hand("M.S."), "419T", "", f"note {number}")
    first = log_of(shop, order="419T", limit=3)
    assert first.before == first.entries[-1].number
    second = log_of(shop, order="419T", limit=3, before=first.before)
    numbers = [e.number for e in (*first.entries, *second.entries)]
    assert numbers == sorted(set(numbers), reverse=True)
    assert log_of(shop, order="419T", who="nobody").entries == ()
