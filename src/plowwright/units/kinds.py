"""The kinds of quantity a person may type, and the unit words the trade writes them with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plowwright.errors import UnitError


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of quantity.

    Attributes:
        name: The name used in code and rulebooks.
        noun: How a sentence calls it, with its article.
        unit: The unit values of this kind are held in, as the unit library spells it.
        example: How to type one, for messages.
        may_be_negative: Whether a value below zero makes sense.
        pound_is_force: Whether `lb` means the pound of force here.
        money: Whether an amount of money stands on top of the unit.
    """

    name: str
    noun: str
    unit: str
    example: str
    may_be_negative: bool = False
    pound_is_force: bool = False
    money: bool = False


def _table(*kinds: Kind) -> dict[str, Kind]:
    return {kind.name: kind for kind in kinds}


KINDS: Final[dict[str, Kind]] = _table(
    Kind(name="length", noun="a length", unit="meter", example="90 in, 7-6 or 2.29 m"),
    Kind(name="area", noun="an area", unit="meter**2", example="12 ft2, 4.5 in2 or 1.1 m2"),
    Kind(name="volume", noun="a volume", unit="meter**3", example="25 in3, 5 gal or 19 L"),
    Kind(name="mass", noun="a mass", unit="kilogram", example="640 lb or 290 kg"),
    Kind(name="force", noun="a force", unit="newton", example="640 lb or 2850 N", pound_is_force=True),
    Kind(
        name="pressure", noun="a pressure", unit="pascal", example="2,750 psi or 190 bar", pound_is_force=True
    ),
    Kind(name="stress", noun="a stress", unit="pascal", example="50 ksi or 345 MPa", pound_is_force=True),
    Kind(name="flow", noun="a flow", unit="meter**3/second", example="20 gpm or 75 L/min"),
    Kind(name="power", noun="a power", unit="watt", example="46 hp or 34 kW", pound_is_force=True),
    Kind(
        name="torque",
        noun="a torque",
        unit="newton*meter",
        example="150 ft-lb or 200 N m",
        pound_is_force=True,
    ),
    Kind(name="angle", noun="an angle", unit="radian", example="30 deg", may_be_negative=True),
    Kind(name="time", noun="a time", unit="second", example="16 h or 45 min"),
    Kind(
        name="temperature", noun="a temperature", unit="degC", example="65 F or -10 C", may_be_negative=True
    ),
    Kind(name="speed", noun="a speed", unit="meter/second", example="6 mph or 10 km/h"),
    Kind(name="density", noun="a density", unit="kilogram/meter**3", example="0.2836 lb/in3 or 7850 kg/m3"),
    Kind(
        name="linear_mass", noun="a mass per length", unit="kilogram/meter", example="8.15 lb/ft or 12.1 kg/m"
    ),
    Kind(
        name="areal_mass", noun="a mass per area", unit="kilogram/meter**2", example="5.1 lb/ft2 or 25 kg/m2"
    ),
    Kind(
        name="spring_rate",
        noun="a spring rate",
        unit="newton/meter",
        example="150 lb/in or 26 N/mm",
        pound_is_force=True,
    ),
    Kind(
        name="money",
        noun="an amount of money",
        unit="",
        example="USD 1,720",
        may_be_negative=True,
        money=True,
    ),
    Kind(name="money_per_hour", noun="a rate per hour", unit="hour", example="USD 48/h", money=True),
    Kind(name="money_per_mass", noun="a price per mass", unit="kilogram", example="USD 0.92/lb", money=True),
    Kind(name="money_per_length", noun="a price per length", unit="meter", example="USD 3.10/ft", money=True),
    Kind(name="money_per_area", noun="a price per area", unit="meter**2", example="USD 1.80/ft2", money=True),
)


def kind_named(name: str) -> Kind:
    """The kind of that name.

    Raises:
        UnitError: there is no such kind; the text lists those there are.
    """
    kind = KINDS.get(name)
    if kind is None:
        raise UnitError("no such kind of quantity", value=name, way_out=f"There are: {', '.join(KINDS)}.")
    return kind


def _words(table: dict[str, str]) -> dict[str, str]:
    return {word: unit for unit, words in table.items() for word in words.split()}


# Unit word as typed, in lower case -> the unit library's name. Only what is listed here is taken: the
# library alone would read "F" as farad, "C" as coulomb, "ga" as a gigayear and "kn" as knots.
ATOMS: Final[dict[str, str]] = _words(
    {
        "inch": 'in inch inches "',
        "foot": "ft foot feet '",
        "yard": "yd yard yards",
        "mile": "mi mile miles",
        "millimeter": "mm millimeter millimeters millimetre millimetres",
        "centimeter": "cm centimeter centimeters centimetre centimetres",
        "meter": "m meter meters metre metres",
        "kilometer": "km kilometer kilometers kilometre kilometres",
        "gallon": "gal gallon gallons",
        "quart": "qt quart quarts",
        "liter": "l liter liters litre litres",
        "milliliter": "ml",
        "pound": "lb lbs pound pounds",
        "ounce": "oz ounce ounces",
        "short_ton": "ton tons",
        "gram": "g gram grams",
        "kilogram": "kg kgs kilo kilos kilogram kilograms",
        "tonne": "t tonne tonnes",
        "force_pound": "lbf",
        "kip": "kip kips",
        "newton": "n newton newtons",
        "kilonewton": "kn",
        "pascal": "pa",
        "kilopascal": "kpa",
        "megapascal": "mpa",
        "gigapascal": "gpa",
        "bar": "bar bars",
        "watt": "w watt watts",
        "kilowatt": "kw",
        "horsepower": "hp",
        "degree": "deg degree degrees",
        "radian": "rad radian radians",
        "hour": "h hr hrs hour hours",
        "minute": "min mins minute minutes",
        "second": "s sec secs second seconds",
        "day": "day days",
        "week": "week weeks",
        "degF": "f degf fahrenheit",
        "degC": "c degc celsius",
        "kelvin": "k kelvin",
    }
)

# Words that stand for a quotient.
SHORTHANDS: Final[dict[str, str]] = {
    "psi": "lbf/in2",
    "ksi": "kip/in2",
    "psf": "lb/ft2",
    "pcf": "lb/ft3",
    "plf": "lb/ft",
    "gpm": "gal/min",
    "lpm": "l/min",
    "mph": "mi/h",
    "kph": "km/h",
    "kmh": "km/h",
    "fpm": "ft/min",
    "nm": "n*m",
    "knm": "kn*m",
    "ftlb": "ft*lb",
    "ftlbs": "ft*lb",
    "inlb": "in*lb",
    "inlbs": "in*lb",
    "sqft": "ft2",
    "sqin": "in2",
    "cc": "cm3",
}
