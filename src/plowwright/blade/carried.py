"""A blade on its carrier: does it suit, how it moves, how it is plumbed, as one list of findings."""

from __future__ import annotations

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import swinging as moving
from plowwright.blade.suit import suits as suiting
from plowwright.blade.work import UNTOLD, Work
from plowwright.findings import Finding


def carried(build: Build, carrier: Carrier, work: Work = UNTOLD) -> tuple[Finding, ...]:
    """Every check of a blade that needs its carrier; what the rulebook has no settings for is said not to be checked.

    Args:
        build: The blade; with its strength looked at, more can be said of the relief.
        carrier: The machine, as far as it is known.
        work: What is done with it, as far as it was told.

    Raises:
        ModelError: The cylinder cannot swing the blade.
    """
    suit, swing = suiting.suits(build, carrier, work), moving.swinging(build, carrier)
    return (
        *((suiting.without_settings(),) if suit is None else suit.findings),
        *((moving.without_settings(),) if swing is None else swing.findings),
    )
