"""What is scrapped, counted, put right and tagged in the rack, each one command."""

from __future__ import annotations

from collections.abc import Mapping

from plowwright.desk import stock_writing as w
from plowwright.desk.acting import Hand
from plowwright.desk.stock_room import Room, Said, freed_orders, freed_said, pieces, reasoned
from plowwright.errors import EntryError
from plowwright.shop.stock_book import Entry
from plowwright.shop.stock_items import remnant_item, sheet_remnant_item
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads


class Counting(Room):
    """What lies there, set against the book."""

    def scrap(
        self, hand: Hand, item: str, count: int, reason: str, *, lot: str = "", order: str | None = None
    ) -> Said:  # fmt: skip
        """Throw pieces away; orders that go short by it lose their reservation and are named.

        Args:
            hand: Who found them bad.
            item: What.
            count: Pieces [-].
            reason: Why.
            lot: Their lot.
            order: Whose work spoilt them, or None.

        Raises:
            EntryError: No reason, or not as many are there.
        """
        what, why = item.strip(), reasoned(reason, item)
        pieces(count, what)

        def do(c: Command) -> Said:
            line = Entry(kind="scrap", item=what, count=count, day=self.today, lot=lot, order=order or None, reason=why)
            lines = w.lose(c, line)
            freed = [one for one in lines if one.kind == "release"]
            return {"said": f"{count} x {what} scrapped: {why}" + freed_said(freed), "freed": freed_orders(freed)}

        asked = {"item": what, "count": count, "lot": lot, "reason": why, "order": order}
        return self.run("scrap", hand, asked, do)

    def count(
        self, hand: Hand, counted: Mapping[tuple[str, str], int], *, seen: Mapping[tuple[str, str], int] | None = None
    ) -> Said:  # fmt: skip
        """Put the book right by a filled-in count sheet.

        Args:
            hand: Who counted.
            counted: Pieces counted, by item and lot [-].
            seen: What the book said when the sheet was made, where that is known [-].

        Raises:
            NotFoundError: The rulebook knows no such item.
            EntryError: Nothing was counted, a count below zero, or the book has moved since.
        """
        if not counted:
            raise EntryError("nothing was counted", way_out="Fill in what you found; leave out what you did not see.")
        for item, _ in counted:
            self.known(item)

        def do(c: Command) -> Said:
            rows, lines = w.count(c, counted, seen or {}, who=hand.who, today=self.today)
            off = [row for row in rows if row.difference]
            freed = [one for one in lines if one.kind == "release"]
            said = f"{len(rows)} {'row' if len(rows) == 1 else 'rows'} counted, {len(off)} off" + (": " if off else "")
            said += "; ".join(row.text for row in off)
            told = [row.as_dict() for row in rows]
            return {"said": said + freed_said(freed), "rows": told, "freed": freed_orders(freed)}

        asked = {"rows": [[item, lot, count] for (item, lot), count in counted.items()]}
        return self.run("count the rack", hand, asked, do)

    def reverse(self, hand: Hand, number: int, reason: str) -> Said:
        """Undo a line of the ledger by its opposite.

        Args:
            hand: Who puts it right.
            number: Of the line.
            reason: Why it was wrong.

        Raises:
            NotFoundError: There is no such line.
            EntryError: No reason, reversed already, or its pieces are gone or spoken for.
        """

        def do(c: Command) -> Said:
            old, new = w.reverse(c, number, reason=reason, today=self.today)
            said = f"line {number} ({old.kind} {old.count} x {old.item}) is undone by line {new.id}: {new.reason}"
            return {"said": said, "line": new.id}

        return self.run("reverse a stock line", hand, {"line": number, "reason": reason}, do)

    def tag(
        self, hand: Hand, stock: str, length: float, *, width: float = 0.0, tag: str = "", book: float = 0.0,
        order: str | None = None,
    ) -> Said:  # fmt: skip
        """Lay a drop back into the rack with a tag of its own.

        Args:
            hand: Who racks it.
            stock: Its section or sheet.
            length: As measured [m].
            width: Of a sheet's rest [m], 0 for a bar.
            tag: As written on it; left out, the next free one.
            book: What it still counts for [money].
            order: Whose work it is left from, or None.

        Raises:
            NotFoundError: The rulebook knows no such stock.
            EntryError: The tag hangs on another remnant, or it has no length.
        """
        if not length > 0 or width < 0:
            raise EntryError("a remnant has a length", value=f"{length:g} m", limit="above 0", where=stock,
                             way_out='Measure it, as "61-1/4 in".')  # fmt: skip
        item = sheet_remnant_item(stock, length, width) if width else remnant_item(stock, length)
        self.known(item)

        def do(c: Command) -> Said:
            mark = tag.strip() or next_tag(c, "P" if width else "R")
            other = next((one for one in c.find(r.OnHand, lot=mark) if one.on_hand > 0), None)
            if other is not None:
                raise EntryError("this tag hangs on another remnant", value=mark, where=other.item,
                                 way_out="Write another tag, or leave it out.")  # fmt: skip
            line = Entry(kind="return", item=item, count=1, day=self.today, lot=mark, order=order or None,
                         reason="a drop worth keeping")  # fmt: skip
            w.write(c, [line], facts={"length_m": length, "width_m": width, "book": book})
            return {"said": f"{item} racked with tag {mark}", "tag": mark, "item": item}

        asked = {"stock": stock, "length": length, "width": width, "tag": tag, "book": book}
        return self.run("tag a remnant", hand, asked, do)


def next_tag(reads: Reads, letter: str) -> str:
    """A tag no remnant ever had.

    Args:
        reads: A steady view, or a command.
        letter: R for bars, P for sheets.
    """
    used = [int(one.lot[2:]) for one in reads.find(r.OnHand) if one.lot[:2] == f"{letter}-" and one.lot[2:].isdigit()]
    return f"{letter}-{max(used, default=100) + 1}"
