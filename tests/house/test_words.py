"""One thing, one word: the trade's and ours, in code, pages, papers and texts alike."""

from __future__ import annotations

import ast
import re

import pytest

from tests.house.reading import ROOT, SOURCE, modules, own_files, short, syntax

TEXTS = (".py", ".md", ".toml", ".html", ".css", ".js", ".typ", ".txt", ".csv")
FETCHED = {"LICENSE"}
NOT_WRITTEN = {
    r"plow[ -]units?": "blade",
    r"(?:an|the|this|that|each|every|any|your|our|his|their|snow|plow) implements?": "blade",
    r"host machines?": "carrier",
    r"prime[ -]movers?": "carrier",
    r"kni(?:fe|ves)": "cutting edge",
}
LEFT_UNDONE = re.compile(r"\b(?:TO" + r"DO|FIX" + r"ME|XX" + r"X)\b")
PLACE_ON_ONE_MACHINE = re.compile(r"(?<![\w.:/])/(?:home|root|work|opt|mnt|srv|Users)/\w")
LISTS_OF_WORDS = {"tests/house/test_words.py", "docs/words.md"}


def lines_of_text(*suffixes: str) -> list[tuple[str, str]]:
    """Every line of the project's own texts, with where it stands."""
    found: list[tuple[str, str]] = []
    for path in own_files(*suffixes):
        if short(path) in LISTS_OF_WORDS or path.name in FETCHED:
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            found.append((f"{short(path)}:{number}", line))
    return found


@pytest.mark.parametrize(("pattern", "word"), NOT_WRITTEN.items(), ids=list(NOT_WRITTEN.values()))
def test_the_trades_own_word_is_used(pattern: str, word: str) -> None:
    wrong = re.compile(rf"\b{pattern}\b", re.IGNORECASE)
    found = [f"{where}: {line.strip()}" for where, line in lines_of_text(*TEXTS) if wrong.search(line)]
    assert not found, f"write {word}:\n" + "\n".join(found)


def test_nothing_is_left_marked_as_undone() -> None:
    found = [f"{where}: {line.strip()}" for where, line in lines_of_text(*TEXTS) if LEFT_UNDONE.search(line)]
    assert not found, "\n".join(found)


def test_no_file_speaks_of_one_persons_machine() -> None:
    found = [
        f"{where}: {line.strip()}" for where, line in lines_of_text() if PLACE_ON_ONE_MACHINE.search(line)
    ]
    assert not found, "\n".join(found)


def test_only_the_command_line_prints() -> None:
    cli = (SOURCE / "cli",)
    found = [
        f"{short(path)}:{node.lineno}"
        for path in modules()
        if not any(path == place or place in path.parents for place in cli)
        for node in ast.walk(syntax(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert not found, "print outside the command line:\n" + "\n".join(found)


def test_the_readme_opens_with_the_job() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    paragraphs = [
        part for part in text.split("\n\n") if part.strip() and not part.lstrip().startswith(("#", "!"))
    ]
    assert paragraphs, "README.md is empty"
    assert "make run" in text and "make test" in text, "README.md names make run and make test"
