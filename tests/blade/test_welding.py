"""The order of welding: every seam once, heavy parts first, mirrored seams in turn, stitches last."""

from __future__ import annotations

import itertools
from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade.build import Build, work_out
from plowwright.blade.parts import Weld
from plowwright.blade.spec import Spec
from plowwright.blade.squares import box_of, diagonals_of, planes_of
from plowwright.blade.welding import order_of
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


def built(rulebook: Rulebook, series: str, width: float) -> Build:
    spec = Spec(series=series, width=width * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, rulebook, level=0)


@pytest.mark.parametrize(("series", "width"), [("reed", 48), ("flint", 84), ("basalt", 120)])
def test_every_weld_of_the_model_is_in_one_seam_and_no_length_is_lost(
    demo_rules: Rulebook, series: str, width: float
) -> None:
    build = built(demo_rules, series, width)
    welds = [j for j in build.assembly.joints if isinstance(j, Weld)]
    seams = order_of(build)
    assert {s.joins for s in seams} == {(w.joins[0], w.joins[1]) for w in welds}
    assert sum(s.length for s in seams) == pytest.approx(sum(w.length() for w in welds))


def test_numbers_run_from_one_without_a_gap_in_each_body(demo_rules: Rulebook) -> None:
    seams = order_of(built(demo_rules, "basalt", 84))
    for body in {s.body for s in seams}:
        own = [s.number for s in seams if s.body == body]
        assert own == list(range(1, len(own) + 1))


def test_a_mirrored_seam_follows_its_twin_and_the_first_side_changes(demo_rules: Rulebook) -> None:
    seams = [s for s in order_of(built(demo_rules, "basalt", 84)) if s.body == "frame"]
    firsts = []
    for one, other in zip(seams[::2], seams[1::2], strict=True):
        x, y, z = one.middle
        assert dist(other.middle, (x, -y, z)) < 0.004, f"{one.joins} is not followed by its twin"
        firsts.append(one.side)
    assert all(a != b for a, b in itertools.pairwise(firsts))


def test_what_carries_comes_first_and_stitches_last(demo_rules: Rulebook) -> None:
    seams = order_of(built(demo_rules, "basalt", 84))
    frame = [s.joins for s in seams if s.body == "frame"]
    legs = max(i for i, joins in enumerate(frame) if joins[0].startswith("leg") and joins[1] == "hinge beam")
    pads = min(i for i, joins in enumerate(frame) if joins[0].startswith("stop pad"))
    assert legs < pads
    board = [s.stitch is not None for s in seams if s.body == "moldboard"]
    assert board == sorted(board)


@given(st.sampled_from(["reed", "flint", "basalt"]), st.integers(0, 4))
def test_both_diagonals_of_a_true_blade_are_equal(demo_rules: Rulebook, series: str, step: int) -> None:
    build = built(demo_rules, series, 54 + 6 * step if series != "reed" else 48 + 6 * step)
    found = diagonals_of(build)
    assert [d.name for d in found] == ["moldboard", "push frame", "mount plate"]
    for one in found:
        assert dist(*one.left) == pytest.approx(dist(*one.right), abs=1e-9)
        assert one.length == pytest.approx(dist(*one.left))


def test_the_frame_diagonal_is_the_hand_calculation_from_beam_and_pin(demo_rules: Rulebook) -> None:
    build = built(demo_rules, "basalt", 84)
    frame = next(d for d in diagonals_of(build) if d.name == "push frame")
    low, high = box_of(build.assembly.part("hinge beam"))
    pin = build.assembly.pivots.king_pin
    ahead, aside = high[0] - pin[0], high[1] - pin[1]
    down = low[2] - box_of(build.assembly.part("king-pin plate lower"))[0][2]
    assert frame.length == pytest.approx((ahead**2 + aside**2 + down**2) ** 0.5)


def test_four_corners_are_named_for_each_twist_check(demo_rules: Rulebook) -> None:
    for plane in planes_of(built(demo_rules, "flint", 84)):
        assert len(plane.corners) == len(plane.places) == 4
        left, right = plane.places[0], plane.places[1]
        assert left[1] == pytest.approx(-right[1]) and left[1] > 0
