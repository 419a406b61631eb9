"""The carrier with the blade on it: to scale, what is assumed says so, every axle and its verdict stands there."""

from __future__ import annotations

import itertools
from typing import Literal

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plowwright import units
from plowwright.blade.build import Build, work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import Spec
from plowwright.blade.suit.suits import Suit, suits
from plowwright.blade.work import UNTOLD, Work
from plowwright.desk.desk import Desk
from plowwright.papers import carrier_shapes, fonts, suiting, suiting_plan
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Circle, Group, Label, Mark, Path, Point, walk
from plowwright.papers.projection import see
from plowwright.units.constants import INCH

Where = tuple[str, float, str, str, str]
BLADES: list[Where] = [
    ("basalt", 84, "pin-on", "tractor", "K1"),
    ("flint", 84, "pin-on", "tractor", "K4"),
    ("basalt", 54, "mini", "compact loader", "K5"),
    ("basalt", 84, "loader", "skid steer", "K7"),
    ("flint", 96, "loader", "tracked loader", "K8"),
    ("flint", 90, "hook", "wheel loader", "K10"),
]
SYSTEMS: tuple[Literal["us", "metric"], ...] = ("us", "metric")


def _built(desk: Desk, which: Where) -> Build:
    series, width, mount, kind, _ = which
    spec = Spec(series=series, width=width * INCH, mount=mount, carrier_kind=kind, hoses="flat-face")
    return work_out(spec, desk.rulebook, level=0)


def _suited(desk: Desk, which: Where, work: Work = UNTOLD) -> tuple[Build, Suit]:
    build, carrier = _built(desk, which), desk.strength.carrier(which[4])
    assert carrier is not None
    found = suits(build, carrier, work)
    assert found is not None
    return build, found


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
    return shapely.affinity.translate(shapely.box(left, low, left + wide, low + high), label.x, label.y)


def _crowded(page: Picture) -> list[str]:
    """Words that lie on others, or run off the picture."""
    boxes = [(m.text, _box(m)) for m in walk(page.marks) if isinstance(m, Label)]
    sheet = shapely.box(-0.01, -0.01, page.width + 0.01, page.height + 0.01)
    off = [text for text, box in boxes if not sheet.contains(box)]
    return off + [f"{a[0]} / {b[0]}" for a, b in itertools.combinations(boxes, 2) if a[1].intersects(b[1])]


def _scale(page: Picture) -> float:
    return float(next(t for t in _texts(page) if " 1:" in t).rpartition("1:")[2].partition(" ")[0].rstrip("."))


def _spots(group: Group) -> list[Point]:
    drawn = [m for m in walk(group.marks) if isinstance(m, Path) and m.pen is not None]
    return [(v[0], v[1]) for m in drawn for v in m.vertices]


def _signs(page: Picture) -> list[Circle]:
    """Signs of a centre of gravity."""
    return [m for m in walk(page.marks) if isinstance(m, Circle) and m.radius == pytest.approx(1.7)]


def _axle(page: Picture) -> float:
    """Where the front axle stands across the picture: where the levers ahead of it begin [mm]."""
    lever = next(g for g in _groups(page.marks, "lever") if "carried low" in g.title)
    return max(x for x, _ in _spots(lever))


@pytest.mark.parametrize("which", BLADES)
def test_the_blade_stands_where_the_model_says_seen_from_its_left(desk: Desk, which: Where) -> None:
    build, suit = _suited(desk, which)
    page = suiting.side(build, suit, width=184)
    scale, p, seen = _scale(page), suit.places, see(build, "side")
    (carrier,) = [g for g in page.marks if isinstance(g, Group) and g.name == "carrier"]
    front = min(x for x, _ in _spots(carrier))
    blade = [p for g in page.marks if isinstance(g, Group) and g.part for p in _spots(g)]
    assert min(x for x, _ in blade) < front, "the front is at the reader's left"
    high, low = max(y for _, y in blade), min(y for _, y in blade)
    assert (max(x for x, _ in blade) - min(x for x, _ in blade)) * scale / 1000 == pytest.approx(
        seen.right - seen.left, abs=1e-3
    )
    heights = [z for _, shapes in seen.shapes for shape in shapes for _, z in shape]
    assert (high - low) * scale / 1000 == pytest.approx(max(heights) - min(heights), abs=1e-3)
    axle = _axle(page)
    assert (axle - max(x for x, _ in blade)) * scale / 1000 == pytest.approx(p.plate_low.value + seen.left, abs=1e-3)
    ground = min(y for _, y in _spots(carrier))
    assert (low - ground) * scale / 1000 == pytest.approx(p.rise_low.value + min(heights), abs=0.06)


