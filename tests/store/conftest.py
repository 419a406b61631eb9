"""Records to try things on: every test that asks for `book` runs on SQLite and on a real PostgreSQL."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest

from plowwright.store.workbook import Workbook
from tests.databases import fresh_database

WEDNESDAY = datetime(2026, 11, 11, 8, 0)


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
