"""The scale: a ticket against the predicted mass, likely causes ranked when it is off, a stop until it is cleared."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import erf, exp, pi, sqrt
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.blade.correction import CorrectionLine
from plowwright.errors import EntryError
from plowwright.findings import Basis, Finding, verdict_of
from plowwright.rulebook.dock import Dock
from plowwright.shop.dock_causes import Alternative, alternatives
from plowwright.units import pounds, say

OIL_DENSITY: Final = 870.0
"""Hydraulic oil at shop temperature [kg/m3] (*from memory*); the cylinder is full when the blade is weighed."""
PACKING: Final = "packing"
"""The part group that is no part of the blade."""
_GRAVE: Final = ("wall", "plate", "class")
"""Causes that words do not clear: what is built in, or the wrong blade."""
_SHOWN: Final = 0.01
_WIDE: Final = 0.2
"""An unknown cause may be this share of the mass, up or down [-] (*assumed*)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One reason for a wrong weight.

    Attributes:
        kind: wall, plate, class, hoses, edge, spring, extras, stand, dirt or unknown.
        said: What it would be.
        change: What it would add to the predicted mass, None for the unknown [kg].
        chance: How likely, of all that were thought of [-].
        look: What to measure or look at.
    """

    kind: str
    said: str
    change: float | None
    chance: float
    look: str

    def as_dict(self) -> dict[str, Any]:
        """The cause for a machine, trade units in the names."""
        return {
            "kind": self.kind,
            "said": self.said,
            "change_lb": None if self.change is None else round(pounds(self.change), 1),
            "chance": round(self.chance, 3),
            "look": self.look,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """What the scale said of one blade.

    Attributes:
        name: Order number, or the blade's name.
        found: On the ticket [kg].
        predicted: By the build, with the oil in its cylinder and what tickets have taught [kg].
        allowed: Difference that is let through [kg].
        finding: The ticket held against the prediction.
        causes: Likely causes, the likeliest first; empty where the ticket agrees.
        unseen: What the scale could not have noticed: it changes the weight by less than is let through.
    """

    name: str
    found: float
    predicted: float
    allowed: float
    finding: Finding
    causes: tuple[Cause, ...]
    unseen: tuple[Alternative, ...]

    @property
    def difference(self) -> float:
        """Found less predicted [kg]."""
        return self.found - self.predicted

    @property
    def stopped(self) -> bool:
        """Whether it stays here until it is measured or explained."""
        return self.finding.verdict == "fails"

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine, trade units in the names."""
        return {
            "name": self.name,
            "found_lb": round(pounds(self.found), 1),
            "predicted_lb": round(pounds(self.predicted), 1),
            "difference_lb": round(pounds(self.difference), 1),
            "allowed_lb": round(pounds(self.allowed), 1),
            "stopped": self.stopped,
            "finding": self.finding.as_dict(),
            "causes": [cause.as_dict() for cause in self.causes],
            "unseen": [one.said for one in self.unseen],
        }


def predicted(build: Build, correction: CorrectionLine | None = None) -> float:
    """What a blade should weigh on the scale [kg]: as built, its cylinder full, with what the scale has taught.

    A crate is built round it afterwards and does not hang on the scale.

    Args:
        build: The blade.
        correction: What earlier tickets have taught, or None.
    """
    return sum(hung(build).values()) + oil_mass(build) + (correction.value if correction else 0.0)


def hung(build: Build) -> dict[str, float]:
    """What of a blade hangs on the scale, by part group: all but its packing [kg].

    Args:
        build: The blade.
    """
    return {group: mass for group, mass in build.tally.group_masses.items() if group != PACKING}


def oil_mass(build: Build) -> float:
    """Oil in the angle cylinder, the blade straight [kg].

    Args:
        build: The blade.
    """
    volume = 0.0
    for stock in {part.stock for part in build.parts if part.kind == "bought"}:
        entry = build.rulebook.bought.get(stock)
        if entry and entry.kind == "cylinder" and entry.bore and entry.stroke:
            volume += pi / 4 * entry.stroke * (entry.bore**2 - 0.5 * (entry.rod or 0.0) ** 2)
    return OIL_DENSITY * volume


def weigh(
    build: Build, ticket: float, dock: Dock, *, others: Mapping[str, Build] | None = None,
    correction: CorrectionLine | None = None, looked: Collection[str] = (),
) -> Weighed:  # fmt: skip
    """Hold a scale ticket against the build.

    Args:
        build: The blade as ordered, at any level.
        ticket: What the scale said [kg].
        dock: The dock's settings.
        others: Other blades in the yard by order number: the wrong one may hang on the scale.
        correction: What earlier tickets have taught, or None.
        looked: Kinds of cause somebody has looked for and ruled out: "hoses", "edge", "spring" and so on.

    Raises:
        EntryError: A weight of nothing, or no such kind of cause.
    """
    if not ticket > 0:
        raise EntryError("a ticket says a weight", value=say(ticket, "mass"), limit="above 0",
                         way_out="Write it as 1004 lb.")  # fmt: skip
    strange = sorted(set(looked) - set(dock.scale.causes))
    if strange:
        raise EntryError("no cause is called that", value=", ".join(strange), limit=", ".join(dock.scale.causes))
    should = predicted(build, correction)
    allowed = max(dock.scale.share.value * should, dock.scale.least.value)
    thought = alternatives(build, dock, others)
    finding = _finding(build, ticket, should, allowed, dock)
    causes = _ranked(ticket - should, should, thought, dock, looked) if finding.verdict == "fails" else ()
    return Weighed(
        name=build.spec.number or build.name, found=ticket, predicted=should, allowed=allowed, finding=finding,
        causes=causes, unseen=tuple(one for one in thought if abs(one.change) <= allowed and one.kind != "extras"),
    )  # fmt: skip


