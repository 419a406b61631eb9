"""What can be asked of the stockroom: what goes short and why, what to buy by when, and how one item stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from plowwright.desk.stock_room import Room
from plowwright.desk.stock_shelf import Shelf, stands
from plowwright.errors import NotFoundError
from plowwright.rulebook.refusals import near_names
from plowwright.shop.stock_book import Balance, Held, standing
from plowwright.shop.stock_buying import Awaited, ToBuy, Use, awaited, purchases, use_of
from plowwright.shop.stock_causes import cause
from plowwright.shop.stock_dates import Dated, dated
from plowwright.shop.stock_delivery import UNDRILLED
from plowwright.shop.stock_items import item_of
from plowwright.shop.stock_shortages import Short
from plowwright.store import records as r

WEEKS: Final = 26
"""How far issues are looked back at for a re-order point [weeks]."""
LINES: Final = 40
"""Lines of the ledger an item's page shows [-]."""
_LOOKED_AT: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A shortage with its cause.

    Attributes:
        short: Who goes short of what, when, until when.
        cause: Why.
    """

    short: Short
    cause: str

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {**self.short.as_dict(), "cause": self.cause}


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How one item stands.

    Attributes:
        item: As the ledger calls it.
        now: On hand by lot, and reserved.
        days: Day by day from today.
        arriving: What is on its way, with number and dealer.
        lines: Its last lines, newest first.
        use: How fast it goes, None where nothing was ever issued.
    """

    item: str
    now: Balance
    days: Dated
    arriving: tuple[r.Arrival, ...]
    lines: tuple[r.Line, ...]
    use: Use | None

    @property
    def text(self) -> str:
        """One sentence."""
        free = self.days.free(self.days.today)
        comes = sum(line.comes for line in self.days.days)
        first = next((line for line in self.days.days if line.left < 0), None)
        said = f"{self.item}: {self.now.on_hand} on hand, {self.now.reserved} reserved, {comes} on the way, {free} free"
        return said + (f"; {-first.left} missing on {first.day:%a %d %b}" if first else "")

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {
            **self.now.as_dict(),
            "days": self.days.as_dict()["days"],
            "free_today": self.days.free(self.days.today),
            "arriving": [
                {"arrival": a.id, "count": a.count, "due": a.due.isoformat(), "supplier": a.supplier, "note": a.note}
                for a in self.arriving
            ],
            "lines": [
                {"line": line.id, "kind": line.kind, "count": line.count, "lot": line.lot, "order": line.order,
                 "day": line.day.isoformat(), "reason": line.reason, "reverses": line.reverses}
                for line in self.lines
            ],
            "use": self.use.as_dict() if self.use else None,
            "text": self.text,
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One item in the list of all.

    Attributes:
        item: As the ledger calls it.
        on_hand: Pieces there [-].
        reserved: Pieces reserved [-].
        arriving: Pieces on the way [-].
    """

    item: str
    on_hand: int
    reserved: int
    arriving: int


class Answers(Room):
    """Questions to the stockroom; they work on plain files as well."""

    @property
    def shelf(self) -> Shelf:
        """The shelf as it stands."""
        return self.desk.counter.shelf

    def short(self) -> tuple[Told, ...]:
        """Which order goes short of what on which day, and why."""
        counter = self.desk.counter
        shared, supplies = counter.shortages(), counter.supplies()
        return tuple(
            Told(short=one, cause=cause(one, shared, supplies, today=self.shelf.today)) for one in shared.short
        )

    def lead(self, item: str) -> int | None:
        """Working days to get an item, None where the rulebook does not say [-].

        Args:
            item: As the ledger calls it.
        """
        book, found = self.desk.rulebook, item_of(item)
        stock = found.stock.removesuffix(UNDRILLED)
        if stock in book.bought:
            return book.bought[stock].lead_time_days
        if book.cutting is None or not (stock in book.sections or stock in book.plates):
            return None
        by_item = book.cutting.buying.by_stock.get(item)
        return by_item.value if by_item else book.cutting.buying.days(stock)

    def to_buy(self) -> tuple[ToBuy, ...]:
        """What the shortages ask to be bought, the most urgent first; not what is on its way and here no later."""
        short, lead = self._short_with_lead()
        return purchases(short, lead, today=self.shelf.today, closed=self.desk.closed)

    def awaited(self) -> tuple[Awaited, ...]:
        """What is on its way too late for somebody, though one ordered today would come no sooner."""
        short, lead = self._short_with_lead()
        return awaited(short, lead, today=self.shelf.today, closed=self.desk.closed)

    def _short_with_lead(self) -> tuple[Sequence[Short], dict[str, int]]:
        short = self.desk.counter.shortages().short
        items = dict.fromkeys(item for one in short for item in one.want.serves)
        return short, {item: days for item in items if (days := self.lead(item)) is not None}

    def items(self, words: str = "") -> tuple[Row, ...]:
        """All items, or those with these words in their name.

        Args:
            words: What is looked for.
        """
        shelf, sought = self.shelf, words.casefold().split()
        held: dict[str, int] = {}
        coming: dict[str, int] = {}
        for one in shelf.held:
            held[one.item] = held.get(one.item, 0) + one.count
        for one in shelf.coming:
            coming[one.item] = coming.get(one.item, 0) + one.count
        names = sorted({*shelf.on_hand, *held, *coming})
        return tuple(
            Row(item=name, on_hand=shelf.on_hand.get(name, 0), reserved=held.get(name, 0), arriving=coming.get(name, 0))
            for name in names if all(word in name.casefold() for word in sought)
        )  # fmt: skip

    def item(self, name: str) -> Standing:
        """How one item stands, day by day, with its lots and lines.

        Args:
            name: As the ledger calls it.

        Raises:
            NotFoundError: Nothing is called so; near names are named.
        """
        shelf, what = self.shelf, name.strip()
        known = {*shelf.on_hand, *(c.item for c in shelf.coming), *self.desk.rulebook.bought}
        if what not in known:
            raise NotFoundError("nothing in stock is called so", value=name or "nothing",
                                way_out=near_names(what, sorted(known)))  # fmt: skip
        if self.desk.records is None:
            now, arriving, lines = standing(what, {"": shelf.on_hand.get(what, 0)}, ()), (), ()
        else:
            with self.desk.records.reading() as reads:
                now, arriving, lines = stands(reads, what), reads.arriving(what), reads.lines(what, limit=LINES)
        days = dated(now, shelf.coming, self._unreserved(what), today=shelf.today)
        return Standing(item=what, now=now, days=days, arriving=arriving, lines=lines, use=self.use(what))

    def _unreserved(self, item: str) -> list[Held]:
        """Needs that fall on this item though nobody reserved it, as the shortages share it out."""
        shared = self.desk.counter.shortages()
        found = [
            Held(item=item, order=g.want.order, needed=g.want.day, count=1)
            for g in shared.given if g.item == item and not g.want.held
        ]  # fmt: skip
        for one in shared.short:
            if not one.want.held and (one.item or one.want.serves[0]) == item:
                found.append(Held(item=item, order=one.want.order, needed=one.want.day, count=one.want.count))
        return found

    def use(self, item: str) -> Use | None:
        """How fast an item goes, from its real issues; None where nothing was ever issued.

        Args:
            item: As the ledger calls it.
        """
        if self.desk.records is None:
            return None
        with self.desk.records.reading() as reads:
            lines = reads.find(r.Line, item=item, kind=["issue", "return"], newest=True, limit=_LOOKED_AT)
        return self._used(item, lines, self._weeks(lines))

    def to_refill(self) -> tuple[Use, ...]:
        """Items at or below their re-order point, by what was issued last."""
        if self.desk.records is None:
            return ()
        with self.desk.records.reading() as reads:
            lines = reads.find(r.Line, kind=["issue", "return"], newest=True, limit=_LOOKED_AT)
        by_item: dict[str, list[r.Line]] = {}
        for line in lines:
            by_item.setdefault(line.item, []).append(line)
        weeks = self._weeks(lines)
        # A drop is left over from a cut: nobody can order one.
        bought = {item: mine for item, mine in by_item.items() if not item_of(item).sort.endswith("remnant")}
        found = [self._used(item, mine, weeks) for item, mine in sorted(bought.items())]
        return tuple(one for one in found if one is not None and one.due)

    def _weeks(self, lines: Sequence[r.Line]) -> int:
        """How many weeks these lines reach back; where more lie behind them, only whole ones."""
        if len(lines) < _LOOKED_AT:
            return WEEKS
        return max(1, min(WEEKS, (self.shelf.today - lines[-1].day).days // 7))

    def _used(self, item: str, lines: Sequence[r.Line], weeks: int) -> Use | None:
        lead = self.lead(item)
        if lead is None:
            return None
        issued = [(line.day, line.count if line.kind == "issue" else -line.count) for line in lines]
        left = self.shelf.on_hand.get(item, 0) + sum(c.count for c in self.shelf.coming if c.item == item)
        return use_of(item, issued, today=self.shelf.today, weeks=weeks, lead_days=lead, left=left)

    def on_the_way(self) -> tuple[r.Arrival, ...]:
        """What is on its way, the earliest first."""
        with self.desk.book.reading() as reads:
            return reads.arriving()

    def refused(self, *, limit: int = 12) -> tuple[r.Attachment, ...]:
        """What was refused lately, newest first.

        Args:
            limit: The most that are wanted [-].
        """
        with self.desk.book.reading() as reads:
            rows = reads.find(r.Attachment, about="arrivals", newest=True, limit=limit)
        return tuple(one for one in rows if one.note.startswith("refused"))

    def balances(self, words: str = "") -> tuple[Balance, ...]:
        """Every item by its lots, for a count sheet.

        Args:
            words: Only items with these words in their name.
        """
        wanted = [row.item for row in self.items(words)]
        if self.desk.records is None:
            return tuple(standing(one, {"": self.shelf.on_hand.get(one, 0)}, ()) for one in wanted)
        with self.desk.records.reading() as reads:
            lots: dict[str, dict[str, int]] = {}
            for one in reads.lying():
                lots.setdefault(one.item, {})[one.lot] = one.on_hand
            held: dict[str, list[tuple[str, date, int]]] = {}
            for one in reads.reserved():
                held.setdefault(one.item, []).append((one.order, one.needed, one.count))
        return tuple(standing(item, lots.get(item, {}), held.get(item, ())) for item in wanted)