@pytest.mark.parametrize("which", BLADES)
def test_both_centres_of_gravity_are_marked_at_their_own_distance(desk: Desk, which: Where) -> None:
    build, suit = _suited(desk, which)
    page = suiting.side(build, suit, width=184)
    scale, p = _scale(page), suit.places
    low, up = _signs(page)[-2:]
    assert (up.y - low.y) * scale / 1000 == pytest.approx(p.rise_lifted.value - p.rise_low.value, abs=1e-3)
    assert (_axle(page) - low.x) * scale / 1000 == pytest.approx(p.cg_low.value, abs=1e-3)
    assert (low.x - up.x) * scale / 1000 == pytest.approx(p.cg_lifted.value - p.cg_low.value, abs=1e-3)


@pytest.mark.parametrize("which", BLADES)
def test_every_lever_is_as_long_as_the_model_and_assumed_ones_say_so(desk: Desk, which: Where) -> None:
    build, suit = _suited(desk, which)
    page = suiting.side(build, suit, width=184)
    scale, p = _scale(page), suit.places
    levers = _groups(page.marks, "lever")
    wanted = {
        "wheelbase": p.wheelbase, "tracks on the ground": p.wheelbase, "loader pins": p.pins_ahead,
        "carried low": p.cg_low, "arms level": p.cg_lifted, "ballast": p.ballast_behind,
    }  # fmt: skip
    assert len(levers) >= 3
    for lever in levers:
        place = next(value for words, value in wanted.items() if words in lever.title)
        xs = [m.vertices for m in walk(lever.marks) if isinstance(m, Path) and not m.closed]
        line = max(xs, key=lambda v: abs(v[-1][0] - v[0][0]))
        assert abs(line[-1][0] - line[0][0]) * scale / 1000 == pytest.approx(abs(place.value), abs=2e-3)
        assert lever.title.endswith(", assumed") == place.assumed
        path = next(m for m in walk(lever.marks) if isinstance(m, Path) and m.vertices == line)
        assert path.pen is not None and bool(path.pen.dash) == place.assumed


@pytest.mark.parametrize("which", BLADES)
def test_every_axle_load_its_limit_and_its_verdict_stand_under_the_wheels(desk: Desk, which: Where) -> None:
    build, suit = _suited(desk, which)
    said = _texts(suiting.side(build, suit, width=184))
    if suit.axles is None:
        assert "front axle" not in said
        return
    assert "front axle" in said and "rear axle" in said
    for row in suit.axles.rows:
        assert row.title in said
        for load in (row.front, row.rear):
            assert (load.said("mass") if load.low > 0 else "") in [*said, ""]
    for finding in (suit.axles.front_finding, suit.axles.rear_finding):
        assert finding.verdict in said
        assert any(t.startswith(finding.limit or "not known") for t in said)


def test_ballast_is_drawn_behind_with_its_mass_where_it_is_needed_and_only_there(desk: Desk) -> None:
    for which in BLADES:
        build, suit = _suited(desk, which)
        page = suiting.side(build, suit, width=184)
        blocks = _groups(page.marks, "ballast")
        assert bool(blocks) == (suit.ballast is not None), which
        if suit.ballast is not None:
            assert suit.ballast.mass.said("mass") in _texts(page)
            (carrier,) = _groups(page.marks, "carrier")
            assert max(x for x, _ in _spots(blocks[0])) > max(x for x, _ in _spots(carrier)) - 30


@pytest.mark.parametrize("width", [92.0, 120.0, 184.0])
@pytest.mark.parametrize("which", BLADES)
def test_no_words_lie_on_each_other_or_off_the_picture(desk: Desk, which: Where, width: float) -> None:
    build, suit = _suited(desk, which, Work(gate=2.4))
    for system in SYSTEMS:
        table = width > 100
        side = suiting.side(build, suit, width=width, system=system, table=table, levers=table)
        assert _crowded(side) == []
        assert _crowded(suiting_plan.plan(build, suit, width=width, system=system)) == []


def test_metric_pictures_speak_millimetres_and_kilograms(desk: Desk) -> None:
    build, suit = _suited(desk, BLADES[1])
    for page in (suiting.side(build, suit, width=184, system="metric"),
                 suiting_plan.plan(build, suit, width=184, system="metric")):  # fmt: skip
        said = " ".join(_texts(page))
        assert " mm" in said and " in " not in said.replace("in the usual", "").replace("in broken", "")
    assert " kg" in " ".join(_texts(suiting.side(build, suit, width=184, system="metric")))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(width=st.integers(min_value=9, max_value=17), name=st.sampled_from(["K2", "K4", "K6", "K9", "K10"]))
