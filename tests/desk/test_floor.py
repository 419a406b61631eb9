"""The floor: work in its order, paint left to cure, two people at once, problems, photos, wrong things put right."""

from __future__ import annotations

import hashlib
import io
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime

import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from plowwright.desk.acting import fresh_key, hand
from plowwright.desk.desk import Desk
from plowwright.desk.floor import Floor
from plowwright.desk.floor_people import work_of
from plowwright.desk.floor_photo import upright
from plowwright.desk.floor_right import FloorRight, standing_hours
from plowwright.desk.floor_sheet import order_on_floor, traveller_of
from plowwright.desk.floor_words import FloorWords
from plowwright.desk.order_more import More, more_of
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.papers import pdf
from plowwright.store import records as r


def clock(shop: Desk, day: int, hour: int, minute: int = 0) -> None:
    shop.book.keep_time_by(lambda: datetime(2026, 11, day, hour, minute))


def kept(shop: Desk, number: str) -> More:
    with shop.book.reading() as reads:
        return more_of(reads.get(r.Order, number).more)


def minutes(shop: Desk, number: str, operation: str) -> list[tuple[str, int]]:
    with shop.book.reading() as reads:
        return [(row.person, row.minutes) for row in standing_hours(reads, number, operation)]


def test_an_operation_is_done_by_somebody_with_his_hours_and_the_wall_follows(shop: Desk) -> None:
    answer = Floor(shop).done(hand("D.V."), "418k", "weld", took="3 h 20 min")
    assert answer["said"] == "Fit and weld of 418K is done, by D.V., 3 h 20 min."
    assert shop.order("418K").state == "welded"
    assert minutes(shop, "418K", "fit_and_weld") == [("D.V.", 200)]
    assert kept(shop, "418K").under_way == ()


def test_hours_from_begin_to_end_leave_breaks_and_nights_out(shop: Desk) -> None:
    floor = Floor(shop)
    clock(shop, 11, 11)
    floor.begin(hand("D.V."), "420A", "fit and weld")
    clock(shop, 12, 9)
    answer = floor.done(hand("D.V."), "420A", "fit and weld")
    # 11 to 12, half an hour off, 12:30 to 16:30, and 7 to 9 next morning.
    assert answer["said"].endswith("7 h.") and minutes(shop, "420A", "fit_and_weld") == [("D.V.", 420)]


def test_whoever_begins_something_else_lays_the_first_down_with_its_hours(shop: Desk) -> None:
    clock(shop, 11, 11)
    answer = Floor(shop).begin(hand("D.V."), "420A", "fit and weld")
    assert "Fit and weld of 418K is laid down with 12 h noted." in answer["said"]
    assert [one.by for one in kept(shop, "420A").under_way] == ["D.V."] and kept(shop, "418K").under_way == ()
    laid = Floor(shop).lay_down(hand("D.V."), "420A", "weld")
    assert laid["said"] == "Fit and weld of 420A is laid down; no hours of D.V.'s lie between."
    with pytest.raises(RefusedError, match=r"D\.V\. is not at fit and weld of 420A"):
        Floor(shop).lay_down(hand("D.V."), "420A", "weld")


def test_what_comes_later_in_the_chain_is_refused_with_the_way_out(shop: Desk) -> None:
    with pytest.raises(RefusedError) as fault:
        Floor(shop).done(hand("M.S."), "418K", "assemble")
    assert fault.value.what == "assemble comes after paint"
    assert fault.value.way_out == "If it is done, say so first: paint."
    with pytest.raises(RefusedError, match="421M is not released to the floor"):
        Floor(shop).begin(hand("D.V."), "421M", "saw")
    with pytest.raises(RefusedError, match="425V is on hold"):
        Floor(shop).begin(hand("D.V."), "425V", "saw")
    with pytest.raises(EntryError, match="the letter K does not belong to 481"):
        Floor(shop).begin(hand("D.V."), "481K", "saw")
    with pytest.raises(NotFoundError, match="nobody of the crew has this name"):
        Floor(shop).begin(hand("N.N."), "418K", "clean")
    with pytest.raises(NotFoundError, match="no operation is called that"):
        Floor(shop).begin(hand("D.V."), "418K", "polish")


