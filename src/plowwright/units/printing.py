"""Values read back in the trade's words: fractions where a tape is read, decimals where a machine is."""

from __future__ import annotations

import math
from collections.abc import Generator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Final, Literal

from plowwright.errors import UnitError
from plowwright.units.constants import BAR, DEGREE, FOOT, GPM, HP, INCH, LB, LBF, LITRE_PER_MINUTE, MPH, PSI

System = Literal["us", "metric"]
Style = Literal["tape", "decimal", "both"]
_SPOKEN: Final[ContextVar[System]] = ContextVar("units that sentences are written in", default="us")


@contextmanager
def speaking(system: System) -> Generator[None]:
    """Sentences written inside speak these units where nothing else is asked for; outside it they are the trade's.

    Checks say what they find in whole sentences; this is how a metric sheet gets the same check in millimetres.

    Args:
        system: US or metric.
    """
    token = _SPOKEN.set(system)
    try:
        yield
    finally:
        _SPOKEN.reset(token)


@dataclass(frozen=True, kw_only=True)
class _Face:
    # One printed unit: label, size in the unit values are held in, most decimals, figures kept, and from
    # what size on it is used. Below that the next face in the row takes over.
    label: str
    size: float
    decimals: int = 3
    figures: int = 3
    at_least: float = 0.0


def _same(*faces: _Face) -> dict[str, tuple[_Face, ...]]:
    return {"us": faces, "metric": faces}


def _pair(us: tuple[_Face, ...], metric: tuple[_Face, ...]) -> dict[str, tuple[_Face, ...]]:
    return {"us": us, "metric": metric}


_FACES: Final[dict[str, dict[str, tuple[_Face, ...]]]] = {
    "length": _pair((_Face(label="in", size=INCH),), (_Face(label="mm", size=0.001, decimals=1),)),
    "area": _pair(
        (_Face(label="ft2", size=FOOT**2, at_least=FOOT**2), _Face(label="in2", size=INCH**2)),
        (_Face(label="m2", size=1.0, at_least=0.1), _Face(label="mm2", size=1e-6, decimals=1)),
    ),
    "volume": _pair(
        (_Face(label="ft3", size=FOOT**3, at_least=FOOT**3), _Face(label="in3", size=INCH**3)),
        (_Face(label="m3", size=1.0, at_least=0.1), _Face(label="cm3", size=1e-6)),
    ),
    "mass": _pair((_Face(label="lb", size=LB),), (_Face(label="kg", size=1.0),)),
    "force": _pair(
        (_Face(label="lbf", size=LBF),),
        (_Face(label="kN", size=1000.0, at_least=10_000.0), _Face(label="N", size=1.0)),
    ),
    "pressure": _pair((_Face(label="psi", size=PSI),), (_Face(label="bar", size=BAR),)),
    "stress": _pair(
        (_Face(label="ksi", size=1000.0 * PSI, at_least=1000.0 * PSI), _Face(label="psi", size=PSI)),
        (_Face(label="MPa", size=1e6),),
    ),
    "flow": _pair((_Face(label="gpm", size=GPM),), (_Face(label="L/min", size=LITRE_PER_MINUTE),)),
    "power": _pair((_Face(label="hp", size=HP),), (_Face(label="kW", size=1000.0),)),
    "torque": _pair(
        (
            _Face(label="ft-lb", size=FOOT * LBF, at_least=10.0 * FOOT * LBF),
            _Face(label="in-lb", size=INCH * LBF),
        ),
        (_Face(label="kN m", size=1000.0, at_least=10_000.0), _Face(label="N m", size=1.0)),
    ),
    "angle": _same(_Face(label="deg", size=DEGREE, decimals=2)),
    "time": _same(
        _Face(label="h", size=3600.0, at_least=3600.0),
        _Face(label="min", size=60.0, at_least=60.0),
        _Face(label="s", size=1.0),
    ),
    "speed": _pair((_Face(label="mph", size=MPH),), (_Face(label="km/h", size=1.0 / 3.6),)),
    "density": _pair(
        (_Face(label="lb/in3", size=LB / INCH**3, decimals=4, figures=4),), (_Face(label="kg/m3", size=1.0),)
    ),
    "linear_mass": _pair((_Face(label="lb/ft", size=LB / FOOT),), (_Face(label="kg/m", size=1.0),)),
    "areal_mass": _pair((_Face(label="lb/ft2", size=LB / FOOT**2),), (_Face(label="kg/m2", size=1.0),)),
    "spring_rate": _pair((_Face(label="lb/in", size=LBF / INCH),), (_Face(label="N/mm", size=1000.0),)),
    "money": _same(_Face(label="", size=1.0)),
    "money_per_hour": _same(_Face(label="/h", size=1.0)),
    "money_per_mass": _pair((_Face(label="/lb", size=1.0 / LB),), (_Face(label="/kg", size=1.0),)),
    "money_per_length": _pair((_Face(label="/ft", size=1.0 / FOOT),), (_Face(label="/m", size=1.0),)),
    "money_per_area": _pair((_Face(label="/ft2", size=1.0 / FOOT**2),), (_Face(label="/m2", size=1.0),)),
}


