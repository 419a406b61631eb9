"""Pieces spread over sheets: on those that look cheapest as they go, or on a handful named beforehand."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from plowwright.shop.nesting_fill import Bed, Ground, Item, Lean
from plowwright.shop.nesting_model import Sheet

LEANS: tuple[Lean, ...] = ("along", "together", "across")
_CENT = 1e-4
_DENSE = 0.93
"""Share of a field that grown shapes fill at best, to judge what is still to come [-]."""
_FEW = 20
"""So many pieces are laid on every kind of sheet to compare [-]."""


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One stock.

    Attributes:
        items: Its pieces.
        sheets: What they can be cut from.
        ground: What all sheets have in common.
        bound: No nest can cost less [money].
        seed: Start of the random numbers [-].
    """

    items: tuple[Item, ...]
    sheets: tuple[Sheet, ...]
    ground: Ground
    bound: float
    seed: int


@dataclass(frozen=True, kw_only=True)
class Found:
    """What was found.

    Attributes:
        beds: The sheets.
        missing: Pieces for which nothing is left on hand.
        method: How, in words.
    """

    beds: tuple[Bed, ...]
    missing: tuple[Item, ...]
    method: str

    @property
    def cost(self) -> float:
        """Sheets less the worth of their rests, endless while pieces are missing [money]."""
        return inf if self.missing else sum(b.cost for b in self.beds)


class Spreader:
    """Lays pieces on sheets; what it draws comes from one source, so that a search can be run again."""

    def __init__(self, problem: Problem, draw: random.Random) -> None:
        """Set out.

        Args:
            problem: The stock.
            draw: Source of random numbers.
        """
        self.problem = problem
        self.draw = draw
        priced = [s for s in problem.sheets if s.limit is None] or problem.sheets
        self._rate = min(s.price / s.area for s in priced)
        self._least = min(s.price / s.area for s in problem.sheets) * (1 - problem.ground.rule.value_share)

    def left(self, taken: Sequence[Sheet]) -> list[Sheet]:
        """Sheets of which there is one more.

        Args:
            taken: Those in use.
        """
        return [s for s in self.problem.sheets if s.limit is None or taken.count(s) < s.limit]

    def some(self) -> list[Sheet]:
        """A few of the sheets, so that not every try goes for the same ones; sometimes all."""
        sheets = [*self.problem.sheets]
        if len(sheets) < 2 or self.draw.random() < 0.2:
            return sheets
        return self.draw.sample(sheets, self.draw.randint(1, min(3, len(sheets))))

    def spread(
        self,
        beds: Sequence[Bed],
        items: Sequence[Item],
        lean: Lean,
        allowed: Sequence[Sheet],
        *,
        dear: float = 1.0,
        below: float = inf,
    ) -> Found:
        """Pieces laid on sheets that are begun and then on new ones, each chosen by what it and the rest will cost.

        Args:
            beds: Sheets begun, left as they are.
            items: Pieces in order.
            lean: Which way they are pushed.
            allowed: Sheets to be taken; where they do not serve, all are.
            dear: How much dearer than a full sheet what is still to come is thought [-].
            below: What costs this is given up, pieces missing [money].
        """
        made = [b.copy() for b in beds]
        rest = list(items)
        for bed in made:
            rest = bed.fill(rest, lean)
        while rest:
            best: tuple[float, Bed, list[Item]] | None = None
            there = self.left([b.sheet for b in made])
            for group in ([s for s in there if s in allowed], [s for s in there if s not in allowed]):
                for sheet in self._looked_at(group, len(rest)) if best is None else ():
                    bed = Bed(ground=self.problem.ground, sheet=sheet)
                    over = bed.fill(rest, lean)
                    score = bed.cost + dear / _DENSE * self._rate * sum(i.area for i in over)
                    if bed.laid and (best is None or score < best[0] - _CENT):
                        best = score, bed, over
            if best is None:
                break
            made.append(best[1])
            rest = best[2]
            if rest and sum(b.cost for b in made) + self._least * sum(i.outline.area for i in rest) >= below:
                break
        return Found(beds=tuple(b for b in made if b.laid), missing=tuple(rest), method="")

    def _looked_at(self, sheets: list[Sheet], waiting: int) -> list[Sheet]:
        """Sheets worth filling to compare: all where little is left, two of them where each takes long."""
        return sheets if waiting <= _FEW or len(sheets) < 3 else self.draw.sample(sheets, 2)

    def fill_in(self, beds: Sequence[Bed], items: Sequence[Item], lean: Lean, named: Sequence[Sheet]) -> Found | None:
        """Pieces laid on sheets that are begun and on those named, None where they do not hold them all.

        Args:
            beds: Sheets begun, left as they are.
            items: Pieces in order.
            lean: Which way they are pushed.
            named: New sheets, in the order in which they are filled.
        """
        made = [b.copy() for b in beds]
        made += [Bed(ground=self.problem.ground, sheet=sheet) for sheet in named]
        rest = list(items)
        for bed in made:
            rest = bed.fill(rest, lean)
        return None if rest else Found(beds=tuple(b for b in made if b.laid), missing=(), method="")

    def handful(self, items: Sequence[Item], below: float, taken: Sequence[Sheet]) -> list[Sheet] | None:
        """New sheets that might hold pieces for less than a cost, drawn at random; None where none was found.

        Args:
            items: The pieces.
            below: Cost to undercut [money].
            taken: Sheets in use.
        """
        need = sum(i.area for i in items) / self.draw.uniform(0.72, 0.95)
        net = sum(i.outline.area for i in items)
        share = self.problem.ground.rule.value_share
        for _ in range(30):
            chosen: list[Sheet] = []
            room = 0.0
            while room < need and (there := self.left([*taken, *chosen])):
                chosen.append(self.draw.choice(there))
                room += self._field(chosen[-1])
            for sheet in self.draw.sample(chosen, len(chosen)):
                if room - self._field(sheet) >= need:
                    chosen.remove(sheet)
                    room -= self._field(sheet)
            price, area = sum(s.price for s in chosen), sum(s.area for s in chosen)
            if room >= need and price * (1 - share * (area - net) / area) < below - _CENT:
                return chosen
        return None

    def _field(self, sheet: Sheet) -> float:
        length, width = self.problem.ground.field(sheet)
        return max(0.0, length) * max(0.0, width)
