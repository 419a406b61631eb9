"""Settings of suit.toml: where a carrier holds what, ballast, gates, road and snow; refused when they cannot be."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from plowwright.blade.carriers import KINDS
from plowwright.errors import RulebookError
from plowwright.physics.snow import density
from plowwright.rulebook import load
from plowwright.rulebook.suit import Suit
from plowwright.units.constants import DEGREE, INCH, MPH

from .conftest import Edit
from .test_strength_settings import settings

LineIn = Callable[[str, str], int]


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


@pytest.fixture
def suit(demo_dir: Path) -> Suit:
    found = load(demo_dir / "rulebook").suit
    assert found is not None
    return found


def test_the_demo_settings_read_in_si(suit: Suit) -> None:
    assert suit.plate_ahead_of_pins["pins"].likely == pytest.approx(4.5 * INCH)
    assert suit.road_width.value == pytest.approx(102 * INCH)
    assert suit.articulation.value == pytest.approx(40 * DEGREE)
    assert suit.snow.fastest.value == pytest.approx(10 * MPH)
    assert suit.kinds["tractor"].drawn.wheelbase == pytest.approx(72 * INCH)


def test_every_setting_says_what_it_rests_on_and_what_it_is(suit: Suit) -> None:
    found = dict(settings(suit))
    assert len(found) > 15
    for name, setting in found.items():
        assert setting.rests_on, name
        assert len(setting.note) >= 8, name
    assert found["reach_over_wheelbase"].rests_on == "assumed"


def test_every_kind_of_carrier_and_mount_has_its_places(suit: Suit) -> None:
    assert set(suit.kinds) == set(KINDS)
    assert set(suit.plate_ahead_of_pins) == {"plate", "pins", "hook"}
    for kind, places in suit.kinds.items():
        # A tractor is rated at its pins; every other kind where its bucket's load would be.
        assert (places.rated_ahead_of_plate is None) == (kind == "tractor"), kind


def test_what_nobody_measured_is_marked_assumed(suit: Suit) -> None:
    where = {name: row.rests_on for name, row in settings(suit) if name.startswith("kinds.")}
    assert where and set(where.values()) == {"assumed"}


def test_the_usual_snow_is_one_the_table_knows(suit: Suit) -> None:
    assert density(suit.snow.state.value).low > 0.0


def test_a_rulebook_without_the_file_stays_valid(copied: Path) -> None:
    (copied / "suit.toml").unlink()
    assert load(copied).suit is None


def test_a_gate_room_without_a_unit_is_refused_with_an_example(copied: Path, edit: Edit, line_in: LineIn) -> None:
    line = line_in("suit", 'value = "4 in"')
    edit("suit", 'value = "4 in"', 'value = "4"')
    text = refused(copied)
    assert f"suit.toml line {line}, gate_room.value: a number without a unit (given: 4). Write 90 in" in text


def test_a_spread_from_the_higher_to_the_lower_is_refused(copied: Path, edit: Edit) -> None:
    edit("suit", 'low = "24 in", likely = "30 in", high = "38 in"', 'low = "34 in", likely = "30 in", high = "38 in"')
    text = refused(copied)
    assert "ballast.behind" in text and "not in that order" in text


def test_an_unknown_kind_of_carrier_is_refused(copied: Path, edit: Edit) -> None:
    edit("suit", '[kinds."compact loader"]', '[kinds."compact crawler"]')
    assert "compact crawler" in refused(copied)


def test_a_share_over_one_is_refused(copied: Path, edit: Edit) -> None:
    edit("suit", "value = 0.35", "value = 35")
    text = refused(copied)
    assert "ballast.greatest" in text and "35" in text


def test_a_setting_without_its_ground_is_refused(copied: Path, edit: Edit) -> None:
    edit("suit", 'rests_on = "shop rule"\nnote = "both sides', 'note = "both sides')
    text = refused(copied)
    assert "gate_room" in text and "rests_on is missing" in text
