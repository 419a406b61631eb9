"""What a person typed, read into the unit the program works in, and read back so that a slip shows."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from plowwright.errors import UnitError
from plowwright.units.constants import FOOT, INCH, sheet_gauge
from plowwright.units.kinds import Kind, kind_named
from plowwright.units.measure import Unit, fitting_unit, to_celsius, unit_of
from plowwright.units.printing import plain_number, say, tape
from plowwright.units.spelling import (
    FRACTION,
    GROUPED,
    MIXED,
    NUMBER,
    PLAIN,
    exact,
    refuse_odd_commas,
    refuse_off_the_tape,
    tidy,
)

_INCH: Final = Fraction(254, 10_000)
_FOOT_WORD: Final = r"(?:'|ft\.?|feet|foot)"
_INCH_WORD: Final = r"(?:\"|in\.?|inches|inch)"
_INCH_PART: Final = rf"{MIXED}|{FRACTION}|\d+\.\d+|\d+"
_FEET_INCHES: Final = re.compile(
    rf"(-?)(\d+) ?{_FOOT_WORD} ?-? ?({_INCH_PART}) ?{_INCH_WORD}?", re.IGNORECASE
)
_FEET_DASH_INCHES: Final = re.compile(
    rf"(-?)(\d+) ?- ?((?:\d+[ -])?\d+ ?/ ?\d+|\d+\.\d+|\d+)( ?{_INCH_WORD})?", re.IGNORECASE
)
_GAUGE: Final = re.compile(r"(-?\d+) ?(?:ga|gauge|gage)\.?", re.IGNORECASE)
_SIZE: Final = re.compile(rf"([+-]?) ?({NUMBER}) ?(.*)")
_MONEY: Final = re.compile(
    rf"([+-]?) ?(?:([A-Z]{{3}}|\$) ?)?([+-]?)({GROUPED}|{PLAIN})(?: ?([A-Z]{{3}})\b)?(?: ?(?:/|per\b) ?(.+))?"
)
_INCH_COUNTS: Final = frozenset(str(count) for count in range(1, 12)) | {
    f"0{count}" for count in range(1, 10)
}
_US_ATOMS: Final = frozenset(
    {"inch", "foot", "yard", "mile", "gallon", "quart", "pound", "ounce", "short_ton", "force_pound", "kip"}
    | {"horsepower", "degF"}
)
_INCHES_ONLY: Final = frozenset({"inch"})
_FEET_ONLY: Final = frozenset({"foot"})
_NEVER_TO_THOUSANDTHS: Final = (frozenset({"force_pound", "inch"}), frozenset({"millimeter"}))
_BIG_METRIC: Final = frozenset({"meter", "tonne", "kilowatt", "kilonewton", "megapascal", "liter"})


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One quantity as it was read.

    Attributes:
        value: The value in SI; degrees Celsius for a temperature; for money the amount, or the amount per
            hour, kg, m or m2 [-].
        kind: The kind of quantity.
        text: What was typed.
        said: The value read back in the trade's words.
        doubt: Empty, or one sentence on what else may have been meant and how to write that.
        currency: Code of the money typed, or empty.
    """

    value: float
    kind: str
    text: str
    said: str
    doubt: str = ""
    currency: str = ""


def si(text: object, kind: str, where: str = "") -> float:
    """The value of what was typed, in the unit its kind is held in; see `read`."""
    return read(text, kind, where).value


def read(text: object, kind: str, where: str = "") -> Reading:
    """Read what was typed as a quantity of a kind.

    Args:
        text: What was typed. A number out of a file that is not text is refused like a bare number.
        kind: Name of the kind wanted, such as `length`.
        where: File and line, or field, for the message.

    Raises:
        UnitError: no unit, an unknown one, one of the wrong kind, or a spelling with two meanings.
    """
    wanted = kind_named(kind)
    typed = text if isinstance(text, str) else str(text)
    plain = tidy(typed)
    if not plain:
        raise UnitError(
            f"nothing was written; {wanted.noun} is wanted here", way_out=_write(wanted), where=where
        )
    refuse_odd_commas(plain, typed=typed, where=where)
    if wanted.money:
        return _read_money(plain, wanted, typed=typed, where=where)
    special = _read_shop_length(plain, typed=typed, where=where) if kind == "length" else None
    return special or _read_size(plain, wanted, typed=typed, where=where)


def doubt_outside(reading: Reading, low: float, high: float, hint: str) -> Reading:
    """The reading, with a doubt when its value is not within what is usual; a doubt it carries already stays.

    Args:
        reading: What was read.
        low: Lowest usual value, in the unit the reading is held in [-].
        high: Highest usual value, likewise [-].
        hint: What may have been meant and how to write it, one sentence.
    """
    if low <= reading.value <= high:
        return reading
    usual = f"{say(low, reading.kind)} to {say(high, reading.kind)}"
    doubt = f"read as {reading.said}, outside the usual {usual}. {hint}"
    return replace(reading, doubt=f"{reading.doubt} {doubt}".strip())


