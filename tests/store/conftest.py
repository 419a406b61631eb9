"""Records to try things on: every test that asks for `book` runs on SQLite and on a real PostgreSQL."""

from __future__ import annotations

import itertools
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import create_engine, text

from plowwright.store.workbook import Workbook

WEDNESDAY = datetime(2026, 11, 11, 8, 0)
_NUMBERS = itertools.count(1)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a real PostgreSQL, for this run of the tests only."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pgserver = pytest.importorskip("pgserver", reason="pgserver, which brings a PostgreSQL along, is not installed")
        # Not in pytest's own folder: the server runs as another user, who may not look in there.
        folder = tempfile.mkdtemp(prefix="plowwright-pg-")
        try:
            running = pgserver.get_server(folder)
        except Exception as fault:  # noqa: BLE001 - whatever keeps it from starting is the reason to say
            shutil.rmtree(folder, ignore_errors=True)
            pytest.skip(f"PostgreSQL does not start on this machine: {fault}")
    # What the tests hold up is the program, not the disk; waiting for it would take most of their time.
    _at_once(running.get_uri(), "ALTER SYSTEM SET fsync = off", "SELECT pg_reload_conf()")
    yield running.get_uri()
    # At once: an orderly end writes out a hundred databases that are thrown away a moment later.
    pgserver.pg_ctl(["-w", "-m", "immediate", "stop"], pgdata=running.pgdata, user=running.system_user)
    running.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


def fresh_database(server: str, *, like: str = "template1") -> str:
    """The address of a new database on the server: empty, or a copy of another one."""
    name = f"shop_{next(_NUMBERS)}"
    _at_once(server, f"CREATE DATABASE {name} TEMPLATE {like}")
    return server.replace("/postgres?", f"/{name}?")


@pytest.fixture(scope="session")
def ready(server: str) -> str:
    """Name of a database with empty records in it, to be copied: quicker than making them anew each time."""
    address = fresh_database(server)
    Workbook.open(address).close()
    return address.split("/")[3].split("?", maxsplit=1)[0]


def _at_once(address: str, *statements: str) -> None:
    engine = create_engine("postgresql+psycopg://" + address.split("://", 1)[1], isolation_level="AUTOCOMMIT")
    with engine.connect() as link:
        for statement in statements:
            link.execute(text(statement))
    engine.dispose()


@pytest.fixture(scope="session")
def ready_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with empty records in it, to be copied likewise."""
    folder = tmp_path_factory.mktemp("ready")
    Workbook.open(folder).close()
    return folder


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> SimpleNamespace:
    """Where records can be made: `where` and the folder of `files`."""
    if request.param == "sqlite":
        folder = shutil.copytree(request.getfixturevalue("ready_folder"), tmp_path / "records")
        return SimpleNamespace(kind="sqlite", where=folder, files=None)
    address = fresh_database(request.getfixturevalue("server"), like=request.getfixturevalue("ready"))
    return SimpleNamespace(kind="postgresql", where=address, files=tmp_path / "files")


@pytest.fixture
def book(place: SimpleNamespace) -> Iterator[Workbook]:
    """Empty records on the Wednesday of the demo, 08:00."""
    with Workbook.open(place.where, files=place.files, clock=lambda: WEDNESDAY) as opened:
        yield opened


@pytest.fixture
def folder_book(tmp_path: Path, ready_folder: Path) -> Iterator[Workbook]:
    """Empty records in a folder, for what concerns SQLite only."""
    with Workbook.open(shutil.copytree(ready_folder, tmp_path / "records"), clock=lambda: WEDNESDAY) as opened:
        yield opened
