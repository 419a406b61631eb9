"""Plates and elevations as DXF."""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.errors import EntryError, ModelError
from plowwright.papers.drawing import Picture
from plowwright.papers.dxf import BendLine, PlateText, RoundHole, elevation_dxf, plate_dxf
from plowwright.papers.marks import HIDDEN
from plowwright.papers.views import View

SQUARE = [(0.0, 0.0, 0.0), (0.254, 0.0, 0.0), (0.254, 0.127, 0.0), (0.0, 0.127, 0.0)]


def plate(**changes: object) -> bytes:
    given: dict[str, object] = {
        "loops": [SQUARE],
        "holes": [RoundHole(u=0.05, v=0.05, diameter=0.0127)],
        "bends": [BendLine(start=(0.1, 0.0), end=(0.1, 0.127), note="up 90")],
        "texts": [PlateText(u=0.01, v=0.01, text="web 1")],
        "units": "in",
        "name": "web 1",
    }
    return plate_dxf(**(given | changes))  # type: ignore[arg-type]


def test_the_same_plate_gives_the_same_file_at_any_hour() -> None:
    assert plate() == plate()
    assert plate() != plate(units="mm")


def test_the_libraries_own_switch_is_left_as_it_was() -> None:
    from ezdxf import options

    plate()
    assert options.write_fixed_meta_data_for_testing is False
    with pytest.raises(EntryError):
        plate(units="ft")
    assert options.write_fixed_meta_data_for_testing is False


def test_a_plate_in_feet_is_refused_with_the_two_units_that_work() -> None:
    with pytest.raises(EntryError, match=r"in inches or millimetres \(given: ft\); limit: in, mm"):
        plate(units="ft")


def test_a_plate_without_an_outline_is_refused() -> None:
    with pytest.raises(ModelError, match="plate 'web 1' has no outline"):
        plate(loops=[])


def test_a_clockwise_outline_is_refused_with_the_way_out() -> None:
    with pytest.raises(ModelError, match=r"'web 1' runs clockwise\. Give its corners counter-clockwise"):
        plate(loops=[SQUARE[::-1]])


def test_an_outline_that_encloses_nothing_is_refused() -> None:
    with pytest.raises(ModelError, match="loop 1 of plate 'web 1' encloses nothing"):
        plate(loops=[[(0, 0), (1, 0), (2, 0)]])


def test_a_hole_without_size_is_refused_with_its_place() -> None:
    with pytest.raises(ModelError, match=r"given: 0 mm at \(0.0500, 0.0600\) m\); limit: above 0 mm"):
        plate(holes=[RoundHole(u=0.05, v=0.06, diameter=0.0)])


def test_an_elevation_is_the_same_file_twice(tmp_path: Path) -> None:
    view = View(ratio=10, x=20, y=20)
    picture = Picture(200, 100)
    picture.polygon(view.points(SQUARE))
    picture.line(view.at(0, 0.05), view.at(0.254, 0.05), pen=HIDDEN)
    first = elevation_dxf(picture, view=view, units="in", name="front")
    assert first == elevation_dxf(picture, view=view, units="in", name="front")
