"""Papers set as PDF."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from plowwright.errors import EntryError, ModelError
from plowwright.papers import clock, pdf, svg
from plowwright.papers.drawing import Picture

PAPER = """#import "sheet.typ": *
#show: sheet.with(shop: data.shop, title: "Cut list", order: "Order 421M", fingerprint: "7f3a-91c2")
#drawing("front")
#caution[Springs are loaded.]
#facts(("Width", "84 in"), ("Mass", data.mass))
#finding(name: "Hinge pins", value: "30 ksi", limit: "50 ksi", verdict: "holds", bar: "none such")
#ruled(("Mark", "Length"), (("leg", "41-1/4"),), numbers: (1,), ticks: true)
#tick[Weighed.] #tally(7) #write-in("Serial number")
"""
DATA = {"shop": "Ostrel Ridge Metalworks", "mass": "712 lb"}


def front() -> str:
    picture = Picture(100, 40)
    picture.rectangle(0, 0, 100, 40)
    picture.text((50, 20), "front")
    return svg.write(picture, title="front")


def test_the_same_paper_is_the_same_file_in_test_mode(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(clock.SWITCH, "1")
    first = pdf.compile(PAPER, pictures={"front": front()}, data=DATA)
    assert first == pdf.compile(PAPER, pictures={"front": front()}, data=dict(reversed(DATA.items())))


def test_a_given_moment_wins_over_the_clock() -> None:
    when = datetime(2026, 11, 11, 8, 0, tzinfo=UTC)
    later = datetime(2026, 11, 12, 8, 0, tzinfo=UTC)
    pictures = {"front": front()}
    first = pdf.compile(PAPER, pictures=pictures, data=DATA, when=when)
    assert first == pdf.compile(PAPER, pictures=pictures, data=DATA, when=when)
    assert first != pdf.compile(PAPER, pictures=pictures, data=DATA, when=later)


def test_a_mistake_in_a_paper_names_itself() -> None:
    with pytest.raises(ModelError) as refused:
        pdf.compile('#import "sheet.typ": *\n#no-such-word', data={"title": "Cut list"})
    assert "Cut list: the paper could not be set (given: unknown variable: no-such-word)" in str(
        refused.value
    )


def test_data_that_no_paper_can_carry_is_refused() -> None:
    with pytest.raises(EntryError, match="plain text, finite numbers, lists and mappings"):
        pdf.compile(PAPER, data={"mass": float("nan")})


def test_every_page_can_be_looked_at() -> None:
    pages = pdf.pages_png(PAPER + "#pagebreak()\nsecond", pictures={"front": front()}, data=DATA, ppi=40)
    assert len(pages) == 2 and all(page.startswith(b"\x89PNG") for page in pages)
