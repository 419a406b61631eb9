"""The page of an order and the page of enquiries: what they show, what their forms do, and what comes back refused."""

from __future__ import annotations

from io import BytesIO

import pytest
from fastapi.testclient import TestClient
from PIL import Image
from pypdf import PdfReader

from plowwright.desk.acting import fresh_key
from plowwright.desk.desk import Desk
from plowwright.desk.order_file import order_page
from plowwright.web.server import create_app


@pytest.fixture
def client(shop: Desk) -> TestClient:
    """The pages over records of their own."""
    return TestClient(create_app(shop), raise_server_exceptions=True)


def send(client: TestClient, path: str, **fields: str):
    return client.post(path, data={"who": "R.K.", "key": fresh_key(), **fields}, follow_redirects=False)


def test_the_page_shows_the_blade_where_it_stands_and_what_the_next_step_asks(client: TestClient) -> None:
    page = client.get("/order/425V").text
    assert '<svg' in page and 'aria-current="step">ordered' in page
    assert "Next: released" in page and "On hold: Sidewalk ice" in page and "of the deposit is missing" in page
    assert "Settle it, then lift the hold below." in page
    assert 'href="/blade/425V"' in page and "order%20confirmation.pdf" in page
    quote = client.get("/order/432N").text
    assert "He says yes" in quote and "Fri 11 Dec 2026" in quote and "Release to the floor" not in quote


def test_a_number_with_swapped_figures_is_refused_with_the_near_one(client: TestClient) -> None:
    refused = client.get("/order/472S")
    assert refused.status_code == 422 and "Near it: 427S." in refused.text
    moved = client.get("/order/427s", follow_redirects=False)
    assert moved.status_code == 307 and moved.headers["location"] == "/order/427S"


def test_a_yes_makes_a_quote_an_order_and_says_so(client: TestClient, shop: Desk) -> None:
    done = send(client, "/order/432N/accept", day="2027-01-08", hour="07:00")
    assert done.status_code == 303 and done.headers["location"].startswith("/order/432N?done=")
    page = client.get(done.headers["location"]).text
    assert "432N is ordered, promised Fri 8 Jan, 07:00; USD 1,426 of deposit is asked for" in page
    assert order_page(shop, "432N").file.order.state == "order"


def test_what_was_typed_comes_back_when_it_is_refused(client: TestClient, shop: Desk) -> None:
    refused = send(client, "/order/421M/pay", kind="balance", sum="99,999.00", said="check 4412")
    assert refused.status_code == 422
    assert "421M is not owed as much" in refused.text and 'value="99,999.00"' in refused.text
    assert 'value="check 4412"' in refused.text
    nobody = client.post("/order/421M/hold", data={"key": "k", "said": "he is thinking"})
    assert nobody.status_code == 422 and "nobody is named" in nobody.text and 'value="he is thinking"' in nobody.text
    change = send(client, "/order/421M/change", said="wider <blade>", width="87 in", sum="12", day="2026-12-01")
    assert change.status_code == 422 and "wider &lt;blade&gt;" in change.text and 'value="87 in"' in change.text
    assert order_page(shop, "421M").notes == ()


def test_a_form_sent_twice_is_done_once(client: TestClient, shop: Desk) -> None:
    form = {"who": "R.K.", "key": "one form", "kind": "deposit", "sum": "100.00", "said": ""}
    first = client.post("/order/421M/pay", data=form, follow_redirects=False)
    second = client.post("/order/421M/pay", data=form, follow_redirects=False)
    assert first.headers["location"] == second.headers["location"]
    assert order_page(shop, "421M").file.paid_cents == 10_000


def test_every_form_of_the_way_does_what_it_says(client: TestClient, shop: Desk) -> None:
    number = "421M"
    deposit = order_page(shop, number).file.order.deposit_cents
    steps = (
        ("ask", {"said": "gate width at the yard"}),
        ("answer", {"ask": "gate width at the yard", "said": "8 ft"}),
        ("hold", {"said": "he is thinking"}),
        ("lift", {"said": "he is not any more"}),
        ("pay", {"kind": "deposit", "sum": f"{deposit / 100:.2f}", "said": "check"}),
        ("change", {"said": "one step wider", "width": "90 in", "day": "2026-12-01", "chosen": "yes",
                    "extras": "markers"}),
    )  # fmt: skip
    for act, fields in steps:
        assert send(client, f"/order/{number}/{act}", **fields).status_code == 303, act
    note = order_page(shop, number).notes[0][0]
    assert note.cents == 7_400  # one step of the Basalt's price list
    assert send(client, f"/order/{number}/release").status_code == 422
    for act, fields in (("settle", {"note": str(note.id)}), ("terms", {"said": "pays in a month"}), ("release", {}),
                        ("back", {"to": "order", "said": "steel is late"}), ("release", {}),
                        ("cancel", {"said": "machine was sold"})):  # fmt: skip
        assert send(client, f"/order/{number}/{act}", **fields).status_code == 303, act
    page = client.get(f"/order/{number}").text
    assert "Called off." in page and "machine was sold" in page and "Release to the floor" not in page
    assert send(client, f"/order/{number}/dance").status_code == 404


