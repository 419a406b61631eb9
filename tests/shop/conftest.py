from __future__ import annotations

from pathlib import Path

import pytest

from plowwright import rulebook
from plowwright.rulebook.reading import Rulebook


@pytest.fixture(scope="session")
def demo_rules(demo_dir: Path) -> Rulebook:
    return rulebook.load(demo_dir / "rulebook")


@pytest.fixture(scope="session")
def common_rules(repo_root: Path) -> Rulebook:
    return rulebook.load(repo_root / "tests" / "rulebooks" / "common")