def _write(kind: Kind) -> str:
    return f"Write {kind.example}."


def _read_shop_length(plain: str, *, typed: str, where: str) -> Reading | None:
    gauge = _GAUGE.fullmatch(plain)
    if gauge is not None:
        value = sheet_gauge(int(gauge[1]), where=where)
        said = f"{gauge[1]} ga ({say(value, 'length', style='decimal', digits=4)})"
        return Reading(value=value, kind="length", text=typed, said=said)
    if re.fullmatch(FRACTION, plain):
        number = exact(plain, typed=typed, where=where)
        if number < 1:
            refuse_off_the_tape(plain, typed=typed, where=where)
            value = float(number * _INCH)
            return Reading(value=value, kind="length", text=typed, said=tape(value, denominator=64))
    if re.fullmatch(rf"{MIXED}|{FRACTION}", plain):
        raise UnitError(
            "a number without a unit",
            value=typed,
            way_out=f"Write {plain} in or {plain} ft, whichever is meant.",
            where=where,
        )
    feet_first = _FEET_INCHES.fullmatch(plain)
    if feet_first is not None:
        return _feet_and_inches(feet_first[1], feet_first[2], feet_first[3], typed=typed, where=where)
    dashed = _FEET_DASH_INCHES.fullmatch(plain)
    if dashed is not None and not re.fullmatch(
        rf"-?(?:{MIXED}|{FRACTION}) ?{_INCH_WORD}", plain, re.IGNORECASE
    ):
        if dashed[4]:
            raise UnitError(
                "this can be read two ways",
                value=typed,
                way_out=f"Write {dashed[2]} ft {dashed[3]} in if feet and inches were meant, "
                "or the one size wanted if it is a range.",
                where=where,
            )
        return _feet_and_inches(dashed[1], dashed[2], dashed[3], typed=typed, where=where)
    return None


def _feet_and_inches(sign: str, feet: str, inch_part: str, *, typed: str, where: str) -> Reading:
    refuse_off_the_tape(inch_part, typed=typed, where=where)
    inches = exact(inch_part, typed=typed, where=where)
    if sign:
        raise UnitError(
            "a length cannot be below zero", value=typed, way_out="Write it without the -.", where=where
        )
    if inches >= 12:
        known = "/" not in inch_part and inches in (16, 32, 64) and int(feet) < inches
        slash = f", or {feet}/{inch_part} if the fraction of an inch was" if known else ""
        total = float((Fraction(feet) * 12 + inches) * _INCH)
        raise UnitError(
            f"{feet} ft {inch_part} in has a foot or more in its inches",
            value=typed,
            limit="inches below 12",
            way_out=f"Write {tape(total, denominator=64, feet=True)} if that was meant{slash}.",
            where=where,
        )
    value = float((Fraction(feet) * 12 + inches) * _INCH)
    return Reading(value=value, kind="length", text=typed, said=_said_feet(value))


def _said_feet(value: float) -> str:
    in_inches = say(value, "length", style="decimal")
    steps = value / INCH * 64
    if abs(steps - round(steps)) > 1e-6:
        return f"{in_inches} (about {tape(value, feet=True)})"
    read_off = tape(value, feet=True, denominator=64)
    return f"{read_off} ({in_inches})" if "ft" in read_off else in_inches


def _read_size(plain: str, kind: Kind, *, typed: str, where: str) -> Reading:
    size = _SIZE.fullmatch(plain)
    if size is None:
        raise UnitError(f"this does not read as {kind.noun}", value=typed, way_out=_write(kind), where=where)
    sign, number, words = size[1], size[2], size[3].strip()
    if not words:
        raise UnitError("a number without a unit", value=typed, way_out=_write(kind), where=where)
    if re.match(r"[x×]\s*\d", words, re.IGNORECASE):
        raise UnitError(
            "more than one size in one place",
            value=typed,
            way_out=f"Write each on its own: {kind.example}.",
            where=where,
        )
    if kind.name != "length" and re.fullmatch(r"ga|gauge|gage", words, re.IGNORECASE):
        raise UnitError(
            f"{words} is a length; {kind.noun} is wanted here", value=typed, way_out=_write(kind), where=where
        )
    unit = fitting_unit(words, kind, typed=typed, where=where)
    if unit.atoms == _INCHES_ONLY:
        refuse_off_the_tape(number, typed=typed, where=where)
    amount = exact(number, typed=typed, where=where) * (-1 if sign == "-" else 1)
    if amount < 0 and not kind.may_be_negative:
        raise UnitError(f"{kind.noun} cannot be below zero", value=typed, way_out=_write(kind), where=where)
    value = _value(amount, unit, kind, typed=typed, where=where)
    shown = f"{sign if sign == '-' else ''}{_spaced(number)} {_unit_said(words)}"
    return Reading(
        value=value,
        kind=kind.name,
        text=typed,
        said=_said(value, kind, unit, shown),
        doubt=_doubt(value, number, unit, words),
    )


