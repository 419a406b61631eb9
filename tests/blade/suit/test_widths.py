"""What a blade clears and what room it takes, against poses worked apart, a gate and the road."""

from __future__ import annotations

from math import cos, radians

import pytest

from plowwright.blade.poses import Pose, apply, motions
from plowwright.blade.suit.widths import room
from plowwright.blade.work import Work
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

from .machines import LOADER, blade, check_of, held, machine


def test_the_path_is_the_edge_straight_and_its_cosine_at_full_angle(demo_rules: Rulebook) -> None:
    widths = held(blade(demo_rules, "basalt", 84), machine("skid steer", LOADER)).widths
    assert widths.angle == pytest.approx(radians(30))
    assert widths.straight / INCH == pytest.approx(84)
    assert widths.full_angle / INCH == pytest.approx(84 * cos(radians(30)))


@pytest.mark.parametrize(("series", "width"), [("reed", 60), ("flint", 84), ("basalt", 108)])
def test_the_ends_of_the_edge_are_where_the_pose_puts_them(demo_rules: Rulebook, series: str, width: float) -> None:
    build = blade(demo_rules, series, width)
    widths = held(build, machine("skid steer", LOADER)).widths
    front = build.datum.edge_back + build.assembly.facts["edge thickness"]
    moved = motions(build.assembly.pivots, Pose(angle=widths.angle))["moldboard"]
    left, right = (apply(moved, (front, s * build.assembly.width / 2, 0.0)) for s in (1.0, -1.0))
    # The left end is forward, and nearer to the middle; the right one trails, further out.
    assert left[0] > right[0]
    assert left[1] == pytest.approx(widths.right) and -right[1] == pytest.approx(widths.left)
    assert widths.left + widths.right == pytest.approx(widths.full_angle)


def test_room_covers_every_corner_of_the_steel_and_markers_make_it_no_narrower(demo_rules: Rulebook) -> None:
    bare, marked = blade(demo_rules, "flint", 84), blade(demo_rules, "flint", 84, extras=("markers",))
    for angle in (0.0, radians(30), radians(-30)):
        assert room(bare, angle) >= 84 * INCH * cos(angle) - 1e-9
        assert room(marked, angle) >= room(bare, angle) - 1e-9
    assert room(bare, 0.0) == pytest.approx(84 * INCH, abs=2 * INCH)


def test_it_is_as_wide_angled_to_either_side(demo_rules: Rulebook) -> None:
    build = blade(demo_rules, "flint", 84)
    assert room(build, radians(30)) == pytest.approx(room(build, radians(-30)), abs=0.5 * INCH)


def test_a_machine_wider_than_the_path_at_full_angle_is_refused(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "reed", 60), machine("skid steer", LOADER, width="56 in"))
    assert check_of(suit, "clear_straight").finding.verdict == "near limit"
    angled = check_of(suit, "clear_angled")
    assert angled.finding.verdict == "fails" and angled.binds
    assert "Its wheels run over snow that it leaves." in angled.finding.sentence
    assert suit.verdict == "does not suit" and "path cleared at full angle" in suit.sentence


def test_a_width_nobody_told_holds_up_nothing_and_is_asked_for(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "reed", 60), machine("skid steer", LOADER, width=None))
    assert suit.verdict == "suits" and suit.missing == ("width",)
    assert not check_of(suit, "clear_angled").binds
    assert "width is not known" in check_of(suit, "clear_angled").finding.sentence


def test_the_wheel_at_the_forward_end_asks_for_overlapping_passes(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "basalt", 84), machine("skid steer", LOADER, width="68 in"))
    check = check_of(suit, "clear_side")
    assert check.value is not None and not check.binds
    assert check.value.likely == pytest.approx(34 * INCH - suit.widths.right)
    assert "shifts towards the trailing end" in check.finding.sentence
    narrow = held(blade(demo_rules, "basalt", 108), machine("skid steer", LOADER, width="40 in"))
    assert "run on cleared ground without any" in check_of(narrow, "clear_side").finding.sentence


def test_a_gate_binds_when_it_is_told_with_room_on_both_sides(demo_rules: Rulebook) -> None:
    build, carrier = blade(demo_rules, "flint", 84), machine("skid steer", LOADER)
    assert held(build, carrier).check("gate") is None
    narrowest = min(held(build, carrier).widths.whole, held(build, carrier).widths.travel)
    # The rulebook wants 4 in more than the blade.
    for spare, verdict in ((6 * INCH, "suits"), (3 * INCH, "does not suit")):
        suit = held(build, carrier, Work(gate=narrowest + spare))
        assert suit.verdict == verdict, suit.sentence
    assert "blade through a gate of" in suit.sentence


def test_a_gate_narrower_than_the_machine_itself_says_so(demo_rules: Rulebook) -> None:
    carrier = machine("skid steer", LOADER, width="54 in")
    suit = held(blade(demo_rules, "reed", 48), carrier, Work(gate=53 * INCH))
    assert "the machine itself is" in check_of(suit, "gate").finding.sentence


def test_the_road_binds_only_who_drives_on_it(demo_rules: Rulebook) -> None:
    build, carrier = blade(demo_rules, "basalt", 120), machine("skid steer", LOADER, tipping_load="7,500 lb")
    on_road, not_said, at_home = (held(build, carrier, Work(road=road)) for road in (True, None, False))
    assert check_of(on_road, "travel").finding.verdict == "fails" and on_road.verdict == "does not suit"
    assert check_of(not_said, "travel").finding.verdict == "fails" and not_said.verdict == "suits"
    assert at_home.check("travel") is None
    assert "local rules come first" in check_of(on_road, "travel").finding.sentence
    assert "Narrowest at full angle" in check_of(on_road, "travel").finding.sentence
