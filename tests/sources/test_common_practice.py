"""Source: common practice (no source): how such blades are built and what they weigh, on a rulebook of the tests' own.

The rulebook in tests/rulebooks/common holds the construction; nothing in it was tuned to the weights.
"""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from plowwright import rulebook
from plowwright.blade import edges
from plowwright.blade.build import Build, work_out
from plowwright.blade.edge_bars import bar_mass
from plowwright.blade.edge_layouts import HoleRule
from plowwright.blade.spec import Spec
from plowwright.errors import EdgeError
from plowwright.rulebook.reading import Rulebook
from plowwright.units import pounds
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def rules(repo_root: Path) -> Rulebook:
    return rulebook.load(repo_root / "tests" / "rulebooks" / "common")


def blade(rules: Rulebook, series: str, width: float) -> Build:
    """The usual configuration: loader plate, flat-face hoses, shoes."""
    spec = Spec(
        series=series,
        width=width * INCH,
        mount="loader",
        carrier_kind="skid steer",
        hoses="flat-face",
        extras=("shoes",),
    )
    return work_out(spec, rules, level=0)


def test_a_7_ft_heavy_weighs_about_640_lb_and_a_standard_about_570(rules: Rulebook) -> None:
    """Within 6 %, with no fitted factor."""
    assert pounds(blade(rules, "heavy", 84).mass) == pytest.approx(640, rel=0.06)
    assert pounds(blade(rules, "standard", 84).mass) == pytest.approx(570, rel=0.06)


def test_heavy_less_standard_rises_with_width_and_reaches_50_to_100_lb_on_wide_blades(rules: Rulebook) -> None:
    """Common practice has 50-100 lb at every width. The model says less on narrow blades, because skin, webs, angle and
    edge are shared by both classes and only tubes, ears, pin plates and mount plate differ: see docs/decisions.
    """
    gaps = [pounds(blade(rules, "heavy", w).mass - blade(rules, "standard", w).mass) for w in (54, 66, 84, 96, 114)]
    assert all(b >= a - 0.5 for a, b in itertools.pairwise(gaps))
    assert 30 < gaps[0] < 50
    assert 50 < gaps[-1] < 100


def test_webs_and_springs_come_out_as_the_trade_builds_them(rules: Rulebook) -> None:
    heavy, light = blade(rules, "heavy", 84), blade(rules, "light", 78)
    count = {mark: sum(p.mark == mark for p in heavy.parts) for mark in ("web", "trip spring", "hinge pin")}
    assert count == {"web": 5, "trip spring": 4, "hinge pin": 3}
    count = {mark: sum(p.mark == mark for p in light.parts) for mark in ("web", "trip spring", "hinge pin")}
    assert count == {"web": 4, "trip spring": 2, "hinge pin": 2}


def test_heavy_and_standard_share_skin_webs_angle_and_edge(rules: Rulebook) -> None:
    heavy, standard = blade(rules, "heavy", 84), blade(rules, "standard", 84)
    for name in ("skin", "web 1", "bottom angle", "cutting edge"):
        one, other = heavy.assembly.part(name), standard.assembly.part(name)
        assert (one.stock, one.length, one.holes) == (other.stock, other.length, other.holes)


def test_light_webs_are_3_in_shorter(rules: Rulebook) -> None:
    def height(build: Build) -> float:
        low, high = (build.assembly.part("web 1").solids[0].region.bounds()[i] for i in (1, 3))
        return high - low

    # An eighth of an inch of grace: the fold at the top takes the skin's thickness.
    assert (height(blade(rules, "heavy", 72)) - height(blade(rules, "light", 72))) / INCH == pytest.approx(3, abs=0.126)


def test_the_blade_stands_about_32_in_high_and_the_light_one_28_to_29(rules: Rulebook) -> None:
    assert blade(rules, "heavy", 84).assembly.facts["body height"] / INCH == pytest.approx(32, abs=0.5)
    assert 28 <= blade(rules, "light", 72).assembly.facts["body height"] / INCH + 1e-9 <= 29


def test_a_90_in_edge_and_the_84_in_one_cut_from_it() -> None:
    rule = HoleRule.of(end=3 * INCH, pitch=12 * INCH)
    blank = edges.layout(90 * INCH, rule)
    assert [round(p / INCH, 6) for p in blank.positions] == [3, 15, 27, 39, 51, 63, 75, 87]
    cut = edges.cut_from(blank, 84 * INCH, rule)
    assert [round(g / INCH, 6) for g in cut.layout.gaps] == [9, 12, 12, 12, 12, 12, 9]
    assert [round(p / INCH, 6) for p in (cut.layout.positions[0], cut.layout.positions[-1])] == [3, 81]
    assert len(cut.used) == 6
    with pytest.raises(EdgeError, match=r"one end|turn|flip"):
        edges.cut_from(blank, 84 * INCH, rule, off_left=6 * INCH)


def test_a_6_by_half_edge_84_in_long_weighs_71_and_a_half_lb_before_its_holes() -> None:
    mass = bar_mass(height=6 * INCH, thickness=0.5 * INCH, length=84 * INCH, density=7850)
    assert pounds(mass) == pytest.approx(71.5, abs=0.05)