def test_a_blade_whose_paint_cures_is_not_assembled_before_the_hour_said(shop: Desk) -> None:
    floor = Floor(shop)
    floor.done(hand("D.V."), "418K", "weld", took="3 h")
    clock(shop, 11, 12)
    floor.done(hand("M.S."), "418K", "clean", took="1 h")
    clock(shop, 11, 15)
    painted = floor.done(hand("M.S."), "418K", "paint", took="2 h")
    # Sixteen hours to handle and thirty-six to strap at 65 F, on the wall clock.
    assert "It is handled from Thu 12 Nov 07:00 and strapped from Fri 13 Nov 03:00 on" in painted["said"]
    clock(shop, 12, 6, 59)
    with pytest.raises(RefusedError) as fault:
        floor.begin(hand("M.S."), "418K", "assemble")
    assert fault.value.what == "the paint cures until Thu 12 Nov 07:00; before that it is not handled"
    assert fault.value.limit == "16 h to handle"
    clock(shop, 12, 7)
    assert "M.S. is at assemble of 418K" in floor.begin(hand("M.S."), "418K", "assemble")["said"]


def test_what_was_painted_earlier_cures_from_then_but_not_from_before_it_was_clean(shop: Desk) -> None:
    floor = Floor(shop)
    floor.done(hand("D.V."), "418K", "weld", took="3 h", when="2026-11-10 16:00")
    floor.done(hand("D.V."), "418K", "clean", took="1 h", when="2026-11-10 16:30")
    with pytest.raises(RefusedError, match="paint comes after what was done at Tue 10 Nov 16:30"):
        floor.done(hand("M.S."), "418K", "paint", when="2026-11-10 12:00")
    with pytest.raises(EntryError, match="that hour is still to come"):
        floor.done(hand("M.S."), "418K", "paint", when="15:00")
    floor.done(hand("M.S."), "418K", "paint", when="07:30")
    assert kept(shop, "418K").painted == datetime(2026, 11, 11, 7, 30)


def test_what_waits_for_a_part_goes_on_once_somebody_says_it_is_here(shop: Desk) -> None:
    floor = Floor(shop)
    with pytest.raises(RefusedError, match="assemble waits for its edge, 108 in") as fault:
        floor.begin(hand("M.S."), "423P", "assemble")
    assert fault.value.value == "due Tue 17 Nov"
    assert floor.here(hand("M.S."), "423P", "assemble")["said"].startswith("Its edge, 108 in is here")
    assert "M.S. is at assemble" in floor.begin(hand("M.S."), "423P", "assemble")["said"]


def test_two_people_who_say_done_at_once_are_one_done_and_one_told(either_shop: Desk) -> None:
    floor = Floor(either_shop)

    def say(who: str) -> str:
        try:
            return str(floor.done(hand(who), "420A", "fit and weld", took="9 h")["said"])
        except RefusedError as fault:
            return fault.sentence()

    with ThreadPoolExecutor(2) as both:
        said = sorted(both.map(say, ("D.V.", "R.K.")), key=lambda text: "already" in text)
    assert "is done, by" in said[0] and "fit and weld is done already" in said[1]
    assert len(minutes(either_shop, "420A", "fit_and_weld")) == 1


def test_a_form_sent_twice_is_done_once_and_answers_the_same(shop: Desk) -> None:
    key = fresh_key()
    floor = Floor(shop)
    first = floor.done(hand("D.V.", key), "418K", "weld", took="3 h")
    clock(shop, 11, 9)
    assert floor.done(hand("D.V.", key), "418K", "weld", took="3 h") == first
    assert minutes(shop, "418K", "fit_and_weld") == [("D.V.", 180)]


