"""Settings of swing.toml: named, with their ground, refused when they cannot be."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from plowwright.errors import RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.settings import Setting, Spread
from plowwright.rulebook.swing import Swing
from plowwright.units.constants import GPM, PSI

from .conftest import Edit


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


def every(record: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every setting with its dotted name."""
    if isinstance(record, (Setting, Spread)):
        yield path, record
    elif isinstance(record, BaseModel):
        for name in type(record).model_fields:
            yield from every(getattr(record, name), f"{path}.{name}".lstrip("."))


@pytest.fixture
def swing(demo_dir: Path) -> Swing:
    found = load(demo_dir / "rulebook").swing
    assert found is not None
    return found


def test_the_demo_settings_read_in_si(swing: Swing) -> None:
    assert swing.oil.tank.value == pytest.approx(40.0)
    assert swing.oil.lines.three == pytest.approx((-25.0, -10.0, 0.0))
    assert swing.targets.end_speed.value == pytest.approx(0.25)
    assert swing.pack.flow.value == pytest.approx(5 * GPM)
    assert swing.restrictors.sized_at.value == pytest.approx(3300 * PSI)
    assert [round(flow / GPM) for flow in swing.slam.shown.value] == [8, 20, 35]


def test_every_setting_says_what_it_rests_on_and_what_it_is(swing: Swing) -> None:
    found = dict(every(swing))
    assert len(found) > 35
    for name, setting in found.items():
        assert setting.rests_on, name
        assert len(setting.note) >= 8, name
    assert found["slam.least"].rests_on == "common practice"


def test_the_targets_of_other_machines_are_called_borrowed(swing: Swing) -> None:
    assert "ISO 10218, borrowed" in swing.targets.end_speed.note
    assert "EN 953 and ISO 14120, borrowed" in swing.targets.energy.note


def test_a_rulebook_without_the_file_still_reads(copied: Path) -> None:
    (copied / "swing.toml").unlink()
    assert load(copied).swing is None


@pytest.mark.parametrize(
    ("old", "new", "field", "said"),
    [
        ("grade = { value = 46", "grade = { value = 45", "oil.grade", "no such oil grade (given: VG 45)"),
        ('value = [], rests_on', 'value = ["#81"], rests_on', "restrictors.drawer", "no such drill in the table"),
        ('tank = { value = "104 F"', 'tank = { value = "20 F"', "oil", "from pour over lines"),
        ('flow = { value = "5 gpm"', 'flow = { value = "5"', "pack.flow", "(given: 5)"),
        ('relief = { value = "2,000 psi"', 'relief = { value = "0 psi"', "pack.relief", "limit: above zero"),
        ("clear = { value = 1.1", "clear = { value = 0", "relief.clear", "greater than 0"),
        ('value = "relief at the cylinder"', 'value = "anywhere"', "relief.order", "relief at the cylinder"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_file_and_field(
    copied: Path, edit: Edit, old: str, new: str, field: str, said: str
) -> None:
    edit("swing", old, new)
    text = refused(copied)
    assert text.startswith("swing.toml line ") and field in text
    assert said in text
