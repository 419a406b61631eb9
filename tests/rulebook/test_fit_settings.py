"""Settings of fit.toml: class rows with their reasons, refused when they cannot be."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from plowwright.errors import RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.fit import Fit
from plowwright.units.constants import HP, INCH, LB

from .conftest import Edit
from .test_strength_settings import settings

LineIn = Callable[[str, str], int]


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


@pytest.fixture
def fit(demo_dir: Path) -> Fit:
    found = load(demo_dir / "rulebook").fit
    assert found is not None
    return found


def test_the_demo_rows_read_in_si(fit: Fit) -> None:
    heavy = next(row for row in fit.calls if row.duty_class == "heavy")
    assert heavy.power_over == pytest.approx(70 * HP) and heavy.lift_from == pytest.approx(2000 * LB)
    assert fit.allowances[0].width_up_to == pytest.approx(78 * INCH)
    assert fit.kinds["tractor"].mass_per_power.likely == pytest.approx(105 * LB / HP)


def test_every_row_and_setting_says_what_it_rests_on(fit: Fit) -> None:
    for row in (*fit.calls, *fit.allowances):
        assert row.rests_on in ("common practice", "shop rule", "assumed") and len(row.note) >= 8
    for name, setting in settings(fit):
        assert setting.rests_on, name
        assert len(setting.note) >= 8, name


def test_what_machines_usually_are_is_marked_assumed(fit: Fit) -> None:
    assert {row.rests_on for name, row in settings(fit) if name.startswith("kinds.")} == {"assumed"}


def test_every_fact_the_fit_asks_for_has_its_sentence(fit: Fit) -> None:
    from plowwright.blade.fit.beliefs import FACTS_OF

    wanted = {fact for facts in FACTS_OF.values() for fact in facts} | {"kind", "driver", "ground", "gate"}
    assert wanted == set(fit.questions)


def test_a_rulebook_without_the_file_stays_valid(copied: Path) -> None:
    (copied / "fit.toml").unlink()
    assert load(copied).fit is None


def test_a_power_without_a_unit_is_refused_with_an_example(copied: Path, edit: Edit, line_in: LineIn) -> None:
    line = line_in("fit", 'power_over = "70 hp"')
    edit("fit", 'power_over = "70 hp"', 'power_over = "70"')
    text = refused(copied)
    assert f"fit.toml line {line}" in text and "70" in text and "hp" in text


def test_weight_for_each_horsepower_needs_both_units(copied: Path, edit: Edit) -> None:
    edit("fit", "105 lb/hp", "105 lb")
    assert "110 lb/hp" in refused(copied)


def test_a_row_from_the_higher_to_the_lower_power_is_refused(copied: Path, edit: Edit) -> None:
    edit("fit", 'power_from = "20 hp"', 'power_from = "35 hp"')
    assert "from the lower to the higher" in refused(copied)


def test_an_unknown_class_is_refused_with_the_known_ones(copied: Path, edit: Edit) -> None:
    edit("fit", 'duty_class = "heavy"', 'duty_class = "extra heavy"')
    text = refused(copied)
    assert "extra heavy" in text and '"light"' in text


def test_a_row_without_its_reason_is_refused(copied: Path, edit: Edit) -> None:
    edit("fit", 'note = "over 70 hp with 2,000 lb of lift bends anything less"\n', "")
    assert "note is missing" in refused(copied)
