"""One fact about a carrier: what exactly it is, how well it is known, and where it comes from.

A number over the phone and a number off the plate are not the same number. A fact keeps low, likely and high; unless
the person gave all three, the spread follows from the source. A fact that is not there is unknown, and stays unknown.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any, Final, Literal, cast

from plowwright import units
from plowwright.errors import EntryError
from plowwright.rulebook.strength import FactSpreads
from plowwright.units.constants import DEGREE, FOOT, GPM, HP, INCH, LB, LBF, PSI

Source = Literal["plate", "book", "told", "guessed"]

SOURCES: Final[tuple[Source, ...]] = ("guessed", "told", "book", "plate")
"""Where a fact can come from, weakest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreads:
    """How far a fact may be off by its source, share of the value either way.

    Attributes:
        plate: Read off the machine's plate [-].
        book: From the maker's sheet [-].
        told: Said over the phone [-].
        guessed: Our own guess [-].
    """

    plate: float = 0.02
    book: float = 0.05
    told: float = 0.15
    guessed: float = 0.30

    def of(self, source: Source) -> float:
        """Spread of a source [-]."""
        return float(getattr(self, source))

    @classmethod
    def from_rules(cls, rules: FactSpreads) -> Spreads:
        """The spreads a rulebook sets.

        Args:
            rules: `fact_spreads` of strength.toml.
        """
        return cls(plate=rules.plate.value, book=rules.book.value, told=rules.told.value, guessed=rules.guessed.value)


