"""'Will it hold' and 'Rule evidence' in a real browser: by keyboard, on a desk and on a tablet."""

from __future__ import annotations

import threading

import pytest
from playwright.sync_api import expect

from plowwright.desk.desk import Desk
from tests.browser.conftest import Visit, served

SMALLEST = """() => Math.min(...[...document.querySelectorAll('.giving text, .bend text, .look text')].map(t => {
  const box = t.ownerSVGElement;
  return t.getAttribute('font-size') * box.getBoundingClientRect().width / box.viewBox.baseVal.width;
}))"""
OVERFLOW = "() => document.documentElement.scrollWidth - innerWidth"


@pytest.mark.parametrize("width", [1280, 820])
def test_another_carrier_is_chosen_with_the_keyboard_and_stands_in_the_address(visit: Visit, width: int) -> None:
    visit.page.set_viewport_size({"width": width, "height": 900})
    page = visit.open("/blade/420A")
    expect(page.locator("#holds")).to_contain_text("K6 spins on packed snow", timeout=20_000)
    assert page.evaluate(OVERFLOW) <= 0
    assert page.evaluate(SMALLEST) >= 15.9
    page.focus("#machine")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Tab")
    expect(page.locator("#holds")).to_contain_text("K7 spins on packed snow", timeout=20_000)
    assert "machine=K7" in page.url
    page.reload()
    expect(page.locator("#machine")).to_have_value("K7")
    first = page.locator("#holds summary").first
    first.focus()
    page.keyboard.press("Enter")
    assert first.evaluate("e => e.parentElement.open")


def test_a_late_answer_for_the_machine_before_does_not_replace_the_chosen_one(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, gate = Desk.demo(), threading.Event()
    real = desk.strength.holding

    def slow(worked, carrier, **more):
        if carrier and carrier.name == "K2":
            gate.wait(30)
        return real(worked, carrier, **more)

    with served(desk) as visit.home:
        page = visit.page
        page.goto(visit.home + "/blade/420A?machine=K7")
        holds = page.locator("#holds")
        expect(holds).to_contain_text("K7 spins on packed snow", timeout=30_000)
        desk.strength.holding = slow  # type: ignore[method-assign]
        monkeypatch.setattr("plowwright.web.holding.AT_ONCE", 1.5)
        with page.expect_request("**/blade/holds?*machine=K2*"):
            page.select_option("#machine", "K2")
        expect(holds).to_contain_text("Working it out", timeout=10_000)
        with page.expect_request("**/blade/holds?*machine=K2*"):
            pass
        page.select_option("#machine", "K7")
        expect(holds).to_contain_text("K7 spins on packed snow")
        page.wait_for_timeout(2_000)
        expect(holds).to_contain_text("K7 spins on packed snow")
        gate.set()
        page.goto("about:blank")


def test_a_changed_width_is_answered_first_and_its_strength_afterwards(visit: Visit) -> None:
    page = visit.open("/blade/420A?machine=K2")
    expect(page.locator("#holds .said")).to_be_visible(timeout=20_000)
    page.get_by_role("button", name="One width wider").click()
    expect(page.locator("#width")).to_have_value("90 in")
    expect(page.locator("#holds .said")).to_have_count(0)
    expect(page.locator("#holds .said")).to_be_visible(timeout=20_000)


def test_evidence_of_a_series_can_be_stopped_with_a_slow_finger_and_begun_again(visit: Visit) -> None:
    desk, gate, begun = Desk.demo(), threading.Event(), threading.Event()
    real = desk.strength.evidence

    def slow(series, *, told, **more):
        def held(said: str) -> None:
            told(said)
            if "Basalt 90" in said and not gate.is_set():
                begun.set()
                gate.wait(30)

        return real(series, told=held, **more)

    desk.strength.evidence = slow  # type: ignore[method-assign]
    with served(desk) as visit.home:
        page = visit.page
        page.goto(visit.home + "/evidence")
        part = page.locator("#look-basalt")
        assert begun.wait(60)
        expect(part).to_contain_text("Working out Basalt 90 in")
        # How far it is is written anew several times while the finger is down; the press lands all the same.
        part.get_by_role("button", name="Stop").hover()
        page.mouse.down()
        page.wait_for_timeout(1_300)
        page.mouse.up()
        expect(part).to_contain_text("Stopped.")
        page.wait_for_timeout(1_300)
        expect(part).to_contain_text("Stopped.")
        gate.set()
        part.get_by_role("button", name="Begin again").click()
        expect(part.locator("svg")).to_be_visible(timeout=60_000)
        expect(part).to_contain_text("at its limit of 120 in")
        assert page.evaluate(OVERFLOW) <= 0
        assert page.evaluate(SMALLEST) >= 15.9
        page.goto("about:blank")


def test_a_wall_on_trial_says_what_it_does_to_the_margin(visit: Visit) -> None:
    page = visit.open("/evidence")
    page.get_by_label("Series").select_option("reed")
    page.get_by_label("Legs").select_option("tube 2-1/2 x 2-1/2 x 3/16")
    page.get_by_label("Width limit").fill("60 in")
    page.keyboard.press("Enter")
    expect(page.locator("#trial")).to_contain_text("First yield at the width limit:", timeout=60_000)
    expect(page.locator("#trial figcaption")).to_contain_text("up to 60 in")
