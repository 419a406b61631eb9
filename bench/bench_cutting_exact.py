"""Cut plans whose best cost is known beforehand: sticks sawn at random without waste, and published families.

A zero-waste instance is whole sticks sawn into pieces at random, kerfs counted; its best is those sticks again. The
families are Falkenauer's uniform and triplet sets, made again by their generators (see tests/sources).
"""

from __future__ import annotations

import random

from bench import Row
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import CutPlan, Piece, RemnantRule, Stick
from plowwright.units.constants import INCH
from tests.sources.test_bin_packing import packed, triplets, uniform

KERF, TRIM, RULE = INCH / 8, INCH / 2, RemnantRule(least=1e9)
LENGTHS = (240, 288)


def sawn(length: int, sticks: int, seed: int) -> list[Piece]:
    """Pieces that fill so many sticks of a length [in] exactly, in sixteenths."""
    draw = random.Random(seed)
    room, kerf = (length - 1) * 16, 2
    out: list[Piece] = []
    for stick in range(sticks):
        count = draw.randint(3, 7)
        # The last piece needs no kerf of its own: it may fall into the trim.
        whole = room - kerf * (count - 1)
        cuts = sorted(draw.sample(range(96, whole - 95, 1), count - 1))
        sizes = [b - a for a, b in zip((0, *cuts), (*cuts, whole), strict=True)]
        out += [
            Piece(stock="bar", length=size * INCH / 16, tag=f"{stick}-{at}")
            for at, size in enumerate(s for s in sizes if s > 0)
        ]
    return out


def exact(length: int, sticks: int, seed: int) -> bool:
    """Whether the plan is as good as the sticks it was sawn from."""
    own = [Stick(stock="bar", length=length * INCH, price=float(length))]
    found = plan(sawn(length, sticks, seed), own, KERF, TRIM, RULE, 4.0)
    return found.cost <= sticks * length + 1e-6


def share_exact() -> float:
    """Share of zero-waste instances solved exactly, both stick lengths [-]."""
    solved = [exact(length, 4 + seed % 9, seed) for length in LENGTHS for seed in range(20)]
    return sum(solved) / len(solved)


def _missed(found: CutPlan, optimum: float) -> bool:
    return found.cost > optimum + 1e-6


def families() -> tuple[list[str], int]:
    """Instances not at their optimum or rounded bound, named, and how many were tried."""
    missed: list[str] = []
    tried = 0
    for items, seeds in ((120, 6), (250, 4), (500, 2), (1000, 1)):
        for seed in range(11, 11 + seeds):
            found = packed(uniform(items, seed), 150, 20.0)
            tried += 1
            if _missed(found, found.bound):
                missed.append(f"uniform {items} no. {seed}: {found.cost:g} bins, bound {found.bound:g}")
    for items, seeds in ((60, 6), (120, 3), (249, 2)):
        for seed in range(11, 11 + seeds):
            found = packed(triplets(items, seed), 1000, 30.0)
            tried += 1
            if _missed(found, items // 3):
                missed.append(f"triplet {items} no. {seed}: {found.cost:g} bins, best {items // 3}")
    return missed, tried


def cheaper_never_costs_more() -> float:
    """Greatest rise of the cost when a free remnant or a cheaper stick is added, over ten small weeks [share]."""
    worst = 0.0
    for seed in range(10):
        draw = random.Random(seed)
        pieces = [Piece(stock="bar", length=draw.randint(100, 1400) * INCH / 16, tag=f"{n}") for n in range(14)]
        base = [Stick(stock="bar", length=240 * INCH, price=132.0)]
        before = plan(pieces, base, KERF, TRIM, RULE, 4.0).cost
        free = Stick(stock="bar", length=100 * INCH, price=0.0, on_hand=1, buyable=False, tag="R-1")
        long = Stick(stock="bar", length=288 * INCH, price=150.0)
        for more in (free, long):
            worst = max(worst, plan(pieces, [*base, more], KERF, TRIM, RULE, 4.0).cost / before - 1.0)
    return worst


def run() -> list[Row]:
    """Share of zero-waste instances solved, family instances missed, rise of cost by better steel."""
    missed, tried = families()
    for line in missed:
        print(f"\n  {line}", end="")
    return [
        Row(name="zero-waste instances not solved exactly", value=1.0 - share_exact(), limit=0.05, unit="share"),
        Row(name=f"uniform and triplet instances over their optimum, of {tried}", value=len(missed), limit=0, unit=""),
        Row(name="rise of the cost by a free remnant or cheaper stick", value=cheaper_never_costs_more(), limit=1e-9,
            unit="share"),
    ]  # fmt: skip