ASSUMED: Final = Spreads()
"""What is taken where no rulebook says otherwise; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FactName:
    """A fact that can be known about a carrier.

    Attributes:
        quantity: Kind of quantity, or "word".
        whats: What exactly it can be, the usual one first.
        noun: How a sentence calls it.
        usual: Lowest and highest usual value [SI of its kind]; outside it the reading carries a doubt.
        hint: What may have been meant when it is outside the usual.
        words: What a word fact may be; empty where anything goes.
    """

    quantity: str
    whats: tuple[str, ...]
    noun: str
    usual: tuple[float, float] = (0.0, float("inf"))
    hint: str = ""
    words: tuple[str, ...] = ()


NAMES: Final[Mapping[str, FactName]] = MappingProxyType(
    {
        "power": FactName(
            quantity="power",
            whats=("engine", "PTO", "not said which"),
            noun="power",
            usual=(8 * HP, 400 * HP),
            hint="Is it hp or kW?",
        ),
        "mass": FactName(
            quantity="mass",
            whats=("operating", "operating with ballast", "shipping", "not said which"),
            noun="weight",
            usual=(600 * LB, 40_000 * LB),
            hint="Is it lb or kg?",
        ),
        "lift": FactName(
            quantity="mass",
            whats=(
                "at pins, full height",
                "at pins, low",
                "at pins, height not said",
                "ahead of pins, full height",
                "ahead of pins, height not said",
                "rated",
                "not said which",
            ),
            noun="lift",
            usual=(200 * LB, 20_000 * LB),
            hint="Is it lb or kg, and the loader's or the hitch's?",
        ),
        "tipping_load": FactName(
            quantity="mass",
            whats=("straight", "full turn"),
            noun="tipping load",
            usual=(400 * LB, 40_000 * LB),
            hint="Is it the rated load, half of it?",
        ),
        "breakout": FactName(
            quantity="force",
            whats=("bucket cylinder", "lift cylinder"),
            noun="breakout",
            usual=(300 * LBF, 60_000 * LBF),
        ),
        "flow": FactName(
            quantity="flow",
            whats=("standard", "high-flow", "not said which"),
            noun="auxiliary flow",
            usual=(2 * GPM, 60 * GPM),
            hint="Is it gpm or L/min, and the auxiliary outlets' flow, not the steering's?",
        ),
        "pressure": FactName(
            quantity="pressure",
            whats=("relief of the auxiliary outlets", "not said which"),
            noun="oil pressure",
            usual=(1_000 * PSI, 5_500 * PSI),
            hint="Is it psi or bar? 2,000 psi are 138 bar.",
        ),
        "wheelbase": FactName(
            quantity="length", whats=("axle to axle",), noun="wheelbase", usual=(24 * INCH, 14 * FOOT), hint="In or cm?"
        ),
        "front_axle": FactName(quantity="mass", whats=("standing load, no attachment",), noun="load on the front axle"),
        "rear_axle": FactName(quantity="mass", whats=("standing load, no attachment",), noun="load on the rear axle"),
        "front_axle_limit": FactName(quantity="mass", whats=("greatest load",), noun="limit of the front axle"),
        "rear_axle_limit": FactName(quantity="mass", whats=("greatest load",), noun="limit of the rear axle"),
        "reach": FactName(
            quantity="length",
            whats=("loader pivot to pins",),
            noun="reach of the loader from its pivot to the pins",
            usual=(20 * INCH, 12 * FOOT),
            hint="In or cm, and from the pivot of the arms, not from the axle?",
        ),
        "plate_ahead": FactName(
            quantity="length",
            whats=("of front axle, carried low",),
            noun="attachment plate ahead of the front axle",
            usual=(4 * INCH, 8 * FOOT),
        ),
        "articulation": FactName(
            quantity="angle",
            whats=("greatest turn of the joint",),
            noun="turn of the joint",
            usual=(20 * DEGREE, 50 * DEGREE),
            hint="From straight to one side?",
        ),
        "pin_height": FactName(
            quantity="length",
            whats=("full height", "carried low", "not said which"),
            noun="height of the loader pins",
            usual=(2 * INCH, 14 * FOOT),
        ),
        "ballast": FactName(
            quantity="mass",
            whats=("hung behind the rear axle", "in the rear wheels", "not said which"),
            noun="ballast",
            usual=(20 * LB, 6_000 * LB),
        ),
        "drive": FactName(
            quantity="word", whats=("driven wheels",), noun="drive", words=("all wheels", "rear wheels", "tracks")
        ),
        "tyres": FactName(quantity="word", whats=("driven wheels",), noun="tyres", words=("plain", "chains")),
        "pins_ahead": FactName(
            quantity="length",
            whats=("of front axle",),
            noun="loader pins ahead of the front axle",
            usual=(0.0, 8 * FOOT),
        ),
        "width": FactName(
            quantity="length", whats=("over tyres", "over tracks"), noun="width", usual=(24 * INCH, 10 * FOOT)
        ),
        "couplers": FactName(quantity="word", whats=("auxiliary outlets",), noun="couplers"),
        "outlets": FactName(
            quantity="word", whats=("seen from the seat",), noun="outlet side", words=("left", "right", "both")
        ),
    }
)
"""Every fact that can be known, by the name files and pages use."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One fact.

    Attributes:
        name: Which, one of `NAMES`.
        quantity: Kind of quantity, or "word".
        what: What exactly it is.
        low: Lowest it may be [SI of its kind]; 0 for a word.
        likely: What was given [SI of its kind]; 0 for a word.
        high: Highest it may be [SI of its kind]; 0 for a word.
        text: As it was typed.
        source: Where it comes from.
        on: Day it was learned.
        ahead: Distance ahead of the pins it was measured at [m], or None where it is not said or has none.
        spread_given: Whether the person gave low and high; else they follow from the source.
        doubt: Empty, or what else may have been meant.
    """

    name: str
    quantity: str
    what: str
    low: float
    likely: float
    high: float
    text: str
    source: Source
    on: date
    ahead: float | None = None
    spread_given: bool = False
    doubt: str = ""

    @property
    def key(self) -> tuple[str, str]:
        """What makes two facts the same fact: name and what exactly."""
        return self.name, self.what

    @property
    def certain(self) -> bool:
        """Whether it may carry a *holds*: read off a plate or a book."""
        return self.source in ("plate", "book") and not self.doubt and "not said" not in self.what

    def said(self) -> str:
        """The fact in one line: value, what, source, day."""
        value = self.text if self.quantity == "word" else units.say(self.likely, self.quantity)
        return f"{NAMES[self.name].noun} {value}, {self.what} ({self.source}, {self.on.isoformat()})"

    def stronger_than(self, other: Fact) -> bool:
        """Whether this replaces the other: a better source, or as good a one and not older.

        Args:
            other: What is known already.
        """
        mine, theirs = SOURCES.index(self.source), SOURCES.index(other.source)
        return mine > theirs or (mine == theirs and self.on >= other.on)

    def as_dict(self) -> dict[str, Any]:
        """The fact for a machine, SI and its kind named."""
        found: dict[str, Any] = {
            "name": self.name, "what": self.what, "text": self.text, "source": self.source, "date": self.on.isoformat()
        }  # fmt: skip
        if self.quantity != "word":
            found |= {"quantity": self.quantity, "low_si": self.low, "likely_si": self.likely, "high_si": self.high}
        if self.ahead is not None:
            found["ahead_m"] = self.ahead
        return found | ({"doubt": self.doubt} if self.doubt else {})


def fact(
    name: str,
    value: str,
    *,
    source: str,
    on: date,
    what: str = "",
    low: str = "",
    high: str = "",
    ahead: str = "",
    spreads: Spreads = ASSUMED,
    where: str = "",
) -> Fact:
    """A fact from what was typed.

    Args:
        name: Which fact, one of `NAMES`.
        value: What was given, with its unit.
        source: plate, book, told or guessed.
        on: The day it was learned.
        what: What exactly it is; without it the usual reading is not taken but "not said which", where there is one.
        low: Lowest it may be, with its unit, or "" to follow from the source.
        high: Highest it may be, likewise.
        ahead: For a lift ahead of the pins: how far, with its unit.
        spreads: Spread by source.
        where: File and line, for messages.

    Raises:
        EntryError: A name, word or value that cannot be taken, with the way out.
    """
    known = _named(name, where)
    origin = _one_of(source, SOURCES, f"{name}: source", where)
    exactly = _what(what, known, name, where)
    if known.quantity == "word":
        word = value.strip()
        if known.words:
            _one_of(word, known.words, name, where)
        return Fact(
            name=name, quantity="word", what=exactly, low=0.0, likely=0.0, high=0.0, text=word, source=origin, on=on
        )
    low_likely_high, doubt = _measured(value, (low, high), known, spreads.of(origin), where)
    return Fact(
        name=name,
        quantity=known.quantity,
        what=exactly,
        low=low_likely_high[0],
        likely=low_likely_high[1],
        high=low_likely_high[2],
        text=value.strip(),
        source=origin,
        on=on,
        ahead=_ahead(ahead, exactly, where),
        spread_given=bool(low or high),
        doubt=doubt,
    )


def _measured(
    value: str, ends: tuple[str, str], known: FactName, spread: float, where: str
) -> tuple[tuple[float, float, float], str]:
    """Low, likely and high of a quantity in SI, and the doubt its reading carries."""
    reading = units.read(value, known.quantity, where)
    if known.hint:
        reading = units.doubt_outside(reading, *known.usual, known.hint)
    likely = reading.value
    if not likely > 0.0:
        raise EntryError(
            f"{known.noun} of zero is not a fact",
            value=value,
            limit="above zero",
            way_out="Leave it out while it is not known.",
            where=where,
        )
    low, high = ends
    lowest = units.si(low, known.quantity, where) if low else likely * (1.0 - spread)
    highest = units.si(high, known.quantity, where) if high else likely * (1.0 + spread)
    if not lowest <= likely <= highest:
        raise EntryError(
            f"{known.noun}: low, value and high are not in that order",
            value=f"{low or 'no low'}, {value}, {high or 'no high'}",
            way_out="Write the lowest it may be as low, the highest as high, or leave both out.",
            where=where,
        )
    return (lowest, likely, highest), reading.doubt


def _named(name: str, where: str) -> FactName:
    if name not in NAMES:
        close = difflib.get_close_matches(name, list(NAMES), n=2, cutoff=0.5)
        raise EntryError(
            "nothing of that name can be known of a carrier",
            value=name,
            way_out=f"Did you mean {' or '.join(close)}?" if close else f"There are: {', '.join(NAMES)}.",
            where=where,
        )
    return NAMES[name]


def _one_of(given: str, words: tuple[str, ...], field: str, where: str) -> Any:
    if given not in words:
        raise EntryError(
            f"{field} is not one of the words known here",
            value=given or "nothing",
            limit=", ".join(words),
            way_out=f"Write {words[-1]}, or what it really is.",
            where=where,
        )
    return cast("Any", given)


def _what(given: str, known: FactName, name: str, where: str) -> str:
    if given:
        return cast("str", _one_of(given, known.whats, f"{name}: what", where))
    unsaid = [what for what in known.whats if what == "not said which"]
    return unsaid[0] if unsaid else known.whats[0]


def _ahead(given: str, what: str, where: str) -> float | None:
    if given and not what.startswith("ahead of pins"):
        raise EntryError(
            "ahead goes with a lift measured ahead of the pins",
            value=f"{given}, {what}",
            way_out='Write what = "ahead of pins, full height", or leave ahead out.',
            where=where,
        )
    return units.si(given, "length", where) if given else None
