"""A blade held against one machine in every way: strength, whether it suits, how it swings, how it is plumbed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from plowwright.blade.build import Build, Level, held
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import swinging as swings
from plowwright.blade.moving.results import Swinging
from plowwright.blade.plumbing import plumb as plumbs
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.suit import suits as suiting
from plowwright.blade.suit.results import Suit
from plowwright.errors import NotFoundError
from plowwright.findings import Basis, Finding, not_checked

_RATED: Final = ("hoses", "couplers")
"""Working pressures that the plumbing tells the swing."""


@dataclass(frozen=True, kw_only=True, eq=False)
class OnMachine:
    """What a blade does on one machine.

    Attributes:
        build: The blade, its strength looked at where that was asked for.
        suit: Whether it suits, or None where the machine or suit.toml is missing.
        swinging: How it moves, or None where swing.toml is missing.
        plumbing: How it is plumbed, or None where plumbing.toml is missing or does not know these hoses.
        findings: Every check of the four.
    """

    build: Build
    suit: Suit | None
    swinging: Swinging | None
    plumbing: Plumbing | None
    findings: tuple[Finding, ...]


def on_machine(build: Build, carrier: Carrier | None, *, level: Level) -> OnMachine:
    """Hold a blade against a machine; what cannot be checked is said and stops nothing.

    Args:
        build: The blade, by rules that have today's settings.
        carrier: The machine, or None where nobody knows it.
        level: How deep its strength is looked at.

    Raises:
        ModelError: A part or joint cannot hold anything.
    """
    build = held(build, carrier, level=level) if level else replace(build, carrier=carrier)
    plumbing, unplumbed = _plumbed(build, carrier)
    lengths = plumbing.lengths if plumbing else None
    ratings = plumbing.ratings if plumbing else dict[str, float]()
    rated = {name: value for name, value in ratings.items() if name in _RATED}
    swing = swings.swinging(build, carrier, lengths=lengths, rated=rated or None)
    suit = suiting.suits(build, carrier) if carrier else None
    own: list[Finding] = [*(swing.findings if swing else (swings.without_settings(),))]
    own += plumbing.findings if plumbing else (unplumbed,)
    if carrier:
        own += suit.findings if suit else (suiting.without_settings(),)
    # A held build says some of it already, without these hoses.
    said = {(finding.place, finding.title) for finding in own}
    others = [finding for finding in build.findings if (finding.place, finding.title) not in said]
    return OnMachine(build=build, suit=suit, swinging=swing, plumbing=plumbing, findings=(*others, *own))


def _plumbed(build: Build, carrier: Carrier | None) -> tuple[Plumbing | None, Finding]:
    """Its plumbing, or why there is none: old hoses that today's settings do not know are no reason to stop."""
    try:
        return plumbs.plumb(build, carrier), plumbs.without_settings()
    except NotFoundError as error:
        basis = Basis(kind="assumed", formula="settings of plumbing.toml")
        return None, not_checked(title="plumbing", because=error.sentence(), basis=basis, place="hoses")
