"""The page 'Who's calling': half-known facts in, an answer beside them, nothing typed lost."""

from __future__ import annotations

import html
import re
import time
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.datastructures import QueryParams

from plowwright.blade.carrier_facts import NAMES, SOURCES
from plowwright.desk.desk import Desk
from plowwright.web import telling
from plowwright.web.server import create_app

DESK = Desk.demo()


def told(**query: str) -> telling.Told:
    return telling.told_of(QueryParams(query), DESK)


def asked(*pairs: tuple[str, str]) -> str:
    return urlencode([("m_told", "yes"), *pairs])


def settled(pages: TestClient, address: str) -> str:
    for _ in range(200):
        text = pages.get(address).text
        if 'class="waits"' not in text:
            return html.unescape(text)
        time.sleep(0.1)
    raise AssertionError("it was never answered")


def test_an_empty_sheet_asks_and_never_says_that_a_blade_suits(pages: TestClient) -> None:
    text = settled(pages, "/calling")
    assert "Ask next" in text and text.count('class="jump"') == 3
    assert 'class="cell suits" href' not in text
    assert all(f'id="m-{name}-0"' in text for name in NAMES if name not in ("tipping_load",))


def test_a_forty_horse_tractor_alone_never_yields_a_blade_that_suits(pages: TestClient) -> None:
    query = asked(("m_kind", "tractor"), ("m_power", "40 hp"), ("m_power_what", "engine"), ("m_power_from", "told"))
    text = settled(pages, f"/calling/answer?{query}")
    assert "USD" in text and 'class="cell suits" href' not in text and 'class="said-holds">Suits' not in text


def test_a_bare_number_is_refused_beside_its_field_with_an_example_and_stays(pages: TestClient) -> None:
    query = asked(("m_lift", "1450"), ("m_lift_what", "at pins, full height"), ("m_lift_from", "told"))
    text = settled(pages, f"/calling?{query}")
    note = re.search(r'id="note-m-lift-0"[^>]*>(.*?)</div>', text, re.DOTALL)
    assert note and "A number without a unit" in note[1] and "Write 640 lb or 290 kg." in note[1]
    assert 'name="m_lift" class="value" value="1450"' in text
    assert "Ask next" in text, "the rest is answered all the same"


def test_140_typed_as_psi_is_questioned_and_bar_offered(pages: TestClient) -> None:
    query = asked(("m_pressure", "140 psi"), ("m_pressure_from", "plate"), ("m_pressure_what", "not said which"))
    text = settled(pages, f"/calling?{query}")
    assert "Read as 140 psi" in text and "Is it psi or bar?" in text
    assert 'data-value="140 bar"' in text and "Take 140 bar" in text


def test_a_known_machine_fills_the_fields_and_can_then_be_changed(pages: TestClient) -> None:
    text = settled(pages, "/calling?machine=K4")
    assert 'name="m_lift" class="value" value="2,900 lb"' in text and '<option value="K4" selected>' in text
    found = told(machine="K4")
    assert found.carrier is DESK.strength.carrier("K4") and found.query == "machine=K4"
    changed = QueryParams(found.query + "&" + urlencode(_with(found, "lift", "2,000 lb")))
    again = telling.told_of(changed, DESK)
    assert again.carrier is not None and again.carrier.name == "K4 as told"
    lift = again.carrier.known("lift")
    assert lift is not None and lift.text == "2,000 lb" and lift.on == DESK.now.date()
    power = again.carrier.known("power")
    assert power is not None and power.on.isoformat() == "2026-09-14", "an untouched fact keeps its day"


def _with(found: telling.Told, name: str, value: str) -> list[tuple[str, str]]:
    pairs = [("m_told", "yes"), ("m_kind", found.kind)]
    for row in found.rows:
        typed = value if row.name == name else row.value
        pairs += [(f"m_{row.name}", typed), (f"m_{row.name}_what", row.what), (f"m_{row.name}_from", row.source)]
    return pairs


def test_an_emptied_field_is_unknown_and_not_as_filed() -> None:
    power = {"m_power": "76 hp", "m_power_what": "engine", "m_power_from": "book"}
    found = told(machine="K4", m_told="yes", m_kind="tractor", **power)
    assert found.carrier is not None and found.carrier.known("lift") is None


def test_two_tipping_loads_stand_side_by_side() -> None:
    query = QueryParams(asked(
        ("m_tipping_load", "3,600 lb"), ("m_tipping_load_what", "straight"), ("m_tipping_load_from", "book"),
        ("m_tipping_load", "3,050 lb"), ("m_tipping_load_what", "full turn"), ("m_tipping_load_from", "book"),
    ))  # fmt: skip
    found = telling.told_of(query, DESK)
    assert found.carrier is not None
    whats = [f.what for f in found.carrier.facts]
    assert whats == ["straight", "full turn"]


def test_what_was_told_of_the_work_reaches_the_answer() -> None:
    found = told(w_ground="sidewalk", w_driver="hired", w_curbs="yes", w_road="no", w_gate="7-6", w_depth="8")
    work = found.work
    assert (work.ground, work.driver, work.curbs, work.road, work.ice) == ("sidewalk", "hired", True, False, None)
    assert work.gate == pytest.approx(2.286) and found.read["w-gate"].startswith("7 ft 6 in")
    assert work.depth is None and "a number without a unit" in found.refused["w-depth"].what


