"""Hoses that reach in every pose, ports used once, couplers that meet, and the lever's sense left and right."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import ceil
from typing import Any

import numpy as np
import pytest

from plowwright.blade.build import Build
from plowwright.blade.parts import Pinned
from plowwright.blade.plumbing import plumb as plumbing
from plowwright.blade.plumbing.results import CAUTIONS, Plumbing
from plowwright.blade.plumbing.runs import Array, Ends, needed
from plowwright.errors import NotFoundError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

from .conftest import Made, Plumbed, machine

BLADES: list[dict[str, Any]] = [
    {"series": "reed", "width": 60.0, "outlets": "right", "hoses": "poppet", "kind": "tractor"},
    {"series": "flint", "width": 84.0, "outlets": "left"},
    {"series": "basalt", "width": 84.0, "outlets": "right"},
    {"series": "basalt", "width": 54.0, "kind": "compact loader"},
    {"series": "flint", "width": 90.0, "hoses": "hoses-only", "kind": "wheel loader"},
]


def pins(build: Build) -> dict[str, Array]:
    return {j.id: np.array(j.position) for j in build.assembly.joints if isinstance(j, Pinned)}


def about(axis: str, by: float) -> Array:
    """Right-handed rotation, written here again and not taken from the model."""
    c, s = np.cos(by), np.sin(by)
    if axis == "x":
        return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    if axis == "y":
        return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def own_cylinder_ends(build: Build, found: Plumbing, name: str, letter: str, reach: float) -> Ends:
    """Ends of a short hose over a fine sweep of the angle, from pins turned here about the king pin."""
    king = np.array(build.assembly.pivots.king_pin)
    base, rod = pins(build)["cylinder base"], pins(build)["cylinder rod end"]
    block, port = found.port("valve block", f"cylinder {letter}"), found.port("cylinder", name)
    start = np.array(block.place) + reach * np.array(block.points)
    heading = np.arctan2(rod[1] - base[1], rod[0] - base[0])
    rows: list[tuple[Array, Array]] = []
    stop = build.assembly.pivots.angle_stop
    for angle in np.linspace(-stop, stop, 61):
        # Left end forward turns clockwise seen from above, where y runs to the left of x.
        moved = king + about("z", -angle) @ (rod - king)
        turn = about("z", np.arctan2(moved[1] - base[1], moved[0] - base[0]) - heading)
        way = turn @ np.array(port.points)
        rows.append((base + turn @ (np.array(port.place) - base) + reach * way, way))
    count = len(rows)
    return Ends(
        start=np.tile(start, (count, 1)),
        out=np.tile(np.array(block.points), (count, 1)),
        end=np.array([r[0] for r in rows]),
        into=np.array([r[1] for r in rows]),
    )


@pytest.mark.parametrize("asked", BLADES)
def test_the_short_hoses_reach_at_every_angle_with_the_slack_of_the_rules(
    made: Made, plumbed: Plumbed, asked: dict[str, Any]
) -> None:
    build, found = made(**asked), plumbed(**asked)
    rules = build.rulebook.plumbing
    assert rules is not None
    reach = rules.ports.adapter.value + rules.hose.rigid.value
    for hose, port, letter in zip(found.hoses[2:], ("cap port", "rod port"), "AB", strict=True):
        ends = own_cylinder_ends(build, found, port, letter, reach)
        ways = needed(ends, rules.hose.bend.value) + 2 * rules.hose.rigid.value
        # The model looks at fewer angles, at roll as well, and stops where it stops.
        assert ways.max() <= hose.longest + 0.1 * INCH
        assert hose.cut_length >= ways.max() + max(rules.slack.least.value, rules.slack.share.value * ways.max()) - (
            0.1 * INCH
        )
        assert hose.shortest <= ways.min() + 0.1 * INCH
        assert hose.bend >= rules.hose.bend.value * 0.999


@pytest.mark.parametrize("asked", BLADES)
def test_the_long_hoses_reach_over_dump_float_and_lift(made: Made, plumbed: Plumbed, asked: dict[str, Any]) -> None:
    build, found = made(**asked), plumbed(**asked)
    rules = build.rulebook.plumbing
    assert rules is not None
    place = rules.outlets[found.outlet.kind]
    pin = np.array([-place.pins_behind.value, 0.0, place.pins_height.value])
    pivot = np.array([-place.arm_behind.value, 0.0, place.arm_height.value])
    lifts = np.linspace(-place.down.value, place.up.value, 15) if place.on.value == "machine" else np.zeros(1)
    for hose, outlet, held in zip(found.hoses[:2], found.outlet.places, found.outlet.guides, strict=True):
        farthest = 0.0
        for tilt in np.linspace(-place.back.value, place.dump.value, 25):
            for lift in lifts:
                # The guide moves with the plate: dumped about its pins, then lifted with the arm.
                moved = pin + about("y", tilt) @ (np.array(held) - pin)
                lifted = pivot + about("y", -lift) @ (moved - pivot)
                farthest = max(farthest, float(np.linalg.norm(lifted - np.array(outlet))))
        port = found.port("valve block", hose.end.rpartition(", ")[2])
        to_guide = float(np.linalg.norm(np.array(held) - np.array(port.place)))
        # No way is shorter than the straight lines, less what fitting and coupler bridge.
        bridged = rules.ports.adapter.value + 4 * INCH
        assert hose.longest >= farthest + to_guide - bridged - 1e-6
        assert hose.cut_length >= hose.longest + max(rules.slack.least.value, rules.slack.share.value * hose.longest)


@pytest.mark.parametrize("asked", BLADES)
def test_cut_lengths_are_whole_steps_and_never_shorter_than_way_and_slack(
    made: Made, plumbed: Plumbed, asked: dict[str, Any]
) -> None:
    rules = made(**asked).rulebook.plumbing
    assert rules is not None
    for hose in plumbed(**asked).hoses:
        steps = hose.cut_length / rules.slack.step.value
        assert steps == pytest.approx(ceil(steps - 1e-6))
        assert hose.shortest <= hose.longest
        assert hose.slack == pytest.approx(hose.cut_length - hose.longest)
        assert hose.slack >= max(rules.slack.least.value, rules.slack.share.value * hose.longest) - 1e-9


def test_both_hoses_to_the_carrier_are_cut_alike_so_that_they_can_be_crossed(plumbed: Plumbed) -> None:
    one, two = plumbed().hoses[:2]
    assert one.cut_length == two.cut_length


@pytest.mark.parametrize("series", ["reed", "flint", "basalt"])
def test_left_and_right_are_mirror_images(plumbed: Plumbed, series: str) -> None:
    left, right = (plumbed(series=series, width=60.0, outlets=side) for side in ("left", "right"))
    assert (left.base_side, right.base_side) == ("left", "right")
    for one, other in zip(left.hoses, right.hoses, strict=True):
        assert one.cut_length == pytest.approx(other.cut_length)
    for port in left.ports:
        x, y, z = right.port(port.part, port.name).place
        assert port.place == pytest.approx((x, -y, z))


def test_the_lever_keeps_its_sense_by_crossing_on_one_side_only(plumbed: Plumbed) -> None:
    left, right = plumbed(outlets="left"), plumbed(outlets="right")
    assert left.crossed and not right.crossed
    assert left.hoses[0].end == "valve block, carrier B"
    assert right.hoses[0].end == "valve block, carrier A"
    for found in (left, right):
        assert "Lever to the left is to bring the right end forward" in found.lever_sense
        assert "swaps the lever's sense, not the times" in found.lever_sense
    assert "hoses 1 and 2 cross at the block" in left.lever_sense


@pytest.mark.parametrize("asked", [*BLADES, {"hoses": "none"}])
def test_every_port_is_used_once_or_plugged(plumbed: Plumbed, asked: dict[str, Any]) -> None:
    found = plumbed(**asked)
    ends = Counter(end for hose in found.hoses for end in (hose.start, hose.end))
    plugged = Counter(plug.on for plug in found.plugs)
    for port in found.ports:
        assert ends[port.title] + plugged[port.title] == 1, port.title
        assert (port.joins == "plug") == (plugged[port.title] == 1)
    outlets = [end for end in ends if end.startswith("outlet")]
    assert sorted(outlets) == ([] if found.bare else ["outlet A", "outlet B"])


@pytest.mark.parametrize("asked", BLADES)
def test_the_schedule_has_both_ends_and_all_columns_of_each_hose(plumbed: Plumbed, asked: dict[str, Any]) -> None:
    found = plumbed(**asked)
    rows = {row.tag: row for row in found.schedule}
    for hose in found.hoses:
        row = rows[hose.name]
        assert (row.start, row.end, row.cut_length) == (hose.start, hose.end, hose.cut_length)
        assert all(row.cells())
    assert sum(fitting.count for fitting in found.fittings if "restrictor" in fitting.name) == 2


def test_a_bare_blade_has_a_plug_in_each_port_and_says_who_fits_restrictors(plumbed: Plumbed) -> None:
    found = plumbed(hoses="none")
    assert found.bare and not found.hoses and not found.couplers and found.lengths is None
    assert len(found.plugs) == len(found.ports) == 8
    said = [f for f in found.findings if f.title == "restrictors on a bare blade"]
    assert said[0].verdict == "not checked"
    assert "both restrictors" in said[0].sentence and "slams" in said[0].sentence


def test_the_restrictors_sit_between_relief_and_hoses(plumbed: Plumbed) -> None:
    found = plumbed()
    fitting = next(f for f in found.fittings if "restrictor" in f.name)
    assert set(fitting.on) == {"valve block, carrier A", "valve block, carrier B"}
    assert "cylinder, crossover relief" in found.order


def test_the_shop_test_pack_gets_the_lengths_of_both_lines(plumbed: Plumbed) -> None:
    found = plumbed()
    assert found.lengths is not None
    by_name = {hose.name: hose.cut_length for hose in found.hoses}
    assert found.lengths[0] == pytest.approx(by_name["hose 2"] + by_name["hose 3"])


def test_ratings_are_the_least_of_what_is_in_the_line(plumbed: Plumbed) -> None:
    found = plumbed()
    assert found.ratings["hoses"] == min(h.rated for h in found.hoses)
    assert found.ratings["couplers"] == min(c.rated for c in found.couplers)
    assert "couplers" not in plumbed(hoses="hoses-only", kind="wheel loader").ratings


def test_cautions_of_oil_and_trapped_pressure_cannot_be_left_out(plumbed: Plumbed) -> None:
    found = plumbed()
    assert found.cautions == CAUTIONS
    assert any("through skin" in c for c in found.cautions) and any("Trapped pressure" in c for c in found.cautions)


def test_places_of_outlets_that_nobody_measured_never_give_holds(plumbed: Plumbed) -> None:
    found = plumbed(carrier=machine(couplers="flat-face 1/2", outlets="left"))
    lengths = {f.title: f for f in found.findings if f.title.startswith("length of")}
    assert lengths["length of hose 1"].verdict == "not checked"
    assert "would hold if they sit 16 in behind" in lengths["length of hose 1"].sentence
    assert lengths["length of hose 3"].verdict == "holds"


def test_a_choice_of_hoses_the_settings_do_not_know_is_refused_with_the_way_out(made: Made) -> None:
    build = made()
    odd = replace(build, spec=replace(build.spec, hoses="steel pipe"))
    with pytest.raises(NotFoundError, match=r"steel pipe.*Add steel pipe = "):
        plumbing.plumb(odd)


def test_a_rulebook_without_the_file_says_so(made: Made, common_rules: Rulebook) -> None:
    assert plumbing.plumb(replace(made(), rulebook=common_rules)) is None
    said = plumbing.without_settings()
    assert said.verdict == "not checked"
    assert "this rulebook has no plumbing.toml: copy the one of a newer rulebook" in said.sentence
