"""Dated rulebooks."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from plowwright.errors import NotFoundError, RulebookError
from plowwright.rulebook import load, versions

from .conftest import Edit


def test_versions_are_listed_newest_first_with_their_reasons(demo_dir: Path) -> None:
    known = versions(demo_dir / "rulebook")
    assert [line.date for line in known] == [date(2026, 9, 1), date(2022, 3, 1)]
    assert "four hinge pins" in known[1].reason


@pytest.mark.parametrize(
    ("on", "ear", "base"),
    [
        (date(2022, 3, 1), "plate 3/8", 1705),
        (date(2026, 8, 31), "plate 3/8", 1705),
        (date(2026, 9, 1), "plate 1/2", 2110),
        (date(2030, 1, 1), "plate 1/2", 2110),
    ],
)
def test_an_old_serial_keeps_the_rules_of_its_day(demo_dir: Path, on: date, ear: str, base: float) -> None:
    book = load(demo_dir / "rulebook", on=on)
    assert book.series["flint"].rows[0].ear == ear
    assert book.prices.series["flint"].base == base


def test_a_day_before_the_oldest_rules_is_refused_with_their_date(demo_dir: Path) -> None:
    with pytest.raises(NotFoundError) as caught:
        load(demo_dir / "rulebook", on=date(2021, 5, 1))
    assert "(given: 2021-05-01); limit: the oldest rulebook is of 2022-03-01" in str(caught.value)


def test_a_version_without_a_reason_is_refused(copied: Path, edit: Edit) -> None:
    edit(
        "past/2022-03-01/version",
        'reason = "Spring price list of 2022, first Basalt with four hinge pins"',
        "",
    )
    with pytest.raises(RulebookError, match="reason: field required"):
        versions(copied)


def test_the_past_rules_of_the_demo_carry_the_seal_they_were_closed_with(demo_dir: Path) -> None:
    past = load(demo_dir / "rulebook" / "past" / "2022-03-01")
    assert past.fingerprint == past.version.sealed
