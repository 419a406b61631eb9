"""Sizes as people type them, and as they are read back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright import units
from plowwright.errors import UnitError
from plowwright.units import read, say, si, tape

INCH = 0.0254


def refusal(text: object, kind: str, where: str = "") -> str:
    with pytest.raises(UnitError) as caught:
        read(text, kind, where)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("7-6", 90),
        ("7 - 6", 90),
        ("7-0", 84),
        ("7-06", 90),
        ("7-6-1/2", 90.5),
        ("7-6 1/2", 90.5),
        ("7' 6\"", 90),
        ("7'-6\"", 90),
        ("7'6", 90),
        ("7\u2032 6\u2033", 90),
        ("7\u2019 6\u00bd\u201d", 90.5),
        ("7''", 7),
        ("7 ft 6 in", 90),
        ("7 ft 6", 90),
        ("7ft 6-1/2in", 90.5),
        ("7 FT 6 IN.", 90),
        ("90 in", 90),
        ("90in", 90),
        ('90"', 90),
        ("  90\u00a0inches ", 90),
        ("7.5 ft", 90),
        ("7\u00bd ft", 90),
        ("7-1/2 ft", 90),
        ("7 ft", 84),
        ("3/16", 0.1875),
        ("3/16 in", 0.1875),
        ("3-1/2 in", 3.5),
        ("3 1/2 in", 3.5),
        ('3\u20131/2"', 3.5),
        (".5 in", 0.5),
        ("11 ga", 0.1196),
        ("11ga.", 0.1196),
        ("16 gauge", 0.0598),
        ("2286 mm", 90),
        ("228.6 cm", 90),
        ("2 286 mm", 90),
        ("2,286 mm", 90),
        ("2.286 m", 90),
        ("2.5 yd", 90),
    ],
)
def test_every_way_the_trade_writes_a_length_is_read(text: str, inches: float) -> None:
    assert si(text, "length") == pytest.approx(inches * INCH, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("20 gpm", "flow", 20 * 231 * INCH**3 / 60),
        ("75 L/min", "flow", 0.00125),
        ("75 l/min", "flow", 0.00125),
        ("2,750 psi", "pressure", 2750 * 6894.757293168361),
        ("2750 PSI", "pressure", 2750 * 6894.757293168361),
        ("2,750 lb/in\u00b2", "pressure", 2750 * 6894.757293168361),
        ("190 bar", "pressure", 19_000_000.0),
        ("19 MPa", "pressure", 19_000_000.0),
        ("50 ksi", "stress", 50_000 * 6894.757293168361),
        ("46 hp", "power", 46 * 745.6998715822702),
        ("34 kW", "power", 34_000.0),
        ("640 lb", "mass", 640 * 0.45359237),
        ("640 lbs.", "mass", 640 * 0.45359237),
        ("1 ton", "mass", 2000 * 0.45359237),
        ("0.3 t", "mass", 300.0),
        ("640 lb", "force", 640 * 4.4482216152605),
        ("640 lbf", "force", 640 * 4.4482216152605),
        ("2.5 kN", "force", 2500.0),
        ("150 ft-lb", "torque", 150 * 1.3558179483314004),
        ("150 lb-ft", "torque", 150 * 1.3558179483314004),
        ("90 in-lb", "torque", 90 * 0.1129848290276167),
        ("200 N\u00b7m", "torque", 200.0),
        ("200 Nm", "torque", 200.0),
        ("30 deg", "angle", math.pi / 6),
        ("30\u00b0", "angle", math.pi / 6),
        ("\u22125 degrees", "angle", -math.pi / 36),
        ("16 h", "time", 57_600.0),
        ("45 min", "time", 2700.0),
        ("65 F", "temperature", 55 / 3),
        ("65\u00b0F", "temperature", 55 / 3),
        ("-10 C", "temperature", -10.0),
        ("\u221210 \u00b0C", "temperature", -10.0),
        ("6 mph", "speed", 6 * 0.44704),
        ("36 km/h", "speed", 10.0),
        ("0.2836 lb/in3", "density", 0.2836 * 0.45359237 / INCH**3),
        ("7 850 kg/m\u00b3", "density", 7850.0),
        ("8.15 lb/ft", "linear_mass", 8.15 * 0.45359237 / 0.3048),
        ("8.15 lb per ft", "linear_mass", 8.15 * 0.45359237 / 0.3048),
        ("5.1 lb/sq ft", "areal_mass", 5.1 * 0.45359237 / 0.3048**2),
        ("150 lb/in", "spring_rate", 150 * 4.4482216152605 / INCH),
        ("26 N/mm", "spring_rate", 26_000.0),
        ("12 sq ft", "area", 12 * 0.3048**2),
        ("4.5 in\u00b2", "area", 4.5 * INCH**2),
        ("1 gal", "volume", 231 * INCH**3),
        ("2.5 cu in", "volume", 2.5 * INCH**3),
        ("USD 1,720", "money", 1720.0),
        ("1,720 USD", "money", 1720.0),
        ("$1,720.50", "money", 1720.5),
        ("-$20", "money", -20.0),
        ("USD 48/h", "money_per_hour", 48.0),
        ("48 USD/hour", "money_per_hour", 48.0),
        ("USD 0.92/lb", "money_per_mass", 0.92 / 0.45359237),
        ("USD 3.10/ft", "money_per_length", 3.10 / 0.3048),
        ("$1.80 per sq ft", "money_per_area", 1.80 / 0.3048**2),
    ],
)
def test_every_other_kind_is_read_in_its_trade_units(text: str, kind: str, value: float) -> None:
    assert si(text, kind) == pytest.approx(value, rel=1e-14)


def test_an_inch_is_exactly_25_4_millimetres_and_a_pound_exactly_0_45359237_kilograms() -> None:
    assert si("1 in", "length") == 0.0254
    assert si("90 in", "length") == si("7-6", "length") == si("2286 mm", "length") == 2.286
    assert si("1 lb", "mass") == 0.45359237


@pytest.mark.parametrize("kind", sorted(units.KINDS))
@pytest.mark.parametrize("bare", ["90", "2,750", "0", "-4.5", 90, 7.5])
def test_a_bare_number_is_refused_with_an_example_of_that_kind(kind: str, bare: object) -> None:
    text = refusal(bare, kind, "rules.toml line 3")
    assert text.startswith("rules.toml line 3: a number without ")
    assert f"(given: {bare})" in text
    assert text.endswith(f"Write {units.KINDS[kind].example}.")


@pytest.mark.parametrize("kind", sorted(units.KINDS))
def test_every_example_a_message_offers_is_itself_read_without_doubt(kind: str) -> None:
    for example in units.KINDS[kind].example.replace(" or ", ", ").split(", "):
        assert read(example, kind).doubt == ""


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        (
            "20 gpm",
            "length",
            "gpm is a flow; a length is wanted here (given: 20 gpm). Write 90 in, 7-6 or 2.29 m.",
        ),
        ("2.29 m", "mass", "m is a length; a mass is wanted here"),
        ("640 lbf", "mass", "lbf is a force; a mass is wanted here"),
        ("290 kg", "force", "kg is a mass; a force is wanted here"),
        ("65 F", "mass", "F is a temperature; a mass is wanted here"),
        ("150 ft-lb", "mass", "ft-lb is a torque; a mass is wanted here"),
        ("11 ga", "mass", "ga is a length; a mass is wanted here"),
        ("30 deg", "length", "deg is an angle; a length is wanted here"),
        ("USD 48/lb", "money_per_hour", "lb is a mass; a time is wanted here"),
        ("USD 48", "money_per_hour", "money per what is not said; a rate per hour is wanted here"),
        ("USD 48/h", "money", "this is money per h; an amount of money is wanted here"),
        ("3 furlongs", "length", '"furlongs" is not a unit known here (given: 3 furlongs). Write 90 in'),
        ("10 working days", "time", '"working days" is not a unit known here'),
        ("2 psi/ft", "pressure", '"psi/ft" is not a unit known here'),
        ("blue", "length", "this does not read as a length (given: blue)"),
        ("", "mass", "nothing was written; a mass is wanted here. Write 640 lb or 290 kg."),
        ("2,29 m", "length", "If 2.29 was meant, write 2.29 m."),
        ("1.234,5 mm", "length", "If 1234.5 was meant, write 1234.5 mm."),
        ("12,34,567 lb", "mass", "the comma does not part thousands"),
        ("1.720,00 USD", "money", "If 1720.00 was meant, write 1720.00 USD."),
        ("3-16", "length", "limit: inches below 12. Write 4 ft 4 in if that was meant, or 3/16 if"),
        ("7-12", "length", "7 ft 12 in has a foot or more in its inches (given: 7-12)"),
        ("7 ft 13 in", "length", "limit: inches below 12. Write 8 ft 1 in if that was meant."),
        ("7-1/2", "length", "Write 7-1/2 in or 7-1/2 ft, whichever is meant."),
        ("3-6 in", "length", "Write 3 ft 6 in if feet and inches were meant"),
        ("3/15 in", "length", "3/15 is not a fraction a tape shows"),
        ("2-5/4 in", "length", "5/4 is not a fraction a tape shows"),
        ("3/0 in", "length", "3/0 is not a fraction a tape shows"),
        ("3/0 lb", "mass", "not a fraction (given: 3/0 lb)"),
        ("6 x 1/2", "length", "more than one size in one place"),
        ("6 \u00d7 1/2 in", "length", "more than one size in one place"),
        ("29 ga", "length", "limit: 3 ga (0.2391 in) to 28 ga (0.0149 in)"),
        ("-3 in", "length", "a length cannot be below zero (given: -3 in)"),
        ("-7-6", "length", "a length cannot be below zero (given: -7-6)"),
        ("-2 lb", "mass", "a mass cannot be below zero"),
        ("USD -4/lb", "money_per_mass", "a price per mass cannot be below zero"),
        ("-500 F", "temperature", "limit: -273.15 C (-459.67 F)"),
        ("USD 5 CAD", "money", "this does not read as an amount of money"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_the_way_out(text: str, kind: str, says: str) -> None:
    assert says in refusal(text, kind)


def test_an_unknown_kind_is_refused_with_the_kinds_there_are() -> None:
    assert "There are: length, area" in refusal("90 in", "colour")
    with pytest.raises(UnitError, match="There are: length"):
        say(1.0, "colour")


def test_tenths_of_a_foot_that_look_like_inches_are_taken_with_a_doubt() -> None:
    reading = read("7.6 ft", "length")
    assert reading.value == pytest.approx(91.2 * INCH, rel=1e-15)
    assert reading.doubt == ("read as 7.6 ft = 91.2 in (7 ft 7-3/16 in). If 7 ft 6 in was meant, write 7-6.")
    assert "write 7-10." in read("7.10 ft", "length").doubt
    assert "write 7-11." in read("7.11'", "length").doubt
    assert "write 7-6." in read("7.06 ft", "length").doubt


@pytest.mark.parametrize(
    "text", ["7.5 ft", "7.25 ft", "7 ft", "7.0 ft", "7.75 ft", "7.12 ft", "7.6 in", "7.6 m", "7-6"]
)
def test_lengths_that_cannot_be_mistyped_feet_and_inches_raise_no_doubt(text: str) -> None:
    assert read(text, "length").doubt == ""


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("2,290 m", "length", "read as 2290 m. If 2.290 m was meant, write it with a point."),
        ("2.750 psi", "pressure", "read as 2.75 psi. If 2,750 psi was meant, write it so."),
        ("USD 1.720", "money", "read as 1.72 USD. If 1,720 USD was meant, write it so."),
        ("2 days", "time", "If working time was meant, write the hours, as in 16 h."),
    ],
)
def test_numbers_another_country_would_read_otherwise_are_taken_with_a_doubt(
    text: str, kind: str, says: str
) -> None:
    assert says in read(text, kind).doubt


def test_a_value_outside_what_is_usual_gets_a_doubt_that_says_both() -> None:
    usual = (1000 * units.PSI, 4000 * units.PSI, "If 140 bar was meant, write 140 bar.")
    assert units.doubt_outside(read("2,750 psi", "pressure"), *usual).doubt == ""
    doubted = units.doubt_outside(read("140 psi", "pressure"), *usual)
    assert doubted.value == si("140 psi", "pressure")
    assert doubted.doubt == (
        "read as 140 psi (9.65 bar), outside the usual 1,000 psi to 4,000 psi. "
        "If 140 bar was meant, write 140 bar."
    )
    foot = units.doubt_outside(read("7.6 ft", "length"), 3.0, 4.0, "Is it that short?")
    assert "write 7-6." in foot.doubt
    assert foot.doubt.endswith("Is it that short?")


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("7-6", "length", "7 ft 6 in (90 in)"),
        ("90 in", "length", "7 ft 6 in (90 in)"),
        ("7.6 ft", "length", "91.2 in (about 7 ft 7-3/16 in)"),
        ("2290 mm", "length", "2290 mm (about 7 ft 6-3/16 in)"),
        ("3 1/2 in", "length", "3-1/2 in"),
        ("3/16", "length", "3/16 in"),
        ("5/64", "length", "5/64 in"),
        ("11 ga", "length", "11 ga (0.1196 in)"),
        ("20 gpm", "flow", "20 gpm (75.7 L/min)"),
        ("190 bar", "pressure", "190 bar (2,756 psi)"),
        ("65 F", "temperature", "65 F (18.3 degC)"),
        ("-10 C", "temperature", "-10 C (14 degF)"),
        ("30 deg", "angle", "30 deg"),
        ("2 days", "time", "2 days (48 h on the clock)"),
        ("$1,720", "money", "USD 1,720"),
        ("USD 48/h", "money_per_hour", "USD 48/h"),
    ],
)
def test_what_was_typed_is_said_back_so_that_a_slip_shows(text: str, kind: str, said: str) -> None:
    reading = read(text, kind)
    assert reading.said == said
    assert reading.text == text
    assert reading.kind == kind


def test_the_currency_typed_is_kept() -> None:
    assert read("EUR 40", "money").currency == "EUR"
    assert read("$40/h", "money_per_hour").currency == "USD"
    assert read("90 in", "length").currency == ""


@pytest.mark.parametrize(
    ("inches", "read_off", "in_feet"),
    [
        (90, "90 in", "7 ft 6 in"),
        (84, "84 in", "7 ft"),
        (35.5625, "35-9/16 in", "2 ft 11-9/16 in"),
        (0.1875, "3/16 in", "3/16 in"),
        (0, "0 in", "0 in"),
        (-0.01, "0 in", "0 in"),
        (-3.5, "-3-1/2 in", "-3-1/2 in"),
        (11.97, "12 in", "1 ft"),
        (91.2, "91-3/16 in", "7 ft 7-3/16 in"),
        (12.5, "12-1/2 in", "1 ft 1/2 in"),
        (1 / 32, "1/16 in", "1/16 in"),
    ],
)
def test_lengths_print_as_a_tape_reads(inches: float, read_off: str, in_feet: str) -> None:
    assert tape(inches * INCH) == read_off
    assert tape(inches * INCH, feet=True) == in_feet
    assert tape(inches * INCH, unit=False) == read_off.removesuffix(" in")


def test_a_tape_is_divided_by_powers_of_two_only() -> None:
    assert tape(5 / 64 * INCH, denominator=64) == "5/64 in"
    assert tape(0.3 * INCH, denominator=1) == "0 in"
    with pytest.raises(
        UnitError, match=r"no tape has that division \(given: 10\); limit: 1, 2, 4, 8, 16, 32 or 64"
    ):
        tape(INCH, denominator=10)


@pytest.mark.parametrize(
    ("text", "kind", "us", "metric"),
    [
        ("90 in", "length", "90 in", "2286 mm"),
        ("640 lb", "mass", "640 lb", "290 kg"),
        ("71.5 lb", "mass", "71.5 lb", "32.4 kg"),
        ("20 gpm", "flow", "20 gpm", "75.7 L/min"),
        ("2,750 psi", "pressure", "2,750 psi", "190 bar"),
        ("46 hp", "power", "46 hp", "34.3 kW"),
        ("640 lb", "force", "640 lbf", "2847 N"),
        ("150 ft-lb", "torque", "150 ft-lb", "203 N m"),
        ("90 in-lb", "torque", "90 in-lb", "10.2 N m"),
        ("30 deg", "angle", "30 deg", "30 deg"),
        ("16 h", "time", "16 h", "16 h"),
        ("45 min", "time", "45 min", "45 min"),
        ("0 h", "time", "0 h", "0 h"),
        ("14 F", "temperature", "14 degF", "-10 degC"),
        ("50 ksi", "stress", "50 ksi", "345 MPa"),
        ("0.2836 lb/in3", "density", "0.2836 lb/in3", "7850 kg/m3"),
        ("8.15 lb/ft", "linear_mass", "8.15 lb/ft", "12.1 kg/m"),
        ("USD 4,660", "money", "USD 4,660", "USD 4,660"),
        ("USD 4,660.37", "money", "USD 4,660.37", "USD 4,660.37"),
        ("USD 0.92/lb", "money_per_mass", "USD 0.92/lb", "USD 2.03/kg"),
    ],
)
def test_values_print_in_us_and_in_metric_units(text: str, kind: str, us: str, metric: str) -> None:
    value = si(text, kind)
    assert say(value, kind) == us
    assert say(value, kind, system="metric") == metric


def test_a_length_prints_for_a_tape_for_a_machine_or_for_both() -> None:
    length = 35.563 * INCH
    assert say(length, "length", style="decimal") == "35.563 in"
    assert say(length, "length", style="decimal", digits=1) == "35.6 in"
    assert say(length, "length", style="both") == "35-9/16 in (35.563 in)"
    assert say(90 * INCH, "length", style="both") == "90 in"
    assert say(90 * INCH, "length", feet=True) == "7 ft 6 in"
    assert say(length, "length", system="metric", style="decimal") == "903.3 mm"
    assert say(2.0, "mass", system="metric", digits=2) == "2.00 kg"
    assert say(4660.37, "money", digits=0, currency="EUR") == "EUR 4,660"


@given(steps=st.integers(0, 16 * 400), feet=st.booleans())
def test_what_a_tape_prints_reads_back_to_the_same_sixteenth(steps: int, feet: bool) -> None:
    printed = tape(steps / 16 * INCH, feet=feet)
    assert round(si(printed, "length") / INCH * 16, 9) == steps
    assert tape(si(printed, "length"), feet=feet) == printed


@given(inches=st.floats(0, 400))
def test_a_tape_is_never_off_by_more_than_half_a_sixteenth(inches: float) -> None:
    assert abs(si(tape(inches * INCH), "length") / INCH - inches) <= 1 / 32 + 1e-9


@given(thousandths=st.integers(0, 400_000))
def test_a_machine_dimension_reads_back_to_the_thousandth(thousandths: int) -> None:
    printed = say(thousandths / 1000 * INCH, "length", style="decimal")
    assert round(si(printed, "length") / INCH * 1000, 6) == thousandths


@given(feet=st.integers(0, 20), inches=st.integers(0, 11), over=st.integers(1, 15))
def test_every_spelling_of_one_length_is_the_same_number(feet: int, inches: int, over: int) -> None:
    spellings = [
        f"{feet}-{inches}-{over}/16",
        f"{feet}' {inches} {over}/16\"",
        f"{feet} ft {inches}-{over}/16 in",
    ]
    values = {si(spelling, "length") for spelling in (*spellings, f"{feet * 12 + inches}-{over}/16 in")}
    assert len(values) == 1


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("kind", sorted(units.KINDS))
@given(value=st.floats(1e-3, 1e7))
def test_what_is_printed_reads_back_to_what_was_printed(
    kind: str, system: units.System, value: float
) -> None:
    printed = say(value, kind, system=system)
    again = si(printed, kind)
    assert say(again, kind, system=system).replace(",", "") == printed.replace(",", "")
    # The coarsest last figure any kind prints in that range, in the unit it is held in.
    coarsest = {
        "length": INCH / 32,
        "money_per_mass": 0.012,
        "money_per_length": 0.017,
        "money_per_area": 0.055,
    }
    last = coarsest[kind] if kind in coarsest else _last_figure(printed, kind)
    assert abs(again - value) <= max(0.0051 * abs(value), last) * (1 + 1e-9)


def _last_figure(printed: str, kind: str) -> float:
    if kind == "temperature":
        return 0.051
    last = {"money": 0.0051, "money_per_hour": 0.0051, "angle": si("0.0051 deg", "angle")}
    return last[kind] if kind in last else si(f"0.0005 {printed.split(' ', 1)[1]}", kind)


# The gauge is defined as a weight per square foot, here in pounds, and steel is taken at 41.82 lb/ft2 for
# each inch of thickness (both from memory).
SHEET_WEIGHTS = {
    3: 10.0, 4: 9.375, 5: 8.75, 6: 8.125, 7: 7.5, 8: 6.875, 9: 6.25, 10: 5.625, 11: 5.0, 12: 4.375, 13: 3.75,
    14: 3.125, 15: 2.8125, 16: 2.5, 17: 2.25, 18: 2.0, 19: 1.75, 20: 1.5, 21: 1.375, 22: 1.25, 23: 1.125,
    24: 1.0, 25: 0.875, 26: 0.75, 27: 0.6875, 28: 0.625,
}  # fmt: skip


@pytest.mark.parametrize("number", range(3, 29))
def test_each_sheet_gauge_is_the_thickness_its_weight_per_square_foot_gives(number: int) -> None:
    assert units.sheet_gauge(number) / INCH == pytest.approx(SHEET_WEIGHTS[number] / 41.82, abs=0.000051)
    assert si(f"{number} ga", "length") == units.sheet_gauge(number)


@pytest.mark.parametrize("number", [-1, 0, 2, 29])
def test_a_gauge_outside_the_table_is_refused(number: int) -> None:
    with pytest.raises(UnitError, match=r"limit: 3 ga \(0.2391 in\) to 28 ga"):
        units.sheet_gauge(number)


@pytest.mark.parametrize(
    ("constant", "text", "kind"),
    [
        (units.INCH, "1 in", "length"),
        (units.FOOT, "1 ft", "length"),
        (units.LB, "1 lb", "mass"),
        (units.LBF, "1 lbf", "force"),
        (units.PSI, "1 psi", "pressure"),
        (units.BAR, "1 bar", "pressure"),
        (units.GPM, "1 gpm", "flow"),
        (units.LITRE_PER_MINUTE, "1 L/min", "flow"),
        (units.HP, "1 hp", "power"),
        (units.MPH, "1 mph", "speed"),
        (units.DEGREE, "1 deg", "angle"),
    ],
)
def test_the_constants_agree_with_the_unit_library(constant: float, text: str, kind: str) -> None:
    assert constant == pytest.approx(si(text, kind), rel=1e-15)


def test_raw_converters_give_inches_and_pounds() -> None:
    assert units.inches(2.286) == pytest.approx(90, rel=1e-15)
    assert units.pounds(290.2991168) == pytest.approx(640, rel=1e-15)


def test_sentences_speak_metric_where_asked_and_the_trades_units_again_afterwards() -> None:
    from plowwright.findings import Basis, against_limit

    def check() -> str:
        basis = Basis(kind="shop rule", formula="-")
        return against_limit(2.0, 2.5, kind="length", title="bar", basis=basis).sentence

    with units.speaking("metric"):
        assert check() == "bar: 2000 mm, allowed at most 2500 mm, 500 mm left"
        assert units.say(1000.0, "force") == "1000 N" and units.tape(0.6) == "600 mm"
        assert units.say(0.6, "length", system="us") == "23-5/8 in"
        with units.speaking("us"):
            assert units.tape(0.6) == "23-5/8 in"
    assert units.tape(0.6) == "23-5/8 in" and "78-3/4 in" in check()


def test_units_spoken_in_one_thread_are_not_heard_in_another() -> None:
    from concurrent.futures import ThreadPoolExecutor

    with units.speaking("metric"), ThreadPoolExecutor(max_workers=1) as hand:
        assert hand.submit(units.tape, 0.6).result() == "23-5/8 in"


def test_one_of_something_is_said_as_one() -> None:
    said = [units.counted(n, "row") for n in (0, 1, 2, 1200)]
    assert said == ["0 rows", "1 row", "2 rows", "1,200 rows"]
    assert units.counted(1, "notch", "notches") == "1 notch" and units.counted(3, "notch", "notches") == "3 notches"
