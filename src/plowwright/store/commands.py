"""A command while it runs: what it may write, and the event it leaves behind."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any, Final, TypeVar

from sqlalchemy import Column, Connection, DateTime, select

from plowwright.errors import EntryError
from plowwright.shop.stock_book import Entry
from plowwright.store import ledger, plain
from plowwright.store import records as r
from plowwright.store import statements as st
from plowwright.store import tables as t
from plowwright.store.filing import Filing
from plowwright.store.ledger import key_of
from plowwright.store.reading import Reads, table_of

R = TypeVar("R")
_NOT_ADDED: Final = {"events", "touched", *t.SUMS}


class AlreadyDone(BaseException):
    """Ends the block of a command that was done before; never seen outside `Workbook.command`."""


class Command(Reads):
    """One command: all that is written through it is kept together, or nothing."""

    def __init__(
        self, connection: Connection, *, event: dict[str, Any], first: r.Event | None, last: str, filing: Filing
    ) -> None:
        super().__init__(connection)
        self._event = event
        self._first = first
        self._last = last
        self._filing = filing
        self._changed: list[dict[str, Any]] = []
        self._touched: dict[tuple[str, str], None] = {}
        self._items: dict[str, None] = {}
        self._answer: Any = None

    @property
    def connection(self) -> Connection:
        """The open transaction; a command that was done before has none, and its block ends here."""
        if self._first is not None:
            raise AlreadyDone
        return super().connection

    @property
    def repeated(self) -> bool:
        """Whether this key was done before; nothing is written then, and `answered` is the first answer."""
        return self._first is not None

    @property
    def answered(self) -> Any:
        """What the command answered, as JSON gives it back."""
        return self._first.answer if self._first is not None else self._answer

    @property
    def number(self) -> int:
        """The number of the event."""
        return self._first.number if self._first is not None else int(self._event["number"])

    @property
    def at(self) -> datetime:
        """When it was done, by the shop's clock."""
        return self._first.at if self._first is not None else self._event["at"]

    def answer(self, value: Any) -> None:
        """Keep what the command answers, for whoever asks again with the same key.

        Args:
            value: Anything JSON can hold, days and times too.
        """
        if self._first is None:
            self._answer = plain.plain(value)

    # Writing ------------------------------------------------------------------------------------------------------

    def add(self, kind: type[R], /, **given: Any) -> R:
        """Write a new row.

        Args:
            kind: Its record, as `Order`; stock lines go through `line`, files through `keep_file`.
            given: Its fields; `id` and `event` are given by the store, what is left out is empty.

        Returns:
            The record as written.

        Raises:
            EntryError: There is no such field, one is missing, or the records refuse it.
        """
        table = table_of(kind)
        if table.name in _NOT_ADDED or kind in (r.Line, r.KeptFile):
            raise EntryError(f"rows of {table.name} are not added by hand", way_out="Use line() or keep_file().")
        row = self._row(kind, given)
        done = self.connection.execute(st.added(table.name), {k: v for k, v in row.items() if k != "id"})
        if "id" in row:
            row["id"] = key_of(done)
        key = next(iter(table.primary_key.columns)).name
        if table.name in t.KEPT:
            self._changed.append({"table": table.name, "key": row[key]})
        else:
            self._changed.append({"table": table.name, "key": row[key], "now": plain.plain(row)})
            self._touched[(table.name, str(row[key]))] = None
        if kind is r.Arrival:
            self._items[row["item"]] = None
        return kind(**row)

    def change(self, kind: type[R], key: int | str, /, **fields: Any) -> R:
        """Change fields of a row that may change; the event keeps what they were.

        Args:
            kind: Its record, as `Order`.
            key: Its number.
            fields: The new values.

        Returns:
            The record as it is now.

        Raises:
            EntryError: The row is written once, or has no such field.
            NotFoundError: There is no such row.
        """
        table = table_of(kind)
        if table.name in (*t.KEPT, *t.SUMS):
            raise EntryError(
                f"{table.name} are written once and never changed", way_out="Write a new row that puts it right."
            )
        _known(kind, fields, but=("id", "event", next(iter(table.primary_key.columns)).name))
        before = self.get(kind, key)
        was = {name: getattr(before, name) for name in fields}
        fields = {name: _timed(table.c[name], value) for name, value in fields.items()}
        now = {name: value for name, value in fields.items() if value != was[name]}
        if not now:
            return before
        self.connection.execute(st.changed(table.name, tuple(now)), {**now, st.KEY: key})
        self._touched[(table.name, str(key))] = None
        self._changed.append(
            {
                "table": table.name,
                "key": key,
                "was": plain.plain({name: was[name] for name in now}),
                "now": plain.plain(now),
            }
        )
        return kind(**{**{name: getattr(before, name) for name in r.names(kind)}, **now})

    def line(
        self,
        *,
        kind: str,
        item: str,
        count: int,
        day: date | None = None,
        lot: str = "",
        order: str | None = None,
        needed: date | None = None,
        reason: str = "",
        facts: Mapping[str, Any] | None = None,
    ) -> r.Line:
        """Write a line of the stock ledger.

        Args:
            kind: receive, reserve, release, issue, return, scrap or count.
            item: As the rulebook calls it.
            count: Pieces; of a count line the difference found.
            day: When, today unless given.
            lot: Lot, heat or tag.
            order: For which order.
            needed: Of reserve and release: the day the pieces are needed.
            reason: Why.
            facts: What was measured at receiving.

        Raises:
            EntryError: The line makes no sense, or the pieces are not there.
        """
        return self._line(self._filled(dict(locals())))

    def lines_of(self, lines: Iterable[Mapping[str, Any]]) -> int:
        """Write many lines at once, for an import or a count of the whole rack; how many.

        Args:
            lines: Each with the fields of `line`.

        Raises:
            EntryError: One makes no sense, or in the end the pieces are not there.
        """
        rows = [ledger.checked(self._filled(dict(line))) for line in lines]
        if rows:
            ledger.write_many(self.connection, rows)
            self._items.update((row["item"], None) for row in rows if row["kind"] in ("reserve", "issue"))
            self._changed.append({"table": "ledger", "lines": len(rows)})
        return len(rows)

    def reverse(self, number: int, *, reason: str, day: date | None = None) -> r.Line:
        """Undo a line of the stock ledger by a line of the opposite count.

        Args:
            number: The line that was wrong.
            reason: Why it was wrong.
            day: When, today unless given.

        Raises:
            NotFoundError: There is no such line.
            EntryError: It was reversed already, or its pieces are gone.
        """
        row = ledger.reversal(self.connection, number, day=day or self.at.date(), reason=reason)
        return self._line({**row, "event": self.number})

    def entries(self, entries: Iterable[Entry]) -> tuple[r.Line, ...]:
        """Write the lines that the rules of stock propose, reversals too.

        Args:
            entries: As `shop.stock` gives them.

        Raises:
            EntryError: One makes no sense, or the pieces are not there.
        """
        return tuple(
            self.line(
                kind=entry.kind,
                item=entry.item,
                count=entry.count,
                day=entry.day,
                lot=entry.lot,
                order=entry.order,
                needed=entry.needed,
                reason=entry.reason,
            )
            if entry.reverses is None
            else self.reverse(entry.reverses, reason=entry.reason, day=entry.day)
            for entry in entries
        )

    def keep_rulebook(self, *, fingerprint: str, day: date, files: Mapping[str, str]) -> r.KeptRulebook:
        """Keep a rulebook's files as they stand; once is enough, however often it is asked.

        Args:
            fingerprint: Of the rulebook.
            day: Of its version.
            files: Text of each file by its name.
        """
        there = self.look(r.KeptRulebook, fingerprint)
        return there or self.add(r.KeptRulebook, fingerprint=fingerprint, day=day, files=dict(files))

    def keep_build(
        self,
        *,
        fingerprint: str,
        spec: Mapping[str, Any],
        rulebook_day: date,
        rulebook: str,
        facts: Mapping[str, Any],
    ) -> r.KeptBuild:
        """Keep a build as it was worked out; the same facts are kept once.

        Args:
            fingerprint: Of the build.
            spec: What was chosen.
            rulebook_day: Day of the rulebook's version.
            rulebook: Its fingerprint.
            facts: What the build gave: parts, mass, price, findings.
        """
        digest = plain.digest_of(spec, rulebook, facts)
        there = self.find(r.KeptBuild, fingerprint=fingerprint, digest=digest, limit=1)
        if there:
            return there[0]
        return self.add(
            r.KeptBuild,
            fingerprint=fingerprint,
            spec=plain.plain(spec),
            rulebook_day=rulebook_day,
            rulebook=rulebook,
            facts=plain.plain(facts),
            digest=digest,
        )

    def keep_file(self, data: bytes, *, name: str, media: str = "") -> r.KeptFile:
        """Keep a photo or paper; it lies safe on disk before the command is.

        Args:
            data: What is in it.
            name: What it was called.
            media: As "image/jpeg".
        """
        connection = self.connection
        digest = self._filing.keep(data)
        there = self.look(r.KeptFile, digest)
        if there:
            return there
        row = {"digest": digest, "name": name, "media": media, "size": len(data), "event": self.number}
        connection.execute(st.added("files"), row)
        self._changed.append({"table": "files", "key": digest})
        return r.KeptFile(**row)

    # Ending -------------------------------------------------------------------------------------------------------

    def close(self) -> None:
        """Check what must hold, and write the event; called by the workbook."""
        ledger.hold_to_what_will_be_there(self.connection, self._items)
        row = {**self._event, "changed": self._changed, "answer": self._answer}
        row["digest"] = plain.digest_of(self._last, row)
        self.connection.execute(st.added("events"), row)
        if self._touched:
            self.connection.execute(
                st.added("touched"), [{"event": self.number, "kind": k, "key": key} for k, key in self._touched]
            )

    def _line(self, row: dict[str, Any]) -> r.Line:
        number = ledger.write(self.connection, ledger.checked(row))
        if row["kind"] in ("reserve", "issue"):
            self._items[row["item"]] = None
        self._changed.append({"table": "ledger", "key": number})
        return r.Line(id=number, **row)

    def _filled(self, given: dict[str, Any]) -> dict[str, Any]:
        given.pop("self", None)
        _known(r.Line, given, but=("id", "event", "reverses"))
        empty = {"lot": "", "order": None, "needed": None, "reason": "", "reverses": None, "event": self.number}
        row = {**empty, **given}
        row["day"] = given.get("day") or self.at.date()
        row["facts"] = plain.plain(given.get("facts") or {})
        return row

    def _row(self, kind: type[Any], given: dict[str, Any]) -> dict[str, Any]:
        _known(kind, given, but=("id", "event"))
        table, row = table_of(kind), {}
        for name in r.names(kind):
            column = table.c[name]
            if name in given:
                row[name] = _timed(column, given[name])
            elif name == "event":
                row[name] = self.number
            elif name == "id" or column.nullable:
                row[name] = None
            elif column.server_default is not None:
                row[name] = "" if column.type.python_type is str else 0
            elif name in r.EMPTY:
                row[name] = [] if kind is r.CarrierFacts else dict(r.EMPTY[name])
            else:
                raise EntryError(f"{name} is missing", way_out=f"Give {name}.", where=table.name)
        return row


