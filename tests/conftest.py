"""What every test can ask for, and how generated inputs are drawn: the same in every run, without a clock."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

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
