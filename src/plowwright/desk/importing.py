"""Bringing in orders, stock and past blades from a list: first a dry run, then all of it in one command, or nothing.

The command is keyed by what is in the file: the same file brought in again changes nothing and gives its first answer.
After writing, counts and sums of the file are held against the records inside the same command; where they differ,
nothing is kept.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal, Protocol

from plowwright.blade.spec import Spec
from plowwright.desk import import_orders, import_serials, import_stock
from plowwright.desk.acting import Hand
from plowwright.desk.import_rows import Noted, Outcome, ReadRow
from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.papers.lists import Column, Sheet, write_csv, write_xlsx
from plowwright.papers.tables_in import Entry, read_bytes
from plowwright.shop.worked import Worked
from plowwright.store.commands import Command
from plowwright.store.reading import Reads
from plowwright.units import counted

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Kind = Literal["orders", "stock", "serials"]
KINDS: Final[tuple[Kind, ...]] = ("orders", "stock", "serials")
SAID: Final[Mapping[Kind, str]] = {"orders": "orders", "stock": "counts and arrivals", "serials": "past blades"}
"""What each kind brings in, in words."""
_FORMS: Final = (".csv", ".xlsx")


class Brings(Protocol):
    """One kind of list."""

    def read(self, entries: Sequence[Entry], reads: Reads | None) -> list[ReadRow]: ...
    def write(self, c: Command, rows: Sequence[ReadRow], source: str, /) -> list[str]: ...
    def sums(self, rows: Sequence[ReadRow], written: Sequence[str], reads: Reads) -> list[tuple[str, str, str]]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class DryRun:
    """What a file says and what would be written.

    Attributes:
        kind: Orders, stock or serials.
        name: Of the file.
        digest: Of what is in it.
        rows: Every row, in the file's order.
        done: What was answered when this very file was brought in, or None.
    """

    kind: Kind
    name: str
    digest: str
    rows: tuple[ReadRow, ...]
    done: Mapping[str, Any] | None = None

    def count(self, outcome: Outcome) -> int:
        """How many rows come out so [-].

        Args:
            outcome: New, already there, wrong or left out.
        """
        return sum(row.outcome == outcome for row in self.rows)

    @property
    def noted(self) -> tuple[Noted, ...]:
        """Everything noted, in the file's order."""
        return tuple(one for row in self.rows for one in row.noted)

    @property
    def is_open(self) -> bool:
        """Whether it can be written: no row is wrong, and something is new."""
        return self.done is None and not self.count("wrong") and bool(self.count("new"))

    def said(self) -> str:
        """One sentence."""
        parts = [f"{self.count('new')} new", f"{self.count('already there')} already there"]
        parts += [f"{n} {words}" for words in ("wrong", "left out") if (n := self.count(words))]
        changed = sum(any(one.sort == "changed" for one in row.noted) for row in self.rows)
        taken = f"; {changed} read otherwise than written" if changed else ""
        return f"{counted(len(self.rows), 'row')} of {self.name}: {', '.join(parts)}{taken}"

    def as_dict(self) -> dict[str, Any]:
        """The dry run for a machine."""
        return {
            "kind": self.kind, "file": self.name, "digest": self.digest, "said": self.said(),
            "new": self.count("new"), "there": self.count("already there"), "wrong": self.count("wrong"),
            "left_out": self.count("left out"), "would_write": self.is_open, "done": dict(self.done or {}) or None,
            "rows": [row.as_dict() for row in self.rows],
        }  # fmt: skip


