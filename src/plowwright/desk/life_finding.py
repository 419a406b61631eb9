"""A blade on file found by scraps, as quickly among ten thousand as among a hundred."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plowwright.errors import NotFoundError
from plowwright.shop.service_marks import Register, marks_from_dict
from plowwright.shop.service_search import Found, Scraps, find
from plowwright.store import records as r
from plowwright.store.workbook import Workbook

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


class Finder:
    """Finds blades by scraps.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._register: Register | None = None
        self._looked = self._touched = -1

    def find(self, scraps: Scraps) -> Found:
        """Which blade it may be, by what the caller has.

        Args:
            scraps: What was told.

        Raises:
            EntryError: Nothing was told.
            NotFoundError: No blade is on file.
        """
        if self._desk.records is None:
            return self._desk.counter.find(scraps)
        register = self._register_of(self._desk.records)
        if not register.marks:
            raise NotFoundError("no blade is on file here", way_out="Import the serials first, or load one.")
        return find(scraps, register)

    def _register_of(self, book: Workbook) -> Register:
        """Marks of all blades, laid out anew only when one was written since."""
        with book.reading() as reads:
            last = reads.events(limit=1)
            looked = last[0].number if last else 0
            if self._register is not None and looked == self._looked:
                return self._register
            touched = reads.last_touch("blades")
            if self._register is None or touched != self._touched:
                rows = reads.find(r.Blade)
                self._register = Register([marks_from_dict(row.marks) for row in rows if row.marks])
            self._looked, self._touched = looked, touched
            return self._register