def _known(kind: type[Any], given: Iterable[str], *, but: tuple[str, ...]) -> None:
    fields = r.names(kind)
    for name in given:
        if name not in fields or name in but:
            listed = ", ".join(field for field in fields if field not in but)
            raise EntryError(f"{r.TABLES[kind]} have no field {name}", value=name, limit=listed)


def _timed(column: Column[Any], value: Any) -> Any:
    # A promise for a day, without an hour, is kept as its midnight.
    if isinstance(column.type, DateTime) and isinstance(value, date) and not isinstance(value, datetime):
        return datetime(value.year, value.month, value.day)
    return value


def last_event(connection: Connection) -> tuple[int, str]:
    """Number and digest of the last event, 0 and "" before the first.

    Args:
        connection: To the records.
    """
    query = select(t.events.c.number, t.events.c.digest).order_by(t.events.c.number.desc()).limit(1)
    row = connection.execute(query).one_or_none()
    return (int(row[0]), str(row[1])) if row else (0, "")


def last_and_first(connection: Connection, key: str) -> tuple[int, str, r.Event | None]:
    """Number and digest of the last event, and the one that has this key already.

    Args:
        connection: Of the command.
        key: As the command gives it.
    """
    found = connection.execute(st.LAST_AND_FIRST, {st.KEY: key}).all()
    if not found:
        return 0, "", None
    number, _, digest = max(found)
    first = next((row[0] for row in found if row[1] == key), None)
    return int(number), str(digest), Reads(connection).look(r.Event, first)