class Importing:
    """Brings lists in at a desk.

    Args:
        desk: Its rules and records.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._worked: dict[Spec, Worked] = {}

    def dry_run(self, kind: str, data: bytes, name: str) -> DryRun:
        """Read a file and hold every row against rulebook and records; nothing is written.

        Args:
            kind: Orders, stock or serials.
            data: What is in the file.
            name: Of the file.

        Raises:
            NotFoundError: There is no such kind.
            EntryError: The file cannot be read, or its columns are not known.
        """
        known = kind_of(kind)
        entries, digest = _entries(known, data, name), _digest(data)
        brings = self._brings(known)
        if self._desk.records is None:
            return DryRun(kind=known, name=name, digest=digest, rows=tuple(brings.read(entries, None)))
        with self._desk.book.reading() as reads:
            before = reads.event_of(_key(known, digest))
            rows = tuple(brings.read(entries, reads))
        return DryRun(kind=known, name=name, digest=digest, rows=rows, done=before.answer if before else None)

    def really(self, hand: Hand, kind: str, data: bytes, name: str) -> dict[str, Any]:
        """Write what is new in a file: one command, all or nothing; the same file again changes nothing.

        Args:
            hand: Who does it; the file's own digest is the key.
            kind: Orders, stock or serials.
            data: What is in the file.
            name: Of the file.

        Returns:
            What was done: `said`, `written`, `there`, `audit` (what, file, records), `event`, and `again` where this
            very file was brought in before.

        Raises:
            NotFoundError: No such kind, or no records are open.
            EntryError: The file cannot be read, a row is wrong, or nothing in it is new.
            StoreError: What was written does not add up to the file; nothing is kept.
        """
        known = kind_of(kind)
        digest, book = _digest(data), self._desk.book
        dry = self.dry_run(known, data, name)
        if dry.done is not None:
            return {**dry.done, "again": True}
        _refuse_wrong(dry)
        entries, brings = _entries(known, data, name), self._brings(known)

        def do(c: Command) -> dict[str, Any]:
            # Another may have written since the dry run: what is there counts as this command reads it.
            rows = brings.read(entries, c)
            now = DryRun(kind=known, name=name, digest=digest, rows=tuple(rows))
            _refuse_wrong(now)
            written = brings.write(c, rows, name)
            audit = [
                {"what": what, "file": told, "records": found} for what, told, found in brings.sums(rows, written, c)
            ]
            off = [one for one in audit if one["file"] != one["records"]]
            if off:
                raise StoreError(
                    f"{off[0]['what']}: the file says {off[0]['file']}, the records would say {off[0]['records']}",
                    way_out="Nothing was written. Try again; if it comes out so again, report it.",
                )
            return {
                "said": f"{len(written)} {SAID[known]} brought in from {name}, {now.count('already there')} were there "
                "already",
                "kind": known, "file": name, "written": written, "there": now.count("already there"), "audit": audit,
                "event": c.number,
            }  # fmt: skip

        asked = {"kind": known, "digest": digest}
        return book.run(f"bring in {SAID[known]}", do, who=hand.who, key=_key(known, digest), asked=asked)

    def template(self, kind: str, form: str) -> bytes:
        """An empty list with the columns of a kind and one example row, and in a workbook what each may hold.

        Args:
            kind: Orders, stock or serials.
            form: ".csv" or ".xlsx".

        Raises:
            NotFoundError: There is no such kind.
            EntryError: No such form.
        """
        known = kind_of(kind)
        return _written(_columns(self._desk, known), [self._example(known)], form, known, more=[self._choices()])

    def listed(self, kind: str, form: str) -> bytes:
        """What the records have, as a list that can be brought in again.

        Args:
            kind: Orders, stock or serials.
            form: ".csv" or ".xlsx".

        Raises:
            NotFoundError: There is no such kind, or no records are open.
            EntryError: No such form.
        """
        known = kind_of(kind)
        made = {"orders": import_orders.listed, "stock": import_stock.listed, "serials": import_serials.listed}[known]
        with self._desk.book.reading() as reads:
            rows = made(reads)
        return _written(_columns(self._desk, known), rows, form, known)

    def _brings(self, kind: Kind) -> Brings:
        rulebook = self._desk.rulebook
        if kind == "orders":
            return import_orders.Orders(rulebook, self._work)
        return import_stock.Stock(rulebook) if kind == "stock" else import_serials.Serials(rulebook)

    def _work(self, spec: Spec) -> Worked:
        # A list has few different blades and many rows: each is worked out once, before the records are held.
        if spec not in self._worked:
            self._worked[spec] = self._desk.worked(spec)
        return self._worked[spec]

    def _example(self, kind: Kind) -> dict[str, Any]:
        rulebook, today = self._desk.rulebook, self._desk.now.date()
        order = import_orders.example(rulebook, today)
        if kind == "orders":
            return order
        return import_stock.example(rulebook) if kind == "stock" else import_serials.example(rulebook, today, order)

    def _choices(self) -> Sheet:
        rules = self._desk.rulebook
        rows: list[dict[str, Any]] = []
        for column, options in (
            ("series", {key: s.name for key, s in rules.series.items()}),
            ("mount", {key: m.name for key, m in rules.mounts.items()}),
            ("hoses", {key: o.name for key, o in rules.options.get("hoses", {}).items()}),
            ("extras", {key: o.name for key, o in rules.options.get("extras", {}).items()}),
            ("state", dict.fromkeys(import_orders.STATES, "")),
            ("section", dict.fromkeys(rules.sections, "")),
            ("section or sheet", dict.fromkeys(rules.plates, "")),
            ("item", dict.fromkeys(rules.bought, "")),
        ):
            rows += [{"column": column, "write": key, "means": words} for key, words in options.items()]
        columns = [Column(field=name, heading=name) for name in ("column", "write", "means")]
        return Sheet(name="what may stand where", columns=columns, rows=rows)


def kind_of(said: str) -> Kind:
    """The kind that is meant.

    Args:
        said: As typed.

    Raises:
        NotFoundError: There is no such kind.
    """
    for kind in KINDS:
        if said.strip().lower() in (kind, kind.rstrip("s")):
            return kind
    raise NotFoundError("nothing of that kind is brought in", value=said, way_out=f"There are: {', '.join(KINDS)}.")


def _columns(desk: Desk, kind: Kind) -> tuple[Column, ...]:
    currency = desk.rulebook.shop.currency
    if kind == "orders":
        return import_orders.columns(currency)
    return import_stock.columns(currency) if kind == "stock" else import_serials.columns()


def _entries(kind: Kind, data: bytes, name: str) -> list[Entry]:
    module = {"orders": import_orders, "stock": import_stock, "serials": import_serials}[kind]
    return read_bytes(data, name, needs=module.NEEDS, knows=module.KNOWS, others=module.OTHERS)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _key(kind: Kind, digest: str) -> str:
    return f"bring in {kind} {digest}"


def _refuse_wrong(dry: DryRun) -> None:
    wrong = [one for one in dry.noted if one.sort == "wrong"]
    if wrong:
        raise EntryError(
            f"{dry.count('wrong')} of {counted(len(dry.rows), 'row')} wrong, so nothing is written: {wrong[0].what}",
            where=f"{dry.name} line {wrong[0].line}{', ' + wrong[0].column if wrong[0].column else ''}",
            value=wrong[0].value, limit=wrong[0].limit,
            way_out=f"{wrong[0].way_out} The dry run lists all of them.".strip(),
        )  # fmt: skip
    if not dry.count("new"):
        raise EntryError("nothing in this list is new", where=dry.name, value=f"{len(dry.rows)} rows",
                         way_out="All of it is in the records already.")  # fmt: skip


def _written(
    columns: Sequence[Column], rows: Sequence[Mapping[str, Any]], form: str, kind: Kind, more: Sequence[Sheet] = ()
) -> bytes:
    if form == ".csv":
        return write_csv(rows, columns)
    if form == ".xlsx":
        return write_xlsx([Sheet(name=kind, columns=columns, rows=rows), *more], title=kind)
    raise EntryError("a list is written as .csv or .xlsx", value=form or "no ending", limit=", ".join(_FORMS),
                     way_out="Name it orders.csv.")  # fmt: skip
