"""One order of the demo with its strength looked at, for the papers about it."""

from __future__ import annotations

import pytest

from plowwright.desk.desk import Desk
from plowwright.shop.worked import Worked


@pytest.fixture(scope="session")
def desk() -> Desk:
    """The demo's desk."""
    return Desk.demo()


@pytest.fixture(scope="session")
def held(desk: Desk) -> Worked:
    """Order 420A on its own carrier, moldboard as a shell."""
    spec, order = desk.spec_of("420A")
    assert order is not None
    return desk.strength.holding(desk.worked(spec), desk.strength.of_order(order.carrier))
