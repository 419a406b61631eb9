"""A blade held against one machine in every way: strength, whether it suits, how it swings, how it is plumbed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from plowwright.blade.build import Build, Level, held
from plowwright.blade.carried import moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.results import Swinging
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.suit import suits as suiting
from plowwright.blade.suit.results import Suit
from plowwright.findings import Finding


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
    on = moved(build, carrier)
    suit = suiting.suits(build, carrier) if carrier else None
    own = [*on.findings]
    if carrier:
        own += suit.findings if suit else (suiting.without_settings(),)
    # A held build says some of it already, without these hoses.
    said = {(finding.place, finding.title) for finding in own}
    others = [finding for finding in build.findings if (finding.place, finding.title) not in said]
    return OnMachine(build=build, suit=suit, swinging=on.swinging, plumbing=on.plumbing, findings=(*others, *own))
