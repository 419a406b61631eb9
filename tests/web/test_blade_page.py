"""The blade's page: the drawing leads, a change is answered at once, a clash says its way out."""

from __future__ import annotations

import re
from math import degrees

from fastapi.testclient import TestClient
from starlette.datastructures import QueryParams

from plowwright.desk.desk import Desk
from plowwright.web import forms, server

ORDER = "/blade/421M"
CHOSEN = {
    "series": "basalt", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face",
    "outlets": "left", "chosen": "yes", "extras": "markers",
}  # fmt: skip


def said(text: str, cell: str) -> str:
    found = re.search(rf'id="{cell}">([^<]+)<', text)
    assert found, f"no {cell} on the page"
    return found.group(1)


def pounds(text: str) -> float:
    return float(said(text, "mass").removesuffix(" lb").replace(",", ""))


def test_the_drawing_comes_before_any_list(pages: TestClient) -> None:
    text = pages.get(ORDER).text
    assert text.index('<svg xmlns') < text.index("<h2>Parts</h2>")
    assert 'data-part="skin"' in text and 'data-part="hinge beam"' in text


def test_every_part_of_the_list_is_on_the_drawing(pages: TestClient) -> None:
    text = pages.get(ORDER).text
    drawn = set(re.findall(r'data-part="([^"]+)"', text))
    listed = {one for row in re.findall(r'data-parts="([^"]+)"', text) for one in row.split("|")}
    assert listed and listed <= drawn


def test_a_wider_blade_weighs_and_costs_more_and_the_address_says_so(pages: TestClient) -> None:
    before = pages.get("/blade/answer", params=CHOSEN)
    after = pages.get("/blade/answer", params={**CHOSEN, "width": "90 in"})
    assert before.status_code == after.status_code == 200
    assert pounds(after.text) > pounds(before.text) + 10
    assert said(after.text, "price") != said(before.text, "price")
    assert "width=90+in" in after.headers["HX-Push-Url"]
    assert pounds(pages.get(after.headers["HX-Push-Url"]).text) == pounds(after.text)


def test_the_stepper_goes_one_width_and_stops_at_the_end(pages: TestClient) -> None:
    wider = pages.get("/blade/answer", params={**CHOSEN, "step": "wider"})
    assert 'data-width="90 in"' in wider.text
    end = pages.get("/blade/answer", params={**CHOSEN, "width": "120 in", "step": "wider"})
    assert 'data-width="120 in"' in end.text


def test_no_extra_ticked_means_none_and_not_as_ordered(pages: TestClient) -> None:
    bare = {name: value for name, value in CHOSEN.items() if name != "extras"}
    answer = pages.get("/blade/answer", params={**bare, "order": "421M"})
    assert "edge marker" not in answer.text and "Changed from the order" in answer.text


def test_a_clash_is_said_in_place_with_its_way_out_and_no_new_drawing(pages: TestClient) -> None:
    answer = pages.get("/blade/answer", params={**CHOSEN, "series": "reed"})
    assert answer.status_code == 422
    assert "Reed is not built 84 in wide" in answer.text and "72 in" in answer.text
    assert "<svg" not in answer.text and answer.headers["HX-Retarget"] == "#clash"
    way = re.search(r'href="(/blade\?[^"]+)">Take 72 in wide', answer.text)
    assert way, "the way out is one press"
    assert pages.get(way.group(1).replace("&amp;", "&")).status_code == 200


def test_the_page_of_a_clash_keeps_what_was_chosen_and_draws_the_nearest(pages: TestClient) -> None:
    page = pages.get("/blade", params={**CHOSEN, "series": "reed"})
    assert page.status_code == 422 and "Cannot be built as chosen." in page.text
    assert re.search(r'value="reed" checked', page.text) and 'data-part="skin"' in page.text


def test_a_width_without_a_unit_is_refused_with_an_example(pages: TestClient) -> None:
    answer = pages.get("/blade/answer", params={**CHOSEN, "width": "84"})
    assert answer.status_code == 422 and "Given: 84" in answer.text and "90 in" in answer.text


