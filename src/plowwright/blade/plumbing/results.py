"""What comes out when a blade is plumbed: hoses, ports, fittings, couplers, plugs, and the lines of the schedule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from plowwright import units
from plowwright.blade.plumbing.threads import Thread
from plowwright.blade.shapes import Vec
from plowwright.blade.spec import Side
from plowwright.findings import Finding

Family = Literal["flat-face", "poppet"]
Sex = Literal["female", "male"]
Half = Literal["blade", "carrier"]

CAUTIONS = (
    "Oil under pressure goes through skin: never feel for a leak by hand. Oil under the skin is a case for surgery.",
    "Trapped pressure: blade on the ground, engine off, lever worked both ways, before a coupler or fitting is opened.",
    "Before the first swing nobody stands within reach of the blade: until it is tried, the lever may work either way.",
    "Local rules and the machine maker's limits come first. These are estimates, not the work of a licensed engineer.",
)
"""What stands with every plumbing; it can be added to, not switched off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """One port of cylinder or valve block.

    Attributes:
        part: Cylinder or valve block.
        name: Which port of it.
        thread: Its thread.
        joins: What sits in it: a hose by name, or "plug".
        place: Middle of its face at rest, in blade axes [m].
        points: Direction in which its fitting lets the hose leave, at rest [-].
        turned: Which way its elbow is turned; "" without an elbow.
    """

    part: str
    name: str
    thread: Thread
    joins: str
    place: Vec
    points: Vec
    turned: str = ""

    @property
    def title(self) -> str:
        """Part and port."""
        return f"{self.part}, {self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    """One hose.

    Attributes:
        name: Its tag.
        start: Port it begins at.
        end: Port or coupler it ends at.
        cut_length: Finished length over both seats, rounded up to a step [m].
        slack: What that is over the longest way [m].
        shortest: Least length needed over all poses, rigid ends included [m].
        longest: Greatest length needed over all poses, likewise [m].
        size: Hose type and dash size.
        ends: Threads of both ends, start first.
        rated: Least working pressure of hose and its fittings [Pa].
        bend: Tightest bend over all poses at its cut length [m].
        carrier: Whether it goes to the carrier.
        path: Points along it at rest, for drawing, in blade axes [m].
    """

    name: str
    start: str
    end: str
    cut_length: float
    slack: float
    shortest: float
    longest: float
    size: str
    ends: tuple[str, str]
    rated: float
    bend: float
    carrier: bool
    path: tuple[Vec, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupler:
    """Half of a quick coupler.

    Attributes:
        standard: Standard of its face.
        family: Flat-face or poppet.
        size: Body size.
        sex: Female (body) or male (tip).
        side: Whether it is the blade's half or the carrier's.
        owner: Whose it is.
        pays: Who pays for it.
        rated: Working pressure, connected [Pa].
        on: Hose or outlet it sits on.
        thread: Its thread, or None for the carrier's half.
    """

    standard: str
    family: Family
    size: str
    sex: Sex
    side: Half
    owner: str
    pays: str
    rated: float
    on: str
    thread: Thread | None

    @property
    def said(self) -> str:
        """In words: size, family, sex."""
        return f"{self.family} {self.size}, {self.sex} ({self.standard})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plug:
    """What closes a port or a loose end.

    Attributes:
        name: What it is.
        on: Port or end it closes.
    """

    name: str
    on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """Fittings of one sort.

    Attributes:
        name: What it is, threads included.
        count: How many [-].
        on: Ports they sit in.
    """

    name: str
    count: int
    on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the plumbing schedule.

    Attributes:
        tag: Tag of the hose, or "plug".
        start: Where it begins.
        end: Where it ends; "" for a plug.
        cut_length: Finished length; None for a plug [m].
        ends: Threads of its ends.
        size: Hose type and size; "" for a plug.
        rated: Working pressure; None for a plug [Pa].
    """

    tag: str
    start: str
    end: str
    cut_length: float | None
    ends: str
    size: str
    rated: float | None

    def cells(self) -> tuple[str, ...]:
        """Tag, from, to, cut length, ends, size and rating as people read them."""
        return (
            self.tag,
            self.start,
            self.end,
            "" if self.cut_length is None else units.say(self.cut_length, "length"),
            self.ends,
            self.size,
            "" if self.rated is None else units.say(self.rated, "pressure"),
        )


