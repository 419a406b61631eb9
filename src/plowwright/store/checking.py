"""Do the records hold together: the database, what points where, the sums, the events, the files."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, Table, and_, case, func, select, text
from sqlalchemy.exc import DBAPIError

from plowwright.store import ledger as rules
from plowwright.store import plain, whole
from plowwright.store import records as r
from plowwright.store import tables as t
from plowwright.store.filing import Filing
from plowwright.store.guards import REFUSAL
from plowwright.store.migrating import NEWEST, schema_of
from plowwright.store.reading import Reads
from plowwright.store.workbook import Workbook

_MOST_NAMED: Final = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """One thing looked at: how much of it, what is wrong, and what is only worth a look."""

    what: str
    looked_at: int
    faults: tuple[str, ...]
    notes: tuple[str, ...] = ()

    @property
    def verdict(self) -> str:
        """The word for it: "holds" or "fails"."""
        return "fails" if self.faults else "holds"

    @property
    def sentence(self) -> str:
        """All of it in one line."""
        more = len(self.faults) - _MOST_NAMED
        named = "; ".join(self.faults[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
        said = f"{self.what}: {self.verdict}, {self.looked_at:,} looked at"
        said += f". {named}" if named else ""
        return said + (f". Worth a look: {'; '.join(self.notes[:_MOST_NAMED])}" if self.notes else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The whole check."""

    lines: tuple[Checked, ...]

    @property
    def holds(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults

    @property
    def faults(self) -> tuple[str, ...]:
        """All that is wrong."""
        return tuple(f"{line.what}: {fault}" for line in self.lines for fault in line.faults)

    def as_dict(self) -> dict[str, Any]:
        """The same for a machine."""
        return {
            "verdict": "holds" if self.holds else "fails",
            "lines": [
                {
                    "what": line.what,
                    "verdict": line.verdict,
                    "looked_at": line.looked_at,
                    "faults": list(line.faults),
                    "notes": list(line.notes),
                }
                for line in self.lines
            ],
        }


def check(workbook: Workbook, *, files: bool = True) -> Report:
    """Look at everything, while others go on working.

    Args:
        workbook: The records.
        files: Whether to read every photo and paper too, which takes as long as the disk does.
    """
    looks: tuple[tuple[str, Callable[[Connection], tuple[int, list[str], list[str]]]], ...] = (
        ("the database itself", _database),
        ("what points to another row", _pointers),
        ("rows written once are guarded", _guards),
        ("stock is the sum of its ledger", _stock),
        ("reservations are the sum of theirs", _reservations),
        ("stock never fell below zero", _never_below),
        ("reversals undo their line", _reversals),
        ("reserved against what will be there", _over_reserved),
        ("events without a gap, each as written", _events),
        ("every event whole", _whole_events),
        ("rows are what the events made them", _replayed),
        ("builds are as frozen", _builds),
    )
    lines: list[Checked] = []
    with workbook.reading() as q:
        for what, look in looks:
            try:
                count, faults, notes = look(q.connection)
            except DBAPIError as refusal:
                # One damaged table must not hide what can be said of the others.
                count, faults, notes = 0, [f"cannot be read: {str(refusal.orig).splitlines()[0]}"], []
            lines.append(Checked(what=what, looked_at=count, faults=tuple(faults), notes=tuple(notes)))
        kept = _kept(q, files=files)
    if files:
        lines.append(_files(kept, workbook.filing))
    return Report(lines=tuple(lines))


def _database(link: Connection) -> tuple[int, list[str], list[str]]:
    faults: list[str] = []
    if schema_of(link) != NEWEST:
        faults.append(f"schema {schema_of(link)}, not {NEWEST}")
    if link.dialect.name == "sqlite":
        said = [str(row[0]) for row in link.execute(text("PRAGMA integrity_check"))]
        faults += [] if said == ["ok"] else said
    count = sum(int(link.execute(select(func.count()).select_from(table)).scalar_one()) for table in _tables())
    return count, faults, []


def _pointers(link: Connection) -> tuple[int, list[str], list[str]]:
    count, faults = 0, []
    for table in _tables():
        for key in table.foreign_keys:
            other = key.column.table.alias()
            joined = table.outerjoin(other, key.parent == other.c[key.column.name])
            lost = (
                select(key.parent)
                .select_from(joined)
                .where(key.parent.is_not(None), other.c[key.column.name].is_(None))
            )
            faults += [
                f"{table.name}.{key.parent.name} names {value}, which is not in {key.column.table.name}"
                for value in link.execute(lost).scalars()
            ]
            count += 1
    return count, faults, []


def _guards(link: Connection) -> tuple[int, list[str], list[str]]:
    if link.dialect.name == "sqlite":
        query = text("SELECT tbl_name, sql FROM sqlite_master WHERE type = 'trigger'")
        found = Counter(name for name, sql in link.execute(query) if REFUSAL in sql)
    else:
        query = text(
            "SELECT c.relname FROM pg_trigger g JOIN pg_class c ON c.oid = g.tgrelid "
            "JOIN pg_proc p ON p.oid = g.tgfoid WHERE p.proname = 'plowwright_written_once' AND g.tgenabled = 'O' "
            "AND c.relnamespace = current_schema()::regnamespace"
        )
        found = Counter(link.execute(query).scalars())
    faults = [f"{name} could be changed: its triggers are gone" for name in t.KEPT if found[name] < 2]
    return len(t.KEPT), faults, []


def _signed(signs: dict[str, int]) -> Any:
    return case(*((t.ledger.c.kind == kind, sign * t.ledger.c.count) for kind, sign in signs.items()), else_=0)


def _stock(link: Connection) -> tuple[int, list[str], list[str]]:
    query = (
        select(t.ledger.c.item, t.ledger.c.lot, func.sum(_signed(rules.ON_HAND)))
        .where(t.ledger.c.kind.in_(rules.ON_HAND))
        .group_by(t.ledger.c.item, t.ledger.c.lot)
    )
    told = {(item, lot): int(total) for item, lot, total in link.execute(query)}
    kept = {(row.item, row.lot): row.on_hand for row in link.execute(select(t.stock))}
    faults = [
        f"{key[0]}{f', lot {key[1]}' if key[1] else ''}: {kept.get(key, 0)} kept, the lines make {told.get(key, 0)}"
        for key in sorted(told.keys() | kept.keys())
        if told.get(key, 0) != kept.get(key, 0)
    ]
    return len(told), faults, []


def _reservations(link: Connection) -> tuple[int, list[str], list[str]]:
    order = func.coalesce(t.ledger.c.order, "")
    query = (
        select(t.ledger.c.item, order, t.ledger.c.needed, func.sum(_signed(rules.RESERVED)))
        .where(t.ledger.c.kind.in_(rules.RESERVED))
        .group_by(t.ledger.c.item, order, t.ledger.c.needed)
    )
    told = {(item, number, day): int(total) for item, number, day, total in link.execute(query) if total}
    held = link.execute(select(t.reservations)).mappings()
    kept = {(row["item"], row["order"], row["needed"]): row["count"] for row in held if row["count"]}
    faults = [
        f"{key[0]} for {key[1] or 'nobody'} on {key[2]}: {kept.get(key, 0)} kept, the lines make {told.get(key, 0)}"
        for key in sorted(told.keys() | kept.keys())
        if told.get(key, 0) != kept.get(key, 0)
    ]
    faults += [f"{key[0]} for {key[1] or 'nobody'}: {count} reserved" for key, count in told.items() if count < 0]
    return len(told), faults, []


def _never_below(link: Connection) -> tuple[int, list[str], list[str]]:
    # By event, not by line: the lines of one command count together.
    each = (
        select(t.ledger.c.item, t.ledger.c.lot, t.ledger.c.event, func.sum(_signed(rules.ON_HAND)).label("step"))
        .where(t.ledger.c.kind.in_(rules.ON_HAND))
        .group_by(t.ledger.c.item, t.ledger.c.lot, t.ledger.c.event)
        .subquery()
    )
    running = select(
        each.c.item,
        each.c.event,
        func.sum(each.c.step).over(partition_by=[each.c.item, each.c.lot], order_by=each.c.event).label("left"),
    ).subquery()
    low = link.execute(select(running).where(running.c.left < 0)).all()
    count = int(link.execute(select(func.count()).select_from(each)).scalar_one())
    return count, [f"{row.item}: {row.left} after event {row.event}" for row in low], []


def _reversals(link: Connection) -> tuple[int, list[str], list[str]]:
    old = t.ledger.alias()
    pair = t.ledger.join(old, t.ledger.c.reverses == old.c.id)
    same = and_(
        t.ledger.c.kind == old.c.kind,
        t.ledger.c.item == old.c.item,
        t.ledger.c.lot == old.c.lot,
        t.ledger.c.count == -old.c.count,
        old.c.reverses.is_(None),
    )
    count = int(link.execute(select(func.count()).select_from(pair)).scalar_one())
    wrong = link.execute(select(t.ledger.c.id).select_from(pair).where(~same)).scalars()
    return count, [f"line {number} does not undo the line it names" for number in wrong], []


def _over_reserved(link: Connection) -> tuple[int, list[str], list[str]]:
    items = list(link.execute(select(t.reservations.c.item).distinct()).scalars())
    notes: list[str] = []
    for item in items:
        hand, held, coming = rules.sums(link, item)
        if held > hand + coming:
            # Counting may find less than was promised: true, and to be seen to, but no fault of the records.
            notes.append(f"{item}: {held} reserved, {hand} on hand and {coming} on the way")
    return len(items), [], notes


def _events(link: Connection) -> tuple[int, list[str], list[str]]:
    faults: list[str] = []
    number, last = 0, ""
    for row in whole.rows_of(link, t.events):
        if row["number"] != number + 1:
            faults.append(f"event {number + 1} is not there; the next is {row['number']}")
        digest = row.pop("digest")
        if digest != plain.digest_of(last, row):
            faults.append(f"event {row['number']} is not what was written, or follows on another one")
        number, last = row["number"], digest
    return number, faults, []


def _whole_events(link: Connection) -> tuple[int, list[str], list[str]]:
    """Rows found for each event against rows the event says it wrote: a half command would show here."""
    said: Counter[tuple[str, int]] = Counter()
    for number, changed in link.execute(select(t.events.c.number, t.events.c.changed)):
        for entry in changed:
            if "was" not in entry:
                said[(entry["table"], number)] += entry.get("lines", 1)
    found: Counter[tuple[str, int]] = Counter()
    for table in _tables():
        if "event" in table.c and table.name != "touched":
            query = select(table.c.event, func.count()).group_by(table.c.event)
            found.update({(table.name, int(event)): int(count) for event, count in link.execute(query)})
    faults = [
        f"event {key[1]} says it wrote {said[key]} rows of {key[0]}, {found[key]} are there"
        for key in sorted(said.keys() | found.keys())
        if said[key] != found[key]
    ]
    return len(said), faults, []


def _replayed(link: Connection) -> tuple[int, list[str], list[str]]:
    made: dict[tuple[str, str], dict[str, Any]] = {}
    for changed in link.execute(select(t.events.c.changed).order_by(t.events.c.number)).scalars():
        for entry in changed:
            if "now" in entry:
                made.setdefault((entry["table"], str(entry["key"])), {}).update(entry["now"])
    faults: list[str] = []
    count = 0
    for table in _tables():
        if table.name in t.KEPT or table.name in t.SUMS:
            continue
        key = next(iter(table.primary_key.columns)).name
        for row in whole.rows_of(link, table):
            count += 1
            told, real = made.pop((table.name, str(row[key])), {}), plain.plain(row)
            other = [name for name in told if real.get(name) != told[name]]
            if other or not told:
                what = f"{', '.join(other)} changed" if told else "written"
                faults.append(f"{table.name} {row[key]}: {what} without an event")
    return count, faults + [f"{table} {key} is gone" for table, key in made], []


def _builds(link: Connection) -> tuple[int, list[str], list[str]]:
    count, faults = 0, []
    for row in whole.rows_of(link, t.builds):
        count += 1
        if row["digest"] != plain.digest_of(row["spec"], row["rulebook"], row["facts"]):
            faults.append(f"build {row['id']} is not what was kept")
    return count, faults, []


def _kept(q: Reads, *, files: bool) -> tuple[r.KeptFile, ...]:
    try:
        return q.find(r.KeptFile) if files else ()
    except DBAPIError:
        return ()  # said above already, where the database itself was looked at


def _files(kept: tuple[r.KeptFile, ...], filing: Filing) -> Checked:
    faults: list[str] = []
    named = {file.digest: file for file in kept}
    for digest, file in named.items():
        path = filing.path(digest)
        if not path.is_file():
            faults.append(f"{file.name} ({digest[:12]}) is not in its folder")
        elif hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            faults.append(f"{file.name} ({digest[:12]}) is not what it was")
    # Left by a command that was broken off after its file and before its records; harmless.
    stray = [path.name[:12] for path in filing.on_disk() if path.name not in named]
    notes = (f"{len(stray)} files that no record names",) if stray else ()
    return Checked(what="photos and papers", looked_at=len(named), faults=tuple(faults), notes=notes)


def _tables() -> Iterator[Table]:
    yield from t.metadata.sorted_tables
