"""The part 'Will it hold' of a blade's page: beside the page, for any carrier, with plain words for what cannot be."""

from __future__ import annotations

import re
import shutil
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from plowwright.blade import build as build_module
from plowwright.blade.parts import Assembly, Weld
from plowwright.desk.desk import Desk
from plowwright.web.holding import Held, said_machine
from plowwright.web.server import create_app

PAGE = "/blade/420A"
PART = "/blade/holds?order=420A"


def settled(pages: TestClient, address: str) -> str:
    """The part as it stands once it is worked out."""
    for _ in range(200):
        text = pages.get(address).text
        if "hx-get" not in text:
            return text
        time.sleep(0.1)
    raise AssertionError("it was never worked out")


def test_the_page_comes_without_the_part_and_asks_for_it_afterwards(pages: TestClient) -> None:
    text = pages.get(PAGE).text
    assert 'id="holds" hx-get="/blade/holds?order=420A' in text and 'hx-trigger="load' in text
    assert "What gives first" not in text


def test_a_changed_option_asks_for_the_part_anew(pages: TestClient) -> None:
    query = "order=420A&series=flint&width=90+in&mount=loader&carrier=skid+steer&hoses=none&outlets=left&chosen=yes"
    text = pages.get(f"/blade/answer?{query}").text
    assert re.search(r'id="holds" hx-get="/blade/holds\?order=420A[^"]*width=90', text)


def test_the_part_is_about_the_orders_own_carrier(pages: TestClient) -> None:
    text = settled(pages, PART)
    assert re.search(r"\d+ checks: ", text)
    assert "K6 spins on packed snow" in text and "struck at the corner of the edge" in text
    assert "times too far" in text and "What it rests on" in text
    assert "level 2, shell moldboard and beam frame" in text


def test_every_check_opens_to_its_formula_with_the_numbers_that_went_in(pages: TestClient) -> None:
    text = settled(pages, PART)
    checks = re.findall(r'<div class="finding">.*?</details></div>', text, re.DOTALL)
    assert len(checks) > 40
    for one in checks:
        assert re.search(r'<dl class="basis"><dt>[a-z ]+</dt><dd>.+?</dd>', one, re.DOTALL)
    drawn = [one for one in checks if "<svg" in one]
    assert len(drawn) > 40


def test_another_carrier_or_none_can_be_chosen_and_stands_in_the_address(pages: TestClient) -> None:
    page = pages.get(PAGE).text
    choices = re.search(r'<select id="machine".*?</select>', page, re.DOTALL)
    assert choices and "carrier not known" in choices.group() and "K2, tractor, 3,900 lb" in choices.group()
    assert re.search(r'value="K6" selected', choices.group())
    other = settled(pages, PART + "&machine=K2")
    assert "K2 spins on packed snow" in other and "K2 is a tractor; this blade is chosen for a skid steer." in other
    answer = pages.get(PART + "&machine=K2", headers={"HX-Trigger-Name": "machine"})
    assert answer.headers["HX-Push-Url"].endswith("machine=K2")
    kept = pages.get("/blade?order=420A&machine=K2").text
    assert re.search(r'value="K2" selected', kept) and "machine=K2" in kept
    unknown = settled(pages, PART + "&machine=unknown")
    assert "what the trip lets through" in unknown and "spins on" not in unknown


def test_metric_readers_get_no_pound_in_the_part(pages: TestClient) -> None:
    text = settled(pages, PART + "&units=metric")
    plain = re.sub(r"<[^>]+>", " ", text)
    assert "kN" in plain and "MPa" in plain
    held = re.findall(r"\b[\d,./-]+ (?:lbf|lb|lb/in|ksi|psi|ft-lb)\b", plain)
    assert not held, held[:8]


def test_a_carrier_nobody_knows_is_refused_in_the_part_alone(pages: TestClient) -> None:
    assert pages.get("/blade?order=420A&machine=K77").status_code == 200
    text = pages.get(PART + "&machine=K77").text
    assert "no carrier is called so" in text and "K7" in text


def test_the_orders_own_carrier_leaves_no_trace_in_the_address() -> None:
    assert said_machine("k6", "K6") == "" and said_machine("K2", "K6") == "K2"
    assert said_machine("unknown", "") == "" and said_machine("unknown", "K6") == "unknown"


def test_while_it_is_worked_out_that_is_said_and_asked_again() -> None:
    desk, gate = Desk.demo(), threading.Event()
    real = desk.strength.holding

    def slow(worked, carrier, **more):
        gate.wait(20)
        return real(worked, carrier, **more)

    desk.strength.holding = slow  # type: ignore[method-assign]
    pages = TestClient(create_app(desk))
    text = pages.get(PART).text
    assert "Working it out" in text and 'hx-get="/blade/holds?order=420A' in text
    time.sleep(2.2)
    assert re.search(r"\d s so far", pages.get(PART).text)
    gate.set()
    assert "What gives first" in settled(pages, PART)


