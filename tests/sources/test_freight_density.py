"""Freight class by density, thirteen classes.

Source: NMFC Docket 2025-1, in effect from 19 July 2025: the bounds up to 12 lb/ft3 and from 35 lb/ft3 read in summaries
of it, class 60 for 30 to 35 lb/ft3 by elimination and from memory. A bound belongs to the denser class.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright import rulebook
from plowwright.shop.dock_freight import Packed, freight_class
from plowwright.units import FOOT, LB

FROM = (0.0, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0, 22.5, 30.0, 35.0, 50.0)
CLASSES = (400.0, 300.0, 250.0, 175.0, 125.0, 100.0, 92.5, 85.0, 70.0, 65.0, 60.0, 55.0, 50.0)


def test_the_demo_rulebook_has_the_thirteen_classes(demo_dir: Path) -> None:
    dock = rulebook.load(demo_dir / "rulebook").dock
    assert dock is not None
    bands = dock.freight.bands
    assert tuple(band.freight_class for band in bands) == CLASSES
    assert [band.from_ * FOOT**3 / LB for band in bands] == pytest.approx(FROM)


@pytest.mark.parametrize(("bound", "name"), list(zip(FROM[1:], CLASSES[1:], strict=True)))
def test_a_piece_of_just_that_density_goes_by_the_denser_class(demo_dir: Path, bound: float, name: float) -> None:
    dock = rulebook.load(demo_dir / "rulebook").dock
    assert dock is not None
    at = Packed(length=FOOT, depth=FOOT, height=FOOT, mass=bound * LB, crated=False)
    under = Packed(length=FOOT, depth=FOOT, height=FOOT, mass=(bound - 0.01) * LB, crated=False)
    assert freight_class(at, dock.freight).freight_class == name
    assert freight_class(under, dock.freight).freight_class > name
