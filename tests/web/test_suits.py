"""The page 'Does it suit': the drawing first, then the limits, and the fit sheet."""

from __future__ import annotations

import html
import io
import re

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

TRACTOR = "series=basalt&width=84+in&mount=pin-on&carrier=tractor&hoses=poppet&outlets=right&chosen=yes"


def page(pages: TestClient, address: str) -> str:
    answer = pages.get(address)
    assert answer.status_code == 200, answer.text
    return html.unescape(answer.text)


def test_the_drawing_stands_before_any_number(pages: TestClient) -> None:
    text = page(pages, "/suits?order=421M")
    assert text.index("<figure><svg") < text.index("The machine's limits")
    assert text.count("<svg") > 5 and "Basalt 84" in text and "K7" in text


def test_a_heavy_blade_on_a_sub_compact_is_refused_on_its_front_axle_with_the_figure(pages: TestClient) -> None:
    text = page(pages, f"/suits?{TRACTOR}&machine=K1")
    assert 'class="verdict said-fails"' in text and "does not suit" in text
    part = text[text.index("On its axles") :]
    assert "limit of the front axle" in part and " lb" in part


def test_told_facts_never_yield_holds_for_what_leans_on_them(pages: TestClient) -> None:
    told = "m_told=yes&m_kind=tractor&m_lift=2,900+lb&m_lift_what=at+pins,+full+height&m_lift_from=told"
    text = page(pages, f"/suits?{TRACTOR}&{told}")
    assert 'class="verdict said-holds"' not in text and "the machine" in text
    assert "would" in text.casefold() or "cannot be told" in text.casefold()


def test_missing_facts_lead_back_to_their_fields(pages: TestClient) -> None:
    text = page(pages, f"/suits?{TRACTOR}&m_told=yes&m_kind=tractor&m_power=40+hp&m_power_from=told")
    links = re.findall(r'class="jump" href="(/calling\?[^"]+)"', text)
    assert links and all("#m-" in link for link in links)


def test_without_a_machine_it_says_so_and_how_to_go_on(pages: TestClient) -> None:
    text = page(pages, f"/suits?{TRACTOR}")
    assert "Nothing is known of the machine yet" in text and 'href="/calling?' in text
    answer = pages.get(f"/suits/fit sheet.pdf?{TRACTOR}")
    assert answer.status_code == 404 and "Choose the machine" in answer.text


def test_what_it_rests_on_is_one_press_away_and_cautions_stand(pages: TestClient) -> None:
    text = page(pages, "/suits?order=424H")
    assert text.count("What it rests on") >= 3 and "Caution." in text
    assert "not the work of a licensed engineer" in text


def test_the_page_speaks_metric(pages: TestClient) -> None:
    text = page(pages, "/suits?order=424H&units=metric")
    assert " kg" in text and "Inches and pounds" in text
    pages.cookies.clear()


def test_the_fit_sheet_can_be_had(pages: TestClient) -> None:
    answer = pages.get("/suits/fit sheet.pdf?order=424H")
    assert answer.status_code == 200 and answer.headers["content-type"] == "application/pdf"
    assert "Reed 60" in PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


@pytest.mark.parametrize("machine", [f"K{n}" for n in range(1, 11)])
def test_the_page_stands_for_every_known_machine(pages: TestClient, machine: str) -> None:
    kind = {"K5": ("compact loader", "mini"), "K10": ("wheel loader", "hook")}
    carrier, mount = kind.get(machine, ("skid steer", "loader"))
    if machine in ("K1", "K2", "K3", "K4"):
        carrier, mount = "tractor", "pin-on"
    query = f"series=flint&width=72+in&mount={mount}&carrier={carrier}&hoses=none&chosen=yes&machine={machine}"
    text = page(pages, f"/suits?{query.replace('hoses=none', 'hoses=flat-face')}")
    assert f"Flint 72 in suit {machine}" in text and "Snow it pushes" in text
