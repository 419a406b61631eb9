"""Nests kept in the records: released to the plate table, ticked part by part, their rests back behind it.

Releasing a nest takes the sheets that lie there off the ledger. A sheet is done when its last part is ticked. An order
has its plate cut when all its parts are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from plowwright.desk.acting import Hand
from plowwright.desk.nesting import Nests
from plowwright.desk.plan_stock import Need, fetch, give_back, need_of
from plowwright.desk.plans_called_off import (
    Lies,
    Off,
    done_of,
    let_go,
    not_cut_any_more,
    off_of,
    refuse,
    to_lay_back,
)  # fmt: skip
from plowwright.desk.plans_kept import (
    Version,
    draft_of,
    end_orders,
    hold_orders,
    keep_draft,
    keep_version,
    open_numbers,
    spoken_of,
    version_of,
)
from plowwright.errors import EntryError, NotFoundError
from plowwright.shop.nesting_model import NestedSheet, NestPlan
from plowwright.shop.nesting_plain import NestKept, nest_from_plain, nest_to_plain
from plowwright.shop.stock_items import sheet_remnant_item
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


@dataclass(frozen=True, kw_only=True)
class NestInHand:
    """A released nest as it stands.

    Attributes:
        version: What is ticked, done and fetched.
        nests: The nest with everything around it.
        off: What orders that were called off leave in it.
    """

    version: Version
    nests: Nests
    off: Off

    @property
    def number(self) -> int:
        """Number of the nest."""
        return self.version.number

    @property
    def left(self) -> int:
        """Sheets something is still to be cut from [-]."""
        return len(self.nests.plan.sheets) - len(self.version.done | self.off.idle)

    def to_cut(self, number: int) -> frozenset[str]:
        """Tags of a sheet that are to be cut from it: all but those of orders that were called off.

        Args:
            number: Of the sheet.

        Raises:
            NotFoundError: No sheet of the nest has this number.
        """
        for sheet in self.nests.plan.sheets:
            if sheet.number == number:
                return frozenset(p.outline.tag for p in sheet.placed) - self.off.unsawn
        raise NotFoundError("no sheet of the nest has this number", value=str(number),
                            way_out="The number stands at the left of the nest's sheet.")  # fmt: skip


class NestsKept:
    """Nests of a shop's records.

    Args:
        desk: Its rules and records.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def at(self, number: int) -> NestInHand:
        """A released nest as it stands.

        Args:
            number: Of the nest.

        Raises:
            NotFoundError: No such nest was released, or no records are open.
        """
        with self._desk.book.reading() as reads:
            return _in_hand(version_of(reads, "nest", number))

    def open(self) -> tuple[NestInHand, ...]:
        """Released nests that some order still waits for, the oldest first."""
        with self._desk.book.reading() as reads:
            return tuple(_in_hand(version_of(reads, "nest", number)) for number in open_numbers(reads, "nest"))

    def draft(self, asked: Mapping[str, Any]) -> Nests | None:
        """The nest that was printed for an address, or None.

        Args:
            asked: What the address asks for.
        """
        with self._desk.book.reading() as reads:
            plain = draft_of(reads, "nest", asked)
        return None if plain is None else _nests(plain)

    def keep_printed(self, hand: Hand, asked: Mapping[str, Any], nests: Nests) -> None:
        """Keep a nest as it is printed, so that its address shows the same one later; once is enough.

        Args:
            hand: Who prints; the key tells one nest from another.
            asked: What its address asks for.
            nests: The nest.
        """

        def do(c: Command) -> dict[str, Any]:
            kept = keep_draft(c, "nest", asked=asked, plain=_plain(nests))
            return {"said": "a nest was printed", "row": kept.id}

        self._desk.book.run("print a nest", do, who=hand.who, key=hand.key, asked=asked)

    def release(self, hand: Hand, nests: Nests, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Cut by this nest: its sheets leave the rack, its orders go into no other nest.

        Args:
            hand: Who releases it.
            nests: The nest.
            asked: What its address asks for.

        Raises:
            EntryError: An order may not be cut or is in another nest, or a remnant is gone.
        """

        def do(c: Command) -> dict[str, Any]:
            root = c.add(r.Plan, kind="nest", state="released", at=c.at, asked=dict(asked),
                         body={"on": nests.on, "orders": list(nests.orders), "plan": _plain(nests)})  # fmt: skip
            number = root.id
            hold_orders(c, "nest", number, nests.orders)
            sheets = nests.plan.sheets
            got = _fetch(c, number, sheets, nests.orders)
            keep_version(
                c, "nest", number, plain=_plain(replace(nests, plan=_tagged(nests.plan, number))), base=0, ticked=(),
                done=(), fetched=got, asked={"what": "released"},
                wants={s.number: need_of(s.sheet).item for s in sheets if s.number not in got and not s.sheet.tag},
            )  # fmt: skip
            short = len(sheets) - len(got)
            said = f"nest {number} is released for {', '.join(nests.orders)}: {counted(len(got), 'sheet')} taken"
            return {"said": said + (f", {short} still to come" if short else ""), "plan": number}

        return self._desk.book.run("release a nest", do, who=hand.who, key=hand.key, asked=asked)

    def tick(
        self, hand: Hand, number: int, *, cut: Collection[str] = (), not_cut: Collection[str] = (),
        whole: Collection[int] = (),
    ) -> dict[str, Any]:  # fmt: skip
        """Tick parts as cut, or take a tick back while their sheet is not done.

        Args:
            hand: Who cut them.
            number: Of the nest.
            cut: Tags that are cut.
            not_cut: Tags whose tick was a slip.
            whole: Numbers of sheets all of which is cut that is to be cut.

        Raises:
            NotFoundError: No such nest, or no such sheet.
            EntryError: No part has that tag, its order was called off, its sheet is done or has not come yet.
        """

        def do(c: Command) -> dict[str, Any]:
            held = _in_hand(version_of(c, "nest", number))
            tags = frozenset[str]().union(*(held.to_cut(n) for n in whole))
            return _ticked(c, held, set(cut) | tags, set(not_cut) - tags, hand.who)

        asked = {"plan": number, "cut": sorted(cut), "not_cut": sorted(not_cut)}
        asked |= {"whole": sorted(whole)} if whole else {}
        return self._desk.book.run("tick parts as cut", do, who=hand.who, key=hand.key, asked=asked)

    def lay_back(self, hand: Hand, number: int) -> dict[str, Any]:
        """Lay back the sheets nothing is left to be cut from, because what was on them was called off.

        A whole sheet goes back as it came; of one that was begun, its rests are put away as the nest has them.

        Args:
            hand: Who laid them back.
            number: Of the nest.

        Raises:
            NotFoundError: No such nest.
            EntryError: Nothing is to be laid back.
        """

        def do(c: Command) -> dict[str, Any]:
            held = _in_hand(version_of(c, "nest", number))
            version, off = held.version, held.off
            begun = {p.number for p in _lying(held.nests.plan) if p.tag in version.ticked}
            idle = [s for s in held.nests.plan.sheets if s.number in off.waiting]
            back = [s for s in idle if s.number not in begun]
            said = to_lay_back(off, number, len(back))
            give_back(c, [need_of(s.sheet) for s in back], reason=f"nest {number}, called off", facts=_facts(back))
            rests = _put_away(c, number, [s for s in idle if s.number in begun])
            keep_version(
                c, "nest", number, plain=None, base=version.base, ticked=version.ticked, done=version.done | off.idle,
                fetched=version.fetched - {s.number for s in back}, laid_back=version.laid_back | (off.idle - begun),
                wants={n: item for n, item in version.wants.items() if n not in off.idle}, asked={"what": "laid back"},
            )  # fmt: skip
            let_go(c, "nest", number, off.orders)
            said += f"; {counted(len(rests), 'rest')} put away" if rests else ""
            return {"said": said, "plan": number, "rests": rests}

        return self._desk.book.run("lay back sheets", do, who=hand.who, key=hand.key, asked={"plan": number})


def stop(c: Command, order: str) -> str:
    """Leave out of its nest what is not cut yet of an order that was called off; what the table has to know, or "".

    Args:
        c: The command that called it off.
        order: Its number.
    """
    return not_cut_any_more(c, "nest", order, lambda version: _in_hand(version).off)


def _ticked(c: Command, held: NestInHand, cut: set[str], not_cut: set[str], who: str) -> dict[str, Any]:
    version, plan, where = held.version, held.nests.plan, f"nest {held.number}"
    on = {p.outline.tag: s.number for s in plan.sheets for p in s.placed}
    strange = sorted(t for t in cut | not_cut if t not in on)
    if strange:
        raise EntryError("no part of the nest has this tag", value=", ".join(strange), where=where,
                         limit=f"{len(on)} parts in the nest", way_out="Read the tag again.")  # fmt: skip
    refuse(held.off, cut & held.off.unsawn, held.number)
    fast = sorted(t for t in not_cut - cut if on[t] in version.done and t in version.ticked)
    if fast:
        raise EntryError("its sheet is done, and its rest is put away", value=", ".join(fast), where=where,
                         way_out="Cut a spoilt part from a new nest.")  # fmt: skip
    ticked = (version.ticked | cut) - (not_cut - cut)
    late = {on[t] for t in ticked} - version.fetched
    got = _fetch(c, held.number, [s for s in plan.sheets if s.number in late], held.nests.orders)
    if late - got:
        named = "; ".join(f"sheet {s.number}, {s.sheet.in_words()}" for s in plan.sheets if s.number in late - got)
        raise EntryError("this sheet is not there yet", value=named, where=where,
                         way_out="Receive it first, or count the plate.")  # fmt: skip
    lying = _lying(plan)
    off = off_of(replace(version, ticked=frozenset(ticked)), "nest", lying)
    done = done_of(version, off, lying, ticked)
    rests = _put_away(c, held.number, [s for s in plan.sheets if s.number in done - version.done])
    left = {o.order for o in held.nests.outlines if o.tag not in ticked} | set(off.orders)
    ended = end_orders(c, "nest", [o for o in held.nests.orders if o not in left], who=who)
    fetched = version.fetched | got
    keep_version(
        c, "nest", held.number, plain=None, base=version.base, ticked=ticked, done=done, fetched=fetched,
        wants={n: item for n, item in version.wants.items() if n not in fetched}, asked={"what": "ticked"},
        laid_back=version.laid_back,
    )  # fmt: skip
    if not off.waiting - done:
        let_go(c, "nest", held.number, off.orders)
    parts = [f"{len(ticked)} of {counted(len(on), 'part')} cut"]
    parts += [f"{counted(len(rests), 'rest')} put away"] if rests else []
    parts += [f"the plate of {', '.join(ended)} is cut"] if ended else []
    parts += [off.in_words] if off.waiting else []
    return {"said": f"{where}: {'; '.join(parts)}", "plan": held.number, "rests": rests, "orders_cut": ended}


def _fetch(c: Command, number: int, sheets: Collection[NestedSheet], orders: Collection[str]) -> set[int]:
    wanted = [(s.number, need_of(s.sheet)) for s in sheets]
    spoken = spoken_of(c, "nest", before=number)
    got: Counter[Need] = fetch(c, [n for _, n in wanted], orders=orders, spoken=spoken, reason=f"nest {number}")
    found: set[int] = set()
    for at, need in wanted:
        if got[need] > 0:
            got[need] -= 1
            found.add(at)
    return found


def _put_away(c: Command, number: int, sheets: Collection[NestedSheet]) -> list[str]:
    facts: dict[Need, Mapping[str, float]] = {}
    for s in sheets:
        for rest in s.rests:
            length, width = rest.box[2] - rest.box[0], rest.box[3] - rest.box[1]
            long, short = max(length, width), min(length, width)
            need = Need(item=sheet_remnant_item(s.sheet.stock, long, short), tag=rest.tag)
            facts[need] = {"length_m": long, "width_m": short, "book": round(rest.worth, 2)}
    give_back(c, facts, reason=f"rest of nest {number}", facts=facts)
    return [need.tag for need in facts]


def _tagged(plan: NestPlan, number: int) -> NestPlan:
    """The nest with a tag for each rest that no other nest gives."""

    def named(s: NestedSheet) -> NestedSheet:
        rests = [replace(one, tag=one.tag.replace("rest ", f"P{number}-")) for one in s.rests]
        return replace(s, rests=tuple(rests))

    return replace(plan, stocks=tuple(replace(one, sheets=tuple(map(named, one.sheets))) for one in plan.stocks))


def _plain(nests: Nests) -> dict[str, Any]:
    kept = NestKept(plan=nests.plan, outlines=nests.outlines, sheets=nests.sheets)
    return {"plan": nest_to_plain(kept), "orders": list(nests.orders), "on": nests.on.isoformat()}


def _nests(plain: Mapping[str, Any], where: str = "nest") -> Nests:
    kept = nest_from_plain(plain["plan"], where=where)
    return Nests(orders=tuple(plain["orders"]), outlines=kept.outlines, sheets=kept.sheets, plan=kept.plan,
                 on=date.fromisoformat(plain["on"]))  # fmt: skip


def _in_hand(version: Version) -> NestInHand:
    nests = _nests(version.plain, f"nest {version.number}")
    return NestInHand(version=version, nests=nests, off=off_of(version, "nest", _lying(nests.plan)))


def _lying(plan: NestPlan) -> list[Lies]:
    return [Lies(tag=p.outline.tag, order=p.outline.order, number=s.number) for s in plan.sheets for p in s.placed]


def _facts(sheets: Collection[NestedSheet]) -> dict[Need, dict[str, float]]:
    """Size [m] and book value [money] of the remnants among sheets that go back uncut."""
    return {
        need_of(s.sheet): {"length_m": s.sheet.length, "width_m": s.sheet.width, "book": s.sheet.price}
        for s in sheets
        if s.sheet.tag
    }
