"""Finding a blade by scraps: width, hole gaps, bore, pins, colour, the end of a phone number, a year.

Nobody on the phone is sure of anything: a tape lies over a worn edge, a colour was painted over, the number is the
second owner's. So each scrap makes every blade on file more or less likely (Bayes' rule), none is ruled out by one
scrap alone, and "none of these" stays on the list. The next question is the one after whose answer least doubt is left.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from math import log2
from typing import Any, Final

import numpy as np

from plowwright.errors import EntryError
from plowwright.shop.service_marks import Marks, Register, likelihood
from plowwright.units import say, tape

_NONE: Final = 0.15
"""What each scrap leaves to a blade that is not on file [-] (*assumed*)."""
_ASKED: Final = 40
"""Likeliest blades that decide what to ask next [-]."""
ASKS: Final = {
    "width": "How wide is the edge, end to end?",
    "gaps": "From one end of the edge, what are the gaps between the first bolts?",
    "bore": "How thick is the angle cylinder? Outside is half an inch over the bore.",
    "pins": "How many hinge pins are there, left to right?",
    "springs": "How many trip springs are there?",
    "notches": "How many notches are in the top of the mount plate?",
    "mount": "How does it couple: a plate, pins, or hooks?",
    "colour": "What colour is the moldboard, under the newest paint?",
    "phone_ends": "What were the last figures of the buyer's phone number?",
    "year": "Which winter did it come?",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Scraps:
    """What the caller has; everything may be left out.

    Attributes:
        width: As measured [m].
        gaps: The first gaps from either end [m].
        bore: Of the cylinder [m].
        pins: Hinge pins [-].
        springs: Trip springs [-].
        notches: In the mount plate [-].
        mount: plate, pins or hook.
        colour: Of the moldboard.
        phone_ends: Last figures of a phone number.
        year: It was bought, as remembered [a].
    """

    width: float | None = None
    gaps: tuple[float, ...] | None = None
    bore: float | None = None
    pins: int | None = None
    springs: int | None = None
    notches: int | None = None
    mount: str | None = None
    colour: str | None = None
    phone_ends: str | None = None
    year: int | None = None

    def told(self) -> dict[str, Any]:
        """What was told, by name."""
        return {one.name: getattr(self, one.name) for one in fields(self) if getattr(self, one.name) is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A blade it may be.

    Attributes:
        marks: What it can be told by.
        chance: How likely it is this one [-].
        agrees: Scraps that fit.
        against: Scraps that do not, in words.
    """

    marks: Marks
    chance: float
    agrees: tuple[str, ...]
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What to ask next.

    Attributes:
        key: The scrap asked for.
        ask: The question as it is spoken.
        gain: Doubt it takes away on average [bit].
        settles: How likely one blade stands at nine in ten after it [-].
    """

    key: str
    ask: str
    gain: float
    settles: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the scraps give.

    Attributes:
        candidates: The likeliest first.
        none: How likely the blade is not on file [-].
        doubt: How much is open [bit]; 1 is a coin's toss between two.
        questions: What to ask, the best first.
    """

    candidates: tuple[Candidate, ...]
    none: float
    doubt: float
    questions: tuple[Question, ...]

    @property
    def text(self) -> str:
        """The answer in one line."""
        if not self.candidates or self.none > self.candidates[0].chance:
            return f"Most likely not on file ({100 * self.none:.0f} in 100)"
        best = self.candidates[0]
        sure = "It is" if best.chance >= 0.9 else "It may be"
        ask = "" if best.chance >= 0.9 or not self.questions else f" Ask: {self.questions[0].ask}"
        return f"{sure} {best.marks.serial}, {best.marks.name} ({100 * best.chance:.0f} in 100).{ask}"

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine."""
        return {
            "candidates": [
                {"serial": c.marks.serial, "name": c.marks.name, "owner": c.marks.owner, "chance": round(c.chance, 4),
                 "agrees": list(c.agrees), "against": list(c.against)}
                for c in self.candidates
            ],
            "none": round(self.none, 4),
            "doubt_bits": round(self.doubt, 3),
            "questions": [
                {"key": q.key, "ask": q.ask, "gain_bits": round(q.gain, 3), "settles": round(q.settles, 3)}
                for q in self.questions
            ],
            "text": self.text,
        }  # fmt: skip


def find(scraps: Scraps, on_file: Sequence[Marks] | Register, *, most: int = 8) -> Found:
    """Which blade it may be, and what to ask next.

    Args:
        scraps: What the caller has.
        on_file: Every blade there is a record of; laid out as a register where it is asked often.
        most: Most candidates shown [-].

    Raises:
        EntryError: Nothing told, or nothing on file.
    """
    told = scraps.told()
    if not told:
        raise EntryError("nothing to search by", way_out=f"Ask for any of: {', '.join(ASKS)}.")
    register = on_file if isinstance(on_file, Register) else Register(tuple(on_file))
    if not register.marks:
        raise EntryError("no blade is on file", way_out="Import the serials first.")
    scores = register.scores(told)
    # A blade not on file: as likely as any one on file before anything was told.
    nobody = _NONE ** len(told)
    total = float(scores.sum()) + nobody
    chances = scores / total
    # The register goes by serial, so a steady sort leaves equals in that order.
    best = np.argsort(-chances, kind="stable")[: max(most, _ASKED)]
    ranked: list[tuple[float, Marks]] = [(float(chances[at]), register.marks[int(at)]) for at in best]
    sure = chances[chances > 0]
    doubt = float(-(sure * np.log2(sure)).sum()) + _doubt([nobody / total])
    candidates = tuple(_candidate(chance, marks, told) for chance, marks in ranked[:most] if chance > 0.002)
    return Found(
        candidates=candidates, none=nobody / total, doubt=doubt,
        questions=_questions(ranked, told),
    )  # fmt: skip


def _candidate(chance: float, marks: Marks, told: Mapping[str, Any]) -> Candidate:
    fits = {key: likelihood(key, value, marks) for key, value in told.items()}
    return Candidate(
        marks=marks, chance=chance, agrees=tuple(key for key, fit in fits.items() if fit > 0.3),
        against=tuple(
            f"{key.replace('_', ' ')} {_said(key, told[key])}, on file {_said(key, getattr(marks, key))}"
            for key, fit in fits.items() if fit <= 0.3
        ),
    )  # fmt: skip


def _questions(ranked: Sequence[tuple[float, Marks]], told: Mapping[str, Any]) -> tuple[Question, ...]:
    """Every scrap not told yet, by the doubt its answer takes away on average."""
    # What is out of the running does not decide what to ask.
    top = [(chance, marks) for chance, marks in ranked[:_ASKED] if chance > 1e-4]
    total = sum(chance for chance, _ in top)
    if len(top) < 2:
        return ()
    chances = [chance / total for chance, _ in top]
    before = _doubt(chances)
    found: list[Question] = []
    for key, ask in ASKS.items():
        if key in told:
            continue
        left, settles = _after(key, chances, [marks for _, marks in top])
        if before - left > 0.01:
            found.append(Question(key=key, ask=ask, gain=before - left, settles=settles))
    return tuple(sorted(found, key=lambda question: -question.gain))


def _after(key: str, chances: Sequence[float], on_file: Sequence[Marks]) -> tuple[float, float]:
    """Doubt that is left on average once a scrap is told [bit], and how often one blade then stands at nine in ten."""
    answers = sorted({_answer(key, marks) for marks in on_file}, key=str)
    # Each blade gives each answer with a chance: its own most often, a near one now and then.
    table = [[likelihood(key, answer, marks) for answer in answers] for marks in on_file]
    table = [[fit / sum(row) for fit in row] for row in table]
    left = settles = 0.0
    for at in range(len(answers)):
        joint = [chance * row[at] for chance, row in zip(chances, table, strict=True)]
        weight = sum(joint)
        if weight > 0:
            left += weight * _doubt([one / weight for one in joint])
            settles += weight if max(joint) / weight >= 0.9 else 0.0
    return left, settles


def _answer(key: str, marks: Marks) -> Any:
    return marks.gaps[:2] if key == "gaps" else getattr(marks, key)


def _doubt(chances: Sequence[float]) -> float:
    return -sum(chance * log2(chance) for chance in chances if chance > 0)


def _said(key: str, value: Any) -> str:
    if key == "gaps":
        return ", ".join(tape(one) for one in value[:3])
    if key in ("width", "bore"):
        return say(value, "length")
    return str(value) or "not noted"
