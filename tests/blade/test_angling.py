from __future__ import annotations

from math import inf

import pytest

from plowwright.blade.assemble import assemble
from plowwright.blade.datum import Datum, work_out
from plowwright.blade.parts import Assembly
from plowwright.blade.poses import REST
from plowwright.blade.prisms import gap, prisms
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def blades(demo_rules: Rulebook, common_rules: Rulebook) -> list[tuple[Datum, Assembly]]:
    specs = [
        (rules, Spec(series=key, width=w, mount="loader", carrier_kind="skid steer", hoses="none"))
        for rules in (demo_rules, common_rules)
        for key, series in rules.series.items()
        for w in series.widths()
    ]
    return [(work_out(spec, rules), assemble(spec, rules)) for rules, spec in specs]


def between(assembly: Assembly, first: str, second: str) -> float:
    one, other = assembly.part(first), assembly.part(second)
    return min(
        gap(a, b, (REST, REST), inf)
        for a in prisms(one.solids[0], one.place)
        for b in prisms(other.solids[0], other.place)
    )


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("cylinder arm", "hub plate upper"),
        ("stop pad left", "king-pin plate upper"),
        ("base bracket right", "cylinder arm"),
        ("angling stop left", "cylinder arm"),
        ("cylinder lug right", "lug post right"),
        ("lug post right", "leg right"),
        ("tower bar", "tower left"),
        ("valve block", "cylinder arm"),
        ("oscillation stop left", "mount plate"),
        ("rub pad right", "mount plate"),
    ],
)
def test_pieces_that_are_welded_or_bolted_on_touch(
    blades: list[tuple[Datum, Assembly]], first: str, second: str
) -> None:
    for _, assembly in blades:
        assert between(assembly, first, second) == pytest.approx(0, abs=1e-9)


def test_a_piece_of_one_side_turned_over_is_the_piece_of_the_other(blades: list[tuple[Datum, Assembly]]) -> None:
    for _, assembly in blades[::4]:
        for name in ("base bracket", "angling stop", "stop pad", "rub pad", "oscillation stop", "cylinder lug"):
            left, right = assembly.part(f"{name} left"), assembly.part(f"{name} right")
            assert left.mark == right.mark == name
            assert left.solids == right.solids
            x, y, z = left.centroid()
            assert right.centroid() == pytest.approx((x, -y, z)), name


def test_the_king_pin_plates_end_before_the_posts_of_the_lugs(blades: list[tuple[Datum, Assembly]]) -> None:
    """They lie on the same face of the leg."""
    for _, assembly in blades:
        assert between(assembly, "king-pin plate upper", "lug post left") > INCH / 16


def test_a_base_bracket_is_widest_at_its_root_and_stands_at_the_cylinders_height(
    blades: list[tuple[Datum, Assembly]],
) -> None:
    """Its fork straddles the plate, and that of the rod the lug: no pin stands out on one side."""
    for _, assembly in blades:
        bracket, lug = assembly.part("base bracket left"), assembly.part("cylinder lug right")
        rod = assembly.part("cylinder rod")
        _, v0, _, v1 = bracket.solids[0].region.bounds()
        assert v1 - v0 == pytest.approx(8 * INCH)
        assert bracket.place.origin[2] == pytest.approx(lug.place.origin[2])
        assert rod.place.origin[2] == pytest.approx(lug.place.origin[2])


def test_the_oscillation_tube_has_a_sixteenth_of_play_in_its_sleeve(
    demo_rules: Rulebook, common_rules: Rulebook
) -> None:
    for rules in (demo_rules, common_rules):
        for series in rules.series.values():
            tube, sleeve = rules.sections[series.oscillation_pin], rules.sections[series.oscillation_sleeve]
            assert tube.diameter and sleeve.diameter and sleeve.wall
            assert (sleeve.diameter - 2 * sleeve.wall - tube.diameter) / 2 == pytest.approx(INCH / 16)


def test_hub_plates_clasp_the_king_pin_plates_and_the_oscillation_tube(blades: list[tuple[Datum, Assembly]]) -> None:
    for d, assembly in blades:
        for where, s in (("upper", 1.0), ("lower", -1.0)):
            hub, king = assembly.part(f"hub plate {where}"), assembly.part(f"king-pin plate {where}")
            play = s * (hub.place.origin[2] - king.place.origin[2]) - (hub.thickness + king.thickness) / 2
            assert play >= INCH / 16 - 1e-9
            assert between(assembly, hub.id, "oscillation pin") < d.series.welds.frame
