"""Pictures of how a blade moves: to scale, every number from the swing, no word on another."""

from __future__ import annotations

import itertools
from math import hypot
from typing import Literal

import pytest
import shapely

from plowwright.blade.build import Build, work_out
from plowwright.blade.moving.judging import end_speed, joules, seconds, span_said
from plowwright.blade.moving.results import Swinging
from plowwright.blade.moving.swinging import swinging
from plowwright.blade.spec import Spec
from plowwright.desk.desk import Desk
from plowwright.papers import fonts, moving, moving_bars
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Group, Label, Mark, Path, walk
from plowwright.units.constants import INCH, PSI

Where = tuple[str, float, str, str, str]
BLADES: list[Where] = [
    ("reed", 48, "pin-on", "tractor", "K1"),
    ("flint", 84, "loader", "skid steer", "K6"),
    ("basalt", 84, "loader", "skid steer", "K7"),
    ("basalt", 120, "loader", "skid steer", "K9"),
    ("flint", 90, "hook", "wheel loader", "K10"),
]


def _swung(desk: Desk, which: Where) -> tuple[Build, Swinging]:
    series, width, mount, kind, name = which
    spec = Spec(series=series, width=width * INCH, mount=mount, carrier_kind=kind, hoses="flat-face")
    build = work_out(spec, desk.rulebook, level=0)
    found = swinging(build, desk.strength.carrier(name))
    assert found is not None
    return build, found


@pytest.fixture(scope="module")
def swung(desk: Desk) -> tuple[Build, Swinging]:
    return _swung(desk, BLADES[2])


def _texts(page: Picture) -> list[str]:
    return [m.text for m in walk(page.marks) if isinstance(m, Label)]


def _groups(marks: tuple[Mark, ...], name: str) -> list[Group]:
    found = [m for m in marks if isinstance(m, Group)]
    return [g for g in found if g.name == name] + [i for g in found for i in _groups(g.marks, name)]


def _box(label: Label) -> shapely.Polygon:
    wide = fonts.text_width(label.text, size=label.size, weight=label.weight)
    high = fonts.cap_height(label.size)
    left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[label.anchor]
    low = {"base": 0.0, "centre": -high / 2, "top": -high}[label.stand]
    flat = shapely.box(left, low, left + wide, low + high)
    return shapely.affinity.translate(shapely.affinity.rotate(flat, label.rotate, origin=(0, 0)), label.x, label.y)


def _crowded(page: Picture) -> list[str]:
    """Words that lie on others, or run off the picture."""
    boxes = [(m.text, _box(m)) for m in walk(page.marks) if isinstance(m, Label)]
    sheet = shapely.box(-0.01, -0.01, page.width + 0.01, page.height + 0.01)
    off = [text for text, box in boxes if not sheet.contains(box)]
    return off + [f"{a[0]} / {b[0]}" for a, b in itertools.combinations(boxes, 2) if a[1].intersects(b[1])]


def _scale(page: Picture) -> float:
    said = next(t for t in _texts(page) if "scale 1:" in t)
    return float(said.rpartition("1:")[2])


@pytest.mark.parametrize("which", BLADES)
def test_the_swing_is_to_scale_and_its_arcs_turn_about_the_king_pin(desk: Desk, which: Where) -> None:
    build, found = _swung(desk, which)
    page = moving.swing(build, found, width=184)
    scale, pin = _scale(page), build.assembly.pivots.king_pin
    path = moving.arc(build, build.assembly.pivots.angle_stop, sign=1.0)
    radii = [hypot(y - pin[1], x - pin[0]) for y, x in path]
    assert max(radii) - min(radii) < 1e-9
    ends = [v for g in _groups(page.marks, "arc") for m in walk(g.marks) if isinstance(m, Path) and not m.closed
            for v in (m.vertices[0], m.vertices[-1])]  # fmt: skip
    drawn = hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]) * scale / 1000
    wanted = hypot(path[-1][0] - path[0][0], path[-1][1] - path[0][1])
    assert drawn == pytest.approx(wanted, rel=2e-3)


def test_seconds_stand_at_the_end_that_goes_forward(swung: tuple[Build, Swinging]) -> None:
    build, found = swung
    page = moving.swing(build, found, width=184)
    for group in _groups(page.marks, "arc"):
        (label,) = [m for m in walk(group.marks) if isinstance(m, Label)]
        one = next(w for w in found.by_way.values() if group.title.startswith(w.says))
        assert label.text == seconds(one.time.likely)
        assert (label.x < page.width / 2) == one.says.startswith("left")


