"""'Who's calling', 'Does it suit' and 'How it moves' in a real browser: at the desk, on a tablet, by keyboard."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Visit

OVERFLOW = "() => document.documentElement.scrollWidth - innerWidth"
SMALLEST = """() => Math.min(99, ...[...document.querySelectorAll('.sheet-on text, .seen text')].map(t => {
  const box = t.ownerSVGElement;
  return t.getAttribute('font-size') * box.getBoundingClientRect().width / box.viewBox.baseVal.width;
}))"""
TARGETS = """() => [...document.querySelectorAll(
  'main a, main button, main select, main input[type=text], main summary')]
  .filter(e => e.offsetParent && !e.closest('p:not(.row):not(.links)') && e.getBoundingClientRect().height < 43.5)
  .map(e => e.outerHTML.slice(0, 80))"""
LONG = 60_000


def answered(page: Page) -> None:
    expect(page.locator("#answer .price")).to_be_visible(timeout=LONG)
    expect(page.locator(".htmx-request")).to_have_count(0, timeout=LONG)


@pytest.mark.parametrize("width", [1400, 820])
def test_a_caller_is_written_down_by_keyboard_and_nothing_is_lost(visit: Visit, width: int) -> None:
    visit.page.set_viewport_size({"width": width, "height": 1000})
    page = visit.open("/calling")
    answered(page)
    page.locator("#m-kind").select_option("tractor")
    page.locator("#m-power-0").focus()
    page.keyboard.type("40 hp")
    expect(page, "each stroke stands in the address").to_have_url(re.compile(r"m_power=40\+hp"))
    page.keyboard.press("Tab")
    expect(page.locator(".asks")).to_contain_text("40 hp")
    page.locator("#m-pressure-0").fill("140 psi")
    page.keyboard.press("Tab")
    note = page.locator("#note-m-pressure-0")
    expect(note).to_contain_text("Is it psi or bar?")
    note.get_by_role("button", name="Take 140 bar").click()
    expect(page.locator("#m-pressure-0")).to_have_value("140 bar")
    expect(note).not_to_contain_text("Is it psi or bar?")
    page.locator("#m-lift-0").fill("1450")
    page.keyboard.press("Tab")
    expect(page.locator("#note-m-lift-0")).to_contain_text("Write 640 lb or 290 kg.")
    assert page.evaluate(OVERFLOW) <= 0
    assert page.evaluate(TARGETS) == []
    answered(page)
    page.reload()
    answered(page)
    expect(page.locator("#m-lift-0")).to_have_value("1450")
    expect(page.locator("#m-power-0")).to_have_value("40 hp")
    expect(page.locator("#note-m-lift-0")).to_contain_text("Write 640 lb or 290 kg.")
    page.goto(visit.home + "/calling")
    expect(page.locator("#left-here")).to_contain_text("half written down")
    page.get_by_role("link", name="Go on with it").click()
    expect(page.locator("#m-lift-0")).to_have_value("1450")


def test_a_known_machine_fills_the_fields_and_a_question_leads_to_its_field(visit: Visit) -> None:
    page = visit.open("/calling?w_driver=owner")
    answered(page)
    page.locator("#machine").select_option("K2")
    expect(page.locator("#m-lift-0")).to_have_value("1,450 lb")
    expect(page.locator("#w-driver")).to_have_value("owner")
    answered(page)
    first = page.locator(".jump").first
    target = (first.get_attribute("href") or "")[1:]
    first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(f"#{target}")).to_be_focused()
    page.locator("#m-power-0").fill("38 hp")
    page.keyboard.press("Tab")
    expect(page.locator(".asks")).to_contain_text("38 hp")
    assert "machine=K2" in page.url


def test_a_cell_of_the_tape_leads_to_its_blade_even_when_folded(visit: Visit) -> None:
    page = visit.open("/calling?machine=K7")
    answered(page)
    page.locator("a.cell").first.click()
    expect(page.locator(".choice.lit")).to_be_visible()


@pytest.mark.parametrize("width", [1280, 820])
@pytest.mark.parametrize("address", ["/suits?order=422D", "/moves?order=422D"])
def test_the_drawings_can_be_read_and_pressed_on_desk_and_tablet(visit: Visit, address: str, width: int) -> None:
    visit.page.set_viewport_size({"width": width, "height": 1000})
    page = visit.open(address)
    assert page.evaluate(OVERFLOW) <= 0
    assert page.evaluate(SMALLEST) >= 15.9
    assert page.evaluate(TARGETS) == []
    first = page.locator("summary", has_text="What it rests on").first
    first.focus()
    page.keyboard.press("Enter")
    assert first.evaluate("e => e.parentElement.open")


def test_another_machine_is_chosen_and_stands_in_the_address(visit: Visit) -> None:
    page = visit.open("/suits?order=424H")
    page.locator("#machine").select_option("K2")
    expect(page.locator("h1")).to_contain_text("on" if "moves" in page.url else "suit K2")
    assert "machine=K2" in page.url


def test_the_stopwatch_finds_a_drilled_out_restrictor_without_leaving_the_page(visit: Visit) -> None:
    page = visit.open("/moves?order=422D")
    page.locator("#left").fill("1.4 s")
    page.locator("#right").fill("1.2 s")
    page.locator("#oil").fill("60 F")
    page.keyboard.press("Enter")
    expect(page.locator("#watched")).to_contain_text(re.compile("Drilled out", re.IGNORECASE))
    expect(page.locator("#watched")).to_contain_text("Stand still.")
    assert "left=1.4+s" in page.url
