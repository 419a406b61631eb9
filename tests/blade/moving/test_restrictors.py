"""The restrictors a blade leaves with: sized by its series, never rounded up, the same on every carrier."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from plowwright.blade.build import Build
from plowwright.blade.moving.restrictors import fitted
from plowwright.blade.moving.swinging import circuit_of, swinging
from plowwright.errors import ModelError, NotFoundError
from plowwright.physics import drills
from plowwright.physics.circuits import Restrictors
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.orifices import Restrictor

from .conftest import Known, Made, told


def with_rules(build: Build, part: str, **values: Any) -> Build:
    """The blade by a rulebook with some settings of one part of swing.toml changed."""
    rules = build.rulebook.swing
    assert rules is not None
    record = getattr(rules, part)
    update = {name: getattr(record, name).model_copy(update={"value": value}) for name, value in values.items()}
    changed = rules.model_copy(update={part: record.model_copy(update=update)})
    data = build.rulebook.data.model_copy(update={"swing": changed})
    return replace(build, rulebook=replace(build.rulebook, data=data))


SERIES = (("reed", 60.0, 4.0), ("flint", 84.0, 4.0), ("basalt", 78.0, 5.0), ("basalt", 84.0, 5.0))


@pytest.mark.parametrize(("series", "width", "target"), SERIES)
def test_the_faster_way_takes_the_time_of_the_series_and_the_next_drill_up_would_not(
    made: Made, series: str, width: float, target: float
) -> None:
    build = made(series, width)
    found = fitted(build)
    assert found.target == target
    assert target <= found.sizing.times.shortest < 1.25 * target
    table = drills.table()
    bigger = Restrictor(diameter=table[table.index(found.drill) + 1].diameter)
    strong = told(pressure="3,300 psi", flow="60 gpm")
    own, next_up = (
        swing_times([circuit_of(build, strong, restrictors=Restrictors(cap=hole, rod=hole))])[0].shortest
        for hole in (found.restrictor, bigger)
    )
    assert next_up < target <= own * 1.01
    assert found.sizing.loosest.shortest < found.sizing.times.shortest < found.sizing.tightest.shortest


def test_the_carrier_does_not_change_the_drill(made: Made, known: Known) -> None:
    drills_ = {
        found.fitted.drill.name for name in ("K1", "K7", "K9") if (found := swinging(made(), known(name))) is not None
    }
    assert drills_ == {"#55"}


def test_a_hole_under_a_millimetre_warns_of_plugging(made: Made) -> None:
    found = fitted(made("reed", 60.0))
    assert found.drill.diameter < 1.0e-3
    assert found.finding.verdict == "near limit"
    assert "plugs easily; under 1.0 mm fit a screen" in found.finding.sentence


def test_the_tolerance_is_said_as_a_share_of_the_time(made: Made) -> None:
    sentence = fitted(made()).finding.sentence
    assert "the hole may be off by 0.002 in, 8 % of the time" in sentence


def test_a_drawer_with_few_drills_gives_a_slower_swing_never_a_faster_one(made: Made) -> None:
    build = with_rules(made(), "restrictors", drawer=["3/64", "1/16", "5/64"])
    found = fitted(build)
    assert found.drill.name == "3/64"
    assert found.sizing.times.shortest > fitted(made()).sizing.times.shortest
    with pytest.raises(ModelError, match="every drill is larger than this restrictor may be"):
        fitted(with_rules(made(), "restrictors", drawer=["1/8"]))


def test_a_rulebook_without_settings_is_refused_with_the_way_out(made: Made) -> None:
    build = made()
    data = build.rulebook.data.model_copy(update={"swing": None})
    with pytest.raises(NotFoundError, match=r"no swing.toml.*Copy the one of a newer rulebook"):
        fitted(replace(build, rulebook=replace(build.rulebook, data=data)))