def test_every_number_of_both_ways_stands_below_the_swing(swung: tuple[Build, Swinging]) -> None:
    build, found = swung
    said = _texts(moving.swing(build, found, width=184))
    for one in found.by_way.values():
        assert span_said(one.time, seconds) in said
        assert span_said(one.end_speed, end_speed) in said
        assert span_said(one.energy, joules) in said
        assert one.stall.said("force") in said
        assert one.says in said and f"rod {one.way}" in said
    assert set(moving.ROWS) <= set(said)
    assert not set(moving.ROWS) & set(_texts(moving.swing(build, found, width=184, table=False)))


def test_metric_pictures_speak_millimetres_newtons_and_bar(swung: tuple[Build, Swinging]) -> None:
    build, found = swung
    said = " ".join(_texts(moving.swing(build, found, width=184, system="metric")))
    assert "mm/s" in said and "N" in said and "lbf" not in said
    said = " ".join(_texts(moving_bars.pressures(found, width=184, system="metric")))
    assert "bar" in said and "psi" not in said


@pytest.mark.parametrize("width", [110.0, 184.0])
@pytest.mark.parametrize("which", BLADES)
def test_no_words_lie_on_each_other_or_off_the_picture(desk: Desk, which: Where, width: float) -> None:
    build, found = _swung(desk, which)
    systems: tuple[Literal["us", "metric"], ...] = ("us", "metric")
    for system in systems:
        assert _crowded(moving.swing(build, found, width=width, system=system)) == []
        assert _crowded(moving_bars.pressures(found, width=width, system=system)) == []
    for page in (moving.times(found, width=width), moving.order(found, width=width),
                 moving_bars.margins(found, width=width)):  # fmt: skip
        assert _crowded(page) == []


def test_the_pack_and_the_carrier_stand_on_one_scale(swung: tuple[Build, Swinging]) -> None:
    _, found = swung
    assert found.on_carrier is not None
    said = _texts(moving.times(found, width=184))
    for way, one in found.by_way.items():
        assert f"{one.says}, test pack" in said and f"{one.says}, K7" in said
        assert span_said(found.on_pack.of(way), seconds) in said
        assert span_said(found.on_carrier.of(way), seconds) in said


def test_without_a_carrier_only_the_pack_is_drawn(desk: Desk) -> None:
    build, _ = _swung(desk, BLADES[2])
    found = swinging(build, None)
    assert found is not None
    said = _texts(moving.times(found, width=184))
    assert sum("test pack" in t for t in said) == 2 and not [t for t in said if "K7" in t]
    assert moving.swing(build, found, width=184).marks


def test_every_check_of_both_ways_has_its_bar_and_its_verdict(swung: tuple[Build, Swinging]) -> None:
    _, found = swung
    page = moving_bars.margins(found, width=184)
    titles = {g.title for g in _groups(page.marks, "finding")}
    wanted = {f"{o.says}: {k}: {f.verdict}" for o in found.by_way.values() for k, f in o.checks.items()}
    assert titles == wanted and len(wanted) == 6


def test_pressures_lie_where_their_scale_says(swung: tuple[Build, Swinging]) -> None:
    _, found = swung
    page = moving_bars.pressures(found, width=184)
    marks = sorted((float(m.text.replace(",", "")), m.x) for m in walk(page.marks)
                   if isinstance(m, Label) and m.text.replace(",", "").isdigit())  # fmt: skip
    (zero, x0), (most, x1) = marks[0], marks[-1]
    per = (x1 - x0) / (most - zero)
    for row, group in zip(found.pressures, _groups(page.marks, "pressure"), strict=True):
        paths = [m for m in walk(group.marks) if isinstance(m, Path)]
        limit = next(p for p in paths if p.pen is not None and p.pen.name == "limit")
        assert limit.vertices[0][0] == pytest.approx(x0 + row.rated / PSI * per, abs=0.05)
        assert max(v[0] for v in paths[0].vertices) == pytest.approx(x0 + row.working.high / PSI * per, abs=0.05)
        assert f"rated {row.rated / PSI:,.0f} psi: {row.finding.verdict}" in _texts(page)


def test_a_relief_behind_the_restrictors_is_drawn_so_and_called_useless(desk: Desk) -> None:
    build, right = _swung(desk, BLADES[1])
    wrong = swinging(build, desk.strength.carrier("K6"), order="restrictor between cylinder and relief")
    assert wrong is not None

    def boxes(found: Swinging) -> list[str]:
        page = moving.order(found, width=150)
        groups = _groups(page.marks, "sits")
        return [g.title for g in sorted(groups, key=lambda g: min(v[0] for m in walk(g.marks) if isinstance(m, Path)
                                                                  for v in m.vertices))]  # fmt: skip

    assert boxes(right)[:3] == ["cylinder", "crossover relief", "restrictors"]
    assert boxes(wrong)[:3] == ["cylinder", "restrictors", "crossover relief"]
    assert any("useless" in t for t in _texts(moving.order(wrong, width=150)))
