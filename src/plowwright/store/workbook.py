"""The shop's records: opened once, asked by pages, written by commands.

    workbook = Workbook.open("records")
    with workbook.command("take in steel", who="R.K.", key="form 7731") as c:
        line = c.line(kind="receive", item="edge blank 90 in", count=6)
        c.answer({"line": line.id})
    c.answered

A command is all or nothing. Done again with the same key it changes nothing and gives its first answer.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Engine

from plowwright.errors import EntryError, NotFoundError, StoreError
from plowwright.store import database, migrating
from plowwright.store import records as r
from plowwright.store.commands import AlreadyDone, Command, last_and_first
from plowwright.store.filing import Filing
from plowwright.store.plain import plain
from plowwright.store.reading import Reads

FILES: Final = "files"
"""Name of the folder of photos and papers, in the shop's folder."""


class Workbook:
    """The records of one shop. Safe to use from several threads and several programs at once."""

    def __init__(
        self, engine: Engine, *, filing: Filing, clock: Callable[[], datetime], folder: Path | None, patience: float
    ) -> None:
        self.engine = engine
        self.filing = filing
        self.folder = folder
        self._clock = clock
        self._patience = patience
        self._mine = threading.local()

    @classmethod
    def open(
        cls,
        where: str | Path,
        *,
        files: str | Path | None = None,
        clock: Callable[[], datetime] = datetime.now,
        make: bool = True,
        patience: float = database.PATIENCE,
    ) -> Workbook:
        """Open the records, made if they are not there, brought to the newest schema if they are older.

        Args:
            where: A folder, or the address of a PostgreSQL as `postgresql://shop@localhost/shop`.
            files: Folder of photos and papers; in the records' own folder unless they lie on PostgreSQL.
            clock: The shop's clock.
            make: Whether to make records where there are none.
            patience: How long a command waits for another one to end [s].

        Raises:
            NotFoundError: There are no records, and none are to be made.
            StoreError: They cannot be read, or a newer program wrote them.
        """
        folder: Path | None = None
        if not database.is_address(where):
            folder = Path(where)
            _folder_of(folder, make=make)
        engine = database.engine_of(where, patience=patience)
        filed = Path(files) if files is not None else (folder / FILES if folder else None)
        book = cls(engine, filing=Filing(filed), clock=clock, folder=folder, patience=patience)
        try:
            book._bring_up(make=make)
        except BaseException:
            engine.dispose()
            raise
        return book

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def __enter__(self) -> Workbook:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def is_sqlite(self) -> bool:
        """Whether the records lie in a folder."""
        return self.engine.dialect.name == "sqlite"

    def keep_time_by(self, clock: Callable[[], datetime]) -> None:
        """Go by another clock from now on.

        Args:
            clock: The shop's clock.
        """
        self._clock = clock

    def now(self) -> datetime:
        """The shop's clock, to the second."""
        return self._clock().replace(microsecond=0)

    @contextmanager
    def command(self, name: str, *, who: str, key: str, asked: Mapping[str, Any] | None = None) -> Iterator[Command]:
        """One command: one transaction, one event.

        The block of a command that was done before ends at the first thing it reads or writes.

        Args:
            name: What is done, in the shop's words.
            who: Who does it.
            key: Any text that is given once, as the number of a form; the same key is the same command.
            asked: What was asked, kept with the event; another `asked` with the same key is refused.

        Raises:
            EntryError: Who or key is missing, or the key was used for something else.
            StoreError: Another command did not end in time.
        """
        for what, said in (("name", name), ("who", who), ("key", key)):
            if not said.strip():
                raise EntryError(f"a command needs its {what}", way_out=f"Give {what}.", where=name or "command")
        if getattr(self._mine, "busy", ""):
            raise StoreError(
                f"{name} began inside {self._mine.busy}",
                way_out="End one command before the next; nothing was changed.",
            )
        self._mine.busy = name
        try:
            with database.writing(self.engine, patience=self._patience) as connection:
                number, digest, first = last_and_first(connection, key)
                told = plain(asked or {})
                if first is not None:
                    _same(first, name, told)
                event = {
                    "number": number + 1, "at": self.now(), "who": who, "command": name, "key": key, "asked": told
                }  # fmt: skip
                command = Command(connection, event=event, first=first, last=digest, filing=self.filing)
                try:
                    yield command
                except AlreadyDone:
                    return
                if first is None:
                    command.close()
        finally:
            self._mine.busy = ""

    def run(
        self,
        name: str,
        do: Callable[[Command], Any],
        *,
        who: str,
        key: str,
        asked: Mapping[str, Any] | None = None,
    ) -> Any:
        """Do a command given as a function; what it returns is the answer, the first one when it is repeated.

        Args:
            name: What is done.
            do: Reads and writes through the command it is given, nothing else.
            who: Who does it.
            key: The same key is the same command.
            asked: What was asked.
        """
        with self.command(name, who=who, key=key, asked=asked) as command:
            command.answer(do(command))
        return command.answered

    @contextmanager
    def reading(self) -> Iterator[Reads]:
        """A steady view for one page or paper: nothing changes under it while it is read."""
        with database.reading(self.engine) as connection:
            yield Reads(connection)

    def schema(self) -> str:
        """The schema of these records."""
        with database.reading(self.engine) as connection:
            return migrating.schema_of(connection)

    def _bring_up(self, *, make: bool) -> None:
        with database.reading(self.engine) as connection:
            schema = migrating.schema_of(connection)
        migrating.refuse_unknown(schema)
        if schema == migrating.NEWEST:
            return
        if not schema and not make:
            raise NotFoundError("there are no records here", value=str(self.folder or self.engine.url.database))
        if schema:
            self._copy_as_it_was()
        migrating.bring_up(self.engine)

    def _copy_as_it_was(self) -> None:
        from plowwright.store import whole
        from plowwright.store.backup import copy_sqlite

        name = f"before schema {migrating.NEWEST}, {self.now():%Y-%m-%d %H.%M.%S}"
        if self.folder is not None:
            copy_sqlite(self.engine, self.folder / f"{name}.db")
        elif self.filing.is_there:
            with database.reading(self.engine) as connection:
                whole.dump(connection, self.filing.folder / f"{name}{whole.ENDING}")


def _folder_of(folder: Path, *, make: bool) -> None:
    if not (folder / database.FILE).is_file() and not make:
        raise NotFoundError(
            "there are no records in this folder",
            value=str(folder),
            way_out="Look at the folder again, or restore a backup.",
        )
    if folder.is_file():
        raise EntryError("this is a file, not a folder", value=str(folder), way_out="Name the folder it lies in.")
    folder.mkdir(parents=True, exist_ok=True)


def _same(first: r.Event, name: str, asked: Any) -> None:
    if first.command != name or first.asked != asked:
        raise EntryError(
            f"this key was given before, to '{first.command}' by {first.who} on {first.at:%Y-%m-%d %H:%M}",
            value=first.key,
            way_out="Give every new command a key of its own.",
        )