def test_a_blade_that_was_left_again_before_its_turn_is_not_worked_out() -> None:
    desk, gate = Desk.demo(), threading.Event()
    asked: list[str] = []

    class Slow:
        def holding(self, worked, carrier, *, level, system):
            asked.append(worked.build.name)
            gate.wait(20)
            return worked

    held = Held(Slow())  # type: ignore[arg-type]
    spec = desk.spec_of("420A")[0]
    widths = [desk.worked(replace(spec, width=w)) for w in desk.rulebook.series["flint"].widths()[:4]]
    jobs = [held.job(worked, None) for worked in widths]
    gate.set()
    jobs[-1].done.result(20)
    jobs[0].done.result(20)
    assert asked == [widths[0].build.name, widths[3].build.name]
    assert jobs[1].done.cancelled() and jobs[2].done.cancelled()
    assert held.job(widths[1], None).done.result(20) is widths[1]


def pinless(assembly: Assembly) -> Assembly:
    return replace(assembly, parts=tuple(p for p in assembly.parts if p.id != "hinge pin 2"))


def weldless(assembly: Assembly) -> Assembly:
    def bare(joint: Weld) -> Weld:
        return replace(joint, end=joint.start, via=(), across=(0.0, 0.0, 0.0), sides=1)

    name = "leg left to hinge beam"
    return replace(
        assembly, joints=tuple(bare(j) if isinstance(j, Weld) and j.id == name else j for j in assembly.joints)
    )


def slack(desk: Desk) -> None:
    """Springs without a rate, past what the rulebook's reader lets through."""
    bought = {
        name: part.model_copy(update={"rate": 0.0}) if part.rate else part
        for name, part in desk.rulebook.data.bought.items()
    }
    data = desk.rulebook.data.model_copy(update={"bought": bought})
    desk.rulebook = replace(desk.rulebook, data=data)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (pinless, "hinge 2 has no pin"),
        (weldless, "weld &#39;leg left to hinge beam&#39; holds nothing"),
        (None, "a spring without rate holds nothing"),
    ],
)
def test_a_blade_that_cannot_hold_is_refused_by_the_name_of_the_part(
    monkeypatch: pytest.MonkeyPatch, change: Callable[[Assembly], Assembly] | None, said: str
) -> None:
    desk = Desk.demo()
    if change is None:
        slack(desk)
    else:
        real = build_module.assemble
        monkeypatch.setattr(build_module, "assemble", lambda spec, rulebook: change(real(spec, rulebook)))
    pages = TestClient(create_app(desk))
    assert pages.get(PAGE).status_code == 200, "the page itself still stands"
    text = settled(pages, PART)
    assert "Its strength cannot be worked out." in text and said in text and "Way out" in text


def test_rules_without_strength_settings_say_which_file_is_missing(demo_dir: Path, tmp_path: Path) -> None:
    shutil.copytree(demo_dir, tmp_path / "shop")
    (tmp_path / "shop" / "rulebook" / "strength.toml").unlink()
    pages = TestClient(create_app(Desk(tmp_path / "shop" / "rulebook", tmp_path / "shop" / "orders.toml")))
    text = settled(pages, PART)
    assert "this rulebook has no strength.toml" in text and "<svg" not in text


def test_a_broken_carrier_file_is_said_in_the_part_and_leaves_the_page_alone(demo_dir: Path, tmp_path: Path) -> None:
    shutil.copytree(demo_dir, tmp_path / "shop")
    (tmp_path / "shop" / "carriers" / "k6.toml").write_text('name = "K6"\nkind = "tank"\n')
    pages = TestClient(create_app(Desk(tmp_path / "shop" / "rulebook", tmp_path / "shop" / "orders.toml")))
    assert pages.get(PAGE).status_code == 200
    assert "k6.toml line 2" in pages.get(PART).text


def test_the_papers_of_the_page_hold_the_sheet_for_the_chosen_carrier(pages: TestClient) -> None:
    for _ in range(300):
        text = pages.get("/blade/papers?order=420A&machine=K2").text
        if "Writing:" not in text:
            break
        time.sleep(0.1)
    assert "will it hold.pdf" in text
    found = pages.get("/blade/papers/will%20it%20hold.pdf?order=420A&machine=K2")
    assert found.status_code == 200 and found.content.startswith(b"%PDF")