def test_metric_is_one_switch_away_and_reads_back_the_same_blade(pages: TestClient) -> None:
    text = pages.get("/blade", params={**CHOSEN, "units": "metric"}).text
    assert said(text, "mass").endswith(" kg") and 'value="2133.6 mm"' in text
    again = pages.get("/blade", params={**CHOSEN, "width": "2133.6 mm", "units": "metric"}).text
    assert said(again, "fingerprint") == said(text, "fingerprint")
    pages.cookies.clear()


def test_checks_on_a_metric_page_speak_metric(pages: TestClient) -> None:
    answer = pages.get("/blade/answer", params={"order": "421M", "units": "metric"}).text
    checked = answer[answer.index("<h2>Checked</h2>") : answer.index("<h2>Price</h2>")]
    assert " mm" in checked
    assert not re.search(r"\d in[,;.< ]", checked), re.findall(r".{30}\d in[,;.< ].{20}", checked)


def test_metric_pages_say_their_changes_and_ways_out_in_millimetres(pages: TestClient) -> None:
    changed = {**CHOSEN, "order": "421M", "width": "90 in", "units": "metric"}
    answer = pages.get("/blade/answer", params=changed)
    assert "width 2133.6 mm \N{RIGHTWARDS ARROW} 2286 mm" in answer.text
    clash = pages.get("/blade/answer", params={**CHOSEN, "series": "reed", "units": "metric"})
    assert "Take 1828.8 mm wide" in clash.text
    pages.cookies.clear()


def test_a_width_read_from_a_form_is_the_series_own_to_the_last_figure(pages: TestClient) -> None:
    rules = Desk.demo().rulebook
    for width in rules.series["basalt"].widths():
        for system in ("us", "metric"):
            query = QueryParams({**CHOSEN, "width": forms.width_said(width, system)})
            assert forms.spec_of(query, ordered=None, rulebook=rules).width == width


def test_the_sliders_end_at_the_models_own_stops(pages: TestClient) -> None:
    text = pages.get(ORDER).text
    sliders = dict(re.findall(r'<input type="range" id="(\w+)" min="([^"]+)"', text))
    pivots = Desk.demo().worked(Desk.demo().spec_of("421M")[0]).build.assembly.pivots
    assert float(sliders["angle"]) == -30 and float(sliders["trip"]) == 0
    stop = degrees(pivots.oscillation_stop)
    assert -stop - 1e-6 <= float(sliders["oscillation"]) <= -stop + 0.5
    beyond = pages.get("/blade/pose", params={**CHOSEN, "oscillation": f"{stop + 1:g}"})
    assert beyond.status_code == 422 and "beyond its stop" in beyond.json()["said"]


def test_any_order_can_be_laid_beside_what_is_chosen(pages: TestClient) -> None:
    text = pages.get("/blade", params={**CHOSEN, "order": "421M", "width": "90 in"}).text
    form = text[text.index('action="/side"') :]
    assert re.findall(r'<option value="([^"]+)">', form)[0] == "421M" and "width=90+in" in form


def test_cost_and_margin_stand_apart_for_the_owner(pages: TestClient) -> None:
    text = pages.get(ORDER).text
    owner = text.index("for the owner only")
    margins = [found.start() for found in re.finditer(r">margin, [\d.]+ %<", text)]
    assert text.index(">list price<") < owner and len(margins) == 1 and margins[0] > owner


def test_every_finding_has_its_word_and_its_basis(pages: TestClient) -> None:
    text = pages.get(ORDER).text
    findings = text.split('class="finding"')[1:]
    assert findings
    for one in findings:
        assert re.search(r'class="said-(holds|near|fails|not)">(holds|near limit|fails|not checked)<', one)
        assert "<details>" in one


def test_an_unknown_order_is_a_page_with_a_way_out(pages: TestClient) -> None:
    page = pages.get("/blade/999Z")
    assert page.status_code == 404 and "999Z" in page.text and "Way out" in page.text


def test_nothing_is_put_on_the_page_unescaped(pages: TestClient) -> None:
    page = pages.get("/blade", params={**CHOSEN, "width": "<script>alert(1)</script>"})
    assert page.status_code == 422 and "<script>alert" not in page.text


def test_the_server_answers_that_it_is_well(pages: TestClient) -> None:
    assert pages.get("/healthz").text == "ok"
    assert pages.get("/empty").status_code == 200 and server.HERE.is_dir()