def test_a_word_nobody_knows_is_refused_with_the_known_ones() -> None:
    found = told(w_ground="lawn", m_told="yes", m_kind="hovercraft", m_power="40 hp", m_power_from="rumour")
    assert "pavement, gravel" in found.refused["w-ground"].limit
    assert "tractor" in found.refused["m-kind"].limit and found.refused["m-power-0"].value == "rumour"
    assert ("w_ground", "lawn") in found.pairs() and ("m_power", "40 hp") in found.pairs(), "nothing typed is lost"


def test_a_machine_nobody_knows_is_refused_with_near_names(pages: TestClient) -> None:
    answer = pages.get("/calling?machine=K44")
    assert answer.status_code == 404 and "K44" in answer.text


def test_metric_callers_are_answered_in_metric(pages: TestClient) -> None:
    query = asked(
        ("m_kind", "tractor"), ("m_power", "18 kW"), ("m_power_what", "engine"), ("m_power_from", "told"),
        ("m_mass", "900 kg"), ("m_mass_what", "operating"), ("m_mass_from", "told"), ("m_lift", "320 kg"),
        ("m_lift_what", "at pins, full height"), ("m_lift_from", "told"), ("m_flow", "15 L/min"),
        ("m_flow_what", "standard"), ("m_flow_from", "told"), ("m_pressure", "140 bar"), ("m_pressure_from", "told"),
        ("units", "metric"),
    )  # fmt: skip
    text = settled(pages, f"/calling?{query}")
    assert "Not taken" not in text and "Sure?" not in text and " kg" in text and "Inches and pounds" in text
    pages.cookies.clear()


def test_every_row_leads_to_its_blade_and_to_the_match(pages: TestClient) -> None:
    text = settled(pages, "/calling/answer?machine=K7&w_driver=owner")
    rows = re.findall(r'href="(/suits\?[^"]+)"', text)
    assert len(rows) > 10 and all("machine=K7" in row and "w_driver=owner" in row for row in rows)
    for address in (rows[0], rows[0].replace("/suits", "/moves"), re.findall(r'href="(/blade\?[^"]+)"', text)[0]):
        assert pages.get(address).status_code == 200, address


def test_the_address_follows_each_answer(pages: TestClient) -> None:
    answer = pages.get("/calling/answer?m_told=yes&m_kind=tractor&m_power=40+hp&m_power_what=engine&m_power_from=told")
    assert answer.headers["HX-Replace-Url"].startswith("/calling?m_told=yes&m_kind=tractor&m_power=40+hp")


def test_a_wait_can_be_left_and_taken_up_again(pages: TestClient) -> None:
    text = pages.get("/calling/stop?machine=K2").text
    assert "Left waiting" in text and "/calling/answer?machine=K2" in text


@given(
    rows=st.lists(
        st.tuples(
            st.sampled_from([name for name, known in NAMES.items() if known.quantity == "mass"]),
            st.text(alphabet="0123456789 lbkg.,&=%+", min_size=1, max_size=12).filter(lambda t: bool(t.strip())),
            st.sampled_from(SOURCES),
        ),
        max_size=5,
    ),
    note=st.text(max_size=20),
)
@settings(max_examples=60, deadline=None)
def test_an_address_gives_back_all_that_was_typed(rows: list[tuple[str, str, str]], note: str) -> None:
    pairs = [("m_told", "yes"), ("w_note", note)]
    for name, value, source in rows:
        pairs += [(f"m_{name}", value), (f"m_{name}_what", NAMES[name].whats[0]), (f"m_{name}_from", source)]
        if name == "lift":
            pairs.append(("m_lift_ahead", ""))
    first = telling.told_of(QueryParams(urlencode(pairs)), DESK)
    second = telling.told_of(QueryParams(first.query), DESK)
    assert second.rows == first.rows and len(first.rows) == len(rows) and second.typed == first.typed
    assert second.carrier == first.carrier and set(second.refused) == set(first.refused)


def test_the_frames_of_the_blades_shown_are_looked_at_beside_the_page_and_can_be_stopped() -> None:
    pages = TestClient(create_app(Desk.demo()))
    query = "machine=K7&w_driver=owner"
    assert "Look at the frames of these" in settled(pages, f"/calling/answer?{query}")
    begun = pages.get(f"/calling/frames?{query}").text
    assert "Stop" in begun and "<progress" in begun and " of " in begun
    assert "Stopped." in pages.get(f"/calling/frames/stop?{query}").text
    text = settled(pages, f"/calling/frames?{query}")
    assert "The frames are looked at" in text
    assert "its frame first yields at" in settled(pages, f"/calling/answer?{query}").replace("Its frame", "its frame")


def test_a_warm_server_answers_its_first_caller_without_a_wait() -> None:
    app = create_app(Desk.demo())
    app.state.warm()
    pages = TestClient(app)
    settled(pages, "/calling?machine=K2")
    assert 'class="waits"' not in pages.get("/calling?machine=K7").text


def test_examples_and_tape_follow_the_units_of_the_page(pages: TestClient) -> None:
    text = settled(pages, "/calling?machine=K4&units=metric")
    assert 'placeholder="193 cm"' in text and "Widths in mm" in text and ">2134</th>" in text
    pages.cookies.clear()
