"""Hole layouts of cutting edges, flips, cutting down, blanks and what fits what."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plowwright.blade.edge_bars import EdgeBar, PlowBoltHole, bar_mass, hole_volume
from plowwright.blade.edge_blanks import blank_for, interchange, meets, standard_layout
from plowwright.blade.edges import HoleLayout, HoleRule, cut_from, layout
from plowwright.errors import EdgeError

IN = 0.0254
LB = 0.45359237
BLANKS = tuple(b * IN for b in (72, 90, 102, 120))


def bolt_hole(size: float = 0.625) -> PlowBoltHole:
    return PlowBoltHole(
        size=size * IN, shape="square", head_diameter=1.1 * IN, countersink_angle=math.radians(80)
    )


def bar(*, height: float = 6, hole_line: float = 3, thickness: float = 0.5, size: float = 0.625) -> EdgeBar:
    return EdgeBar(
        height=height * IN, thickness=thickness * IN, hole_line=hole_line * IN, hole=bolt_hole(size)
    )


def twelve_inch(of: EdgeBar | None = None) -> HoleRule:
    return HoleRule(end=3 * IN, pitch=12 * IN, least_end_gap=6 * IN, bar=of)


def eleven_inch(middle: str = "best", of: EdgeBar | None = None) -> HoleRule:
    return HoleRule(
        end=3.5 * IN,
        pitch=11 * IN,
        least_end_gap=6 * IN,
        middle=middle,  # type: ignore[arg-type]
        bar=of,
    )


def inch(values: tuple[float, ...]) -> list[float]:
    return [round(v / IN, 6) for v in values]


# --- laying out ---------------------------------------------------------------------------------------


def test_a_ninety_inch_edge_has_eight_holes_twelve_inches_apart() -> None:
    edge = layout(90 * IN, twelve_inch())
    assert inch(edge.positions) == [3, 15, 27, 39, 51, 63, 75, 87]
    assert inch(edge.gaps) == [12] * 7


def test_the_rule_alone_puts_the_leftover_of_an_84_edge_into_the_end_gaps() -> None:
    assert inch(layout(84 * IN, twelve_inch()).gaps) == [9, 12, 12, 12, 12, 12, 9]


@pytest.mark.parametrize(
    ("width", "end_gap", "holes"),
    [(48, 9.5, 5), (72, 10.5, 7), (84, 11, 8), (90, 8.5, 9), (96, 6, 10), (102, 9, 10), (120, 7, 12)],
)
def test_eleven_inch_pitch_leaves_these_end_gaps(width: int, end_gap: float, holes: int) -> None:
    edge = layout(width * IN, eleven_inch())
    assert edge.end_gap / IN == pytest.approx(end_gap)
    assert len(edge.positions) == holes


def test_the_last_pitch_hole_is_dropped_when_the_end_gap_would_be_under_six() -> None:
    edge = layout(84 * IN, eleven_inch("hole"))
    assert inch(edge.gaps) == [16.5, 11, 11, 11, 11, 16.5], "5-1/2 in would have been left"


def test_with_a_tie_the_middle_takes_fewer_holes() -> None:
    rule = HoleRule(end=3 * IN, pitch=12 * IN, least_end_gap=3 * IN)
    tied = layout((6 + 2 * 15.0) * IN, rule)
    assert inch(tied.gaps) == [9, 12, 9], "a hole on the middle would have given 3-12-12-3"


def test_when_both_end_gaps_exceed_the_pitch_the_smaller_excess_wins() -> None:
    edge = layout(62.5 * IN, eleven_inch())
    assert edge.end_gap / IN == pytest.approx(11.25)


def test_the_even_fill_makes_all_gaps_equal_and_not_above_the_pitch() -> None:
    rule = HoleRule(end=3 * IN, pitch=12 * IN, least_end_gap=6 * IN, fill="even")
    assert inch(layout(84 * IN, rule).gaps) == pytest.approx([78 / 7] * 7)
    assert inch(layout(90 * IN, rule).gaps) == pytest.approx([12] * 7)


def test_an_edge_too_short_for_two_end_holes_is_refused_with_the_least_length() -> None:
    with pytest.raises(
        EdgeError, match=r"too short.*10 in.*at least 12 in: two ends of 3 in and a gap of 6 in"
    ):
        layout(10 * IN, twelve_inch())


def test_a_first_hole_too_near_the_end_is_refused() -> None:
    with pytest.raises(EdgeError, match=r"1 in.*at least 1-1/4 in"):
        HoleRule(end=1 * IN, pitch=12 * IN, least_end_gap=6 * IN)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_a_pitch_that_is_no_length_is_refused_by_name(wrong: float) -> None:
    with pytest.raises(EdgeError, match="pitch must be above zero"):
        HoleRule(end=3 * IN, pitch=wrong, least_end_gap=6 * IN)


def test_holes_out_of_order_or_outside_the_bar_are_refused() -> None:
    with pytest.raises(EdgeError, match=r"9 and 3 in.*below 12 in"):
        HoleLayout(length=12 * IN, positions=(9 * IN, 3 * IN), rule=twelve_inch())


lengths = st.floats(min_value=40, max_value=160).map(lambda x: x * IN)
rules = st.builds(
    lambda end, pitch, share, middle: HoleRule(
        end=end * IN, pitch=pitch * IN, least_end_gap=share * pitch * IN, middle=middle
    ),
    st.floats(2, 5),
    st.floats(6, 16),
    st.floats(0.3, 0.9),
    st.sampled_from(["hole", "gap", "best"]),
)


@given(lengths, rules)
def test_any_layout_reads_the_same_from_both_ends_and_keeps_the_end_rules(
    length: float, rule: HoleRule
) -> None:
    edge = layout(length, rule)
    assert edge.positions == pytest.approx(edge.turned().positions)
    assert edge.is_symmetric()
    assert all(a < b for a, b in pairwise(edge.positions))
    assert edge.positions[0] == pytest.approx(rule.end)
    assert edge.positions[-1] == pytest.approx(length - rule.end)
    assert edge.end_gap >= rule.least_end_gap - 1e-3
    most = rule.pitch + rule.least_end_gap * (2 if len(edge.positions) == 2 else 1)
    assert edge.end_gap < most + 1e-3
    assert all(g == pytest.approx(rule.pitch) for g in edge.gaps[1:-1])


@given(lengths, rules)
def test_running_dimensions_from_the_right_are_those_of_the_turned_edge(
    length: float, rule: HoleRule
) -> None:
    edge = layout(length, rule)
    assert [length - p for p in edge.running("right")] == pytest.approx(list(reversed(edge.running())))


# --- flipping -----------------------------------------------------------------------------------------


def test_a_centre_punched_symmetric_edge_may_be_turned_end_for_end_but_not_face_for_face() -> None:
    edge = layout(90 * IN, twelve_inch(bar()))
    assert edge.is_flippable()
    assert "never face for face" in edge.flip_reason()
    assert "centre-punched, 3 in from the top of a 6 in bar" in edge.flip_reason()


def test_an_edge_punched_edge_is_not_flippable_though_its_holes_are_symmetric() -> None:
    edge = layout(90 * IN, twelve_inch(bar(hole_line=1.5)))
    assert edge.is_symmetric()
    assert not edge.is_flippable()
    assert "1-1/2 in from the top of a 6 in bar; turned, they would be 4-1/2 in" in edge.flip_reason()


def test_an_unsymmetric_edge_is_not_flippable_and_says_how_far_a_hole_is_out() -> None:
    edge = HoleLayout(length=84 * IN, positions=(3 * IN, 40 * IN, 75 * IN), rule=twelve_inch(bar()))
    assert not edge.is_flippable()
    assert "6 in out; limit 1/32 in" in edge.flip_reason()


def test_without_a_hole_line_flippable_holds_only_on_condition() -> None:
    edge = layout(90 * IN, HoleRule.of(end=3 * IN, pitch=12 * IN))
    assert edge.is_flippable()
    assert edge.flip_reason().startswith("flippable on condition that it is centre-punched")


@pytest.mark.parametrize(("out", "flips"), [(1 / 64, True), (1 / 8, False)])
def test_a_hole_may_be_a_thirty_second_out(out: float, flips: bool) -> None:
    edge = HoleLayout(length=84 * IN, positions=(3 * IN, (81 + out) * IN), rule=twelve_inch(bar()))
    assert edge.is_flippable() is flips


# --- cutting down -------------------------------------------------------------------------------------


def test_an_84_edge_cut_from_a_90_uses_six_old_holes_and_gets_two_new_ones() -> None:
    cut = cut_from(90 * IN, 84 * IN, twelve_inch(bar()))
    assert cut.off_each_end / IN == pytest.approx(3)
    assert inch(cut.layout.gaps) == [9, 12, 12, 12, 12, 12, 9]
    assert inch(cut.new_holes) == [3, 81]
    assert inch(tuple(h.in_blank for h in cut.used)) == [15, 27, 39, 51, 63, 75]
    assert inch(tuple(h.in_edge for h in cut.lost)) == [0, 84]
    assert cut.waste / IN == pytest.approx(6)
    assert cut.layout.is_flippable()
    assert cut.follows_rule()
    assert cut.steps()[0] == "Cut 3 in off each end of the 90 in edge; 84 in is left."
    assert cut.steps()[1].startswith("Drill new end holes at 3 and 81 in")


@pytest.mark.parametrize("off_left", [6.0, 0.0])
def test_cutting_all_off_one_end_is_refused_because_it_would_not_flip_nor_meet_the_angle(
    off_left: float,
) -> None:
    with pytest.raises(EdgeError) as refused:
        cut_from(90 * IN, 84 * IN, twelve_inch(bar()), off_left=off_left * IN)
    text = str(refused.value)
    assert "6 in off one end leaves an edge that is not flippable" in text
    assert "the bottom angle has 3, 12, 24, 36, 48, 60, 72 and 81 in; 1 of 8 would be met" in text
    assert "Cut 3 in off each end" in text


def test_half_off_the_left_is_the_symmetric_cut() -> None:
    rule = twelve_inch()
    assert cut_from(90 * IN, 84 * IN, rule, off_left=3 * IN) == cut_from(90 * IN, 84 * IN, rule)


def test_a_blank_shorter_than_the_edge_is_refused() -> None:
    with pytest.raises(EdgeError, match=r"84 in blank for a 90 in edge.*at least 90 in"):
        cut_from(84 * IN, 90 * IN, twelve_inch())


def test_an_old_hole_beside_a_new_one_is_refused_and_a_blank_offered_that_works() -> None:
    with pytest.raises(EdgeError) as refused:
        cut_from(102 * IN, 60 * IN, eleven_inch("gap"))
    text = str(refused.value)
    assert "would stand at 2-1/2 in of the edge, 1 in from the end hole at 3-1/2 in" in text
    assert "at least 1-1/4 in" in text
    assert "A blank of 62-1/2 in drilled by the same rule would do" in text
    assert cut_from(62.5 * IN, 60 * IN, eleven_inch("gap")).follows_rule()


def test_half_an_inch_off_a_drilled_edge_is_refused_because_the_end_holes_would_run_together() -> None:
    with pytest.raises(EdgeError, match=r"1/4 in from the end hole"):
        cut_from(90 * IN, 89.5 * IN, twelve_inch())


def test_an_old_hole_left_near_the_end_stays_unused_and_is_named() -> None:
    cut = cut_from(102 * IN, 96 * IN, eleven_inch())
    assert inch(tuple(h.in_edge for h in cut.idle)) == [0.5, 95.5]
    assert any("Do not use the old hole at 1/2 in" in step for step in cut.steps())
    assert inch(cut.layout.idle) == [0.5, 95.5]


def test_an_old_hole_under_the_least_end_gap_stays_unused() -> None:
    cut = cut_from(90 * IN, 84 * IN, eleven_inch())
    assert inch(cut.layout.idle) == [0.5, 9, 75, 83.5]
    assert cut.layout.end_gap / IN == pytest.approx(16.5)
    assert not cut.follows_rule()
    assert "Drill the bottom angle to this edge" in cut.steps()[-1]


def test_an_84_from_the_102_blank_needs_no_new_hole() -> None:
    assert cut_from(102 * IN, 84 * IN, eleven_inch()).new_holes == ()


def test_a_blank_that_is_not_symmetric_is_refused() -> None:
    odd = HoleLayout(length=90 * IN, positions=(3 * IN, 20 * IN, 87 * IN), rule=twelve_inch())
    with pytest.raises(EdgeError, match="do not read the same from both ends"):
        cut_from(odd, 84 * IN, twelve_inch())


def test_an_edge_of_the_blanks_own_length_is_the_blank() -> None:
    cut = cut_from(90 * IN, 90 * IN, twelve_inch())
    assert cut.new_holes == ()
    assert cut.waste == 0
    assert cut.layout == layout(90 * IN, twelve_inch())


@given(lengths, st.floats(0, 50), rules)
def test_a_cut_down_edge_is_refused_or_symmetric_and_meets_an_angle_drilled_to_it(
    length: float, longer: float, rule: HoleRule
) -> None:
    blank = layout(length + longer * IN, rule)
    try:
        cut = cut_from(blank, length, rule)
    except EdgeError:
        assume(False)
        return
    assert cut.layout.is_symmetric()
    assert meets(cut.layout.turned(), cut.layout).fits
    assert cut.waste == pytest.approx(longer * IN, abs=IN / 32)
    assert len(cut.old_holes) == len(blank.positions)
    assert len(cut.used) + len(cut.new_holes) == len(cut.layout.positions)
    assert all(cut.layout.end_gap >= rule.least_end_gap - 1e-3 for _ in cut.new_holes)
    every_hole = sorted((*cut.layout.positions, *cut.layout.idle))
    ends = (cut.layout.positions[0], cut.layout.positions[-1])
    clear = [abs(p - e) for p in every_hole for e in ends if p != e]
    assert all(c >= rule.least_between - 1e-3 for c in clear)


@given(st.integers(48, 120), st.integers(1, 40), st.sampled_from(["hole", "gap"]))
def test_with_one_kind_of_middle_every_cut_that_is_possible_follows_the_rule(
    width: int, longer: int, middle: str
) -> None:
    rule = eleven_inch(middle)
    try:
        cut = cut_from((width + longer) * IN, width * IN, rule)
    except EdgeError as refusal:
        reason = refusal.what
    else:
        reason = "" if cut.follows_rule() else "the rule is not followed"
    assert reason == "" or "from the end hole" in reason


# --- blanks and the bottom angle ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "serving"),
    [
        (48, [72, 90]),
        (54, [102, 120]),
        (60, []),
        (66, [72, 90]),
        (72, [72]),
        (78, [102, 120]),
        (84, [102, 120]),
        (90, [90]),
        (96, [102, 120]),
        (102, [102, 120]),
        (108, []),
        (114, []),
        (120, [120]),
    ],
)
def test_these_stocked_blanks_serve_each_width_by_its_own_rule(width: int, serving: list[int]) -> None:
    choice = blank_for(width * IN, BLANKS, eleven_inch())
    assert inch(tuple(c.blank for c in choice.serving)) == serving
    assert len(choice.candidates) == 4
    assert choice.wanted == layout(width * IN, eleven_inch())


@pytest.mark.parametrize("width", range(48, 121, 6))
@pytest.mark.parametrize("policy", ["own rule", "stocked blank"])
@pytest.mark.parametrize("middle", ["best", "hole", "gap"])
def test_every_blank_that_serves_meets_the_one_layout_of_the_width(
    width: int, policy: str, middle: str
) -> None:
    rule = eleven_inch(middle)
    angle = standard_layout(width * IN, BLANKS, rule, policy=policy)  # type: ignore[arg-type]
    choice = blank_for(width * IN, BLANKS, rule, policy=policy)  # type: ignore[arg-type]
    assert choice.wanted == angle
    for found in choice.serving:
        assert meets(found.cut.layout, angle).fits
    wastes = [c.waste for c in choice.serving]
    assert wastes == sorted(wastes)


def test_the_stocked_blank_policy_saves_waste_on_an_84_at_the_price_of_wider_end_gaps() -> None:
    own = blank_for(84 * IN, BLANKS, eleven_inch()).best()
    stocked = blank_for(84 * IN, BLANKS, eleven_inch(), policy="stocked blank").best()
    assert (own.waste / IN, stocked.waste / IN) == pytest.approx((18, 6))
    assert (own.cut.layout.end_gap / IN, stocked.cut.layout.end_gap / IN) == pytest.approx((11, 16.5))


def test_when_no_blank_serves_every_reason_and_an_undrilled_bar_are_given() -> None:
    with pytest.raises(EdgeError) as refused:
        blank_for(108 * IN, BLANKS, eleven_inch()).best()
    text = str(refused.value)
    assert "102 in does not serve: the blank is shorter than the edge" in text
    assert "120 in does not serve: the blank's hole at" in text
    assert "Take an undrilled bar of at least 108 in and drill it at 3-1/2, 10," in text


def test_a_blank_with_the_other_middle_does_not_serve_and_says_which_holes_miss() -> None:
    words = blank_for(84 * IN, BLANKS, eleven_inch()).in_words()
    assert "90 in does not serve: cut down, its holes do not meet the bottom angle: 2 holes meet" in words[1]


def test_an_edge_that_is_shorter_than_its_angle_lies_middle_on_middle() -> None:
    match = meets(layout(84 * IN, twelve_inch()), layout(90 * IN, twelve_inch()))
    assert inch(match.met) == [15, 27, 39, 51, 63, 75]
    assert inch(match.angle_only) == [3, 87]
    assert inch(match.edge_only) == [6, 84]
    assert "6 holes meet" in match.in_words()


def test_edges_interchange_by_length_holes_height_and_hole_line_and_thickness_is_only_noted() -> None:
    edges = {
        "standard 90": layout(90 * IN, twelve_inch(bar())),
        "heavy 90": layout(90 * IN, twelve_inch(bar(thickness=0.625))),
        "deep 90": layout(90 * IN, twelve_inch(bar(height=8))),
        "edge-punched 90": layout(90 * IN, twelve_inch(bar(hole_line=1.5))),
        "standard 84": layout(84 * IN, twelve_inch(bar())),
        "cut-down 84": cut_from(90 * IN, 84 * IN, twelve_inch(bar())).layout,
        "bigger bolts 84": layout(84 * IN, twelve_inch(bar(size=0.75))),
        "bar not known 84": layout(84 * IN, twelve_inch()),
    }
    groups = interchange(edges)
    assert [g.names for g in groups] == [
        ("standard 90", "heavy 90"),
        ("deep 90",),
        ("edge-punched 90",),
        ("standard 84", "cut-down 84"),
        ("bigger bolts 84",),
        ("bar not known 84",),
    ]
    assert groups[0].notes == (
        "heavy 90 fits, but is thicker than standard 90: 5/8 in against 1/2 in; bolts to suit",
    )
    assert groups[3].notes == ()


# --- bar and holes ------------------------------------------------------------------------------------


def test_a_six_by_half_by_84_bar_weighs_71_and_a_half_pounds_before_holes() -> None:
    mass = bar_mass(height=6 * IN, thickness=0.5 * IN, length=84 * IN, density=7850)
    assert mass / LB == pytest.approx(71.5, abs=0.05)


def test_a_square_hole_without_countersink_is_side_squared_times_thickness() -> None:
    plain = PlowBoltHole(size=0.625 * IN, shape="square", head_diameter=0, countersink_angle=math.radians(80))
    assert hole_volume(plain, 0.5 * IN) / IN**3 == pytest.approx(0.625**2 * 0.5)


def test_a_countersunk_round_hole_is_a_cone_on_a_cylinder() -> None:
    hole = PlowBoltHole(size=0.5, shape="round", head_diameter=1.0, countersink_angle=math.pi / 2)
    # 45 degrees: the cone narrows from 1 to 1/2 over a depth of 1/4; by slices against the formula
    slices = 4000
    step = 1.0 / slices
    radii = (max(0.25, 0.5 - (i + 0.5) * step) for i in range(slices))
    assert hole_volume(hole, 1.0) == pytest.approx(sum(math.pi * r * r * step for r in radii), rel=1e-5)


def test_a_countersink_deeper_than_the_bar_stops_at_its_back() -> None:
    hole = PlowBoltHole(size=0.1, shape="round", head_diameter=1.0, countersink_angle=math.pi / 2)
    assert hole_volume(hole, 0.2) == pytest.approx(math.pi * 0.2 / 12 * (1 + 0.6 + 0.36))


def test_holes_make_the_edge_lighter_by_their_volume() -> None:
    six = bar()
    plain = six.mass(length=84 * IN, holes=0, density=7850)
    drilled = six.mass(length=84 * IN, holes=8, density=7850)
    assert plain - drilled == pytest.approx(8 * hole_volume(six.hole, six.thickness) * 7850)
    assert 0.2 < (plain - drilled) / LB < 1.0


def test_a_hole_line_that_breaks_through_the_top_is_refused() -> None:
    with pytest.raises(EdgeError, match=r"1/4 in from the top of a 6 in bar.*between 5/16 in and 5-11/16 in"):
        bar(hole_line=0.25)


# --- for the machine ----------------------------------------------------------------------------------


def test_the_json_of_a_layout_has_places_gaps_flippable_and_the_reason() -> None:
    answer = json.loads(json.dumps(cut_from(90 * IN, 84 * IN, twelve_inch(bar())).as_dict()))
    assert answer["positions_in"] == [3.0, 12.0, 24.0, 36.0, 48.0, 60.0, 72.0, 81.0]
    assert answer["gaps_in"] == [9.0, 12.0, 12.0, 12.0, 12.0, 12.0, 9.0]
    assert answer["flippable"] is True
    assert answer["reason"].startswith("flippable: centre-punched")
    assert (answer["from_blank_in"], answer["off_each_end_in"], answer["waste_in"]) == (90.0, 3.0, 6.0)


def test_the_json_of_a_choice_of_blank_lists_every_candidate() -> None:
    answer = json.loads(json.dumps(blank_for(84 * IN, BLANKS, eleven_inch()).as_dict()))
    assert answer["serving_in"] == [102.0, 120.0]
    assert [c["serves"] for c in answer["candidates"]] == [False, False, True, True]
