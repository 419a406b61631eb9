"""A program that is killed while it writes loses nothing it said was done, and leaves nothing half done."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

MOMENTS = 20


def killed(place: SimpleNamespace, root: Path, moments: int) -> dict[str, object]:
    """The tally of so many killed writers."""
    words = [sys.executable, "-m", "tests.store.killing", str(place.where), str(moments)]
    words += [str(place.files)] if place.files else []
    done = subprocess.run(words, cwd=root, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_acknowledged_command_is_there_and_none_half(place: SimpleNamespace, repo_root: Path) -> None:
    found = killed(place, repo_root, MOMENTS)
    assert found["moments"] == MOMENTS
    assert int(str(found["acknowledged"])) >= MOMENTS // 2, "hardly anything was written: the moments come too early"
    assert (found["lost"], found["half"], found["faults"]) == (0, 0, [])
    assert int(str(found["most_unsaid"])) <= 1, "only the command in hand may be kept without a word"


@pytest.mark.parametrize("kind", ["half", "lost"])
def test_the_tally_would_notice(tmp_path: Path, repo_root: Path, kind: str) -> None:
    from plowwright.store import records as r
    from plowwright.store.workbook import Workbook
    from tests.store.killing import look

    with Workbook.open(tmp_path) as book, book.command("work", who="a writer", key="0-0") as c:
        c.add(r.Customer, name="one row where three more belong")
    lost, half, _ = look(str(tmp_path), None, 0, [0, 1] if kind == "lost" else [0])
    assert (lost, half) == ((1, 1) if kind == "lost" else (0, 1))
