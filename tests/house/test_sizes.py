"""No file and no function grows past what a person takes in at one sitting."""

from __future__ import annotations

import ast

from tests.house.reading import modules, short, syntax

MOST_LINES_IN_A_MODULE = 400
MOST_LINES_IN_A_FUNCTION = 60
# Lists of pieces, one after the other with their sizes and seams: cut in two they would only send the reader about.
LISTS_OF_PIECES = {
    "src/plowwright/blade/angling.py": ("_arm", "_cylinder"),
    "src/plowwright/blade/datum.py": ("work_out",),
    "src/plowwright/blade/hinge.py": ("parts",),
    "src/plowwright/blade/making.py": ("bar", "plate"),
    "src/plowwright/blade/mounting.py": ("_mount", "_hub"),
    "src/plowwright/blade/pushframe.py": ("_legs", "_king"),
    "src/plowwright/blade/trip.py": ("_towers", "_springs"),
}
MOST_LINES_IN_A_LIST_OF_PIECES = 120


def test_no_module_is_longer_than_400_lines() -> None:
    long = [
        f"{short(path)}: {count} lines"
        for path in modules()
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > MOST_LINES_IN_A_MODULE
    ]
    assert not long, "\n".join(long)


def test_no_function_is_longer_than_60_lines() -> None:
    long: list[str] = []
    for path in modules():
        for node in ast.walk(syntax(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                count = (node.end_lineno or node.lineno) - node.lineno + 1
                listed = node.name in LISTS_OF_PIECES.get(short(path), ())
                if count > (MOST_LINES_IN_A_LIST_OF_PIECES if listed else MOST_LINES_IN_A_FUNCTION):
                    long.append(f"{short(path)}:{node.lineno} {node.name}: {count} lines")
    assert not long, "\n".join(long)


def test_every_module_says_what_it_is_for_and_reads_annotations_late() -> None:
    bare: list[str] = []
    for path in modules():
        tree = syntax(path)
        if not tree.body:
            continue
        if not ast.get_docstring(tree):
            bare.append(f"{short(path)}: no docstring")
        code = [node for node in tree.body if not isinstance(node, ast.Expr)]
        if code and not any(
            isinstance(node, ast.ImportFrom) and node.module == "__future__" for node in code
        ):
            bare.append(f"{short(path)}: no `from __future__ import annotations`")
    assert not bare, "\n".join(bare)
