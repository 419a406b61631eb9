"""The head of every page: the parts of the day, and the pages of the part one is in."""

from __future__ import annotations

from plowwright.web.heads import PARTS, head_of


def test_every_page_of_the_head_is_in_one_part_only() -> None:
    addresses = [href for part in PARTS for href, _ in part.pages]
    assert len(addresses) == len(set(addresses))


def test_without_records_nothing_that_writes_is_offered() -> None:
    head = head_of("/parts", records=False)
    assert [part["words"] for part in head["parts"]] == ["The wall", "Who's calling", "Steel", "Old blades", "Rules"]
    assert [page["href"] for page in head["pages"]] == ["/cutting", "/plates", "/parts"]


def test_a_page_marks_its_part_and_itself() -> None:
    head = head_of("/loading/418K", records=True)
    assert [part["words"] for part in head["parts"] if part["here"]] == ["Dock"]
    assert [page["words"] for page in head["pages"] if page["here"]] == ["Load slips"]


def test_a_page_that_is_not_in_the_head_marks_the_part_it_belongs_to() -> None:
    assert [p["words"] for p in head_of("/history/F84-21-063", records=True)["parts"] if p["here"]] == ["Old blades"]
    assert [p["words"] for p in head_of("/order/427S", records=True)["parts"] if p["here"]] == ["Who's calling"]
