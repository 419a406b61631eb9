"""Work under way on every page that waits: pressed stop it stays stopped, whatever an open page still asks of it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.desk.promising import Promising
from plowwright.web.jobs import Job, Jobs, Stopped
from plowwright.web.server import create_app

GOING = "&going=yes"


class Gate:
    """Holds work up until it is opened."""

    def __init__(self) -> None:
        self.open, self.reached = threading.Event(), threading.Event()

    def held(self, work: Callable[..., Any]) -> Callable[..., Any]:
        """The same work, held up at its beginning."""

        def slow(*given: Any, **named: Any) -> Any:
            self.reached.set()
            self.open.wait(60)
            return work(*given, **named)

        return slow


@pytest.fixture
def gate() -> Iterator[Gate]:
    made = Gate()
    yield made
    made.open.set()


def until(pages: TestClient, address: str, said: str) -> str:
    end = time.monotonic() + 120.0
    while time.monotonic() < end:
        text = pages.get(address).text
        if said in text:
            return text
        time.sleep(0.05)
    raise AssertionError(f"{said!r} was never said")


def test_papers_that_were_stopped_are_not_written_because_the_page_still_asks(gate: Gate) -> None:
    desk = Desk.demo()
    desk.strength.holding = gate.held(desk.strength.holding)  # type: ignore[method-assign]
    pages, query = TestClient(create_app(desk)), "order=421M"
    assert ">Stop</button>" in pages.get(f"/blade/papers?{query}").text and gate.reached.wait(60)
    part = pages.get(f"/blade/papers?{query}{GOING}").text
    assert "Writing: strength of the blade" in part and ">Stop</button>" not in part
    assert "Stopped." in pages.get(f"/blade/papers/stop?{query}").text
    late = pages.get(f"/blade/papers?{query}{GOING}")
    assert "Stopped." in late.text and late.headers["HX-Retarget"] == "#papers"
    gate.open.set()
    assert "papers are written" in until(pages, f"/blade/papers?{query}", "papers are written")
    assert "papers are written" in pages.get(f"/blade/papers/stop?{query}").text


def test_frames_that_were_stopped_are_not_looked_at_because_the_page_still_asks(gate: Gate) -> None:
    desk = Desk.demo()
    pages, query = TestClient(create_app(desk)), "machine=K7&w_driver=owner"
    until(pages, f"/calling/answer?{query}", "Look at the frames of these")
    desk.fit.look_at_strength = gate.held(desk.fit.look_at_strength)  # type: ignore[method-assign]
    pages.get(f"/calling/frames?{query}")
    assert gate.reached.wait(60)
    assert "Stopped." in pages.get(f"/calling/frames/stop?{query}").text
    late = pages.get(f"/calling/frames?{query}{GOING}")
    assert "Stopped." in late.text and late.headers["HX-Retarget"] == "#frames"
    gate.open.set()
    until(pages, f"/calling/frames?{query}", "The frames are looked at")


def test_a_wait_for_an_answer_that_was_left_stays_left_until_it_is_asked_again(gate: Gate) -> None:
    desk = Desk.demo()
    desk.fit.answer = gate.held(desk.fit.answer)  # type: ignore[method-assign]
    pages = TestClient(create_app(desk))
    first, second = "machine=K2", "machine=K7"
    pages.get(f"/calling/answer?{first}")
    assert gate.reached.wait(60)
    pages.get(f"/calling/answer?{second}")
    part = pages.get(f"/calling/answer?{second}{GOING}")
    assert "Working the whole range out" in part.text and 'id="notes"' not in part.text
    for query in (second, first):
        assert "Left waiting" in pages.get(f"/calling/stop?{query}").text
        late = pages.get(f"/calling/answer?{query}{GOING}")
        assert "Left waiting" in late.text and late.headers["HX-Retarget"] == "#answer"
    gate.open.set()
    until(pages, f"/calling/answer?{first}", "Ask next")
    until(pages, f"/calling/answer?{second}", "Ask next")


def test_a_promise_asked_for_shows_its_progress_at_once_and_stop_says_what_is_known(
    gate: Gate, shop: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    stops: list[bool] = []
    real = Promising.ask

    def slow(self: Promising, question: Any, *, stop: Callable[[], bool], **more: Any) -> Any:
        gate.reached.set()
        gate.open.wait(60)
        stops.append(stop())
        return real(self, question, stop=stop, **more)

    monkeypatch.setattr(Promising, "ask", slow)
    pages = TestClient(create_app(shop))
    query = urlencode({"order": "432N", "on": "Fri 13 Nov 19:00"})
    part = {"HX-Request": "true"}
    whole = pages.get(f"/promised/answer?{query}", headers=part).text
    assert "Looking." in whole and "Stop, say what is known" in whole and gate.reached.wait(60)
    going = pages.get(f"/promised/answer?{query}{GOING}", headers=part).text
    assert "Looking." in going and "Stop" not in going and "going=yes&amp;going" not in going
    pages.get(f"/promised/answer/stop?{query}", headers=part)
    gate.open.set()
    assert "<b>No</b>" in until(pages, f"/promised/answer?{query}{GOING}", 'class="answered"')
    assert stops == [True]
    # Asked once more by hand it is looked for anew, with all its time.
    until(pages, f"/promised/answer?{query}", 'class="answered"')
    assert stops == [True, False]


def test_stick_lengths_can_be_stopped_with_the_best_so_far(gate: Gate) -> None:
    desk = Desk.demo()
    desk.cutting.lengths = gate.held(desk.cutting.lengths)  # type: ignore[method-assign]
    pages, query = TestClient(create_app(desk)), "order=421M&seconds=2"
    until(pages, f"/cutting/plan?{query}", "To order")
    text = pages.get(f"/cutting/lengths?{query}").text
    assert "Planning the same pieces" in text and "Stop, take the best so far" in text and gate.reached.wait(60)
    pages.get(f"/cutting/lengths/stop?{query}")
    gate.open.set()
    until(pages, f"/cutting/lengths?{query}{GOING}", "ft: ")


def test_a_piece_of_work_that_was_dropped_before_its_turn_never_runs() -> None:
    gate, ran = Gate(), []
    jobs: Jobs[str, str, int] = Jobs("test", kept=4)
    first = jobs.job("first", gate.held(lambda job: "done"))

    def second(job: Job[str, int]) -> str:
        ran.append("second")
        return "done"

    jobs.job("second", second)
    jobs.drop("second")
    gate.open.set()
    assert first.found.result(60) == "done"
    held = jobs.job("second", second, going=True)
    assert held.given_up and held.came_to_nothing and not ran
    assert jobs.job("second", second).found.result(60) == "done" and ran == ["second"]
    jobs.drop("second")
    assert not jobs.job("second", second).given_up and ran == ["second"]


def test_work_without_a_best_so_far_ends_at_its_next_step() -> None:
    job: Job[str, int] = Job()
    job.told_or_stopped(1)
    job.end()
    with pytest.raises(Stopped):
        job.told_or_stopped(2)
    assert job.reached == 1
