"""Exact factors from typed units to the units values are held in; only this file uses the unit library."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any, Final

from plowwright.errors import UnitError
from plowwright.units.kinds import ATOMS, KINDS, SHORTHANDS, Kind

_TEMPERATURES: Final = frozenset({"degF", "degC", "kelvin"})
_ANGLES: Final = frozenset({"degree", "radian"})
_PREFIXED_POWER: Final = re.compile(r"\b(sq|square|cu|cubic)\.? ?([a-z]+)")


@dataclass(frozen=True, kw_only=True)
class Unit:
    """A typed unit understood.

    Attributes:
        expression: The unit as the unit library spells it.
        factor: What one of it is in base units (m, kg, s, rad), exact but for angles [-].
        dimension: Its dimensions, as text that compares equal for equal dimensions.
        atoms: The unit library's names it is made of.
    """

    expression: str
    factor: Fraction
    dimension: str
    atoms: frozenset[str]


@cache
def _registry() -> Any:
    # Loaded on first use, because the library takes longer to start than a whole blade takes to work out.
    # Whole fractions instead of floats, so that 1 in is 0.0254 m to the last digit.
    import pint

    make: Any = pint.UnitRegistry
    return make(non_int_type=Fraction)


@cache
def unit_of(expression: str) -> Unit:
    """The unit the library's expression stands for; temperatures with an offset are left out here."""
    atoms = frozenset(re.findall(r"[A-Za-z_]+", expression))
    if atoms & _TEMPERATURES:
        return Unit(expression=expression, factor=Fraction(1), dimension="temperature", atoms=atoms)
    one = _registry().Quantity(Fraction(1), expression).to_base_units()
    dimension = "angle" if atoms <= _ANGLES else str(sorted(one.dimensionality.items()))
    return Unit(expression=expression, factor=Fraction(one.magnitude), dimension=dimension, atoms=atoms)


def to_celsius(degrees: Fraction, expression: str) -> Fraction:
    """A temperature in the named scale as degrees Celsius [degC]."""
    celsius = _registry().Quantity(degrees, expression).to("degC")
    return Fraction(celsius.magnitude)


def parse_unit(words: str, *, pound_is_force: bool) -> Unit | None:
    """The unit these words spell, or None when a word is unknown."""
    plain = words.strip().lower().rstrip(".")
    plain = _PREFIXED_POWER.sub(lambda m: f"{m[2]}{'2' if m[1].startswith('sq') else '3'}", plain)
    plain = re.sub(r"\s*(?:/|\bper\b)\s*", "/", plain)
    parts = [_spread(part) for part in plain.split("/")]
    pieces = [piece for part in parts for piece in part.split("/")]
    # A shorthand that is a quotient itself may only stand alone: "psi/ft" has no trade meaning.
    if len(pieces) > 2 or (len(parts) > 1 and len(pieces) > len(parts)):
        return None
    products = [_product(piece, pound_is_force=pound_is_force) for piece in pieces]
    if not all(products):
        return None
    return unit_of(" / ".join(f"({product})" for product in products))


def _spread(words: str) -> str:
    return SHORTHANDS.get(words.strip().replace("-", "").replace(" ", ""), words.strip())


def _product(words: str, *, pound_is_force: bool) -> str:
    atoms: list[str] = []
    for word in re.split(r"[ *.-]+", words):
        spelled = re.fullmatch(r"([a-z]+|['\"])\^?([23]?)", word)
        if spelled is None or spelled[1] not in ATOMS:
            return ""
        name = ATOMS[spelled[1]]
        if name == "pound" and pound_is_force:
            name = "force_pound"
        atoms.append(f"{name}**{spelled[2]}" if spelled[2] else name)
    return " * ".join(atoms)


def noun_of(words: str) -> str:
    """What a unit measures, as "a pressure", or "" when it is none of the kinds."""
    for kind in KINDS.values():
        unit = parse_unit(words, pound_is_force=kind.pound_is_force)
        if unit is not None and not kind.money and unit.dimension == unit_of(kind.unit).dimension:
            return kind.noun
    return ""


def fitting_unit(words: str, kind: Kind, *, typed: str, where: str) -> Unit:
    """The unit the words spell, sure to be of the kind.

    Raises:
        UnitError: an unknown unit, or one of the wrong kind; both are named.
    """
    unit = parse_unit(words, pound_is_force=kind.pound_is_force)
    if unit is None:
        raise UnitError(
            f'"{words}" is not a unit known here', value=typed, way_out=f"Write {kind.example}.", where=where
        )
    wanted = KINDS["time"] if kind.name == "money_per_hour" else kind
    if unit.dimension != unit_of(wanted.unit).dimension:
        noun = noun_of(words)
        is_what = f"is {noun}" if noun else f"does not measure {wanted.noun}"
        raise UnitError(
            f"{words} {is_what}; {wanted.noun} is wanted here",
            value=typed,
            way_out=f"Write {kind.example}.",
            where=where,
        )
    return unit
