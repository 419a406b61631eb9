"""A build with its price: what the shop answers with when a blade is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from plowwright.blade import build as blade_build
from plowwright.blade.build import Build, Level
from plowwright.blade.carriers import Carrier
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.price import Price, price


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A build and what it costs.

    Attributes:
        build: The blade, worked out.
        price: List price for the customer, cost and margin for the owner.
    """

    build: Build
    price: Price

    def as_dict(self, *, owner: bool = False) -> dict[str, Any]:
        """Build and price for a machine.

        Args:
            owner: Whether cost, margin and floor go along.
        """
        return {**self.build.as_dict(), "price": self.price.as_dict(owner=owner)}


def work_out(spec: Spec, rulebook: Rulebook, carrier: Carrier | None = None, *, level: Level = 2) -> Worked:
    """Work a blade and its price out.

    Args:
        spec: The chosen options.
        rulebook: The rules in force.
        carrier: The machine that carries it, as far as it is known.
        level: How deep its strength is looked at: 0 not at all, 1 for sweeps, 2 for quotes.

    Raises:
        SpecError: The spec is not complete or its choices clash.
        ModelError: The rules do not give a blade that can be built.
    """
    build = blade_build.work_out(spec, rulebook, carrier, level=level)
    return Worked(build=build, price=price(spec, build.bill, build.tally, rulebook))
