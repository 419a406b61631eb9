"""The tree drawn at the top of errors.py is the tree of the errors."""

from __future__ import annotations

import inspect
import re

from plowwright import errors

DRAWN = re.compile(r"^(?P<lead>[ │├└─]*)(?P<name>[A-Z]\w*Error)\b(?: \((?P<kind>\w+)\))?")


def drawn() -> dict[str, set[str]]:
    """Each error in the drawing, with the names of what it inherits from."""
    tree: dict[str, set[str]] = {}
    above: list[tuple[int, str]] = []
    for line in (errors.__doc__ or "").splitlines():
        match = DRAWN.match(line)
        if not match:
            continue
        depth, name = len(match["lead"]), match["name"]
        above = [(at, parent) for at, parent in above if at < depth]
        tree[name] = {above[-1][1] if above else "Exception", *([match["kind"]] if match["kind"] else [])}
        above.append((depth, name))
    return tree


def test_the_drawn_tree_of_errors_is_true() -> None:
    real = {
        name: {base.__name__ for base in kind.__bases__}
        for name, kind in inspect.getmembers(errors, inspect.isclass)
        if kind.__module__ == errors.__name__ and issubclass(kind, BaseException)
    }
    assert drawn() == real
