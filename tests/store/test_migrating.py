"""Records of every schema that was ever released are brought to the newest one with all that is in them."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import Connection, inspect, text

from plowwright.errors import StoreError
from plowwright.store import database, migrating, whole
from plowwright.store import tables as t
from plowwright.store.backup import restore
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook
from tests.store.conftest import WEDNESDAY, fresh_database
from tests.store.shopwork import fill

SCHEMAS = Path(__file__).parent / "schemas"


@pytest.fixture(params=["sqlite", "postgresql"])
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> SimpleNamespace:
    """A place without any records, not even empty ones."""
    if request.param == "sqlite":
        return SimpleNamespace(where=tmp_path / "records", files=None)
    return SimpleNamespace(where=fresh_database(request.getfixturevalue("server")), files=tmp_path / "files")


def test_there_is_a_step_for_every_released_schema_and_the_last_is_the_newest() -> None:
    assert tuple(step.revision for step in migrating.steps()) == migrating.RELEASED
    assert migrating.RELEASED[-1] == migrating.NEWEST
    assert [path.stem for path in sorted(SCHEMAS.glob("*.jsonl"))] == [f"schema-{s}" for s in migrating.RELEASED]


def test_the_steps_make_the_tables_the_program_knows(empty: SimpleNamespace) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with (
        Workbook.open(empty.where, files=empty.files) as book,
        database.reading(book.engine) as link,
    ):
        differences = compare_metadata(MigrationContext.configure(link), t.metadata)
        if link.dialect.name == "sqlite":
            # Of a column added later SQLite's own listing does not say that its key is deferred; asked below instead.
            differences = [found for found in differences if found[0] not in ("add_fk", "remove_fk")]
        assert differences == []
        for table in t.metadata.sorted_tables:
            wanted = {(key.parent.name, key.column.table.name, key.column.name) for key in table.foreign_keys}
            assert wanted == {
                (key["constrained_columns"][0], key["referred_table"], key["referred_columns"][0])
                for key in inspect(link).get_foreign_keys(table.name)
            }
        assert migrating.schema_of(link) == migrating.NEWEST


@pytest.mark.parametrize("schema", migrating.RELEASED)
def test_records_of_every_released_schema_come_up_with_all_that_is_in_them(empty: SimpleNamespace, schema: str) -> None:
    stored = SCHEMAS / f"schema-{schema}.jsonl"
    with restore(stored, empty.where, files=empty.files) as book:
        book.filing.keep(b"a photo of the stamp")
        assert check(book).holds
        lines = [json.loads(line) for line in stored.read_text(encoding="utf-8").splitlines()]
        with book.reading() as q:
            here = {
                table.name: {json.dumps(row, default=str) for row in whole.rows_of(q.connection, table)}
                for table in whole.tables_of(q.connection)
            }
            assert sum(map(len, here.values())) >= len(lines) - 2
            file = q.order_file("418K")
            assert file.build and file.build.facts["parts"][0] == {"mark": "P1", "length_in": 84.0}
            assert q.life("B84-26-018").rulebook is not None
        again = book.run("take a customer", lambda c: c.at.year, who="x", key="after")
        assert again >= 2026


def test_a_folder_of_the_first_schema_is_opened_as_it_lies(tmp_path: Path) -> None:
    shutil.copytree(old_folder(tmp_path), tmp_path / "moved")
    with Workbook.open(tmp_path / "moved", make=False) as book:
        assert check(book, files=False).holds


def test_a_row_may_point_to_one_that_is_written_later_in_the_same_command(book: Workbook) -> None:
    fill(book)
    with book.command("notes", who="x", key="n") as c:
        notes = t.metadata.tables["changes"]
        day = WEDNESDAY.date()
        c.connection.execute(
            notes.insert(), {"id": 50, "order": "418K", "day": day, "note": "yes", "settles": 51, "event": c.number}
        )
        c.connection.execute(notes.insert(), {"id": 51, "order": "418K", "day": day, "note": "no", "event": c.number})


def old_folder(tmp_path: Path) -> Path:
    """A folder of records as the first schema left them."""
    made = tmp_path / "old"
    made.mkdir()
    engine = database.engine_of(made)
    migrating.bring_up(engine, to="1")
    with database.writing(engine) as link:
        whole.load(link, SCHEMAS / "schema-1.jsonl")
    engine.dispose()
    return made


def test_before_they_are_brought_up_a_copy_is_put_beside_them(tmp_path: Path) -> None:
    folder = old_folder(tmp_path)
    Workbook.open(folder, clock=lambda: WEDNESDAY).close()
    copy = folder / f"before schema {migrating.NEWEST}, 2026-11-11 08.00.00.db"
    engine = database.sqlite_file(copy)
    with database.reading(engine) as link:
        assert migrating.schema_of(link) == "1"
        assert link.execute(text("SELECT count(*) FROM events")).scalar_one() == 8
    engine.dispose()
    Workbook.open(folder, clock=lambda: WEDNESDAY).close()
    assert len(list(folder.glob("before schema*"))) == 1


def test_a_step_that_fails_half_way_leaves_the_records_as_they_were(
    empty: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = database.engine_of(old_folder(empty.where.parent) if isinstance(empty.where, Path) else empty.where)
    migrating.bring_up(engine, to="1")
    really = migrating._upgrade

    def breaks(connection: Connection, to: str) -> None:
        really(connection, to)
        raise ZeroDivisionError

    monkeypatch.setattr(migrating, "_upgrade", breaks)
    with pytest.raises(ZeroDivisionError):
        migrating.bring_up(engine)
    with database.reading(engine) as link:
        assert migrating.schema_of(link) == "1"
        assert "settles" not in {column["name"] for column in inspect(link).get_columns("changes")}
    monkeypatch.undo()
    assert migrating.bring_up(engine) == ("1", migrating.NEWEST)
    engine.dispose()


def test_records_of_a_newer_program_are_refused_and_left_alone(empty: SimpleNamespace) -> None:
    with Workbook.open(empty.where, files=empty.files, clock=lambda: WEDNESDAY) as book:
        fill(book)
        with database.writing(book.engine) as link:
            link.execute(text("UPDATE alembic_version SET version_num = '99'"))
    with pytest.raises(
        StoreError, match=rf"written by a newer program \(given: schema 99\); limit: schema {migrating.NEWEST}"
    ):
        Workbook.open(empty.where, files=empty.files)


def test_opening_current_records_loads_no_migration_tool(tmp_path: Path) -> None:
    Workbook.open(tmp_path / "r").close()
    words = "import sys; from plowwright.store.workbook import Workbook; Workbook.open(sys.argv[1]); "
    words += "print('alembic' in sys.modules)"
    said = subprocess.run(
        [sys.executable, "-c", words, str(tmp_path / "r")], capture_output=True, text=True, check=True
    )
    assert said.stdout.strip() == "False"
