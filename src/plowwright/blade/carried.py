"""A blade on its carrier: does it suit, how it is plumbed, how it moves with those hoses, as one list of findings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import swinging as swings
from plowwright.blade.moving.results import Swinging
from plowwright.blade.plumbing import plumb as plumbs
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.suit import suits as suiting
from plowwright.blade.work import UNTOLD, Work
from plowwright.errors import NotFoundError
from plowwright.findings import Basis, Finding, not_checked

_RATED: Final = ("hoses", "couplers")
"""Working pressures that the plumbing tells the swing."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Moved:
    """A blade's plumbing, and its swing with those hoses.

    Attributes:
        swinging: How it moves, or None where swing.toml is missing.
        plumbing: How it is plumbed, or None where plumbing.toml is missing or does not know these hoses.
        findings: Every check of both.
    """

    swinging: Swinging | None
    plumbing: Plumbing | None
    findings: tuple[Finding, ...]


def moved(build: Build, carrier: Carrier | None) -> Moved:
    """How a blade moves with the hoses and couplers it leaves with: the one answer every page and paper takes.

    Args:
        build: The blade; with its strength looked at, more can be said of the relief.
        carrier: The machine, as far as it is known.

    Raises:
        ModelError: The cylinder cannot swing the blade.
    """
    plumbing, unplumbed = _plumbed(build, carrier)
    rated = {} if plumbing is None else {n: v for n, v in plumbing.ratings.items() if n in _RATED}
    lengths = None if plumbing is None else plumbing.lengths
    swing = swings.swinging(build, carrier, lengths=lengths, rated=rated or None)
    return Moved(
        swinging=swing,
        plumbing=plumbing,
        findings=(
            *((swings.without_settings(),) if swing is None else swing.findings),
            *((unplumbed,) if plumbing is None else plumbing.findings),
        ),
    )


def _plumbed(build: Build, carrier: Carrier | None) -> tuple[Plumbing | None, Finding]:
    """Its plumbing, or why there is none: old hoses that today's settings do not know are no reason to stop."""
    try:
        return plumbs.plumb(build, carrier), plumbs.without_settings()
    except NotFoundError as error:
        basis = Basis(kind="assumed", formula="settings of plumbing.toml")
        return None, not_checked(title="plumbing", because=error.sentence(), basis=basis, place="hoses")


def carried(build: Build, carrier: Carrier, work: Work = UNTOLD) -> tuple[Finding, ...]:
    """Every check of a blade that needs its carrier; what the rulebook has no settings for is said not to be checked.

    Args:
        build: The blade; with its strength looked at, more can be said of the relief.
        carrier: The machine, as far as it is known.
        work: What is done with it, as far as it was told.

    Raises:
        ModelError: The cylinder cannot swing the blade.
    """
    suit = suiting.suits(build, carrier, work)
    own = (suiting.without_settings(),) if suit is None else suit.findings
    return (*own, *moved(build, carrier).findings)
