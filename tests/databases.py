"""Databases to try things on: a real PostgreSQL for this run of the tests, and empty records to be copied."""

from __future__ import annotations

import itertools
import shutil
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from plowwright.store.workbook import Workbook

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
