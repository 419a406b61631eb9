"""What a person does on the pages, done in a real browser."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Visit

WIDTHS = (1280, 820)


def mass(page: Page) -> float:
    return float(page.locator("#mass").inner_text().removesuffix(" lb").replace(",", ""))


def reach(page: Page, wanted: str, *, most: int = 60) -> None:
    """Press Tab until the focus is on what the selector names."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", wanted):
            return
    pytest.fail(f"{wanted} is not reached with the Tab key")


def test_a_wider_blade_is_redrawn_and_reweighed_by_one_request(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    before, drawing = mass(page), page.locator(".drawing svg").inner_html()
    visit.asked.clear()
    page.get_by_role("button", name="One width wider").click()
    expect(page.locator("#width")).to_have_value("90 in")
    assert mass(page) > before + 10 and page.locator(".drawing svg").inner_html() != drawing
    assert len([url for url in visit.asked if "/blade/answer" in url]) == 1
    assert "width=90+in" in page.url and "order=421M" in page.url


def test_a_closed_lid_and_a_step_back_lose_nothing(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    before = mass(page)
    page.get_by_role("button", name="One width wider").click()
    expect(page.locator("#width")).to_have_value("90 in")
    wider = mass(page)
    page.reload()
    assert mass(page) == wider
    page.go_back()
    expect(page.locator("#width")).to_have_value("84 in")
    assert mass(page) == before


def test_a_clash_is_said_where_it_happens_and_the_last_drawing_stays(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    drawing = page.locator(".drawing svg").inner_html()
    page.get_by_label("Reed, light").check()
    expect(page.locator("#clash")).to_contain_text("Reed is not built 84 in wide")
    assert page.locator(".drawing svg").inner_html() == drawing
    page.get_by_role("link", name="Take 72 in wide").click()
    expect(page.locator("h1")).to_contain_text("Reed 72 in")
    # A refused form is a refusal by HTTP too, which the browser writes to its console.
    visit.complaints[:] = [line for line in visit.complaints if "422" not in line]


def test_all_of_it_is_done_with_the_keyboard(visit: Visit) -> None:
    page = visit.open("/")
    reach(page, "a.number[href='/blade/423P']")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid", "the focus is seen"
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("423P")
    reach(page, "button[value='narrower']")
    page.keyboard.press("Enter")
    expect(page.locator("#width")).to_have_value("102 in")
    reach(page, "tr[data-parts] button")
    expect(page.locator(".drawing .lit").first).to_be_attached()
    reach(page, "summary", most=120)
    page.keyboard.press("Enter")
    expect(page.locator("details[open]").first).to_be_visible()


def test_a_part_in_the_list_and_on_the_drawing_point_at_each_other(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    page.locator("tr[data-parts='skin'] button").hover()
    expect(page.locator(".drawing [data-part='skin'].lit").first).to_be_attached()
    page.locator(".drawing [data-part='skin'] path").first.click(position={"x": 30, "y": 12})
    expect(page.locator("tr[data-parts='skin']")).to_have_class(re.compile("lit"))


def test_two_orders_of_the_wall_are_laid_side_by_side(visit: Visit) -> None:
    page = visit.open("/")
    button = page.get_by_role("button", name="Lay the chosen side by side")
    expect(button).to_be_disabled()
    page.get_by_label("Lay 420A side by side").check()
    page.get_by_label("Lay 421M side by side").check()
    button.click()
    expect(page.locator("#looks")).to_contain_text("told apart by eye")
    assert page.locator(".both .drawing svg").count() == 2


def test_the_solid_view_draws_and_its_sliders_move_the_servers_model(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    expect(page.locator("#solid[data-parts]")).to_be_attached(timeout=20000)
    assert int(page.locator("#solid").get_attribute("data-parts") or 0) > 50
    still = page.locator("#solid canvas").screenshot()
    with page.expect_response(re.compile("/blade/pose")) as answer:
        page.locator("#angle").focus()
        page.keyboard.press("ArrowRight")
    places = answer.value.json()["places"]
    assert places["skin"] != places["mount plate"]
    expect(page.locator("#angle-said")).to_contain_text("1 deg left")
    page.locator("#angle").fill("30")
    page.wait_for_function("document.getElementById('solid').dataset.pose.startsWith('30 ')")
    assert page.locator("#solid canvas").screenshot() != still


def test_a_browser_that_cannot_draw_in_depth_says_so_and_keeps_the_drawing(visit: Visit) -> None:
    visit.page.add_init_script(
        "const own = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...rest)"
        " { return kind.startsWith('webgl') ? null : own.call(this, kind, ...rest); };"
    )
    page = visit.open("/blade/421M")
    expect(page.locator("#angle")).to_be_disabled()
    expect(page.locator("#solid .stage")).to_contain_text("needs a browser that can draw in depth")
    assert page.locator("#solid canvas").count() == 0 and page.locator(".drawing svg").is_visible()
    # The depth library writes the same to the console.
    visit.complaints[:] = [line for line in visit.complaints if "WebGL" not in line]


def test_what_is_chosen_is_laid_beside_an_order(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    page.get_by_role("button", name="One width wider").click()
    expect(page.locator("#width")).to_have_value("90 in")
    page.get_by_role("button", name="Lay them side by side").click()
    expect(page.locator("h1")).to_have_text("as chosen and 421M, side by side")
    assert page.locator(".both .drawing svg").count() == 2


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("address", ["/", "/blade/421M", "/side?order=420A&order=421M"])
def test_no_page_is_wider_than_its_screen_and_letters_are_large_enough(visit: Visit, width: int, address: str) -> None:
    visit.page.set_viewport_size({"width": width, "height": 900})
    page = visit.open(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    small = page.evaluate(
        "[...document.querySelectorAll('main *')].filter(e => !e.closest('svg') && e.innerText &&"
        " parseFloat(getComputedStyle(e).fontSize) < 16).map(e => e.tagName + ' ' + e.className)"
    )
    assert not small
    low = page.evaluate(
        "[...document.querySelectorAll('button, .pick, .choose, select, input[type=text], summary')]"
        ".map(e => [e.textContent.trim().slice(0, 30), e.getBoundingClientRect().height])"
        ".filter(([, height]) => height > 0 && height < 44)"
    )
    assert not low, "a gloved thumb needs 44 px"


def test_the_night_sheet_stays_chosen(visit: Visit) -> None:
    page = visit.open("/")
    page.get_by_role("button", name="Night sheet").click()
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    visit.open("/blade/421M")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == ground != "rgb(247, 245, 239)"


def test_papers_are_written_on_demand_and_said_while_they_are(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    page.get_by_role("button", name="Write the papers").click()
    expect(page.locator("#papers")).to_contain_text("papers are written", timeout=60000)
    with page.expect_download() as download:
        page.locator("#papers a", has_text=".pdf").first.click()
    assert download.value.suggested_filename.endswith(".pdf")


def test_paper_gets_neither_colour_nor_controls(visit: Visit) -> None:
    page = visit.open("/blade/421M")
    page.emulate_media(media="print")
    assert not page.locator(".edge").is_visible() and page.locator(".drawing svg").is_visible()
    colours = page.evaluate(
        "[...new Set([...document.querySelectorAll('main *')].filter(e => e.checkVisibility())"
        ".flatMap(e => { const s = getComputedStyle(e);"
        " return [s.color, s.stroke, s.fill]; }))].filter(c => c.startsWith('rgb('))"
    )
    coloured = [c for c in colours if len(set(re.findall(r"\d+", c)[:3])) > 1]
    assert not coloured
