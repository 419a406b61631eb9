"""A check against the outside names the book, standard or data set it is checked against."""

from __future__ import annotations

import ast

from tests.house.reading import ROOT, own_files, short, syntax


def test_every_outside_check_names_its_source() -> None:
    paths = [
        path for path in own_files(".py", under=ROOT / "tests" / "sources") if path.name.startswith("test_")
    ]
    assert paths, "tests/sources holds no check against an outside source"
    nameless = [short(path) for path in paths if "Source:" not in (ast.get_docstring(syntax(path)) or "")]
    assert not nameless, "no line `Source: ...` in the opening docstring:\n" + "\n".join(nameless)
