"""Depth against speed: sure below perhaps, curves where the numbers are, the same axes for all."""

from __future__ import annotations

import itertools

import pytest
import shapely

from plowwright.blade.build import work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import Spec
from plowwright.blade.suit.suits import Suit, suits
from plowwright.desk.desk import Desk
from plowwright.papers import envelope, fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Group, Label, Mark, Path, walk
from plowwright.units.constants import INCH, MPH


@pytest.fixture(scope="module")
def suited(desk: Desk) -> Suit:
    spec = Spec(series="basalt", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    carrier = desk.strength.carrier("K7")
    assert carrier is not None
    found = suits(work_out(spec, desk.rulebook, level=0), carrier)
    assert found is not None
    return found


def _texts(page: Picture) -> list[str]:
    return [m.text for m in walk(page.marks) if isinstance(m, Label)]


def _charts(page: Picture) -> list[Group]:
    def inside(marks: tuple[Mark, ...]) -> list[Group]:
        return [m for m in marks if isinstance(m, Group) and m.name == "envelope"]

    return inside(page.marks)


def test_each_ground_and_angle_has_its_own_chart_with_the_path_it_clears(suited: Suit) -> None:
    page = envelope.picture(suited, width=184)
    assert len(_charts(page)) == len(suited.envelopes) == 6
    said = " ".join(_texts(page))
    for one in suited.envelopes:
        assert one.ground in said
    assert "straight, clears 84 in" in said and "at 30 deg, clears" in said
    assert "depth of snow, in" in said and "speed, mph" in said
    metric = " ".join(_texts(envelope.picture(suited, width=184, system="metric")))
    assert "depth of snow, cm" in metric and "speed, km/h" in metric and "mm" in metric


def test_curves_lie_where_the_numbers_are_and_sure_is_never_over_perhaps(suited: Suit) -> None:
    page = envelope.picture(suited, width=184)
    for chart, one in zip(_charts(page), _ordered(suited), strict=True):
        full = [m for m in walk(chart.marks) if isinstance(m, Path) and not m.closed and m.pen is not None
                and m.pen.width == pytest.approx(0.5)]  # fmt: skip
        perhaps, sure = full
        assert perhaps.pen is not None and perhaps.pen.dash and sure.pen is not None and not sure.pen.dash
        deepest = max(one.perhaps) / INCH
        base = min(v[1] for m in walk(chart.marks) if isinstance(m, Path) and m.closed for v in m.vertices)
        heights = [v[1] - base for v in perhaps.vertices]
        per = max(heights) / deepest if deepest else 0.0
        for (_, y, _), (_, z, _), d, e in zip(
            sure.vertices, perhaps.vertices, one.sure, one.perhaps, strict=True
        ):
            assert y <= z + 1e-9
            assert y - base == pytest.approx(d / INCH * per, abs=0.02)
            assert z - base == pytest.approx(e / INCH * per, abs=0.02)
        span = perhaps.vertices[-1][0] - perhaps.vertices[0][0]
        assert span > 0 and one.speeds[-1] > MPH


def _ordered(suited: Suit) -> list:
    grounds = tuple(dict.fromkeys(e.ground for e in suited.envelopes))
    return [e for g in grounds for e in suited.envelopes if e.ground == g]


def test_without_what_it_needs_no_chart_is_drawn_but_what_to_ask(desk: Desk) -> None:
    spec = Spec(series="basalt", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    found = suits(work_out(spec, desk.rulebook, level=0), Carrier(name="a caller's", kind="skid steer"))
    assert found is not None and not found.envelopes
    assert any(t.startswith("No envelope yet: ask for") for t in _texts(envelope.picture(found, width=184)))


@pytest.mark.parametrize("width", [110.0, 184.0])
def test_no_words_lie_on_each_other(suited: Suit, width: float) -> None:
    for system in ("us", "metric"):
        page = envelope.picture(suited, width=width, system=system)
        boxes = []
        for m in walk(page.marks):
            if isinstance(m, Label):
                wide, high = fonts.text_width(m.text, size=m.size, weight=m.weight), fonts.cap_height(m.size)
                left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[m.anchor]
                low = {"base": 0.0, "centre": -high / 2, "top": -high}[m.stand]
                boxes.append((m.text, shapely.box(m.x + left, m.y + low, m.x + left + wide, m.y + low + high)))
        assert [(a[0], b[0]) for a, b in itertools.combinations(boxes, 2) if a[1].intersects(b[1])] == []
