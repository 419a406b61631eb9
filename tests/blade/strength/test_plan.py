from __future__ import annotations

import numpy as np
import pytest

from plowwright.blade.strength import members
from plowwright.blade.strength.plan import Plan
from plowwright.errors import MechanismError, ModelError
from plowwright.physics.frames import Loads
from plowwright.physics.materials import STEEL_YOUNG

STEEL = members.Metal(name="A36", yield_strength=248e6)
UP = (0.0, 0.0, 1.0)


def cantilever(*, held: bool = True) -> Plan:
    plan = Plan()
    plan.node("root", (0.0, 0.0, 0.0), still=held)
    plan.node("tip", (1.0, 0.0, 0.0))
    plan.beam("arm", "root", "tip", members.strip(0.05, 0.01), STEEL, part="arm", role="frame", up=UP)
    return plan


def load(plan: Plan, node: str, force: tuple[float, ...]) -> Loads:
    nodal = np.zeros((1, len(plan.labels), 6))
    nodal[0, plan.numbers[node]] = force
    return Loads(names=("push",), nodal=nodal)


def test_what_is_planned_bends_as_a_cantilever_does() -> None:
    plan = cantilever()
    found = plan.frame().solve(load(plan, "tip", (0, 0, -10.0, 0, 0, 0)))
    inertia = 0.05 * 0.01**3 / 12
    assert found.displacements[0, 1, 2] == pytest.approx(-10 / (3 * STEEL_YOUNG * inertia), rel=1e-3)


def test_a_name_used_for_two_places_is_refused_with_the_name() -> None:
    plan = cantilever()
    with pytest.raises(ModelError) as fault:
        plan.node("tip", (2.0, 0.0, 0.0))
    assert "node 'tip': two places under one name" in str(fault.value)


def test_a_second_name_stands_for_the_same_node() -> None:
    plan = cantilever()
    plan.also("eye", "tip")
    assert plan.numbers["eye"] == plan.numbers["tip"]
    assert plan.labels == ["root", "tip"]
    assert plan.places["eye"] == (1.0, 0.0, 0.0)


def test_a_member_may_start_and_end_beside_its_nodes() -> None:
    plan = cantilever()
    plan.node("far", (1.0, 0.0, 0.5))
    post = (1.0, 0.0, 0.1)
    plan.beam(
        "post", "tip", "far", members.strip(0.05, 0.05), STEEL, part="post", role="frame", up=(1.0, 0, 0), start=post
    )
    frame = plan.frame()
    assert frame.members.offset_start[1] == pytest.approx((0.0, 0.0, 0.1))
    assert frame.solve(load(plan, "far", (1.0, 0, 0, 0, 0, 0))).lengths[1] == pytest.approx(0.4)


def test_ends_told_to_turn_freely_carry_no_moment() -> None:
    plan = cantilever()
    plan.node("wall", (2.0, 0.0, 0.0), still=True)
    plan.beam(
        "rest", "tip", "wall", members.strip(0.05, 0.01), STEEL, part="rest", role="frame", up=UP, free=("start y",)
    )
    found = plan.frame().solve(load(plan, "tip", (0, 0, -10.0, 0, 0, 0)))
    assert found.end_forces[0, 1, 4] == pytest.approx(0.0, abs=1e-9)
    assert abs(found.end_forces[0, 1, 10]) > 1.0


def test_what_nothing_holds_is_refused_by_the_node_s_name() -> None:
    plan = cantilever(held=False)
    with pytest.raises(MechanismError) as fault:
        plan.frame().solve(load(plan, "tip", (0, 0, -10.0, 0, 0, 0)))
    assert "'root'" in str(fault.value) or "'tip'" in str(fault.value)
