from __future__ import annotations

from pathlib import Path

import pytest

from plowwright import rulebook as rulebooks
from plowwright.blade import spec as specs
from plowwright.blade.build import work_out
from plowwright.errors import RulebookError
from plowwright.rulebook.trial import tried
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def demo(demo_dir: Path) -> rulebooks.Rulebook:
    return rulebooks.load(demo_dir / "rulebook")


def test_a_wider_reed_and_a_thicker_leg_can_be_tried_without_touching_the_rules(demo) -> None:
    trial = tried(demo, "reed", changes={"leg": "tube 2-1/2 x 2-1/2 x 3/16"}, up_to=84 * INCH)
    assert trial.fingerprint != demo.fingerprint
    assert demo.series["reed"].widths()[-1] == pytest.approx(72 * INCH)
    assert trial.series["reed"].widths()[-1] == pytest.approx(84 * INCH)
    assert {row.leg for row in demo.series["reed"].rows} == {"tube 2-1/2 x 2-1/2 x 1/8"}
    assert work_out(_reed("84 in"), trial, level=0).mass > work_out(_reed("72 in"), trial, level=0).mass
    assert work_out(_reed("72 in"), trial, level=0).mass > work_out(_reed("72 in"), demo, level=0).mass


def _reed(width: str) -> specs.Spec:
    choices = {"series": "reed", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    return specs.from_dict({**choices, "width": width})


def test_what_cannot_be_tried_is_refused_with_what_could(demo) -> None:
    with pytest.raises(RulebookError, match=r"no series is called so \(given: red\).*reed"):
        tried(demo, "red")
    with pytest.raises(RulebookError, match=r"no such field to try \(given: legs\).*leg"):
        tried(demo, "reed", changes={"legs": "tube 3 x 3 x 1/4"})
    with pytest.raises(RulebookError, match=r"no stock is called so \(given: tube 3 x 3\)"):
        tried(demo, "reed", changes={"leg": "tube 3 x 3"})
    with pytest.raises(RulebookError, match=r"narrower than the narrowest \(given: 40 in\)"):
        tried(demo, "reed", up_to=40 * INCH)
