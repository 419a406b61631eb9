"""A rulebook to break: a copy of the demo's, edited as text the way the owner would."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

Edit = Callable[[str, str, str], None]


@pytest.fixture
def copied(tmp_path: Path, demo_dir: Path) -> Path:
    """A copy of the demo's rulebook."""
    return Path(shutil.copytree(demo_dir / "rulebook", tmp_path / "rulebook"))


@pytest.fixture
def edit(copied: Path) -> Edit:
    """Change the first place of a text in one file of the copy."""

    def change(file: str, old: str, new: str) -> None:
        path = copied / f"{file}.toml"
        text = path.read_text(encoding="utf-8")
        assert old in text, f"{old!r} is not in {file}.toml"
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


@pytest.fixture
def line_in(copied: Path) -> Callable[[str, str], int]:
    """The line of the first place of a text in one file of the copy."""

    def line(file: str, text: str) -> int:
        content = (copied / f"{file}.toml").read_text(encoding="utf-8")
        return content[: content.index(text)].count("\n") + 1

    return line