HEADS = ("tag", "from", "to", "cut length", "ends", "hose", "rated")
"""Heads of the schedule's columns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """The carrier's two outlets, as far as anyone knows where they are.

    Attributes:
        places: Of coupler A and B, blade carried low, in blade axes [m].
        points: Direction in which they point [-].
        guides: Where the guide on the mount plate holds the hoses to A and B [m].
        kind: Kind of carrier this holds for.
        rides: Whether they ride on the loader's arm or stay with the machine.
        assumed: Whether nobody has measured.
    """

    places: tuple[Vec, Vec]
    points: Vec
    guides: tuple[Vec, Vec]
    kind: str
    rides: str
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Plumbing:
    """A blade, plumbed.

    Attributes:
        outlets: The carrier's side with its outlets, seen from the seat.
        base_side: Side on which the cylinder is pinned to the hub.
        hoses: Hoses, those to the carrier first; none when bare.
        ports: Every port of cylinder and block, each used once or plugged.
        couplers: The blade's halves, then the carrier's; none with plain ends or bare.
        fittings: Adapters, elbows and restrictor fittings.
        plugs: Plugs, caps and dust caps.
        lever_sense: What the lever does, in words.
        crossed: Whether the two hoses to the carrier cross on the way to the block.
        order: Cylinder, relief, restrictors, hoses, in words.
        outlet: Where the outlets are taken to be.
        schedule: Lines of the plumbing schedule.
        ratings: Least working pressures of hoses, couplers and fittings, for the swing's pressures [Pa].
        lengths: Length of line from outlet to the cap port and to the rod port; None when bare [m].
        send: What to send or pack for the couplers, one sentence; "" where nothing is to be said.
        bare: Whether the blade leaves without hoses.
        findings: What was checked.
        cautions: What can hurt.
    """

    outlets: Side
    base_side: Side
    hoses: tuple[Hose, ...]
    ports: tuple[Port, ...]
    couplers: tuple[Coupler, ...]
    fittings: tuple[Fitting, ...]
    plugs: tuple[Plug, ...]
    lever_sense: str
    crossed: bool
    order: str
    outlet: Outlet
    schedule: tuple[Row, ...]
    ratings: Mapping[str, float]
    lengths: tuple[float, float] | None
    send: str
    bare: bool
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...] = CAUTIONS

    def port(self, part: str, name: str) -> Port:
        """A port by part and name; KeyError where there is none.

        Args:
            part: Cylinder or valve block.
            name: Which port of it.
        """
        for port in self.ports:
            if (port.part, port.name) == (part, name):
                return port
        raise KeyError(f"{part}, {name}")

    def as_dict(self) -> dict[str, Any]:
        """The plumbing for a machine, SI with the unit in the names."""
        return {
            "outlets": self.outlets,
            "base_side": self.base_side,
            "crossed": self.crossed,
            "lever_sense": self.lever_sense,
            "order": self.order,
            "bare": self.bare,
            "hoses": [
                {
                    "name": h.name, "from": h.start, "to": h.end, "cut_length_m": round(h.cut_length, 5),
                    "shortest_m": round(h.shortest, 5), "longest_m": round(h.longest, 5), "slack_m": round(h.slack, 5),
                    "bend_m": round(h.bend, 5), "size": h.size, "ends": list(h.ends), "rated_pa": round(h.rated),
                }
                for h in self.hoses
            ],
            "ports": [{"port": p.title, "thread": p.thread.said, "joins": p.joins} for p in self.ports],
            "couplers": [
                {"half": c.side, "is": c.said, "on": c.on, "pays": c.pays, "rated_pa": round(c.rated)}
                for c in self.couplers
            ],
            "fittings": [{"name": f.name, "count": f.count} for f in self.fittings],
            "plugs": [{"name": p.name, "on": p.on} for p in self.plugs],
            "send": self.send,
            "ratings_pa": {name: round(value) for name, value in self.ratings.items()},
            "findings": [f.as_dict() for f in self.findings],
            "cautions": list(self.cautions),
        }  # fmt: skip