def test_any_width_on_any_carrier_is_drawn_to_one_scale_from_above(desk: Desk, width: int, name: str) -> None:
    carrier = desk.strength.carrier(name)
    assert carrier is not None
    mount = {"tractor": "pin-on", "skid steer": "loader", "wheel loader": "hook"}[carrier.kind]
    build, suit = _suited(desk, ("flint", 6.0 * width, mount, carrier.kind, name))
    page = suiting_plan.plan(build, suit, width=184)
    scale = _scale(page)
    rows = {g.title.partition(" ")[0]: g for g in _groups(page.marks, "width")}
    straight = _groups(page.marks, "width")[0]
    xs = [x for x, _ in _spots(straight)]
    assert (max(xs) - min(xs)) * scale / 1000 == pytest.approx(suit.widths.straight, abs=2e-3)
    assert "clears" in rows
    angled = [g for g in _groups(page.marks, "width") if g.title.startswith("clears")][1]
    xs = [x for x, _ in _spots(angled)]
    assert (max(xs) - min(xs)) * scale / 1000 == pytest.approx(suit.widths.full_angle, abs=2e-3)
    middle = next(g for g in page.marks if isinstance(g, Label) and g.text == "straight").x
    shift = (184 - 8) / 2 + 8
    assert (middle + shift - min(xs)) * scale / 1000 == pytest.approx(suit.widths.right, abs=2e-3)
    machine = [g for g in _groups(page.marks, "width") if " over t" in g.title]
    assert len(machine) == 2
    xs = [x for x, y in _spots(machine[0])]
    assert (max(xs) - min(xs)) * scale / 1000 == pytest.approx(suit.places.width.value, abs=2e-3)


def test_a_tyre_outside_the_path_cleared_is_hatched_and_said(desk: Desk) -> None:
    build, suit = _suited(desk, ("flint", 66, "loader", "skid steer", "K7"))
    assert any("Hatched" in t for t in _texts(suiting_plan.plan(build, suit, width=184)))
    build, suit = _suited(desk, ("flint", 102, "mini", "compact loader", "K5"))
    assert not any("Hatched" in t for t in _texts(suiting_plan.plan(build, suit, width=184)))


def test_a_gate_stands_below_the_straight_blade_only_where_one_was_told(desk: Desk) -> None:
    build, with_gate = _suited(desk, BLADES[3], Work(gate=90 * INCH))
    _, without = _suited(desk, BLADES[3])
    assert any(t.startswith("gate 90 in") for t in _texts(suiting_plan.plan(build, with_gate, width=184)))
    assert not any(t.startswith("gate") for t in _texts(suiting_plan.plan(build, without, width=184)))


@pytest.mark.parametrize("kind", ["skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"])
def test_each_kind_has_its_own_outline_that_stands_on_the_ground(kind: str) -> None:
    frame = carrier_shapes.Frame(
        kind=kind, wheelbase=1.4, front_radius=0.4, rear_radius=0.5, height=2.1, width=1.6
    )  # fmt: skip
    shapes = carrier_shapes.side_shapes(frame)
    lowest = min(z for s in shapes for _, z in s.ring)
    assert lowest == pytest.approx(0.0, abs=2e-3)
    assert max(z for s in shapes for _, z in s.ring) == pytest.approx(frame.height, abs=0.1 * frame.height)
    tracked = kind in carrier_shapes.TRACKED
    assert any(s.piece == "track" for s in shapes) == tracked
    wheels = [s for s in shapes if s.piece == "wheel"]
    assert len(wheels) == (0 if tracked else 2)
    plan = carrier_shapes.plan_shapes(frame, back=0.8, front=0.9)
    assert max(y for s in plan for y, _ in s.ring) == pytest.approx(frame.width / 2)


def test_a_carrier_of_which_only_the_kind_is_known_is_drawn_all_broken(desk: Desk) -> None:
    build = _built(desk, BLADES[3])
    found = suits(build, Carrier(name="a caller's", kind="skid steer"))
    assert found is not None
    page = suiting.side(build, found, width=184)
    assert all(g.title.endswith("assumed") for g in _groups(page.marks, "lever"))
    assert units.say(build.mass, "mass") in " ".join(_texts(page))
