"""What a blade can be told by, and how well a scrap fits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date
from itertools import pairwise
from math import exp
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from plowwright.blade.build import Build
from plowwright.errors import EntryError
from plowwright.units import INCH

SCRAPS: Final = ("width", "gaps", "bore", "pins", "springs", "notches", "mount", "colour", "phone_ends", "year")
"""What may be told, by the names of `Marks`."""
WRONG: Final = 0.02
"""How often a scrap is plainly wrong, whatever it is [-] (*assumed*)."""
_SPREAD: Final = {"width": 1.0 * INCH, "gaps": 0.375 * INCH, "bore": 0.2 * INCH, "year": 0.8}
"""Standard deviation of what is told: width over a worn edge, gap by tape, bore off a dirty barrel [m]; year [a]."""
_SECOND: Final = {"colour": 0.06, "phone_ends": 0.04, "mount": 0.05, "pins": 0.05, "springs": 0.05, "notches": 0.04}
"""How often it is another although nobody told wrong: painted over, sold on, refitted, one missing [-] (*assumed*)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """What a blade can be told by.

    Attributes:
        serial: Serial number.
        width: Of the edge [m].
        gaps: Between its bolts, from the left end, both end gaps not counted [m].
        bore: Of the angle cylinder [m].
        pins: Hinge pins [-].
        springs: Trip springs [-].
        notches: In the top of the mount plate [-].
        mount: plate, pins or hook.
        colour: Of the moldboard when it left.
        phone_ends: Last figures of the buyer's phone number, "" where nobody noted it.
        year: It was built [a].
        name: Series and width, for people.
        owner: Who has it, "" where nobody noted it.
    """

    serial: str
    width: float
    gaps: tuple[float, ...]
    bore: float
    pins: int
    springs: int
    notches: int
    mount: str
    colour: str
    phone_ends: str
    year: int
    name: str = ""
    owner: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The marks as plain values, SI, to be kept and read back."""
        return {one.name: getattr(self, one.name) for one in fields(self)} | {"gaps": list(self.gaps)}


def marks_from_dict(entry: Mapping[str, Any]) -> Marks:
    """Marks read back from what `Marks.as_dict` wrote.

    Args:
        entry: The plain values.

    Raises:
        EntryError: A field is missing or unknown.
    """
    names = {one.name for one in fields(Marks)}
    if set(entry) - names or names - set(entry) - {"name", "owner"}:
        wrong = sorted(set(entry) ^ names)
        raise EntryError("these are not the marks of a blade", where=str(entry.get("serial", "")),
                         value=", ".join(wrong), way_out="Make them anew from its build.")  # fmt: skip
    plain: dict[str, Any] = {**entry, "gaps": tuple(entry["gaps"])}
    return Marks(**plain)


def marks_of(build: Build, *, serial: str, built: date, colour: str = "", phone: str = "", owner: str = "") -> Marks:
    """What a blade can be told by, from its build.

    Args:
        build: The blade, by its own rules.
        serial: Serial number.
        built: Day it left.
        colour: Of the moldboard, "" for the shop's.
        phone: The buyer's number, or its last figures.
        owner: Who has it.
    """
    book = build.rulebook
    bought = {part.stock for part in build.parts if part.kind == "bought"}
    bore = max((book.bought[stock].bore or 0.0 for stock in bought if stock in book.bought), default=0.0)
    places = build.datum.layout.positions
    return Marks(
        serial=serial, width=build.spec.width, gaps=tuple(b - a for a, b in pairwise(places)),
        bore=bore, pins=sum(1 for part in build.parts if part.mark == "hinge pin"),
        springs=sum(1 for part in build.parts if part.mark == "trip spring"), notches=build.series.notches,
        mount=book.mounts[build.spec.mount].kind, colour=colour or book.shop.body_colour,
        phone_ends=_figures(phone)[-4:], year=built.year, name=build.name, owner=owner,
    )  # fmt: skip


class Register:
    """Marks of all blades on file, laid out by value: widths and bores are shared, and each is looked at once.

    Args:
        on_file: Every blade there is a record of.
    """

    def __init__(self, on_file: Sequence[Marks]) -> None:
        self.marks = tuple(sorted(on_file, key=lambda marks: marks.serial))
        self._own: dict[str, tuple[tuple[Any, ...], NDArray[np.intp]]] = {}
        for key in SCRAPS:
            values = [getattr(marks, key) for marks in self.marks]
            own = tuple(dict.fromkeys(values))
            place = {value: at for at, value in enumerate(own)}
            self._own[key] = (own, np.array([place[value] for value in values], dtype=np.intp))

    def scores(self, told: Mapping[str, Any]) -> NDArray[np.float64]:
        """How well all scraps fit each blade [-], in the order of `marks`; shape (blades,).

        Args:
            told: What was told, by name.
        """
        scores = np.ones(len(self.marks))
        for key, value in told.items():
            own, at = self._own[key]
            # The figures told are taken out of their text once, not once for each phone on file.
            sought = _figures(str(value))[-4:] if key == "phone_ends" else value
            scores *= np.array([fit(key, sought, one) for one in own])[at]
        return scores


def likelihood(key: str, value: Any, marks: Marks) -> float:
    """How well one scrap fits one blade, 1 for what fits as well as it can [-].

    Args:
        key: Which scrap.
        value: As told.
        marks: The blade.
    """
    return fit(key, value, getattr(marks, key))


def fit(key: str, value: Any, own: Any) -> float:
    """How well one scrap fits what a blade has there, 1 for what fits as well as it can [-].

    Args:
        key: Which scrap.
        value: As told.
        own: What the blade has.
    """
    if key == "gaps":
        return WRONG + (1 - WRONG) * _gap_fit(value, own)
    if key in _SPREAD:
        return WRONG + (1 - WRONG) * exp(-0.5 * ((value - own) / _SPREAD[key]) ** 2)
    if key == "phone_ends":
        ends = value if isinstance(value, str) and value.isdecimal() and len(value) <= 4 else _figures(str(value))[-4:]
        same = bool(ends) and bool(own) and (own.endswith(ends) or ends.endswith(own))
        return 1.0 if same else (0.3 if not own else _SECOND[key])
    if key in ("pins", "springs"):
        return 1.0 if value == own else (_SECOND[key] if abs(value - own) == 1 else WRONG)
    return 1.0 if _plain(value) == _plain(own) else _SECOND.get(key, WRONG)


def _gap_fit(told: Sequence[float], own: Sequence[float]) -> float:
    """The told gaps laid along the edge from its left and from its right end; the better of the two."""
    if not told or len(told) > len(own):
        return 0.0
    fits: list[float] = []
    for side in (tuple(own), tuple(reversed(own))):
        off = sum(((a - b) / _SPREAD["gaps"]) ** 2 for a, b in zip(told, side, strict=False))
        fits.append(exp(-0.5 * off))
    return max(fits)


def _figures(text: str) -> str:
    return "".join(one for one in text if one.isdigit())


def _plain(value: Any) -> str:
    return " ".join(str(value).lower().split())
