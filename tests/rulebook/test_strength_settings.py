"""Settings of strength.toml: named, with their ground, refused when they cannot be."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from plowwright.errors import RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.settings import Setting, Spread
from plowwright.rulebook.strength import Strength

from .conftest import Edit

LineIn = Callable[[str, str], int]


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


def settings(record: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every setting with its dotted name."""
    if isinstance(record, (Setting, Spread)):
        yield path, record
    elif isinstance(record, BaseModel):
        for name in type(record).model_fields:
            yield from settings(getattr(record, name), f"{path}.{name}".lstrip("."))
    elif isinstance(record, dict):
        for name, inner in record.items():
            yield from settings(inner, f"{path}.{name}")


@pytest.fixture
def strength(demo_dir: Path) -> Strength:
    found = load(demo_dir / "rulebook").strength
    assert found is not None
    return found


def test_the_demo_settings_read_in_si(strength: Strength) -> None:
    assert strength.steel.young.value == pytest.approx(200e9, rel=0.001)
    assert strength.relief.default.value == pytest.approx(17.24e6, rel=0.001)
    assert strength.wear.left_below_angle.value == pytest.approx(0.00635)
    assert strength.traction.ice.three == (0.05, 0.08, 0.12)


def test_every_setting_says_what_it_rests_on_and_what_it_is(strength: Strength) -> None:
    found = dict(settings(strength))
    assert len(found) > 40
    for name, setting in found.items():
        assert setting.rests_on, name
        assert len(setting.note) >= 8, name
    assert found["traction.pavement"].rests_on == "assumed"
    assert found["weld.electrode"].rests_on == "standard"


def test_what_is_assumed_says_so_where_it_is_shown(strength: Strength) -> None:
    assert strength.strike.uplift.said("-") == "0.2 (assumed)"
    assert strength.relief.default.said("pressure") == "2,500 psi (shop rule)"
    assert strength.traction.packed_snow.said("-") == "0.15 to 0.25 (paper)"


def test_a_rulebook_closed_before_the_settings_stays_valid_and_sealed(demo_dir: Path) -> None:
    past = load(demo_dir / "rulebook" / "past" / "2022-03-01")
    assert past.strength is None
    assert past.fingerprint == past.version.sealed


def test_a_rulebook_without_the_file_still_reads(copied: Path) -> None:
    (copied / "strength.toml").unlink()
    assert load(copied).strength is None


def test_a_setting_without_its_ground_is_refused(copied: Path, edit: Edit, line_in: LineIn) -> None:
    edit("strength", 'uplift = { value = 0.2, rests_on = "assumed", note', "uplift = { value = 0.2, note")
    said = refused(copied)
    at = line_in("strength", "uplift")
    assert said.startswith(f"strength.toml line {at}, strike.uplift")
    assert "rests_on is missing" in said


def test_an_unknown_ground_is_refused_with_the_words_there_are(copied: Path, edit: Edit) -> None:
    edit("strength", 'value = 0.2, rests_on = "assumed"', 'value = 0.2, rests_on = "hearsay"')
    said = refused(copied)
    assert "(given: hearsay)" in said and '"common practice"' in said


def test_a_setting_without_its_unit_is_refused_with_an_example(copied: Path, edit: Edit, line_in: LineIn) -> None:
    edit("strength", 'default = { value = "2,500 psi"', 'default = { value = "2500"')
    said = refused(copied)
    assert said.startswith(f"strength.toml line {line_in('strength', 'default')}, relief.default.value")
    assert "(given: 2500)" in said and "2,750 psi or 190 bar" in said


def test_a_spread_that_is_not_in_order_is_refused(copied: Path, edit: Edit) -> None:
    edit("strength", "low = 0.05, likely = 0.08, high = 0.12", "low = 0.15, likely = 0.08, high = 0.12")
    assert "traction.ice: " in (said := refused(copied))
    assert "from low over likely to high" in said


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ('young = { value = "29,000 ksi"', 'young = { value = "0 ksi"', "steel.young"),
        ("bump = { value = 2.0", "bump = { value = -2.0", "loads.bump"),
        ("least_capacity = { value = 0.9", "least_capacity = { value = 1.9", "trip.most_of_least_capacity"),
        ("share = 0.2, times = 4000", "share = 0.2, times = 0", "spectrum.rows.row 1.times"),
        ('greatest = { value = "3 in"', 'greatest = { value = "-3 in"', "wear.greatest"),
    ],
)  # fmt: skip
def test_zero_negative_and_too_large_settings_are_refused_by_field(
    copied: Path, edit: Edit, old: str, new: str, field: str
) -> None:
    edit("strength", old, new)
    said = refused(copied)
    assert said.startswith("strength.toml line ")
    assert field in said


def test_a_spring_of_zero_rate_is_refused_by_file_line_and_field(copied: Path, edit: Edit, line_in: LineIn) -> None:
    edit("bought", 'rate = "131 lb/in"', 'rate = "0 lb/in"')
    said = refused(copied)
    assert said.startswith(f"bought.toml line {line_in('bought', '0 lb/in')}")
    assert '"trip spring 3/8".rate: a spring rate of zero cannot be worked with (given: 0 lb/in)' in said
    assert "limit: above zero. Write 150 lb/in" in said


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("sections", 'wall = "1/8 in"', 'wall = "0 in"'),
        ("bought", 'wire = "5/16 in"', 'wire = "0 in"'),
        ("bought", "active_coils = 29", "active_coils = 0"),
        ("bought", 'bore = "2 in"', 'bore = "-2 in"'),
        ("series", 'frame = "1/4 in"', 'frame = "0 in"'),
        ("plates", 'thickness = "', 'thickness = "-'),
    ],
)
def test_sizes_of_nothing_are_refused(copied: Path, edit: Edit, file: str, old: str, new: str) -> None:
    edit(file, old, new)
    said = refused(copied)
    assert said.startswith(f"{file}.toml line ")
    assert new.split('"')[1] if '"' in new else "0" in said


def test_a_series_may_have_its_own_relief(copied: Path, edit: Edit) -> None:
    own = 'value = "1,800 psi"\nrests_on = "shop rule"\nnote = "light frames yield first"\n'
    edit("strength", "# Pounds of push", f"[relief.by_series.reed]\n{own}\n# Pounds of push")
    found = load(copied).strength
    assert found is not None
    assert found.relief.of("reed").said("pressure") == "1,800 psi (shop rule)"
    assert found.relief.of("flint").said("pressure") == "2,500 psi (shop rule)"


def test_a_changed_setting_changes_the_fingerprint(copied: Path, edit: Edit) -> None:
    before = load(copied).fingerprint
    edit("strength", "bump = { value = 2.0", "bump = { value = 2.5")
    assert load(copied).fingerprint != before


def test_a_kind_of_carrier_without_its_own_driving_is_driven_as_any(strength: Strength) -> None:
    assert strength.trip.drives("tractor") == "gentle"
    assert strength.trip.drives("skid steer") == "rough"


def test_the_doc_page_names_every_setting(repo_root: Path, strength: Strength) -> None:
    page = (repo_root / "docs" / "strength-settings.md").read_text(encoding="utf-8")
    missing = [name for name, _ in settings(strength) if f"`{name}`" not in page and "driving" not in name]
    assert not missing
