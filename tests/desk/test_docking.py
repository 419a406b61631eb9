"""At the dock: nothing leaves that nobody weighed, matched and let cure; each thing is done once for its key."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import datetime, timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from plowwright import units
from plowwright.blade.build import Build, work_out
from plowwright.desk.acting import Hand
from plowwright.desk.crew_standing import Standing
from plowwright.desk.desk import Desk
from plowwright.desk.dock_papers import DockPapers
from plowwright.desk.docking import Docking
from plowwright.desk.life_papers import paper_of
from plowwright.desk.lives import Lives
from plowwright.desk.order_more import CHAIN, Done, more_of
from plowwright.desk.promising import Promising
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.dock import predicted
from plowwright.store import records as r
from plowwright.units import LB

TUESDAY = datetime(2026, 11, 10, 15)
"""When the paint of 419T was done, as the wall has it."""
THURSDAY = datetime(2026, 11, 12, 8)


def by(key: str) -> Hand:
    return Hand(who="M.S.", key=key)


def finished(shop: Desk, *numbers: str, painted: datetime = TUESDAY) -> None:
    """The floor has said done to every operation of these."""
    with shop.book.command("finished for a test", who="D.V.", key=f"finished {numbers}") as c:
        for number in numbers:
            more = more_of(c.get(r.Order, number).more)
            more = replace(more, work={name: Done(ended=painted, by="D.V.") for name in CHAIN}, under_way=(), waits=())
            c.change(r.Order, number, state="done", more=more.as_dict())


def paid(shop: Desk, number: str) -> None:
    with shop.book.command("paid for a test", who="R.K.", key=f"paid {number}") as c:
        file = c.order_file(number)
        c.add(r.Money, order=number, kind="balance", cents=file.order.cents - file.paid_cents, day=c.at.date())


def build_of(shop: Desk, number: str) -> Build:
    dock = Docking(shop)
    return dock.view.build(dock.view.order(number))


def order(shop: Desk, number: str) -> r.Order:
    with shop.book.reading() as reads:
        return reads.get(r.Order, number)


def weighed(shop: Desk, number: str) -> Docking:
    dock = Docking(shop)
    dock.weigh(by(f"weigh {number}"), number, predicted(build_of(shop, number)) + 1 * LB)
    return dock


def as_if_of_the_thinner_wall(build: Build) -> float:
    """What a blade weighs whose push frame was cut from 3/16 in wall [kg], by the model."""
    own = build.rulebook.sections["tube 3 x 3 x 1/4"]
    light = own.model_copy(update={"wall": 3 / 16 * 0.0254, "mass": 6.87 * LB / 0.3048})
    data = build.rulebook.data
    thin = data.model_copy(update={"sections": {**data.sections, "tube 3 x 3 x 1/4": light}})
    return predicted(work_out(build.spec, replace(build.rulebook, data=thin), level=0))


def test_a_basalt_84_that_weighs_as_if_built_of_the_thinner_wall_is_stopped_at_the_scale(either_shop: Desk) -> None:
    finished(either_shop, "418K")
    dock, wrong = Docking(either_shop), as_if_of_the_thinner_wall(build_of(either_shop, "418K"))
    answer = dock.weigh(by("w1"), "418k", wrong)
    assert answer["stopped"]
    assert answer["said"].startswith("418K: 994 lb on the scale, 1,005 lb predicted: 10.3 lb lighter, allowed 7.53 lb.")
    assert "tube 3 x 3 x 3/16 instead of tube 3 x 3 x 1/4" in [c["said"] for c in answer["ticket"]["causes"]]
    row = order(either_shop, "418K")
    assert (row.state, row.more["scale"], row.more.get("serial")) == ("done", "stopped", None)
    assert dock.weigh(by("w1"), "418k", wrong) == answer
    with either_shop.book.reading() as reads:
        (kept,) = reads.find(r.Ticket, order="418K")
    assert kept.mass == pytest.approx(wrong)
    with pytest.raises(RefusedError, match=r"418K is at done: it is matched when it is weighed"):
        dock.match(by("m1"), "418K", stamp="418K", label="418K")
    with pytest.raises(RefusedError, match=r"the scale stopped it: measure what it names"):
        dock.load(by("l1"), "418K", ticked="all")


def test_what_was_looked_for_and_ruled_out_leaves_the_list_and_the_rest_is_ranked_again(shop: Desk) -> None:
    finished(shop, "418K")
    dock, wrong = Docking(shop), as_if_of_the_thinner_wall(build_of(shop, "418K"))
    first = dock.weigh(by("w1"), "418K", wrong)["ticket"]["causes"]
    again = dock.weigh(by("w2"), "418K", wrong, looked=("hoses", "spring", "extras"))["ticket"]["causes"]
    assert first[0]["kind"] == "hoses"
    assert again[0]["kind"] == "wall"
    assert {"hoses", "spring", "extras"}.isdisjoint(c["kind"] for c in again)
    with pytest.raises(EntryError, match=r"no cause is called that.*gremlins"):
        dock.weigh(by("w3"), "418K", wrong, looked=("gremlins",))


def test_a_stop_is_cleared_by_a_measurement_and_kept_as_a_ticket_that_explains_the_first(either_shop: Desk) -> None:
    finished(either_shop, "418K")
    dock = Docking(either_shop)
    dock.weigh(by("w1"), "418K", as_if_of_the_thinner_wall(build_of(either_shop, "418K")))
    with pytest.raises(EntryError, match=r"so words will not do.*First: caliper on the push-frame leg"):
        dock.clear(by("c1"), "418K", explained="the paint is thin this time")
    answer = dock.clear(by("c2"), "418K", measured="legs 0.25 in, beam 0.25 in")
    assert answer["said"] == (
        "Goes on: 418K 10.3 lb lighter than predicted. measured: legs 0.25 in, beam 0.25 in (M.S.). "
        "Its serial number is B84-26-001: stamp 418K B84-26-001."
    )
    assert dock.clear(by("c2"), "418K", measured="legs 0.25 in, beam 0.25 in") == answer
    with either_shop.book.reading() as reads:
        off, explained = reads.find(r.Ticket, order="418K")
    assert explained.explains == off.id
    assert "legs 0.25 in" in explained.explained
    row = order(either_shop, "418K")
    assert (row.state, row.more["scale"]) == ("weighed", "explained")
    with pytest.raises(RefusedError, match=r"418K is not stopped at the scale.*Nothing to clear"):
        dock.clear(by("c3"), "418K", measured="all of it")


def test_two_blades_that_look_alike_are_told_apart_by_their_weight(shop: Desk) -> None:
    finished(shop, "418K", "419T")
    answer = Docking(shop).weigh(by("w1"), "419T", predicted(build_of(shop, "418K")))
    assert answer["stopped"]
    first = answer["ticket"]["causes"][0]
    assert (first["said"], first["look"]) == (
        "it is 418K, Basalt 84 in", "read the stamp and count the notches: 1 as ordered, 3 on 418K"
    )  # fmt: skip
    assert first["chance"] > 0.9


def test_a_blade_weighed_again_and_found_off_goes_back_to_done(shop: Desk) -> None:
    finished(shop, "419T")
    dock = weighed(shop, "419T")
    assert order(shop, "419T").state == "weighed"
    dock.weigh(by("again"), "419T", predicted(build_of(shop, "419T")) - 20 * LB)
    row = order(shop, "419T")
    assert (row.state, row.more["scale"]) == ("done", "stopped")


def test_what_the_tickets_teach_is_shown_apart_and_a_stopped_blade_teaches_nothing(shop: Desk) -> None:
    finished(shop, "418K", "419T", "427S")
    dock = Docking(shop)
    untaught = predicted(build_of(shop, "427S"))
    first = dock.weigh(by("w1"), "418K", predicted(build_of(shop, "418K")) + 6 * LB)
    assert first["ticket"]["predicted_from"]["scale_correction"] == "0 lb"
    dock.weigh(by("w2"), "419T", predicted(build_of(shop, "419T")) - 30 * LB)
    told = dock.weigh(by("w3"), "427S", untaught)["ticket"]["predicted_from"]
    assert told["correction"].startswith("1 scale ticket say")
    assert dock.view.ticket("427S").learned > 0.5 * LB
    assert dock.view.ticket("427S").build + dock.view.ticket("427S").oil == pytest.approx(untaught)


def test_a_blade_whose_work_is_not_done_is_not_weighed_and_spares_never_are(shop: Desk) -> None:
    dock = Docking(shop)
    with pytest.raises(RefusedError, match=r"420A is not ready for the scale.*fit and weld, clean, paint"):
        dock.weigh(by("w1"), "420A", 400.0)
    with pytest.raises(RefusedError, match=r"431G is for spares and builds no blade.*counted and packed"):
        dock.weigh(by("w2"), "431G", 40.0)
    with pytest.raises(EntryError, match=r"the letter S does not belong to 472.*427S"):
        dock.weigh(by("w3"), "472S", 400.0)


def test_two_writers_never_give_the_same_serial_number(either_shop: Desk) -> None:
    numbers = ("418K", "419T", "420A", "423P")
    finished(either_shop, *numbers)
    start, given, faults = threading.Barrier(len(numbers)), [], []

    def give(number: str) -> None:
        start.wait()
        try:
            given.append(Docking(either_shop).stamp(by(f"stamp {number}"), number)["serial"])
        except Exception as fault:  # noqa: BLE001 - told below, in the thread that can fail the test
            faults.append(fault)

    threads = [threading.Thread(target=give, args=(number,)) for number in numbers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not faults
    assert sorted(serial[-3:] for serial in given) == ["001", "002", "003", "004"]
    with pytest.raises(RefusedError, match=r"418K has its serial number.*a number is given once"):
        Docking(either_shop).stamp(by("twice"), "418K")


def test_an_order_stamp_and_label_that_do_not_agree_are_told_and_kept(shop: Desk) -> None:
    finished(shop, "427S", "428C")
    dock = weighed(shop, "427S")
    weighed(shop, "428C")
    wrong = dock.match(by("m1"), "427S", stamp="472S", label="427S")
    assert not wrong["holds"]
    assert wrong["said"] == "427S: not loaded: stamp 472S: the letter S does not belong to 472, near it 427S."
    assert order(shop, "427S").more["matched"] is False
    twin = dock.match(by("m2"), "427S", stamp="427S", label="http://ostrel.ridge/blade/428C")
    assert "order 427S, stamp 427S, label 428C. Take the blade the order names" in twin["said"]
    other = dock.match(by("m3"), "427S", stamp="427S F90-26-002", label="427S")
    assert "stamp F90-26-002: that blade is 428C" in other["said"]
    right = dock.match(by("m4"), "427S", stamp="427s f90-26-001", label="http://ostrel.ridge/blade/427S")
    assert (right["holds"], right["said"]) == (True, "427S: order, stamp and label all say 427S.")
    with pytest.raises(EntryError, match=r"the stamp was not read.*Read the stamp and type it"):
        dock.match(by("m5"), "427S", stamp=" ", label="427S")


def test_a_blade_still_curing_is_not_loaded_and_from_when_it_may_be_strapped_is_said(shop: Desk) -> None:
    finished(shop, "419T")
    paid(shop, "419T")
    dock = weighed(shop, "419T")
    dock.match(by("m"), "419T", stamp="419T", label="419T")
    cure = dock.view.load("419T").cure
    assert cure.sentence == "the paint is still curing: do not strap it before Thu 12 Nov 03:00"
    with pytest.raises(RefusedError, match=r"419T cannot be loaded yet: the paint is still curing: do not strap it"):
        dock.load(by("early"), "419T", ticked="all")
    shop.book.keep_time_by(lambda: THURSDAY)
    assert dock.load(by("now"), "419T", ticked="all")["state"] == "loaded"


def test_a_crew_plan_kept_for_a_colder_shop_makes_the_dock_and_the_floor_wait_longer(shop: Desk) -> None:
    finished(shop, "419T")
    paid(shop, "419T")
    dock = weighed(shop, "419T")
    dock.match(by("m"), "419T", stamp="419T", label="419T")
    cold = Promising(shop).plan(Standing(temperature=10.0), steps=40)
    Promising(shop).keep(by("cold"), cold)
    cure = dock.view.load("419T").cure
    assert cure.sentence == "the paint is still curing: do not strap it before Fri 13 Nov 15:00"
    assert cure.basis.inputs["shop"] == "50 degF" and "crew plan" in cure.basis.source
    shop.book.keep_time_by(lambda: THURSDAY)
    with pytest.raises(RefusedError, match=r"419T cannot be loaded yet: the paint is still curing"):
        dock.load(by("too early"), "419T", ticked="all")
    again = Promising(shop).plan(Standing(), steps=40)
    Promising(shop).keep(by("warm again"), again)
    assert dock.load(by("now"), "419T", ticked="all")["state"] == "loaded"


def test_a_loaded_blade_has_its_life_record_and_is_loaded_once(either_shop: Desk) -> None:
    finished(either_shop, "418K")
    dock = weighed(either_shop, "418K")
    dock.match(by("m"), "418K", stamp="418K", label="418K")
    either_shop.book.keep_time_by(lambda: THURSDAY)
    with pytest.raises(RefusedError, match=r"USD [\d,.]+ is still to be paid before it is loaded"):
        dock.load(by("unpaid"), "418K", ticked="all")
    paid(either_shop, "418K")
    with pytest.raises(RefusedError, match=r"not ticked are angle cylinder, hose set.*ticked to its end"):
        dock.load(by("few"), "418K", ticked={"0", "1", "2", "5", "6"})
    answer = dock.load(by("go"), "418K", ticked="all")
    assert answer["said"].startswith("418K is loaded. The life record of B84-26-001 begins")
    assert dock.load(by("go"), "418K", ticked="all") == answer
    with either_shop.book.reading() as reads:
        life = reads.life("B84-26-001")
    assert next(chapter.kind for chapter in life.chapters) == "as-built"
    with pytest.raises(RefusedError, match=r"418K is at loaded"):
        dock.load(by("again"), "418K", ticked="all")
    with pytest.raises(RefusedError, match=r"418K has left the yard.*reweigh by the carrier"):
        dock.weigh(by("late"), "418K", 450.0)


def test_size_and_mass_taken_on_the_packed_piece_go_over_what_was_worked_out(shop: Desk) -> None:
    finished(shop, "427S")
    dock = weighed(shop, "427S")
    worked = dock.view.load("427S").piece
    assert (worked.stated, worked.crated) == (False, True)
    sizes = {"length": 2.40, "depth": 1.40, "height": 0.90}
    with pytest.raises(EntryError, match=r"smaller than the blade that is in it.*Measure over the widest places"):
        dock.pack(by("p1"), "427S", length=1.0, depth=1.4, height=0.9, mass=400.0, crated=True)
    with pytest.raises(EntryError, match=r"packed it is lighter than bare.*Weigh it with skid or crate"):
        dock.pack(by("p2"), "427S", **sizes, mass=200.0, crated=True)
    answer = dock.pack(by("p3"), "427S", **sizes, mass=345.0, crated=True)
    assert answer["freight_class"] == 125
    piece = dock.view.load("427S").piece
    assert (piece.stated, piece.mass, piece.length) == (True, 345.0, 2.40)
    with pytest.raises(RefusedError, match=r"419T is at released: it is packed once it was weighed bare"):
        dock.pack(by("p4"), "419T", **sizes, mass=345.0, crated=True)


def test_a_crate_ordered_is_packed_round_the_blade_and_not_weighed_with_it(shop: Desk) -> None:
    finished(shop, "427S")
    dock = weighed(shop, "427S")
    load, build = dock.view.load("427S"), build_of(shop, "427S")
    crate = build.tally.group_masses["packing"]
    assert load.bare < build.mass - 0.5 * crate
    assert load.piece.mass == pytest.approx(load.bare + crate)
    assert load.lift.mass == pytest.approx(load.bare)


def test_spares_are_counted_matched_and_loaded_without_a_scale(shop: Desk) -> None:
    with shop.book.command("packed", who="M.S.", key="packed") as c:
        more = more_of(c.get(r.Order, "431G").more)
        more = replace(more, work={"pack": Done(ended=TUESDAY)})
        c.change(r.Order, "431G", state="done", cents=0, more=more.as_dict())
    dock = Docking(shop)
    dock.match(by("m"), "431G", stamp="431G", label="431G")
    with pytest.raises(RefusedError, match=r"not ticked are spring pair, seal kit"):
        dock.load(by("l1"), "431G", ticked={"0"})
    assert dock.load(by("l2"), "431G", ticked={"0", "1", "2"})["state"] == "loaded"


def test_who_gets_it_and_who_pays_is_kept_for_the_bill(shop: Desk) -> None:
    finished(shop, "427S")
    dock = Docking(shop)
    with pytest.raises(EntryError, match=r"a bill names who gets it"):
        dock.lading(by("b1"), "427S", ship_to=" ", terms="prepaid")
    with pytest.raises(EntryError, match=r"given: on the moon.*limit: prepaid, collect, third party"):
        dock.lading(by("b2"), "427S", ship_to="D.S., Lower Yard", terms="on the moon")
    dock.lading(by("b3"), "427S", ship_to="D.S., Lower Yard", terms="collect")
    assert dock.view.lading("427S") == {"ship_to": "D.S., Lower Yard", "terms": "collect"}


def test_an_order_that_was_not_weighed_has_no_ticket(shop: Desk) -> None:
    with pytest.raises(NotFoundError, match=r"it has not been on the scale.*420A.*Weigh it first"):
        Docking(shop).view.ticket("420A")


def text_of(made: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(made)).pages).split())


def test_the_papers_of_a_blade_that_left_agree_on_serial_mass_and_day(shop: Desk) -> None:
    finished(shop, "427S", painted=datetime(2026, 11, 8, 15))
    paid(shop, "427S")
    dock = weighed(shop, "427S")
    serial = shop.serial_of("427S")
    assert serial.startswith("F90-26-") and not shop.serial_of("420A")
    dock.match(by("m"), "427S", stamp="427S", label="427S")
    dock.load(by("l"), "427S", ticked="all")
    left = shop.now
    shop.book.keep_time_by(lambda: left + timedelta(days=9))
    scale = units.say(dock.view.ticket("427S").weighed.found, "mass")
    booklet = text_of(paper_of(Lives(shop), shop.rulebook, serial, "booklet"))
    assert f"{scale}, weighed" in booklet and f"{scale} hang with the hook" in booklet
    papers = DockPapers(shop, system="metric")
    files = papers.claim_files(papers.claim("427S", "damage"))
    assert "427S order confirmation.pdf" in files, "the cover says the price is in the pack"
    bill = text_of(files["427S bill of lading.pdf"])
    assert serial in bill and f"{left:%d %B %Y}" in bill and f"{shop.now:%d %B %Y}" not in bill
    slip = text_of(papers.paper("427S", "load slip"))
    assert "allowed at most 2591 mm" in slip and "allowed at most 102 in" not in slip
