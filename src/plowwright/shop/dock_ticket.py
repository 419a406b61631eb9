"""A weigh ticket as the records keep it, so that it always reads as it did when the blade hung on the scale."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.blade.correction import Correction, Ridge, Ticket, learn
from plowwright.findings import Basis, Finding
from plowwright.rulebook.dock import Dock
from plowwright.shop.dock import Cause, Weighed, hung, oil_mass
from plowwright.shop.dock_causes import Alternative
from plowwright.units import say

_TRUST: Final = 1e-3
"""A worked-out mass is never trusted further than this [-]."""
_LISTED: Final = 6
"""So many causes fit the ticket; what is less likely than those is not measured first [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighTicket:
    """One ticket with what it was made of.

    Attributes:
        weighed: What the scale said.
        serial: Serial number, or "".
        at: When.
        by: Who read the scale.
        build: Mass of the build, without packing [kg].
        oil: Oil in its cylinder [kg].
        learned: What earlier tickets have taught [kg].
        taught_by: How many of them [-].
        learned_said: The same in words.
        looked: Kinds of cause somebody ruled out.
        group_masses: Mass by part group as worked out, for the tickets to come [kg].
        cleared: Why it may go on after a stop, or "".
        fingerprint: Of the build.
    """

    weighed: Weighed
    serial: str
    at: datetime
    by: str
    build: float
    oil: float
    learned: float
    taught_by: int
    learned_said: str
    looked: tuple[str, ...]
    group_masses: Mapping[str, float]
    cleared: str = ""
    fingerprint: str = ""

    @property
    def verdict(self) -> str:
        """holds, stopped or explained."""
        if self.cleared:
            return "explained"
        return "stopped" if self.weighed.stopped else "holds"

    @property
    def shown(self) -> tuple[Cause, ...]:
        """The causes worth listing, the likeliest first."""
        return self.weighed.causes[:_LISTED]

    def as_kept(self) -> dict[str, Any]:
        """As the records keep it, masses in kg."""
        w = self.weighed
        return {
            "name": w.name, "found_kg": w.found, "predicted_kg": w.predicted, "allowed_kg": w.allowed,
            "finding": w.finding.as_dict(), "used": w.finding.used,
            "causes": [
                {"kind": c.kind, "said": c.said, "change_kg": c.change, "chance": c.chance, "look": c.look}
                for c in w.causes
            ],
            "unseen": [{"kind": a.kind, "said": a.said, "change_kg": a.change, "look": a.look} for a in w.unseen],
            "serial": self.serial, "at": self.at.isoformat(), "by": self.by, "build_kg": self.build, "oil_kg": self.oil,
            "learned_kg": self.learned, "taught_by": self.taught_by, "learned_said": self.learned_said,
            "looked": list(self.looked), "group_masses_kg": dict(self.group_masses), "cleared": self.cleared,
            "fingerprint": self.fingerprint,
        }  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """The ticket for a machine, trade units in the words."""
        return {
            **self.weighed.as_dict(),
            "verdict": self.verdict,
            "serial": self.serial,
            "by": self.by,
            "at": self.at.isoformat(),
            "looked": list(self.looked),
            "cleared": self.cleared,
            "predicted_from": {
                "build": say(self.build, "mass"),
                "oil": say(self.oil, "mass"),
                "scale_correction": say(self.learned, "mass"),
                "correction": self.learned_said,
            },
        }


def ticket_of(
    weighed: Weighed, build: Build, taught: Correction, *, serial: str, at: datetime, by: str,
    looked: Sequence[str] = (),
) -> WeighTicket:  # fmt: skip
    """The ticket of a blade that was just weighed.

    Args:
        weighed: What the scale said.
        build: The blade.
        taught: What earlier tickets have taught; the prediction was made with it.
        serial: Serial number, or "".
        at: When.
        by: Who read the scale.
        looked: Kinds of cause somebody ruled out.
    """
    masses = hung(build)
    line = taught.of_masses(masses)
    return WeighTicket(
        weighed=weighed, serial=serial, at=at, by=by, build=sum(masses.values()), oil=oil_mass(build),
        learned=line.value, taught_by=line.tickets_used, learned_said=line.sentence, looked=tuple(looked),
        group_masses=masses, fingerprint=build.fingerprint,
    )  # fmt: skip


def from_kept(kept: Mapping[str, Any]) -> WeighTicket:
    """A ticket read back from the records.

    Args:
        kept: As `WeighTicket.as_kept` wrote it.
    """
    found, basis = kept["finding"], kept["finding"]["basis"]
    finding = Finding(
        **{name: found[name] for name in ("title", "sentence", "value", "limit", "margin", "verdict", "place")},
        used=kept["used"], basis=Basis(**basis),
    )  # fmt: skip
    causes = tuple(
        Cause(kind=c["kind"], said=c["said"], change=c["change_kg"], chance=c["chance"], look=c["look"])
        for c in kept["causes"]
    )
    unseen = tuple(
        Alternative(kind=a["kind"], said=a["said"], change=a["change_kg"], look=a["look"]) for a in kept["unseen"]
    )
    weighed = Weighed(
        name=kept["name"], found=kept["found_kg"], predicted=kept["predicted_kg"], allowed=kept["allowed_kg"],
        finding=finding, causes=causes, unseen=unseen,
    )  # fmt: skip
    return WeighTicket(
        weighed=weighed, serial=kept["serial"], at=datetime.fromisoformat(kept["at"]), by=kept["by"],
        build=kept["build_kg"], oil=kept["oil_kg"], learned=kept["learned_kg"], taught_by=kept["taught_by"],
        learned_said=kept["learned_said"], looked=tuple(kept["looked"]), group_masses=kept["group_masses_kg"],
        cleared=kept["cleared"], fingerprint=kept["fingerprint"],
    )  # fmt: skip


def with_reason(ticket: WeighTicket, reason: str, *, at: datetime, by: str) -> WeighTicket:
    """The ticket that clears a stopped one.

    Args:
        ticket: The stopped one.
        reason: What was measured or what explains it.
        at: When.
        by: Who looked.
    """
    return replace(ticket, cleared=reason, at=at, by=by)


def taught_by(kept: Iterable[Mapping[str, Any]], dock: Dock) -> Correction:
    """What the tickets so far have taught about the shop's blades.

    Only tickets that agreed teach: a blade without its hoses would teach that hoses weigh nothing. Before anything was
    weighed a part group is trusted as far as the band of the scale lets it be off, so that one ticket moves the
    prediction by about half of what it was off, and no ticket alone hides a thinner wall in the next.

    Args:
        kept: Tickets as the records keep them; those without masses by part group are passed over.
        dock: The dock's settings: error of one reading, and the share a blade may be off.
    """
    tickets = [
        Ticket(serial=one.get("serial", ""), group_masses=one["group_masses_kg"],
               scale_mass=one["found_kg"] - one["oil_kg"])
        for one in kept
        if one.get("group_masses_kg") and one["finding"]["verdict"] != "fails"
    ]  # fmt: skip
    scale = dock.scale
    return learn(tickets, Ridge(spread=max(scale.share.value, _TRUST), scale_error=scale.spread.value))
