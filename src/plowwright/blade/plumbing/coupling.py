"""Quick couplers: what the carrier has, as far as anyone said, and what goes on the blade's hoses to meet it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from plowwright.blade.carrier_facts import Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.plumbing.results import Coupler, Family, Sex
from plowwright.blade.plumbing.threads import thread
from plowwright.rulebook.plumbing import Plumbing

_SIZE: Final = re.compile(r"\d+/\d+|\b1\b|\b\d+(?:\.\d+)?\s*mm\b")
_FAMILIES: Final[tuple[tuple[str, Family], ...]] = (
    ("flat", "flat-face"), ("16028", "flat-face"), ("poppet", "poppet"), ("7241", "poppet")
)  # fmt: skip
OTHER: Final[dict[Sex, Sex]] = {"female": "male", "male": "female"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was said of a carrier's couplers.

    Attributes:
        fact: As it is known.
        family: Flat-face or poppet; None where the words do not tell.
        size: Body size; "" where it was not said.
        one_pair: Whether the machine has a single pair, as far as was said.
        series_b: Whether ISO 7241 series B was said, which is another poppet.
    """

    fact: Fact
    family: Family | None
    size: str
    one_pair: bool
    series_b: bool


def told(carrier: Carrier | None) -> Told | None:
    """What is known of the carrier's couplers, or None while nothing is.

    Args:
        carrier: The machine, as far as it is known.
    """
    fact = None if carrier is None else carrier.known("couplers")
    if fact is None:
        return None
    words = fact.text.lower().replace("flatface", "flat-face")
    size = _SIZE.search(words.replace("7241-1", "7241"))
    return Told(
        fact=fact,
        family=next((family for word, family in _FAMILIES if word in words), None),
        size=size.group(0) if size else "",
        one_pair="one pair" in words or "single pair" in words,
        series_b="series b" in words or "7241-b" in words or "7241 b" in words,
    )


def halves(rules: Plumbing, family: Family, known: Told | None, hoses: tuple[str, str]) -> tuple[Coupler, ...]:
    """The blade's two halves and the carrier's two that meet them.

    The size is the carrier's where it is known and we can have it, else the usual one.

    Args:
        rules: plumbing.toml.
        family: What the hose choice ends in.
        known: What is known of the carrier's couplers.
        hoses: Names of the hoses to outlet A and B.
    """
    ours = rules.family(family)
    same = known is not None and known.family == family and known.size in ours.sizes.value
    size = known.size if same and known is not None else ours.usual.value
    found: list[Coupler] = []
    for hose, sex in zip(hoses, ours.blade.value, strict=True):
        found.append(
            Coupler(
                standard=ours.standard.value,
                family=family,
                size=size,
                sex=sex,
                side="blade",
                owner="the blade",
                pays=rules.pays.blade_half.value,
                rated=ours.rated.value,
                on=hose,
                thread=thread(ours.threads[size], where=f"plumbing.toml, couplers.{family}.threads"),
            )
        )
    for letter, sex in zip("AB", ours.blade.value, strict=True):
        found.append(
            Coupler(
                standard=ours.standard.value,
                family=family,
                size=size,
                sex=OTHER[sex],
                side="carrier",
                owner="the machine",
                pays=rules.pays.carrier_half.value,
                rated=ours.rated.value,
                on=f"outlet {letter}",
                thread=None,
            )
        )
    return tuple(found)