def _value(amount: Fraction, unit: Unit, kind: Kind, *, typed: str, where: str) -> float:
    if kind.name != "temperature":
        return float(amount * unit.factor / unit_of(kind.unit).factor)
    value = to_celsius(amount, unit.expression.strip("()"))
    if value < Fraction("-273.15"):
        raise UnitError(
            "colder than anything can be",
            value=typed,
            limit="-273.15 C (-459.67 F)",
            way_out=_write(kind),
            where=where,
        )
    return float(value)


def _spaced(number: str) -> str:
    return re.sub(r"(\d)(?: ?- ?| )(\d+ ?/)", r"\1-\2", number)


def _unit_said(words: str) -> str:
    return {"'": "ft", '"': "in"}.get(words, words)


def _said(value: float, kind: Kind, unit: Unit, shown: str) -> str:
    if kind.name == "length":
        if unit.atoms <= {"foot", "yard"} or (unit.atoms == _INCHES_ONLY and value >= 2 * FOOT):
            return _said_feet(value)
        if unit.atoms == _INCHES_ONLY:
            return shown
        return f"{shown} (about {tape(value, feet=value >= 2 * FOOT)})"
    if unit.atoms & {"day", "week"}:
        return f"{shown} ({plain_number(value / 3600, decimals=2)} h on the clock)"
    other = say(value, kind.name, system="metric" if unit.atoms & _US_ATOMS else "us")
    return shown if other.replace(",", "") == shown.replace(",", "") else f"{shown} ({other})"


def _doubt(value: float, number: str, unit: Unit, words: str) -> str:
    tail = number.partition(".")[2]
    if unit.atoms == _FEET_ONLY and tail in _INCH_COUNTS and "/" not in number:
        inches = Fraction(number.replace(",", "").replace(" ", "")) * 12
        if unit.dimension == unit_of("meter").dimension and (inches * 2).denominator != 1:
            feet = number.partition(".")[0] or "0"
            count = int(tail)
            in_inches = plain_number(float(inches), decimals=3)
            return (
                f"read as {number} ft = {in_inches} in ({tape(value, feet=True)}). "
                f"If {feet} ft {count} in was meant, write {feet}-{count}."
            )
    if unit.atoms & {"day", "week"}:
        return (
            f"read as {number} {words} of 24 h each day on the clock. "
            "If working time was meant, write the hours, as in 16 h."
        )
    if re.fullmatch(r"\d{1,3},\d{3}", number) and unit.atoms <= _BIG_METRIC:
        point = number.replace(",", ".")
        return (
            f"read as {number.replace(',', '')} {words}. If {point} {words} was meant, write it with a point."
        )
    if unit.atoms in _NEVER_TO_THOUSANDTHS:
        return _doubt_thousandths(number, f" {words}")
    return ""


def _doubt_thousandths(number: str, after: str) -> str:
    # Nobody types a thousandth of a psi, a millimetre or a dollar, but a point that parts thousands looks so.
    parted = re.fullmatch(r"([1-9]\d{0,2})\.(\d{3})", number)
    if parted is None:
        return ""
    meant = f"{parted[1]},{parted[2]}"
    return (
        f"read as {plain_number(float(number), decimals=3)}{after}. If {meant}{after} was meant, write it so."
    )


def _read_money(plain: str, kind: Kind, *, typed: str, where: str) -> Reading:
    money = _MONEY.fullmatch(plain)
    code = (money[2] or money[5] or "").replace("$", "USD") if money else ""
    if money is None or (money[2] and money[5] and money[5] != code):
        raise UnitError(f"this does not read as {kind.noun}", value=typed, way_out=_write(kind), where=where)
    if not code:
        raise UnitError("a number without its currency", value=typed, way_out=_write(kind), where=where)
    amount = exact(money[4], typed=typed, where=where) * (-1 if "-" in (money[1] or money[3]) else 1)
    if amount < 0 and not kind.may_be_negative:
        raise UnitError(f"{kind.noun} cannot be below zero", value=typed, way_out=_write(kind), where=where)
    words = (money[6] or "").strip()
    if not kind.unit:
        if words:
            raise UnitError(
                f"this is money per {words}; {kind.noun} is wanted here",
                value=typed,
                way_out=_write(kind),
                where=where,
            )
        value = float(amount)
        return Reading(
            value=value,
            kind=kind.name,
            text=typed,
            said=say(value, "money", currency=code),
            doubt=_doubt_thousandths(money[4], f" {code}"),
            currency=code,
        )
    if not words:
        raise UnitError(
            f"money per what is not said; {kind.noun} is wanted here",
            value=typed,
            way_out=_write(kind),
            where=where,
        )
    unit = fitting_unit(words, kind, typed=typed, where=where)
    value = float(amount * unit_of(kind.unit).factor / unit.factor)
    said = f"{code} {money[4]}/{words}"
    return Reading(value=value, kind=kind.name, text=typed, said=said, currency=code)
