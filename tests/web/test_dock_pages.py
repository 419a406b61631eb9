"""The pages of the dock: the stop is shown plainly, each form is done once, what is refused keeps what was typed."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

import pypdf
import pytest
from fastapi.testclient import TestClient
from PIL import Image

from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.order_more import CHAIN, Done, more_of
from plowwright.shop.dock import predicted
from plowwright.store import records as r
from plowwright.units import pounds
from plowwright.web.server import create_app

TUESDAY = datetime(2026, 11, 10, 15)
THURSDAY = datetime(2026, 11, 12, 8)


@pytest.fixture
def dock(shop: Desk) -> Iterator[TestClient]:
    """The pages over records in which 418K, 419T and 427S are done."""
    with shop.book.command("finished for a test", who="D.V.", key="finished") as c:
        for number in ("418K", "419T", "427S"):
            more = more_of(c.get(r.Order, number).more)
            more = replace(more, work={name: Done(ended=TUESDAY) for name in CHAIN}, under_way=())
            c.change(r.Order, number, state="done", more=more.as_dict())
    with TestClient(create_app(shop)) as client:
        yield client


def right_mass(shop: Desk, number: str) -> float:
    """What the scale should say [lb]."""
    view = Docking(shop).view
    return pounds(predicted(view.build(view.order(number))))


def weigh(dock: TestClient, number: str, mass: float, key: str = "k1", **more: str) -> tuple[int, str]:
    form = {"order": number, "mass": f"{mass:.1f}", "unit": "lb", "who": "M.S.", "key": key, **more}
    page = dock.post("/scale", data=form)
    return page.status_code, page.text


def photo() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "#778899").save(out, "JPEG")
    return out.getvalue()


def test_the_scale_offers_the_blades_that_are_done_and_no_other(dock: TestClient) -> None:
    page = dock.get("/scale").text
    offered = re.findall(r'name="order" value="(\w+)"', page)
    assert offered == ["418K", "419T", "427S"]
    assert "STOPPED" not in page


def test_a_right_blade_is_weighed_and_the_page_says_so_with_its_serial_number(dock: TestClient, shop: Desk) -> None:
    status, page = weigh(dock, "418K", right_mass(shop, "418K") + 2)
    assert status == 200
    assert "the scale agrees" in page
    assert "Its serial number is B84-26-001: stamp 418K B84-26-001." in page
    assert 'href="/loading/418K"' in page


def test_a_blade_that_is_off_is_stopped_in_plain_words_with_what_to_measure_first(dock: TestClient, shop: Desk) -> None:
    _, page = weigh(dock, "418K", right_mass(shop, "418K") - 10.3)
    assert "418K: STOPPED" in page
    assert "It is not loaded until somebody has measured it, or knows why." in page
    assert "tube 3 x 3 x 3/16 instead of tube 3 x 3 x 1/4".capitalize() in page
    assert "caliper on the push-frame leg, right: 1/4 in as ordered, 3/16 in if wrong" in page
    assert "What the scale could not have seen" in page
    assert 'href="/loading/418K"' not in page


def test_words_do_not_clear_it_and_what_was_typed_stays_a_measurement_does(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "418K", right_mass(shop, "418K") - 10.3)
    form = {"order": "418K", "who": "M.S.", "key": "c1", "explained": "the paint is thin this time"}
    refused = dock.post("/scale/clear", data=form)
    assert refused.status_code == 422
    assert "words will not do" in refused.text
    assert 'value="the paint is thin this time"' in refused.text
    cleared = dock.post("/scale/clear", data={**form, "key": "c2", "measured": "legs 0.25 in, beam 0.25 in"})
    assert "was off, and is explained" in cleared.text
    assert "measured: legs 0.25 in, beam 0.25 in" in cleared.text


def test_the_same_form_sent_twice_is_one_ticket(dock: TestClient, shop: Desk) -> None:
    mass = right_mass(shop, "418K")
    first, second = (weigh(dock, "418K", mass, key="same") for _ in range(2))
    assert first[0] == second[0] == 200
    with shop.book.reading() as reads:
        assert reads.count(r.Ticket, order="418K") == 1


@pytest.mark.parametrize(
    ("mass", "said"), [("heavy", "heavy"), ("0", "a ticket says a weight"), ("", "mass"), ("84 in", "84 in")]
)
def test_what_is_no_weight_is_refused_and_nothing_is_kept(dock: TestClient, shop: Desk, mass: str, said: str) -> None:
    page = dock.post("/scale", data={"order": "418K", "mass": mass, "unit": "lb", "who": "M.S.", "key": "k"})
    assert page.status_code == 422
    assert "Not taken." in page.text
    assert said in page.text
    with shop.book.reading() as reads:
        assert reads.count(r.Ticket, order="418K") == 0


def test_kilograms_are_taken_as_kilograms(dock: TestClient, shop: Desk) -> None:
    kilograms = right_mass(shop, "419T") * 0.45359237
    form = {"order": "419T", "mass": f"{kilograms:.1f}", "unit": "kg", "who": "M.S.", "key": "k"}
    page = dock.post("/scale", data=form)
    assert "the scale agrees" in page.text


def test_nobody_named_is_refused(dock: TestClient) -> None:
    page = dock.post("/scale", data={"order": "418K", "mass": "1000", "unit": "lb", "key": "k"})
    assert page.status_code == 422
    assert "nobody is named for what is done" in page.text


def test_the_list_says_what_each_still_needs(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "418K", right_mass(shop, "418K"))
    page = dock.get("/loading").text
    assert "USD" in page
    assert "the paint is still curing: do not strap it" in page
    assert 'href="/scale?order=419T"' in page


def test_the_slip_refuses_three_readings_that_differ_and_says_which(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "427S", right_mass(shop, "427S"))
    form = {"order": "427S", "stamp": "472S", "label": "427S", "who": "M.S.", "key": "m1"}
    page = dock.post("/loading/427S/match", data=form)
    assert "stamp 472S: the letter S does not belong to 472, near it 427S" in page.text
    assert "order, stamp and label do not say the same" in page.text.replace("Order,", "order,")
    other = dock.post("/loading/427S/match", data={**form, "order": "418K", "key": "m2"})
    assert other.status_code == 422
    assert "this is the load slip of another order" in other.text
    good = dock.post("/loading/427S/match", data={**form, "stamp": "427S", "key": "m3"})
    assert "order, stamp and label all say 427S" in good.text


def test_measures_that_are_refused_stay_in_the_open_form_with_the_crate(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "418K", right_mass(shop, "418K"))
    size = {"length": "90", "depth": "tall", "height": "45", "mass": "1200", "length_unit": "in", "mass_unit": "lb"}
    page = dock.post("/loading/418K/pack", data={**size, "crated": "yes", "who": "M.S.", "key": "p"})
    assert page.status_code == 422
    form = page.text[page.text.index("<details open><summary>Measured on the packed piece") :].split("</details>")[0]
    assert 'value="tall"' in form and 'value="1200"' in form and 'name="crated" value="yes" checked' in form
    assert "<details><summary>Bill of lading" in page.text


def test_where_nothing_is_done_no_number_is_asked_for(shop: Desk) -> None:
    with TestClient(create_app(shop)) as client:
        assert "No blade is done." in (page := client.get("/scale").text) and 'name="mass"' not in page
        assert "Nothing waits here." in (page := client.get("/loading").text) and '<ol class="loads">' not in page


def test_from_scale_to_loaded_and_to_a_claim_pack(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "418K", right_mass(shop, "418K"))
    sign = {"who": "M.S."}
    dock.post("/loading/418K/match", data={**sign, "key": "m", "order": "418K", "stamp": "418K", "label": "418K"})
    size = {"length": "88-1/2", "depth": "56", "height": "39", "mass": "1045", "length_unit": "in", "mass_unit": "lb"}
    packed = dock.post("/loading/418K/pack", data={**sign, "key": "p", **size})
    assert "on the packed piece" in packed.text
    to = {"ship_to": "T.B.\nLower Yard", "terms": "prepaid"}
    assert dock.post("/loading/418K/lading", data={**sign, "key": "b", **to}).status_code == 200
    kept = dock.post("/loading/418K/photo", data={**sign, "key": "f", "what": "photos at loading", "note": "left end"},
                     files={"photo": ("x.jpg", photo(), "image/jpeg")})  # fmt: skip
    picture = re.search(r'src="(/loading/418K/files/\w+)"', kept.text)
    assert picture is not None
    assert dock.get(picture.group(1)).headers["content-type"] == "image/jpeg"
    ticks = {"tick": [str(n) for n in range(7)]}
    early = dock.post("/loading/418K/load", data={**sign, "key": "l1", **ticks})
    assert early.status_code == 422
    assert "still to be paid before it is loaded; the paint is still curing" in early.text
    with shop.book.command("paid for a test", who="R.K.", key="paid") as c:
        file = c.order_file("418K")
        c.add(r.Money, order="418K", kind="balance", cents=file.order.cents - file.paid_cents, day=c.at.date())
    shop.book.keep_time_by(lambda: THURSDAY)
    few = dock.post("/loading/418K/load", data={**sign, "key": "l2", "tick": ["0", "1"]})
    assert "not ticked are trip spring" in few.text
    assert few.text.count(" checked") >= 2
    gone = dock.post("/loading/418K/load", data={**sign, "key": "l3", **ticks})
    assert "Loaded. It has left." in gone.text
    claim = dock.get("/claim/418K?kind=damage&said=left+shoe+bent").text
    assert "signed copy of the bill" in claim
    packed_up = dock.get("/claim/418K/pack.zip?kind=damage&said=left+shoe+bent")
    with zipfile.ZipFile(io.BytesIO(packed_up.content)) as pack:
        names = pack.namelist()
        cover = pypdf.PdfReader(io.BytesIO(pack.read("418K claim.pdf"))).pages[0].extract_text()
    assert names == ["418K claim.pdf", "418K bill of lading.pdf", "418K packing list.pdf", "418K weigh ticket.pdf",
                     "418K order confirmation.pdf", "418K 01 photos at loading.jpg"]  # fmt: skip
    assert "Left shoe bent" in cover
    again = dock.get("/claim/418K?kind=reweigh&reweigh=1300+lb").text
    assert "hold ticket and photos against it" in again
    signed = {**sign, "key": "s", "kind": "damage", "what": "signed copy of the bill"}
    scan = dock.post("/claim/418K/photo", data=signed, files={"photo": ("y.jpg", photo(), "image/jpeg")})
    assert "signed copy of the bill</b> <span class=\"said-holds\">there" in scan.text


@pytest.mark.parametrize("name", ["load slip", "packing list", "bill of lading", "weigh ticket"])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_paper_of_a_load_is_a_pdf_of_the_size_asked_for(
    dock: TestClient, shop: Desk, name: str, paper: str
) -> None:
    weigh(dock, "419T", right_mass(shop, "419T"))
    answer = dock.get(f"/loading/419T/papers/{name}.pdf?paper={paper}")
    assert answer.headers["content-type"] == "application/pdf"
    box = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == ((612, 792) if paper == "letter" else (595, 842))


def test_a_paper_that_cannot_be_there_yet_and_one_that_never_is_are_said(dock: TestClient) -> None:
    assert "it has not been on the scale" in dock.get("/loading/418K/papers/weigh ticket.pdf").text
    assert "There are: load slip, packing list" in dock.get("/loading/418K/papers/menu.pdf").text
    assert dock.get("/claim/418K").status_code == 404


def test_a_broken_photo_and_one_of_another_order_are_refused(dock: TestClient) -> None:
    broken = {"photo": ("x.jpg", b"no", "image/jpeg")}
    sent = dock.post("/loading/418K/photo", data={"who": "M.S.", "key": "f"}, files=broken)
    assert sent.status_code == 422
    assert "no photo that can be read" in sent.text
    assert dock.get("/loading/418K/files/abcdef").status_code == 404


def test_metric_pages_speak_metric(dock: TestClient, shop: Desk) -> None:
    weigh(dock, "419T", right_mass(shop, "419T"))
    page = dock.get("/loading/419T?units=metric").text
    assert " kg" in page
    assert "1829 mm" in page


def test_spares_have_a_slip_without_a_piece(dock: TestClient) -> None:
    page = dock.get("/loading/431G").text
    assert "seal kit" in page
    assert "How it is lifted" not in page