def test_a_photo_is_kept_and_shown_and_nobody_elses(client: TestClient) -> None:
    picture = BytesIO()
    Image.new("RGB", (4, 3), "white").save(picture, "PNG")
    done = client.post(
        "/order/422D/note", data={"who": "R.K.", "key": "p1", "said": "pin with a ruler"},
        files={"photo": ("pin.png", picture.getvalue(), "image/png")}, follow_redirects=False,
    )  # fmt: skip
    assert done.status_code == 303
    page = client.get("/order/422D").text
    where = page.split('<img src="')[1].split('"')[0]
    photo = client.get(where)
    assert photo.content == picture.getvalue() and photo.headers["content-type"] == "image/png"
    assert client.get(where.replace("422D", "421M")).status_code == 404


def test_papers_come_from_the_page_in_letter_and_a4(client: TestClient) -> None:
    letter = PdfReader(BytesIO(client.get("/order/432N/quote.pdf").content))
    assert "3,565" in letter.pages[0].extract_text() and "11 December 2026" in letter.pages[0].extract_text()
    a4 = PdfReader(BytesIO(client.get("/order/422D/order confirmation.pdf?paper=a4").content))
    assert round(float(a4.pages[0].mediabox.width)) == 595
    assert client.get("/order/432N/order confirmation.pdf").status_code == 422
    assert client.get("/order/422D/change note 77.pdf").status_code == 404


def test_a_copy_is_looked_at_and_not_quoted_before_it_is_answered(client: TestClient, shop: Desk) -> None:
    page = client.get("/order/new?copy=B90-22-017").text
    assert "What is not the same as B90-22-017" in page and "Is it for the same machine, K7?" in page
    refused = send(client, "/order/new", copy="B90-22-017", name="J.R.", machine="K4", **{"answer machine": "yes, K4"})
    assert refused.status_code == 422 and "is not frozen before this is answered" in refused.text
    assert 'value="yes, K4"' in refused.text and 'value="J.R."' in refused.text
    keys = [part.split('"')[0] for part in page.split('name="answer ')[1:]]
    done = send(client, "/order/new", copy="B90-22-017", name="J.R.", machine="K4",
                **{f"answer {key}": "yes" for key in (*keys, "mount sizes")})  # fmt: skip
    assert done.status_code == 303 and done.headers["location"].startswith("/order/433R")
    assert order_page(shop, "433R").file.order.copied_from == "B90-22-017"


