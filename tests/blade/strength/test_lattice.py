from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import loads
from plowwright.blade.build import Build, work_out
from plowwright.blade.loads import BoardLoad, Patch
from plowwright.blade.spec import Spec
from plowwright.blade.strength import frame_model, lattice
from plowwright.blade.strength.frame_parts import finder
from plowwright.blade.strength.plan import Plan
from plowwright.physics.frames import Loads
from plowwright.physics.materials import STEEL_SHEAR
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


@pytest.fixture(scope="module")
def laid(flint: Build) -> tuple[Plan, lattice.Lattice]:
    plan = Plan()
    find = finder(flint, plan)
    frame_model.push_frame(find)
    return plan, lattice.lay(find, [-0.8, 0.0, 0.3, 0.8])


@given(
    y=st.floats(-0.9, 0.9),
    wide=st.floats(0.01, 0.2),
    force=st.tuples(*[st.floats(-10.0, 10.0)] * 3),
    on=st.sampled_from(["edge", "skin"]),
)
def test_a_load_put_on_the_nodes_keeps_its_force_and_its_moment(
    laid: tuple[Plan, lattice.Lattice],
    flint: Build,
    y: float,
    wide: float,
    force: tuple[float, float, float],
    on: str,
) -> None:
    board = laid[1]
    z = 0.02 if on == "edge" else 0.4
    load = BoardLoad(
        force=force,
        place=Patch(y0=y - wide / 2, y1=y + wide / 2, z0=z, z1=z + 0.02, on=on),  # type: ignore[arg-type]
    )
    nodal = board.nodal([[load]])[0]
    assert nodal[:, :3].sum(axis=0) == pytest.approx(force, abs=1e-9)
    moment = nodal[:, 3:].sum(axis=0) + np.cross(board.places, nodal[:, :3]).sum(axis=0)
    assert moment == pytest.approx(np.cross(loads.middle(load, flint.datum), force), abs=1e-9)


def test_every_part_of_the_moldboard_that_bears_is_in_the_lattice(
    flint: Build, laid: tuple[Plan, lattice.Lattice]
) -> None:
    parts = {beam.part for beam in laid[0].beams if beam.role == "moldboard"}
    bears = {part.id for part in flint.parts if part.mark in ("web", "ear", "skin", "bottom angle", "spring lug")}
    assert bears <= parts


def test_a_web_is_as_deep_as_its_outline_says() -> None:
    triangle = ((0.0, 0.0), (1.0, 0.0), (0.0, 2.0))
    assert lattice.depth_at(triangle, 1.0) == pytest.approx(0.5)


def test_crossing_bars_are_as_stiff_in_shear_as_the_sheet(flint: Build, laid: tuple[Plan, lattice.Lattice]) -> None:
    """One field alone, held at its foot, its top row pushed sideways: shear flow over shear angle is G t."""
    plan = laid[0]
    bars = [beam for beam in plan.beams if beam.name.startswith("skin, field 2, web 2 to web 3")]
    assert len(bars) == 2
    own = Plan()
    corners = sorted({place for bar in bars for place in (bar.start, bar.end)}, key=lambda at: (at[2], at[1]))
    for number, place in enumerate(corners):
        own.node(f"corner {number}", place, still=number < 2)
    names = {place: f"corner {number}" for number, place in enumerate(corners)}
    for bar in bars:
        own.beam(
            bar.name, names[bar.start], names[bar.end], bar.section, bar.metal, part="skin", role="moldboard", up=bar.up
        )
    # A top row that only slides along itself, as the strips and webs around the field keep it.
    for number in (2, 3):
        own.tie(f"rail {number}", f"corner {number}", None, (1e12, 0.0, 1e12, 1e6, 1e6, 1e6))
    nodal = np.zeros((1, 4, 6))
    nodal[0, 2:, 1] = 0.5
    moved = own.frame().solve(Loads(names=("shear",), nodal=nodal)).displacements[0, 2:, 1].mean()
    wide = corners[1][1] - corners[0][1]
    high = np.linalg.norm(np.array(corners[2]) - np.array(corners[0]))
    assert 1 / (moved / high) == pytest.approx(STEEL_SHEAR * flint.datum.skin_wall * wide, rel=0.02)


def test_the_bottom_member_has_a_node_at_each_web_and_load_and_at_both_ends(
    flint: Build, laid: tuple[Plan, lattice.Lattice]
) -> None:
    ys = laid[1].bottom_ys
    assert (ys[0], ys[-1]) == pytest.approx((-flint.datum.width / 2, flint.datum.width / 2))
    assert set(flint.datum.web_ys) <= set(ys)
    assert {-0.8, 0.8, 0.3} <= set(ys)
