"""Cut plans kept in the records: released to the saw, ticked piece by piece, mended after a mishap.

Releasing a plan takes the sticks that lie there off the ledger. A stick is done when its last piece is ticked: what it
leaves goes back to the rack under its tag. An order is cut when all its pieces are.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from plowwright.desk.acting import Hand
from plowwright.desk.cut_in_hand import CutInHand, cut_short, in_hand, lying_of, plain_of, week_of
from plowwright.desk.cut_ledger import facts_of, fetch_sticks, return_drops, wants_of
from plowwright.desk.cutting import Week
from plowwright.desk.plan_stock import give_back, need_of
from plowwright.desk.plans_called_off import done_of, let_go, not_cut_any_more, off_of, refuse, to_lay_back
from plowwright.desk.plans_kept import (
    done_before,
    draft_of,
    end_orders,
    hold_orders,
    keep_draft,
    keep_version,
    open_again,
    open_numbers,
    spoken_of,
    version_of,
)
from plowwright.errors import EntryError, PlanInputError
from plowwright.shop.cutting_called_off import without
from plowwright.shop.cutting_mended import as_they_stand, tagged, with_drops_of
from plowwright.shop.cutting_plain import cut_from_plain
from plowwright.shop.replan import Change
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class CutsKept:
    """Cut plans of a shop's records.

    Args:
        desk: Its rules and records.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def at(self, number: int) -> CutInHand:
        """A released plan as it stands.

        Args:
            number: Of the plan.

        Raises:
            NotFoundError: No such plan was released, or no records are open.
        """
        with self._desk.book.reading() as reads:
            version = version_of(reads, "cut", number)
        return in_hand(version)

    def open(self) -> tuple[CutInHand, ...]:
        """Released plans that some order still waits for, the oldest first."""
        with self._desk.book.reading() as reads:
            found = [version_of(reads, "cut", number) for number in open_numbers(reads, "cut")]
        return tuple(in_hand(one) for one in found)

    def draft(self, asked: Mapping[str, Any]) -> tuple[Week, tuple[Change, ...], float] | None:
        """The plan that was printed for an address, or None.

        Args:
            asked: What the address asks for.
        """
        with self._desk.book.reading() as reads:
            plain = draft_of(reads, "cut", asked)
        return None if plain is None else week_of(cut_from_plain(plain["plan"]), plain)

    def keep_printed(
        self, hand: Hand, asked: Mapping[str, Any], week: Week, changes: tuple[Change, ...], extra: float
    ) -> None:
        """Keep a plan as it is printed, so that its address shows the same one later; once is enough.

        Args:
            hand: Who prints; the key tells one plan from another.
            asked: What its address asks for.
            week: The plan.
            changes: Tags issued again by a mishap.
            extra: What that costs in steel [money].
        """

        def do(c: Command) -> dict[str, Any]:
            kept = keep_draft(c, "cut", asked=asked, plain=plain_of(week, changes, extra))
            return {"said": "a cut plan was printed", "row": kept.id}

        self._desk.book.run("print a cut plan", do, who=hand.who, key=hand.key, asked=asked)

    def release(self, hand: Hand, week: Week, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Cut by this plan: its sticks leave the rack, its orders go into no other plan.

        Args:
            hand: Who releases it.
            week: The plan.
            asked: What its address asks for.

        Raises:
            EntryError: An order may not be cut or is in another plan, or a remnant is gone.
        """

        def do(c: Command) -> dict[str, Any]:
            root = c.add(r.Plan, kind="cut", state="released", at=c.at, asked=dict(asked),
                         body={"on": week.on, "orders": list(week.orders),
                               "plan": plain_of(week, (), 0.0)})  # fmt: skip
            number = root.id
            hold_orders(c, "cut", number, week.orders)
            named = replace(week, plan=tagged(week.plan, number))
            got = fetch_sticks(c, number, week.plan, {s.number for s in week.plan.sticks}, week.orders,
                         spoken_of(c, "cut", before=number))  # fmt: skip
            keep_version(
                c, "cut", number, plain=plain_of(named, (), 0.0), base=0, ticked=(), done=(), fetched=got,
                wants=wants_of(week.plan, got), asked={"what": "released"},
            )  # fmt: skip
            short = len(week.plan.sticks) - len(got)
            off = f"{counted(len(got), 'stick')} off the rack"
            said = f"cut plan {number} is released for {', '.join(week.orders)}: {off}"
            return {"said": said + (f", {short} still to come" if short else ""), "plan": number}

        return self._desk.book.run("release a cut plan", do, who=hand.who, key=hand.key, asked=asked)

    def tick(
        self, hand: Hand, number: int, *, cut: Collection[str] = (), not_cut: Collection[str] = (),
        whole: Collection[int] = (),
    ) -> dict[str, Any]:  # fmt: skip
        """Tick pieces as cut well, or take a tick back while its stick is not done.

        Args:
            hand: Who cut them.
            number: Of the plan.
            cut: Tags that are cut.
            not_cut: Tags whose tick was a slip.
            whole: Numbers of sticks all of which is cut that is to be cut.

        Raises:
            NotFoundError: No such plan, or no such stick.
            EntryError: No piece has that tag, its order was called off, its stick is done or has not come yet.
        """

        def do(c: Command) -> dict[str, Any]:
            held = in_hand(version_of(c, "cut", number))
            tags = frozenset[str]().union(*(held.to_saw(n) for n in whole))
            return self._ticked(c, held, set(cut) | tags, set(not_cut) - tags, hand.who)

        asked = {"plan": number, "cut": sorted(cut), "not_cut": sorted(not_cut)}
        asked |= {"whole": sorted(whole)} if whole else {}
        return self._desk.book.run("tick pieces as cut", do, who=hand.who, key=hand.key, asked=asked)

    def mend(
        self, hand: Hand, number: int, *, cut: Collection[str] = (), miscut: Collection[str] = (),
        bent: Collection[int] = (), seconds: float = 6.0,
    ) -> dict[str, Any]:  # fmt: skip
        """Plan the rest again after a miscut or a bent bar; what is cut stays, what is not used goes back.

        Args:
            hand: Who found it.
            number: Of the plan.
            cut: Tags cut well that are not ticked yet.
            miscut: Tags that are spoilt and wanted again.
            bent: Numbers of sticks found bent.
            seconds: Time given to plan [s].

        Raises:
            NotFoundError: No such plan.
            PlanInputError: A tag or number is not in the plan, or nothing there can serve.
            EntryError: Somebody changed the plan meanwhile.
        """
        asked = {"plan": number, "cut": sorted(cut), "miscut": sorted(miscut), "bent": sorted(bent)}
        if (before := done_before(self._desk, hand, "mend a cut plan", asked)) is not None:
            return before
        held = self.at(number)
        refuse(held.off, (set(cut) & held.off.unsawn) | (set(miscut) & held.off.tags), number)
        ticked = (held.version.ticked | set(cut)) - set(miscut)
        if not miscut and not bent:
            raise PlanInputError(
                "nothing is said to be wrong", where=f"cut plan {number}",
                way_out="Name the tag of the miscut piece, or the number of the bent stick.",
            )  # fmt: skip
        off = sorted(n for n in bent if n in held.version.done)
        if off:
            raise PlanInputError(
                "this stick is cut already", value=", ".join(map(str, off)), where=f"cut plan {number}",
                way_out="Name the pieces that are bent as miscut.",
            )  # fmt: skip
        week, found = self._mended(held, ticked, miscut, bent, seconds)

        def do(c: Command) -> dict[str, Any]:
            if version_of(c, "cut", number).row != held.version.row:
                raise EntryError("somebody changed this plan meanwhile", where=f"cut plan {number}",
                                 way_out="Look at it again, then say once more what went wrong.")  # fmt: skip
            got, back = self._moved(c, held, week, ticked, set(miscut), set(bent))
            lost = {t for t in miscut if t in held.version.ticked}
            open_again(c, "cut", number, sorted({p.order for p in week.pieces if p.tag in lost}))
            keep_version(
                c, "cut", number, plain=plain_of(week, found.changes, found.extra_cost), base=0, ticked=ticked,
                done=held.version.done & {s.number for s in week.plan.sticks}, fetched=got,
                wants=wants_of(week.plan, got), asked=asked,
            )  # fmt: skip
            let_go(c, "cut", number, held.off.orders)  # what was not sawn of theirs is in the plan no more
            self._ticked(c, in_hand(version_of(c, "cut", number)), set(ticked), set(), hand.who)
            return {"said": f"cut plan {number}: {counted(len(found.changes), 'tag')} to write again"
                    + (f", {counted(back, 'stick')} back in the rack" if back else ""), "plan": number}  # fmt: skip

        return self._desk.book.run("mend a cut plan", do, who=hand.who, key=hand.key, asked=asked)

    def lay_back(self, hand: Hand, number: int) -> dict[str, Any]:
        """Lay back the sticks nothing is left to be sawn from, because what was on them was called off.

        A whole stick goes back as it came; what is left of one that was begun goes back as a drop.

        Args:
            hand: Who laid them back.
            number: Of the plan.

        Raises:
            NotFoundError: No such plan.
            EntryError: Nothing is to be laid back.
        """

        def do(c: Command) -> dict[str, Any]:
            held = in_hand(version_of(c, "cut", number))
            version, off = held.version, held.off
            begun = {p.number for p in lying_of(held.week.plan) if p.tag in version.ticked}
            back = [s for s in held.week.plan.sticks if s.number in off.waiting - begun]
            said = to_lay_back(off, number, len(back))
            week, plain = cut_short(held, off, off.waiting & begun)
            drops = [s for s in week.plan.sticks if s.number in off.waiting & begun and s.kept]
            reason = f"cut plan {number}, called off"
            give_back(c, [need_of(s.stick) for s in back], reason=reason, facts=facts_of(back))
            return_drops(c, number, drops)
            keep_version(
                c, "cut", number, plain=plain, base=version.base, ticked=version.ticked, done=version.done | off.idle,
                fetched=version.fetched - {s.number for s in back}, laid_back=version.laid_back | (off.idle - begun),
                wants={n: item for n, item in version.wants.items() if n not in off.idle}, asked={"what": "laid back"},
            )  # fmt: skip
            let_go(c, "cut", number, off.orders)
            said += f"; {len(drops)} drop{'s' if len(drops) > 1 else ''} back in the rack" if drops else ""
            return {"said": said, "plan": number, "drops": [s.drop_tag for s in drops]}

        return self._desk.book.run("lay back sticks", do, who=hand.who, key=hand.key, asked={"plan": number})

    def _mended(
        self, held: CutInHand, ticked: Collection[str], miscut: Collection[str], bent: Collection[int], seconds: float
    ) -> tuple[Week, Any]:
        if held.off.over and not miscut:
            raise PlanInputError(
                "nothing is left to be sawn here", value=held.off.in_words, where=f"cut plan {held.number}",
                way_out="Lay the sticks back, then scrap the bent one from the rack.",
            )  # fmt: skip
        cutting, version = self._desk.cutting, held.version
        there = cutting.sticks({p.stock for p in held.week.pieces})
        bent_idle = held.off.idle & set(bent)
        mine = [c.stick for c in held.week.plan.sticks if c.number in version.fetched - bent_idle]
        plan, sticks = as_they_stand(held.week.plan, there, mine, done=version.done)
        plan = without(plan, held.off.unsawn)
        pieces = tuple(p for p in held.week.pieces if p.tag not in held.off.unsawn)
        standing = replace(held.week, plan=plan, pieces=pieces, sticks=sticks, spoilt=())
        bent = set(bent) - bent_idle
        week, found = cutting.mend(standing, cut=ticked, miscut=miscut, bent=bent, seconds=seconds)
        whole = tagged(with_drops_of(week.plan, held.week.plan, done=version.done), held.number)
        return replace(week, plan=whole, spoilt=(*held.week.spoilt, *week.spoilt)), found

    def _moved(
        self, c: Command, held: CutInHand, week: Week, ticked: Collection[str], miscut: set[str], bent: set[int]
    ) -> tuple[set[int], int]:
        """Sticks fetched for the mended plan, and how many went back unused."""
        old, stay = {s.number: s for s in held.week.plan.sticks}, {s.number for s in week.plan.sticks}
        begun = {n for n, s in old.items() if {p.piece.tag for p in s.placed} & (set(ticked) | miscut)} | bent
        late = (begun | bent) - held.version.fetched
        reason = f"cut plan {held.number}"
        fetched = held.version.fetched | self._fetch_late(c, held, late)
        back = [need_of(old[n].stick) for n in old if n not in stay and n in fetched and n not in begun]
        give_back(c, back, reason=f"{reason}, not cut", facts=facts_of(old.values()))
        fresh = stay - set(fetched)
        got = fetch_sticks(c, held.number, week.plan, fresh, week.orders, spoken_of(c, "cut", before=held.number))
        return (set(fetched) & stay) | got, len(back)

    def _ticked(self, c: Command, held: CutInHand, cut: set[str], not_cut: set[str], who: str) -> dict[str, Any]:
        version, plan = held.version, held.week.plan
        on = {p.piece.tag: s.number for s in plan.sticks for p in s.placed}
        _known(held, cut | not_cut, on)
        refuse(held.off, cut & held.off.unsawn, held.number)
        fast = sorted(t for t in not_cut - cut if on[t] in version.done and t in version.ticked)
        if fast:
            raise EntryError(
                "its stick is done, and its drop is in the rack", value=", ".join(fast),
                where=f"cut plan {held.number}", way_out="If the piece is spoilt, say so as a miscut.",
            )  # fmt: skip
        ticked = (version.ticked | cut) - (not_cut - cut)
        begun = {on[t] for t in ticked}
        fetched = version.fetched | self._fetch_late(c, held, begun - version.fetched)
        lying = lying_of(plan)
        off = off_of(replace(version, ticked=frozenset(ticked)), "cut", lying)
        done = done_of(version, off, lying, ticked)
        week, plain = cut_short(held, off, done - version.done)
        kept = [s for s in week.plan.sticks if s.number in done - version.done and s.kept]
        return_drops(c, held.number, kept)
        left = {p.order for p in week.pieces if p.tag not in ticked} | set(off.orders)
        ended = end_orders(c, "cut", [o for o in held.week.orders if o not in left], who=who)
        keep_version(
            c, "cut", held.number, plain=plain, base=version.base, ticked=ticked, done=done, fetched=fetched,
            wants={n: item for n, item in version.wants.items() if n not in fetched}, asked={"what": "ticked"},
            laid_back=version.laid_back,
        )  # fmt: skip
        if not off.waiting - done:
            let_go(c, "cut", held.number, off.orders)
        parts = [f"{len(ticked)} of {counted(len(on), 'piece')} cut"]
        parts += [f"{len(kept)} drop{'s' if len(kept) > 1 else ''} back in the rack"] if kept else []
        parts += [f"{', '.join(ended)} cut"] if ended else []
        parts += [off.in_words] if off.waiting else []
        return {"said": f"cut plan {held.number}: {'; '.join(parts)}", "plan": held.number,
                "drops": [s.drop_tag for s in kept], "orders_cut": ended}  # fmt: skip

    def _fetch_late(self, c: Command, held: CutInHand, numbers: Collection[int]) -> frozenset[int]:
        """Sticks that had to be bought are fetched when the saw begins with them."""
        spoken = spoken_of(c, "cut", before=held.number)
        got = fetch_sticks(c, held.number, held.week.plan, set(numbers), held.week.orders, spoken)
        missing = sorted(set(numbers) - got)
        if missing:
            named = {s.number: s.stick.in_words() for s in held.week.plan.sticks}
            raise EntryError(
                "this stick is not in the rack", value="; ".join(f"stick {n}, {named[n]}" for n in missing),
                where=f"cut plan {held.number}", way_out="Receive it first, or count the rack.",
            )  # fmt: skip
        return frozenset(got)


def stop(c: Command, order: str) -> str:
    """Leave out of its cut plan what is not sawn yet of an order that was called off; what the saw has to know, or "".

    Args:
        c: The command that called it off.
        order: Its number.
    """
    return not_cut_any_more(c, "cut", order, lambda version: in_hand(version).off)


def _known(held: CutInHand, tags: Collection[str], on: Mapping[str, int]) -> None:
    strange = sorted(t for t in tags if t not in on)
    if strange:
        raise EntryError(
            "no piece of the plan has this tag", value=", ".join(strange), where=f"cut plan {held.number}",
            limit=f"{len(on)} pieces in the plan", way_out="Read the tag again, order number with its letter first.",
        )  # fmt: skip