def test_the_test_card_is_filled_in_with_seconds_each_way_and_judged(shop: Desk) -> None:
    floor = Floor(shop)
    floor.done(hand("M.S."), "419T", "assemble", took="4 h")
    with pytest.raises(EntryError, match="the test card is not filled in") as fault:
        floor.done(hand("M.S."), "419T", "test", test={"left": "5.6 s"})
    assert fault.value.value == "missing: right end forward, oil of the pack"
    with pytest.raises(EntryError, match="a number without a unit"):
        floor.done(hand("M.S."), "419T", "test", test={"left": "5.6", "right": "7 s", "oil": "70 F"})
    said = floor.done(hand("M.S."), "419T", "test", test={"left": "5.6 s", "right": "19 s", "oil": "70 F"})["said"]
    assert "Look again: right end forward took 19 s, the card passes" in said
    assert said.endswith("419T is done. Next it goes on the scale.") and shop.order("419T").state == "done"
    assert dict(kept(shop, "419T").test) == {"left": "5.6 s", "right": "19 s", "oil": "70 degF"}


def test_what_is_not_done_after_all_goes_back_with_its_hours_and_whoever_was_at_it(shop: Desk) -> None:
    floor, right = Floor(shop), FloorRight(shop)
    floor.done(hand("D.V."), "418K", "weld", took="3 h")
    with pytest.raises(EntryError, match="nothing is said"):
        right.undo(hand("D.V."), "418K", "weld", "")
    said = right.undo(hand("D.V."), "418K", "weld", "two seams are left")["said"]
    assert said.startswith("Fit and weld of 418K is not done: two seams are left. 3 h taken back.")
    assert said.endswith("D.V. is at it again, since Tue 08:00.")
    assert minutes(shop, "418K", "fit_and_weld") == [] and shop.order("418K").state == "welding"
    with shop.book.reading() as reads:
        rows = reads.find(r.Hours, order="418K")
    assert [row.minutes for row in rows] == [180, -180] and rows[1].reverses == rows[0].id
    assert rows[1].note == "two seams are left"


def test_what_something_later_rests_on_is_put_right_last(shop: Desk) -> None:
    floor, right = Floor(shop), FloorRight(shop)
    floor.done(hand("M.S."), "419T", "assemble", took="4 h")
    floor.done(hand("M.S."), "419T", "test", test={"left": "6 s", "right": "7 s", "oil": "70 F"})
    with pytest.raises(RefusedError, match="test and weigh came after it and is done"):
        right.undo(hand("M.S."), "419T", "assemble", "the wrong blade")
    right.undo(hand("M.S."), "419T", "test", "the wrong blade")
    assert shop.order("419T").state == "assembled" and kept(shop, "419T").test == {}
    with pytest.raises(RefusedError, match="test and weigh is not done"):
        right.undo(hand("M.S."), "419T", "test", "the wrong blade")


def test_hours_are_put_right_by_a_reversal_and_a_new_row(shop: Desk) -> None:
    Floor(shop).done(hand("D.V."), "418K", "weld", took="3 h")
    with shop.book.reading() as reads:
        row = standing_hours(reads, "418K")[0]
    said = FloorRight(shop).hours(hand("R.K."), "418K", "weld", "5 h", "two hours forgotten", row=row.id)["said"]
    assert said == "Hours of D.V. at fit and weld of 418K: 5 h, not 3 h. two hours forgotten."
    assert minutes(shop, "418K", "fit_and_weld") == [("D.V.", 300)]
    with pytest.raises(RefusedError, match="put right before"):
        FloorRight(shop).hours(hand("R.K."), "418K", "weld", "4 h", "once more", row=row.id)


def test_a_problem_stands_on_the_order_until_it_is_settled_and_its_hold_with_it(shop: Desk) -> None:
    words = FloorWords(shop)
    words.problem(hand("D.V."), "420A", "weld", "web is bent", where="left end", hold=True)
    problem = "fit and weld, left end: web is bent (D.V., Wed 11 Nov 08:00)"
    assert kept(shop, "420A").problems == (problem,) and shop.order("420A").state == "on hold"
    with pytest.raises(RefusedError, match="420A is on hold"):
        Floor(shop).done(hand("D.V."), "420A", "weld")
    with pytest.raises(RefusedError, match="this problem does not stand on the order"):
        words.settle(hand("R.K."), "420A", "another one", "nothing done")
    said = words.settle(hand("R.K."), "420A", problem, "straightened cold")["said"]
    assert said == "Settled on 420A: straightened cold. It is no longer on hold."
    assert kept(shop, "420A").problems == () and shop.order("420A").state == "cut"


