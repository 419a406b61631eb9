"""What every test can ask for, and how generated inputs are drawn: the same in every run, without a clock."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import settings

from plowwright.desk.desk import Desk
from plowwright.desk.opening import open_demo, open_records

pytest_plugins = ["tests.databases"]

settings.register_profile("repeatable", derandomize=True, deadline=None, max_examples=60, database=None)
settings.load_profile("repeatable")

ROOT = Path(__file__).resolve().parent.parent
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


@pytest.fixture(scope="session")
def repo_root() -> Path:
    """The folder that holds everything."""
    return ROOT


@pytest.fixture(scope="session")
def demo_dir() -> Path:
    """The invented shop: its rulebook and records."""
    return ROOT / "demo"


WEDNESDAY = datetime(2026, 11, 11, 8)
"""The clock of the demo's records."""


@pytest.fixture(scope="session")
def filled_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records of the invented shop, filled once, to be copied."""
    folder = tmp_path_factory.mktemp("filled")
    open_demo(folder).book.close()
    return folder


@pytest.fixture(scope="session")
def filled_database(server: str) -> str:
    """Name of a PostgreSQL database filled likewise, to be copied."""
    from tests.databases import fresh_database

    address = fresh_database(server)
    open_demo(address).book.close()
    return address.split("/")[3].split("?", maxsplit=1)[0]


@pytest.fixture
def shop(filled_folder: Path, tmp_path: Path, demo_dir: Path) -> Iterator[Desk]:
    """The desk of the invented shop with records of its own, on Wednesday 11 November 2026, 08:00."""
    yield from _desk(shutil.copytree(filled_folder, tmp_path / "shop"), None, demo_dir)


@pytest.fixture(params=["sqlite", "postgresql"])
def either_shop(request: pytest.FixtureRequest, tmp_path: Path, demo_dir: Path) -> Iterator[Desk]:
    """The same, once on SQLite and once on a real PostgreSQL."""
    if request.param == "sqlite":
        folder = shutil.copytree(request.getfixturevalue("filled_folder"), tmp_path / "shop")
        yield from _desk(folder, None, demo_dir)
    else:
        from tests.databases import fresh_database

        server, like = request.getfixturevalue("server"), request.getfixturevalue("filled_database")
        yield from _desk(fresh_database(server, like=like), tmp_path / "files", demo_dir)


def _desk(where: Path | str, files: Path | None, demo_dir: Path) -> Iterator[Desk]:
    with open_records(where, files=files, make=False) as book:
        book.keep_time_by(lambda: WEDNESDAY)
        yield Desk(demo_dir / "rulebook", records=book)


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """The browser that the pages are tried in: the one named by PLOWWRIGHT_CHROMIUM, or the machine's own."""
    named = os.environ.get("PLOWWRIGHT_CHROMIUM")
    found = named or next(
        (path for name in BROWSERS if (path := shutil.which(name))),
        None,
    )
    if found is None:
        pytest.fail("No Chromium on this machine; run `make test` as root once, or install it and try again.")
    return found


@pytest.fixture
def at_prompt(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., tuple[int, str, str]]:
    """Gives a command of the invented shop over its records: its exit, what it said, what it complained of."""
    from plowwright.cli.main import main

    def ran(records: Path, *words: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["plowwright", *words, "--demo", "--records", str(records)])
        code = 0
        try:
            main()
        except SystemExit as left:
            code = int(left.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return ran
