"""What the house tests read: the project's own files, found the same way by all of them."""

from __future__ import annotations

import ast
import os
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
SOURCE = ROOT / "src" / "plowwright"
MADE = {"node_modules", "vendor", "out", "build", "dist", "__pycache__"}
HIDDEN_OURS = {".ci"}
NOT_TEXT = {".ttf", ".woff2", ".png", ".jpg", ".pyc", ".pdf", ".xlsx", ".glb", ".step", ".ico", ".db"}


def is_ours(folder: Path) -> bool:
    """Whether a folder holds our own files, not fetched, made or kept by a tool."""
    if folder.name.startswith("."):
        return folder.name in HIDDEN_OURS
    return folder.name not in MADE and folder != SOURCE / "papers" / "fonts"


def own_files(*suffixes: str, under: Path = ROOT) -> Iterator[Path]:
    """Every text file of the project with one of the suffixes, or all of them; nothing fetched or made."""
    for where, subfolders, names in os.walk(under):
        folder = Path(where)
        subfolders[:] = sorted(name for name in subfolders if is_ours(folder / name))
        for name in sorted(names):
            path = folder / name
            if path.suffix not in NOT_TEXT and (not suffixes or path.suffix in suffixes):
                yield path


def syntax(path: Path) -> ast.Module:
    """A Python file as a tree."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def short(path: Path) -> str:
    """The path as a person writes it."""
    return path.relative_to(ROOT).as_posix()


def modules(*packages: str) -> list[Path]:
    """Source files of the packages named, or all of them."""
    if not packages:
        return list(own_files(".py", under=SOURCE))
    return [path for name in packages for path in own_files(".py", under=SOURCE / name)]