def camera(size: tuple[int, int] = (1200, 800), orientation: int = 6) -> bytes:
    """A photo as a camera held upright writes it: points lying down, the turn and the place beside them."""
    picture = Image.new("RGB", size, "grey")
    picture.paste("red", (0, 0, size[0] // 4, size[1] // 4))
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "a camera"
    exif.get_ifd(0x8825)[1] = "N"
    kept_as = io.BytesIO()
    picture.save(kept_as, "JPEG", exif=exif)
    return kept_as.getvalue()


def test_a_photo_is_turned_upright_stripped_and_comes_back_by_its_digest(shop: Desk) -> None:
    photo = upright(camera(), "IMG 7.jpg")
    said = FloorWords(shop).note(hand("M.S."), "419T", "paint", "runs at the foot", photo=photo)
    assert said["said"] == "The note and the photo are with 419T."
    note = order_on_floor(shop, "419T").notes[0]
    assert note.file is not None and note.note == "paint: runs at the foot (M.S.)"
    data = shop.book.filing.read(note.file)
    assert hashlib.sha256(data).hexdigest() == note.file
    picture = Image.open(io.BytesIO(data))
    # Turned a quarter to the right: what lay at the upper left now stands at the upper right.
    assert picture.size == (800, 1200) and not picture.getexif() and b"a camera" not in data
    at = picture.convert("RGB").getpixel((780, 20))
    assert isinstance(at, tuple) and at[0] > 200 and at[1] < 60


@pytest.mark.parametrize(("data", "said"), [(b"no picture", "this is no photo that can be read"),
                                            (camera()[:2000], "this is no photo that can be read"),
                                            (b"\0" * 20_000_001, "the photo is too large")])  # fmt: skip
def test_what_is_no_photo_is_refused(data: bytes, said: str) -> None:
    with pytest.raises(EntryError, match=said):
        upright(data, "IMG.jpg")


def test_a_large_photo_is_kept_no_larger_than_needed() -> None:
    found = upright(camera((4000, 3000), 1))
    assert (found.width, found.height) == (2400, 1800) and found.media == "image/jpeg"


def test_without_a_crew_plan_everybody_finds_what_is_ready_by_promise(shop: Desk) -> None:
    with shop.book.reading() as reads:
        work = work_of(shop, reads)
    laid = {one.name: [(s.order.number, s.words) for s in one.next] for one in work.people}
    assert laid["D.V."] == [("420A", "fit and weld")]
    assert laid["M.S."] == [("419T", "assemble"), ("423P", "assemble")]
    assert work.by == "promises, and what is ready"
    assert [(s.order.number, s.words) for one in work.people for s in one.now] == [("418K", "fit and weld")]


def test_look_alikes_are_told_apart_by_what_can_be_counted(shop: Desk) -> None:
    said = [twin.sentence for twin in order_on_floor(shop, "420A").twins]
    assert said[0].startswith("421M, Basalt 84 in, is here too") and "2 notches against 3" in said[0]
    assert "418K, Basalt 84 in" in order_on_floor(shop, "419T").twins[0].sentence
    assert any("has no edge markers; has skid shoes" in t.sentence for t in order_on_floor(shop, "418K").twins)


def test_the_traveller_carries_every_operation_the_cure_and_its_code(
    shop: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader = PdfReader(io.BytesIO(traveller_of(shop, "419T")))
    text = " ".join("".join(page.extract_text() for page in reader.pages).split())
    assert len(reader.pages) == 1
    for word in ("Traveller", "419T", "Fit and weld", "Test and weigh", "handle after 16 h", "strap after 72 h",
                 "418K, Basalt 84 in", "Tue 10 15:00"):  # fmt: skip
        assert word in text
    sent: list[bytes] = []
    monkeypatch.setattr(pdf, "compile", lambda source, *, pictures, data, when: sent.extend(
        pdf.pages_png(source, pictures=pictures, data=data, ppi=150)) or b"")  # fmt: skip
    traveller_of(shop, "419T")
    codes = [code.text for code in zxingcpp.read_barcodes(Image.open(io.BytesIO(sent[0])))]
    assert codes == [f"{shop.rulebook.shop.address_on_network.rstrip('/')}/floor/419T"]
