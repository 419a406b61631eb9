"""Settings of dock.toml: named, with their ground, refused when they cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.errors import RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.dock import Dock
from plowwright.units import FOOT, INCH, LB

from .conftest import Edit
from .test_swing_settings import every


@pytest.fixture
def dock(demo_dir: Path) -> Dock:
    found = load(demo_dir / "rulebook").dock
    assert found is not None
    return found


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


def test_the_demo_settings_read_in_si(dock: Dock) -> None:
    assert dock.scale.least.value == pytest.approx(4 * LB)
    assert dock.receiving.size.value == pytest.approx(INCH / 32)
    assert dock.freight.bands[1].from_ == pytest.approx(LB / FOOT**3)
    assert dock.stock.days_before.value == 3


def test_every_setting_says_what_it_rests_on_and_what_it_is(dock: Dock) -> None:
    found = dict(every(dock))
    assert len(found) > 14
    for name, setting in found.items():
        assert len(setting.note) >= 8, name
    assert dock.freight.rests_on == "standard"
    assert {"wall", "class", "hoses", "unknown"} <= set(dock.scale.causes)


def test_a_weight_without_unit_is_refused_with_file_and_line(copied: Path, edit: Edit) -> None:
    edit("dock", 'least = { value = "4 lb"', "least = { value = 4")
    text = refused(copied)
    assert "dock.toml line" in text
    assert "unit" in text


def test_bands_that_do_not_rise_are_refused(copied: Path, edit: Edit) -> None:
    edit("dock", 'from = "2 lb/ft3"', 'from = "0.5 lb/ft3"')
    text = refused(copied)
    assert "dock.toml" in text
    assert "from the lightest at zero upwards" in text


def test_a_share_above_one_is_refused(copied: Path, edit: Edit) -> None:
    edit("dock", "share = { value = 0.0075", "share = { value = 7.5")
    assert "dock.toml" in refused(copied)
