"""The search for a nest of one stock: sheets filled one after another, then parts of the nest laid anew.

Three ways in turn: the whole in another order, one to three sheets emptied and their pieces spread over the others, and
a single sheet tightened by spyrrow with pieces of the emptiest sheet added. What costs less is kept.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

from plowwright.shop.nesting_fill import Bed, Item, Lean
from plowwright.shop.nesting_limits import Limits
from plowwright.shop.nesting_model import Sheet
from plowwright.shop.nesting_spread import LEANS, Found, Problem, Spreader
from plowwright.shop.nesting_strip import blocks, lay_strip, single

_CENT = 1e-4
_LONGEST_STRIP = 4.0
"""Longest time that one sheet is given to spyrrow, which cannot be stopped meanwhile [s]."""


class Search:
    """A search that keeps the best nest so far."""

    def __init__(self, problem: Problem, limits: Limits) -> None:
        """Set out.

        Args:
            problem: The stock.
            limits: When to end.
        """
        self.problem = problem
        self.limits = limits
        self.draw = random.Random(problem.seed)
        self._on = Spreader(problem, self.draw)
        self.best = Found(beds=(), missing=problem.items, method="")
        self._strip_seconds = 1.0
        self._lean: Lean = "along"

    def run(self) -> Found:
        """The best nest by the time the limits say halt."""
        self._start()
        stale, patience = 0, 60 + 2 * len(self.problem.items)
        while not self.limits.halt() and not self.proved and stale < patience:
            if self.draw.random() < (0.15 if len(self.best.beds) == 1 else 0.4):
                better = self._cheaper()
            elif len(self.best.beds) < 2 or self.draw.random() < 0.25:
                better = self._again()
            else:
                better = self._part()
            stale = 0 if better else stale + 1
            if stale % 10 == 9 and self.limits.left() > self._strip_seconds:
                stale = 0 if self._strip() else stale
        return self.best

    def _start(self) -> None:
        """Large pieces first: on each size by itself, then on whatever sheets look cheapest as they go."""
        every = self.problem.sheets
        sizes = [[s] for s in every if len(every) > 1 and not s.tag]
        for lean, key in product(LEANS[:2], (_by_area, _by_reach)):
            for allowed in (*sizes, every):
                if self.best.beds and self.limits.halt():
                    return
                items = sorted(self.problem.items, key=key)
                found = self._on.spread((), items, lean, allowed, below=self.best.cost)
                if self._keep(found, "filled piece by piece"):
                    self._lean = lean

    @property
    def proved(self) -> bool:
        """Whether the best is at the bound."""
        return self.best.cost <= self.problem.bound + _CENT

    def _keep(self, found: Found, method: str) -> bool:
        less = (len(found.missing), found.cost) < (len(self.best.missing), self.best.cost - _CENT)
        if less:
            self.best = Found(beds=found.beds, missing=found.missing, method=method)
            self.limits.report(found.cost, method)
        return less

    def _shaken(self, items: Sequence[Item]) -> list[Item]:
        """Large ones first, more or less."""
        spread = self.draw.choice((0.15, 0.4, 0.8))
        key = self.draw.choice((_by_area, _by_reach))
        weight = {i.number: key(i) * self.draw.uniform(1 - spread, 1 + spread) for i in items}
        return sorted(items, key=lambda i: weight[i.number])

    def _cheaper(self) -> bool:
        """The whole, or up to four sheets of it, on other sheets that might cost less."""
        out = self._drawn(self.draw.choice((2, 3, 4, len(self.best.beds))))
        kept = [b for b in self.best.beds if b not in out]
        items = [*self.best.missing, *(lay.item for bed in out for lay in bed.laid)]
        below = sum(b.cost for b in out) if not self.best.missing else 1e99
        named = self._on.handful(items, below, [b.sheet for b in kept])
        if named is None:
            return False
        found = self._on.fill_in(kept, self._shaken(items), self.draw.choice(LEANS), named)
        return found is not None and self._keep(found, "laid on cheaper sheets")

    def _again(self) -> bool:
        """The whole in another order: the best one with a few pieces moved, or a new one."""
        dear = self.draw.uniform(0.9, 1.6)
        if self.draw.random() < 0.6:
            items = [*self.best.missing, *(lay.item for bed in self.best.beds for lay in bed.laid)]
            for _ in range(self.draw.choice((1, 1, 2, 4))):
                items.insert(self.draw.randrange(len(items)), items.pop(self.draw.randrange(len(items))))
            lean = self.draw.choice((self._lean, self._lean, *LEANS))
            allowed = [b.sheet for b in self.best.beds] if self.draw.random() < 0.7 else self._on.some()
        else:
            items, lean, allowed = self._shaken(self.problem.items), self.draw.choice(LEANS), self._on.some()
        found = self._on.spread((), items, lean, allowed, dear=dear, below=self.best.cost)
        better = self._keep(found, "filled in another order")
        self._lean = lean if better else self._lean
        return better

    def _drawn(self, count: int) -> list[Bed]:
        """So many sheets of the best nest, the fuller the less often."""
        weights = {id(b): self.draw.random() * (0.1 + b.area / b.sheet.area) for b in self.best.beds}
        return sorted(self.best.beds, key=lambda b: weights[id(b)])[: max(1, count)]

    def _part(self) -> bool:
        """One to three sheets emptied, the fuller the less often, and their pieces laid anew."""
        out = self._drawn(self.draw.choice((1, 2, 2, 3)))
        items = [*self.best.missing, *(lay.item for bed in out for lay in bed.laid)]
        kept = [b for b in self.best.beds if b not in out]
        lean, dear = self.draw.choice(LEANS), self.draw.uniform(0.9, 1.6)
        found = self._on.spread(kept, self._shaken(items), lean, self._on.some(), dear=dear, below=self.best.cost)
        return self._keep(found, "part laid anew")

    def _strip(self) -> bool:
        """One sheet tightened by spyrrow: as it is, on a cheaper sheet, or with pieces of the emptiest added."""
        beds = list(self.best.beds)
        if self.best.missing or not beds:
            return False
        emptiest = min(beds, key=lambda b: b.area / b.sheet.area)
        at = self.draw.randrange(len(beds))
        bed, others = beds[at], beds[:at] + beds[at + 1 :]
        seconds = min(self._strip_seconds, max(1.0, self.limits.left()))
        seed = self.draw.randrange(2**31)
        if bed is emptiest or self.draw.random() < 0.3:
            sheet = self.draw.choice([bed.sheet, *self._downsized(bed, others)])
            across = self.draw.random() < 0.4
            laid = lay_strip(self.problem.ground, sheet, blocks(bed), seconds=seconds, seed=seed, across=across)
            better = laid is not None and self._keep(_of([*others, laid]), "tightened by spyrrow")
        else:
            better = self._squeeze(bed, emptiest, [b for b in others if b is not emptiest], seconds=seconds, seed=seed)
        if not better:
            self._strip_seconds = min(_LONGEST_STRIP, self._strip_seconds * 1.5)
        return better

    def _downsized(self, bed: Bed, others: Sequence[Bed]) -> list[Sheet]:
        """Sheets that might hold the same for less."""
        share = self.problem.ground.rule.value_share
        fields = ((s, self.problem.ground.field(s)) for s in self._on.left([b.sheet for b in others]))
        return [s for s, (a, b) in fields if s.price * (1 - share) < bed.cost and a * b > bed.area and s != bed.sheet]

    def _squeeze(self, bed: Bed, emptiest: Bed, others: Sequence[Bed], *, seconds: float, seed: int) -> bool:
        """Pieces of the emptiest sheet added to a fuller one, as many as might just fit."""
        length, width = self.problem.ground.field(bed.sheet)
        room = length * width * self.draw.uniform(0.86, 0.97) - bed.area
        added: list[Item] = []
        waiting = [lay.item for lay in emptiest.laid]
        self.draw.shuffle(waiting)
        for item in waiting:
            if item.area <= room:
                added.append(item)
                room -= item.area
        if not added:
            return False
        laid = lay_strip(
            self.problem.ground, bed.sheet, [*blocks(bed), *single(added)], seconds=seconds, seed=seed, across=False
        )
        if laid is None:
            return False
        gone = {i.number for i in added}
        rest = [lay.item for lay in emptiest.laid if lay.item.number not in gone]
        spread = self._on.spread([*others, laid], sorted(rest, key=_by_area), "along", self.problem.sheets)
        return self._keep(spread, "squeezed by spyrrow")


def _by_area(item: Item) -> float:
    return -item.area


def _by_reach(item: Item) -> float:
    return -(item.reach**2)


def _of(beds: Sequence[Bed]) -> Found:
    return Found(beds=tuple(beds), missing=(), method="")