def test_a_blade_spares_and_a_refit_are_quoted_from_one_page(client: TestClient) -> None:
    blade = {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    assert "USD 2,571" in client.get("/order/new", params=blade).text
    assert send(client, "/order/new", name="Q.S.", **blade).headers["location"].startswith("/order/433R")
    assert "USD 41" in client.get("/order/new?spares=seal+kit").text
    assert send(client, "/order/new", name="L.K.", spares="seal kit").headers["location"].startswith("/order/434L")
    assert send(client, "/order/new", name="J.R.", refit="B90-22-017", to="K4").status_code == 303
    clash = client.get("/order/new", params={**blade, "mount": "pin-on"})
    assert clash.status_code == 422 and "does not couple to a skid steer" in clash.text


def test_a_call_is_kept_as_an_enquiry_with_its_machine_and_becomes_a_quote(client: TestClient, shop: Desk) -> None:
    refused = send(client, "/enquiries", name="", w_ground="gravel", m_told="yes", m_power="48 hp", note="gate of 8 ft")
    assert refused.status_code == 422 and 'name="m_power" value="48 hp"' in refused.text
    assert "gate of 8 ft" in refused.text
    kept = send(client, "/enquiries", name="Q.S.", phone="555 0142", m_told="yes", m_kind="skid steer", m_power="48 hp",
                w_ground="gravel")  # fmt: skip
    page = client.get(kept.headers["location"]).text
    assert "enquiry 1 of Q.S., new here, is kept" in page and "ground gravel" in page and "432N" in page
    assert "m_power=48+hp" in page
    blade = {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    send(client, "/order/new", name="Q.S.", phone="555 0142", enquiry="1", **blade)
    order = order_page(shop, "433R").file
    assert order.carrier is not None and order.carrier.facts[0]["text"] == "48 hp"
    assert "enquiry-1" not in client.get("/enquiries").text
    send(client, "/enquiries", name="Z.Z.")
    assert send(client, "/enquiries/2/close", said="").status_code == 422
    assert send(client, "/enquiries/2/close", said="bought elsewhere").status_code == 303
    assert "enquiry-2" not in client.get("/enquiries").text


def test_only_the_question_that_was_refused_keeps_its_words_and_says_so(client: TestClient) -> None:
    send(client, "/order/421M/ask", said="gate width")
    send(client, "/order/421M/ask", said="who unloads")
    client.cookies.clear()
    refused = client.post("/order/421M/answer", data={"key": "k", "ask": "who unloads", "said": "his son"})
    assert refused.status_code == 422
    assert refused.text.count('value="his son"') == 1 and refused.text.count('id="refused"') == 1
    assert refused.text.index('value="gate width"') < refused.text.index('value="his son"')


def test_a_refusal_is_said_where_its_form_is_not_on_the_page_any_more(client: TestClient) -> None:
    again = send(client, "/order/418K/release")
    assert again.status_code == 422 and 'id="do-release"' not in again.text
    assert "Not taken." in again.text and 'id="refused"' not in again.text


def test_a_refused_form_comes_back_with_the_name_that_was_chosen_in_it(client: TestClient) -> None:
    client.cookies.set("who", "R.K.")
    refused = send(client, "/order/421M/pay", who="M.S.", kind="balance", sum="99,999.00")
    assert refused.status_code == 422 and "<option selected>M.S.</option>" in refused.text
    assert "<option selected>R.K.</option>" not in refused.text


def test_a_paid_or_loaded_order_is_not_let_go_before_its_balance(client: TestClient, shop: Desk) -> None:
    assert 'id="do-terms"' in client.get("/order/431G").text
    assert send(client, "/order/431G/pay", kind="balance", sum="265.00").status_code == 303
    assert 'id="do-terms"' not in client.get("/order/431G").text


def test_a_lifted_hold_leaves_the_floors_problem_open_and_the_page_says_where_it_is_settled(
    client: TestClient, shop: Desk
) -> None:
    told = {"who": "D.V.", "key": "p", "what": "web is bent", "where": "left end", "hold": "yes"}
    client.post("/floor/420A/fit_and_weld/problem", data=told)
    held = client.get("/order/420A").text
    assert "A problem from the floor holds it." in held and "Problem, still open." in held
    assert send(client, "/order/420A/lift", said="looked at it").status_code == 303
    page = client.get("/order/420A").text
    assert "On hold." not in page and "Problem, still open." in page and "web is bent (D.V." in page
    assert 'href="/floor/420A"' in page
    problem = order_page(shop, "420A").more.problems[0]
    assert send(client, "/floor/420A/settle", problem=problem, how="straightened").status_code == 303
    assert "Problem, still open." not in client.get("/order/420A").text


def test_an_enquiry_that_is_not_put_away_keeps_the_reason_and_one_that_is_gone_says_so(client: TestClient) -> None:
    send(client, "/enquiries", name="Z.Z.")
    client.cookies.clear()
    kept = client.post("/enquiries/1/close", data={"key": "c", "said": "bought elsewhere"})
    assert kept.status_code == 422 and 'value="bought elsewhere"' in kept.text
    send(client, "/enquiries/1/close", said="bought elsewhere")
    gone = send(client, "/enquiries/1/close", said="once more")
    assert gone.status_code in (404, 422) and "Not taken." in gone.text
    assert "Open: no enquiries, 1 quote." in client.get("/enquiries").text


def test_an_order_belongs_to_the_wall_and_a_quote_to_the_quotes(client: TestClient) -> None:
    order, quote = client.get("/order/418K").text, client.get("/order/432N").text
    assert 'href="/" aria-current="true">The wall' in order and 'href="/floor/418K"' in order
    assert 'href="/enquiries" aria-current="page"' in quote
    assert 'href="/order/418K">Order file of 418K' in client.get("/blade/418K").text


def test_questions_without_an_answer_are_counted_and_not_listed_by_their_keys(client: TestClient) -> None:
    refused = send(client, "/order/new", copy="B90-22-017", name="J.R.", machine="K4", **{"answer machine": "yes"})
    assert "of 5 questions below without an answer" in refused.text and "custom 1; custom" not in refused.text