def tape(value: float, *, unit: bool = True, denominator: int = 16, feet: bool = False) -> str:
    """A length [m] as a tape reads it: `35-9/16 in`, or `7 ft 6 in` with feet; while speaking metric, `903 mm`.

    Args:
        value: Length [m].
        unit: Whether to write the inch after it; with feet the units are always written.
        denominator: Finest division of the tape, a power of two up to 64 [-].
        feet: Whether to part off whole feet from 12 in on.

    Returns:
        The nearest division, off by half a division at most; a half goes up.

    Raises:
        UnitError: no tape has that division.
    """
    if denominator not in (1, 2, 4, 8, 16, 32, 64):
        raise UnitError("no tape has that division", value=str(denominator), limit="1, 2, 4, 8, 16, 32 or 64")
    if _SPOKEN.get() == "metric":
        read = plain_number(value / 0.001, decimals=0 if denominator <= 16 else 1, commas=False)
        return f"{read} mm" if unit or feet else read
    return _inches_read(value, unit=unit, denominator=denominator, feet=feet)


def _inches_read(value: float, *, unit: bool = True, denominator: int = 16, feet: bool = False) -> str:
    # The hair keeps a half division that floats put just below itself from going down.
    steps = math.floor(abs(value) / INCH * denominator + 0.5 + 1e-9)
    sign = "-" if value < 0 and steps else ""
    whole_feet, steps = divmod(steps, 12 * denominator) if feet else (0, steps)
    whole, over = divmod(steps, denominator)
    common = math.gcd(over, denominator)
    fraction = f"{over // common}/{denominator // common}" if over else ""
    text = "-".join(part for part in (str(whole) if whole or not over else "", fraction) if part)
    if whole_feet:
        return f"{sign}{whole_feet} ft {text} in" if steps else f"{sign}{whole_feet} ft"
    return f"{sign}{text} in" if unit or feet else f"{sign}{text}"


def plain_number(value: float, *, decimals: int, fixed: bool = False, commas: bool = True) -> str:
    """A number to so many decimals [-], without trailing zeros unless fixed, never as -0."""
    text = f"{value:,.{decimals}f}" if commas else f"{value:.{decimals}f}"
    if "." in text and not fixed:
        text = text.rstrip("0").rstrip(".")
    return text if any(digit in text for digit in "123456789") else text.lstrip("-")


def counted(count: int, one: str, many: str = "") -> str:
    """So many of something in words: `1 row`, `2 rows`, `0 rows`.

    Args:
        count: How many [-].
        one: The word for one.
        many: The word for several; left out, the same with an s.
    """
    return f"{count:,} {one if count == 1 else many or f'{one}s'}"


def _decimals(value: float, face: _Face) -> int:
    # Three figures are what a shop can use; whole numbers are never rounded to tens.
    if value == 0.0 or not math.isfinite(value):
        return 0
    return min(face.decimals, max(0, face.figures - 1 - math.floor(math.log10(abs(value)))))


def say(
    value: float,
    kind: str,
    *,
    system: System | None = None,
    style: Style = "tape",
    digits: int | None = None,
    feet: bool = False,
    currency: str = "USD",
) -> str:
    """A value of a kind in words.

    Args:
        value: The value as its kind is held: SI, degrees Celsius for a temperature, money for money [-].
        kind: One of the kinds of `plowwright.units.kinds`.
        system: `us` or `metric`; left out, what is being spoken (see `speaking`), US as a rule.
        style: For US lengths: `tape` (nearest 1/16 in), `decimal`, or `both`, which adds the decimal unless
            it is a whole inch. In metric, `tape` is whole millimetres and the others show a tenth.
        digits: Decimals [-]; when None three figures are kept, and cents only when there are any.
        feet: Whether US lengths part off whole feet.
        currency: Code written before money.

    Raises:
        UnitError: no such kind.
    """
    system = system or _SPOKEN.get()
    if kind == "temperature":
        degrees, label = (value * 1.8 + 32.0, "degF") if system == "us" else (value, "degC")
        number = plain_number(degrees, decimals=1 if digits is None else digits, fixed=digits is not None)
        return f"{number} {label}"
    if kind not in _FACES:
        raise UnitError("no such kind of quantity", value=kind, way_out=f"There are: {', '.join(_FACES)}.")
    if kind == "length":
        return _say_length(value, system=system, style=style, digits=digits, feet=feet)
    faces = _FACES[kind][system]
    face = next((face for face in faces if abs(value) >= face.at_least * (1.0 - 1e-12)), faces[-1])
    shown = value / face.size
    if kind.startswith("money"):
        return _say_money(shown, per=face.label, digits=digits, currency=currency)
    decimals = _decimals(shown, face) if digits is None else digits
    number = plain_number(shown, decimals=decimals, fixed=digits is not None, commas=system == "us")
    # Nothing is written in the largest unit: "0 h", not "0 s".
    label = face.label if any(digit in number for digit in "123456789") else faces[0].label
    return f"{number} {label}"


def _say_length(value: float, *, system: System, style: Style, digits: int | None, feet: bool) -> str:
    if system == "metric":
        decimals = (0 if style == "tape" else 1) if digits is None else digits
        number = plain_number(value / 0.001, decimals=decimals, fixed=digits is not None, commas=False)
        return f"{number} mm"
    decimals = 3 if digits is None else digits
    decimal = f"{plain_number(value / INCH, decimals=decimals, fixed=digits is not None, commas=False)} in"
    if style == "decimal":
        return decimal
    read = _inches_read(value, feet=feet)
    whole = abs(value / INCH - round(value / INCH)) < 1e-9
    return read if style == "tape" or whole else f"{read} ({decimal})"


def _say_money(amount: float, *, per: str, digits: int | None, currency: str) -> str:
    # Half a cent either way of a whole amount is that whole amount.
    decimals = digits if digits is not None else (0 if abs(amount - round(amount)) < 0.005 else 2)
    return f"{currency} {plain_number(amount, decimals=decimals, fixed=True)}{per}"