def _finding(build: Build, ticket: float, should: float, allowed: float, dock: Dock) -> Finding:
    off = ticket - should
    used = abs(off) / allowed
    verdict = verdict_of(used)
    word = "heavier" if off > 0 else "lighter"
    stop = " It stays here until it is measured or explained" if verdict == "fails" else ""
    return Finding(
        title="scale ticket",
        sentence=f"{say(ticket, 'mass')} on the scale, {say(should, 'mass')} predicted: {say(abs(off), 'mass')} "
        f"{word}, allowed {say(allowed, 'mass')}.{stop}".rstrip("."),
        value=f"{say(abs(off), 'mass')} {word}",
        limit=f"at most {say(allowed, 'mass')} either way",
        margin=f"{say(abs(allowed - abs(off)), 'mass')} {'over' if verdict == 'fails' else 'left'}",
        verdict=verdict,
        used=used,
        basis=Basis(
            kind="shop rule",
            formula="|ticket - predicted| <= the greater of a share of the predicted mass and the least band",
            inputs={
                "ticket": say(ticket, "mass"),
                "mass of the build, without packing": say(sum(hung(build).values()), "mass"),
                "oil in the cylinder": say(oil_mass(build), "mass"),
                "share": dock.scale.share.said("-"),
                "least band": dock.scale.least.said("mass"),
            },
            source="dock.toml, scale",
        ),
    )


def _ranked(
    off: float, mass: float, thought: Sequence[Alternative], dock: Dock, looked: Collection[str]
) -> tuple[Cause, ...]:
    """Each cause by how well it explains the difference, times how often it happens here (Bayes' rule)."""
    spread, priors = dock.scale.spread.value, dock.scale.causes
    rows: list[tuple[float, Cause]] = []
    number = {kind: sum(one.kind == kind for one in thought) for kind in {one.kind for one in thought}}
    for one in thought:
        if one.kind in looked:
            continue
        # What happens so often in all is shared among the ways it can happen.
        prior = (priors[one.kind].weight if one.kind in priors else 1.0) / number[one.kind]
        score = prior * exp(-0.5 * ((off - one.change) / spread) ** 2) / (spread * sqrt(2 * pi))
        rows.append((score, Cause(kind=one.kind, said=one.said, change=one.change, chance=0.0, look=one.look)))
    dirt = dock.scale.dirt.value
    if dirt > 0 and "dirt" in priors and "dirt" not in looked:
        score = priors["dirt"].weight * (_normal(off / spread) - _normal((off - dirt) / spread)) / dirt
        rows.append((score, Cause(kind="dirt", said="mud, snow or paint beyond the usual", change=dirt, chance=0.0,
                                  look="look at it, wash it, weigh again")))  # fmt: skip
    weight = priors["unknown"].weight if "unknown" in priors else 1.0
    rows.append((weight / (2 * _WIDE * mass), Cause(
        kind="unknown", said="something nobody thought of", change=None, chance=0.0,
        look="weigh again on its own, then measure part by part",
    )))  # fmt: skip
    total = sum(score for score, _ in rows)
    found = [Cause(kind=c.kind, said=c.said, change=c.change, chance=score / total, look=c.look) for score, c in rows]
    found.sort(key=lambda cause: -cause.chance)
    return tuple(cause for cause in found if cause.chance >= _SHOWN)


def _normal(value: float) -> float:
    return 0.5 * (1.0 + erf(value / sqrt(2.0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleared:
    """Why a stopped blade may go on after all.

    Attributes:
        name: Order number.
        who: Who looked.
        measured: What was measured, or "".
        explained: What explains the difference, or "".
        difference: Found less predicted [kg].
    """

    name: str
    who: str
    measured: str
    explained: str
    difference: float

    @property
    def text(self) -> str:
        """The line on the weigh ticket."""
        word = "heavier" if self.difference > 0 else "lighter"
        reason = "; ".join(filter(None, (f"measured: {self.measured}" if self.measured else "", self.explained)))
        return f"{self.name} {say(abs(self.difference), 'mass')} {word} than predicted. {reason} ({self.who})"


def clear(weighed: Weighed, *, who: str, measured: str = "", explained: str = "") -> Cleared:
    """Let a stopped blade go on: somebody measured it, or knows why.

    Where a wrong wall or the wrong blade is among the likely causes, words alone will not do: it is measured, or the
    stamp is read.

    Args:
        weighed: What the scale said.
        who: Who looked.
        measured: What was measured, with its value.
        explained: What explains it.

    Raises:
        EntryError: Nobody is named, nothing is said, or it must be measured.
    """
    if not weighed.stopped:
        raise EntryError(f"{weighed.name} is not stopped", value=weighed.finding.value, way_out="Nothing to clear.")
    if not who.strip():
        raise EntryError("a stop is cleared by a person", where=weighed.name, way_out="Say who looked.")
    if len(measured.strip()) < 4 and len(explained.strip()) < 8:
        raise EntryError("a stop is cleared by a measurement or a reason", where=weighed.name,
                         value=f"{measured} {explained}".strip(), limit=weighed.finding.limit,
                         way_out=f"Begin with: {weighed.causes[0].look}.")  # fmt: skip
    grave = next((cause for cause in weighed.causes if cause.kind in _GRAVE), None)
    if grave is not None and len(measured.strip()) < 4:
        raise EntryError(f"{grave.said} would explain it too, so words will not do", where=weighed.name,
                         value=explained.strip(), limit="measured", way_out=f"First: {grave.look}.")  # fmt: skip
    return Cleared(name=weighed.name, who=who.strip(), measured=measured.strip(), explained=explained.strip(),
                   difference=weighed.difference)  # fmt: skip
