"""The cut plan: which pieces come from which stick, for all open orders together.

Cost is what the sticks cost less the worth of the drops that go back to the rack. Each section is planned by itself:
first-fit decreasing at once, then column generation over cutting patterns, diving, and a proof where one can be had.
The bound is valid whenever the search stops. Every plan passes `cut_checker` before it is handed back.

Formulation: Gilmore and Gomory's cutting stock with patterns as columns; Farley's bound for an early stop.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from plowwright.errors import NoPlanInTimeError, PlanInputError
from plowwright.shop import cut_checker
from plowwright.shop.cutting_entry import check_entry
from plowwright.shop.cutting_first import Whole
from plowwright.shop.cutting_grid import Problem, build
from plowwright.shop.cutting_layout import lay_out
from plowwright.shop.cutting_limits import Limits
from plowwright.shop.cutting_model import (
    CutPlan,
    CutStick,
    Piece,
    Progress,
    RemnantRule,
    Report,
    SectionPlan,
    Status,
    Stick,
    Stop,
)
from plowwright.shop.cutting_search import Found
from plowwright.shop.cutting_solve import solve
from plowwright.shop.numbering import numbers_of
from plowwright.units import counted, tape

__all__ = ["CutPlan", "Piece", "RemnantRule", "Stick", "plan"]


def plan(
    pieces: Sequence[Piece],
    sticks: Sequence[Stick],
    kerf: float,
    trim: float,
    remnant_rule: RemnantRule,
    seconds: float,
    *,
    share_mitres: bool = True,
    good_enough: float = 0.0,
    progress: Report | None = None,
    stop: Stop | None = None,
) -> CutPlan:
    """Plan the cutting of all pieces, section by section.

    Lengths are counted in 1/16 in, whole millimetres or finer divisions; what is in none of them is rounded up to
    1/32 in, and the bound is that of the rounded pieces.

    Args:
        pieces: What is to be cut, each with a tag of its own.
        sticks: Sticks that can be bought, that lie in the rack, and tagged remnants.
        kerf: Width of a cut [m].
        trim: Taken off each end that is trimmed, its cut included [m].
        remnant_rule: Which drops are kept and what they are worth [-].
        seconds: Time given; what is best by then is handed back [s].
        share_mitres: Whether two like mitres of pieces that may be turned share one cut.
        good_enough: Share above the bound at which a section is not searched further [-].
        progress: Called now and then with how far it has come.
        stop: Asked now and then; True ends the search, and the best so far is handed back.

    Returns:
        The plan with cost, bound, gap, status and seconds.

    Raises:
        PlanInputError: A piece, stick or setting makes no sense, or what is on hand cannot serve.
        NoPlanInTimeError: Stocks are limited and no whole plan was found in time; one may exist.
    """
    check_entry(pieces, sticks, kerf, trim, remnant_rule, seconds)
    clock = _Clock(begin=time.perf_counter(), seconds=seconds, stop=stop, progress=progress)
    by_stock = {stock: [p for p in pieces if p.stock == stock] for stock in dict.fromkeys(p.stock for p in pieces)}
    sections: list[SectionPlan] = []
    waiting = {stock: _weight(group) for stock, group in by_stock.items()}
    # The small ones first: what they leave of their time goes to the large ones.
    for stock in sorted(by_stock, key=lambda s: (waiting[s], s)):
        share = waiting[stock] / sum(waiting[s] for s in by_stock if s not in {p.stock for p in sections})
        own = [s for s in sticks if s.stock == stock and (s.buyable or s.on_hand)]
        problem = build(by_stock[stock], own, kerf=kerf, trim=trim, rule=remnant_rule, share=share_mitres)
        _every_kind_fits(problem)
        limits = clock.limits(problem, share, good_enough, done=len(sections), total=len(by_stock))
        sections.append(_section(problem, limits, clock, kerf, trim))
    made = CutPlan(
        sections=_numbered(sections),
        kerf=kerf,
        trim=trim,
        remnant_rule=remnant_rule,
        share_mitres=share_mitres,
        seconds=time.perf_counter() - clock.begin,
    )
    cut_checker.check(made, pieces, sticks, kerf, trim, remnant_rule)
    return made


def _every_kind_fits(problem: Problem) -> None:
    kind = problem.kinds[0]
    size = problem.used(((0, 1),))
    for at, other in enumerate(problem.kinds):
        if (longer := problem.used(((at, 1),))) > size:
            kind, size = other, longer
    if size > problem.longest:
        longest = max(problem.stocks, key=lambda s: s.capacity).stick
        raise PlanInputError(
            "a piece is longer than any stick holds", where=kind.pieces[0].tag, value=tape(kind.pieces[0].length),
            limit=f"{longest.in_words()}, less its trims",
            way_out="Add a longer stick, or splice the piece and enter its parts.",
        )  # fmt: skip


def _weight(group: Sequence[Piece]) -> float:
    """Share of the time that a section gets: by its different lengths, and a little by its pieces."""
    return len({p.length for p in group}) + 0.1 * len(group)


@dataclass(frozen=True, kw_only=True)
class _Clock:
    begin: float
    seconds: float
    stop: Stop | None
    progress: Report | None

    def stopped(self) -> bool:
        return self.stop is not None and self.stop()

    def limits(self, problem: Problem, share: float, good_enough: float, *, done: int, total: int) -> Limits:
        """When the search for a section ends: its share of the time that is left."""
        now = time.perf_counter()
        end = now + max(0.0, self.begin + self.seconds - now) * share

        def report(cost: float, bound: float, stage: str) -> None:
            if self.progress is not None:
                self.progress(
                    Progress(stock=problem.stock, cost=cost, bound=bound, seconds=time.perf_counter() - self.begin,
                             stage=stage, done=done, total=total)
                )  # fmt: skip

        return Limits(end=end, stopped=self.stopped, good_enough=good_enough, report=report)


def _complete(problem: Problem, found: Found) -> Whole:
    """The plan found, or the reason why there is none."""
    if found.whole.complete:
        return found.whole
    short = [problem.kinds[k].pieces[-1] for k, count in enumerate(found.whole.missing) if count]
    count = int(found.whole.missing.sum())
    named = f"{counted(count, 'piece')} of {problem.stock}, among them {', '.join(p.tag for p in short[:3])}"
    if found.missing > 1e-6:
        raise PlanInputError(
            "what is on hand cannot serve every piece", where=problem.stock, value=named,
            limit=", ".join(f"{s.limit} of {s.stick.in_words()}" for s in problem.stocks if s.limit is not None),
            way_out="Let more sticks be bought, or leave pieces for later.",
        )  # fmt: skip
    raise NoPlanInTimeError(
        "no plan was found that serves every piece from what is on hand", where=problem.stock, value=named,
        limit="the time given", way_out="Give it more time, let more sticks be bought, or leave pieces for later.",
    )  # fmt: skip


def _section(problem: Problem, limits: Limits, clock: _Clock, kerf: float, trim: float) -> SectionPlan:
    started = time.perf_counter()
    found = solve(problem, limits)
    laid = lay_out(problem, _complete(problem, found).columns, kerf=kerf, trim=trim)
    cost = sum(c.cost for c in laid)
    status: Status = "proved best" if found.proved else "stopped" if clock.stopped() else "not proved"
    return SectionPlan(
        stock=problem.stock,
        sticks=laid,
        cost=cost,
        bound=min(cost, found.bound),
        linear_bound=min(cost, found.linear_bound),
        status=status,
        seconds=time.perf_counter() - started,
        method=found.method,
    )


def _numbered(sections: Sequence[SectionPlan]) -> tuple[SectionPlan, ...]:
    """Numbers in the saw's order: all sticks with rush pieces first, then section by section."""
    ordered = sorted(sections, key=lambda s: s.stock)
    given = numbers_of({s.stock: [cut.rush for cut in s.sticks] for s in ordered})
    return tuple(
        replace(s, sticks=tuple(_named(cut, given[s.stock, at]) for at, cut in enumerate(s.sticks))) for s in ordered
    )


def _named(cut: CutStick, number: int) -> CutStick:
    return replace(cut, number=number, drop_tag=f"drop {number}" if cut.kept else "")
