"""The hoses themselves: laid through every pose, cut with slack, and looked at again for bends at that length."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np

from plowwright.blade.build import Build
from plowwright.blade.plumbing import places, runs
from plowwright.blade.plumbing.places import Letter
from plowwright.blade.plumbing.results import Hose
from plowwright.blade.plumbing.runs import Array, Ends
from plowwright.blade.spec import Side
from plowwright.rulebook.plumbing import OutletRules, Plumbing

CARRIER_HOSES: Final[tuple[str, str]] = ("hose 1", "hose 2")
"""Tags of the hoses to outlet A and outlet B."""
CYLINDER_HOSES: Final[tuple[str, str]] = ("hose 3", "hose 4")
"""Tags of the hoses to cap port and rod port."""
_LETTERS: Final[tuple[Letter, Letter]] = ("A", "B")
CAP: Final = "cap port"
ROD: Final = "rod port"
_GRACE: Final = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class Laying:
    """What hoses are laid by.

    Attributes:
        build: The blade.
        rules: plumbing.toml.
        outlet: Where this kind of carrier has its outlets.
        outlets: Side of the outlets.
        crossed: Whether the hoses to the carrier cross.
        coupled: Length of a coupled pair ahead of the outlet [m].
    """

    build: Build
    rules: Plumbing
    outlet: OutletRules
    outlets: Side
    crossed: bool
    coupled: float

    @property
    def rigid(self) -> float:
        """Both rigid ends of a hose together [m]."""
        return 2 * self.rules.hose.rigid.value

    @property
    def radius(self) -> float:
        """Least bend radius [m]."""
        return self.rules.hose.bend.value


def cut(longest: float, rules: Plumbing) -> float:
    """Cut length of a hose: its longest way and slack, up to the next step.

    Args:
        longest: Greatest length needed over all poses [m].
        rules: plumbing.toml.

    Returns:
        Finished length over both seats [m].
    """
    slack, step = rules.slack, rules.slack.step.value
    wanted = longest + max(slack.least.value, slack.share.value * longest)
    return ceil(wanted / step - _GRACE) * step


def cylinder_hoses(laying: Laying) -> tuple[tuple[Hose, Hose], dict[str, str]]:
    """The two short hoses from block to cylinder: A to the cap port, B to the rod port.

    Args:
        laying: What they are laid by.

    Returns:
        Both hoses, and which way the elbow of each port is turned.
    """
    build, rules = laying.build, laying.rules
    block, cylinder = places.block_ports(build, rules), places.cylinder_ports(build, rules)
    reach = rules.ports.adapter.value + rules.hose.rigid.value

    def one(tag: str, letter: Letter, port: str) -> tuple[Hose, str]:
        tried: list[tuple[float, str, Ends, Array]] = []
        for turned, spot in places.elbows(cylinder[port]).items():
            ends = places.cylinder_ends(build, block[f"cylinder {letter}"], spot, reach)
            ways = runs.needed(ends, laying.radius) + laying.rigid
            tried.append((cut(float(ways.max()), rules), turned, ends, ways))
        tried.sort(key=lambda row: row[0])
        best: tuple[float, float, str, Ends, Array] | None = None
        for length, turned, ends, ways in tried:
            tight = float(runs.bend(ends, length - laying.rigid, laying.radius).min())
            if best is None or tight > best[0]:
                best = (tight, length, turned, ends, ways)
            # The shortest hose of those that bend wide enough, else the one that bends widest.
            if tight >= laying.radius:
                break
        assert best is not None  # an elbow can be turned four ways
        tight, length, turned, ends, ways = best
        hose = _hose(
            laying, tag, (f"valve block, cylinder {letter}", f"cylinder, {port}"), ways, length, bend=tight,
            path=runs.shape(ends, length - laying.rigid, laying.radius), to_carrier=False,
        )  # fmt: skip
        return hose, turned

    cap, rod = one(CYLINDER_HOSES[0], "A", CAP), one(CYLINDER_HOSES[1], "B", ROD)
    return (cap[0], rod[0]), {CAP: cap[1], ROD: rod[1]}


def carrier_hoses(laying: Laying) -> tuple[Hose, Hose]:
    """The two hoses from the carrier's outlets to the block, over the guide on the mount plate; both cut alike.

    They are made to the longest of all four ways, so that either can be crossed later without another hose.

    Args:
        laying: What they are laid by.
    """
    build, rules, radius = laying.build, laying.rules, laying.radius
    block, through = places.block_ports(build, rules), places.guides(build, rules)
    outlets = places.outlets(laying.outlet, 1.0 if laying.outlets == "left" else -1.0)
    reach, free = rules.ports.adapter.value + rules.hose.rigid.value, laying.coupled + rules.hose.rigid.value
    front = {
        (o, p): places.block_to_guide(build, block[f"carrier {p}"], through[o], reach)
        for o in _LETTERS
        for p in _LETTERS
    }
    rear = {o: places.guide_to_outlet(laying.outlet, through[o], outlets[o], free) for o in _LETTERS}
    ahead = {way: runs.needed(ends, radius) for way, ends in front.items()}
    behind = {o: runs.needed(ends, radius) for o, ends in rear.items()}
    longest = max(float(way.max()) for way in ahead.values()) + max(float(way.max()) for way in behind.values())
    length = cut(longest + laying.rigid, rules)

    def one(tag: str, outlet: Letter) -> Hose:
        port: Letter = outlet if not laying.crossed else ("B" if outlet == "A" else "A")
        # The guide holds the front piece at its longest; all slack hangs behind it.
        held = float(ahead[outlet, port].max())
        hangs = length - laying.rigid - held
        ways = np.array([w(ahead[outlet, port]) + w(behind[outlet]) for w in (np.min, np.max)]) + laying.rigid
        shapes = runs.shape(rear[outlet], hangs, radius)[::-1], runs.shape(front[outlet, port], held, radius)[::-1]
        bends = (runs.bend(front[outlet, port], held, radius).min(), runs.bend(rear[outlet], hangs, radius).min())
        return _hose(
            laying, tag, (f"outlet {outlet}", f"valve block, carrier {port}"), ways, length, bend=float(min(bends)),
            path=np.vstack(shapes), to_carrier=True,
        )  # fmt: skip

    return one(CARRIER_HOSES[0], "A"), one(CARRIER_HOSES[1], "B")


def _hose(
    laying: Laying, tag: str, ends: tuple[str, str], ways: Array, length: float, *, bend: float, path: Array,
    to_carrier: bool,
) -> Hose:  # fmt: skip
    hose = laying.rules.hose
    longest, swivel = float(ways.max()), f"{hose.end.value} swivel"
    return Hose(
        name=tag,
        start=ends[0],
        end=ends[1],
        cut_length=length,
        slack=length - longest,
        shortest=float(ways.min()),
        longest=longest,
        size=f"{hose.type.value}, dash {hose.dash.value}",
        ends=(swivel, swivel),
        rated=min(hose.rated.value, hose.fittings.value),
        bend=bend,
        carrier=to_carrier,
        path=tuple((float(x), float(y), float(z)) for x, y, z in path),
    )
