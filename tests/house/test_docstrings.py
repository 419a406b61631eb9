"""Units in brackets: whoever calls a formula, or reads a record, is told the unit of every number in it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.reading import modules, short, syntax

PACKAGES = ("physics", "rulebook", "blade", "shop")
CARRIES_NUMBERS = re.compile(r"\b(?:float|NDArray|ArrayLike|Array|Floats?)\b")
"""How a number, or many, shows in an annotation."""
HOLDS_NUMBERS = re.compile(r"\b(?:float|NDArray|ArrayLike|Array|Floats?|Vec|Vector|Point)\b")
"""The same in a record, which says of positions and directions too what they are measured in."""
ENTRY = re.compile(r"^(\*{0,2}\w+)(?: \([^)]*\))?:(.*)$")
UNIT = re.compile(r"\[[^\]\d][^\]]*\]")
ONE_UNIT_FOR_ALL = re.compile(r"\b(?:all|every)\b[^.]*\[[^\]\d][^\]]*\]", re.IGNORECASE)
"""A record may say once what all its numbers are in: "All in metres [m] unless marked"."""


def entries(docstring: str, heading: str) -> dict[str, str]:
    """The names a section of a docstring explains, each with its whole explanation."""
    lines = docstring.splitlines()
    if heading not in (line.strip() for line in lines):
        return {}
    start = next(at for at, line in enumerate(lines) if line.strip() == heading)
    outer = len(lines[start]) - len(lines[start].lstrip())
    found: dict[str, str] = {}
    inner, name = None, ""
    for line in lines[start + 1 :]:
        if not line.strip():
            continue
        depth = len(line) - len(line.lstrip())
        if depth <= outer:
            break
        inner = inner or depth
        match = ENTRY.match(line.strip()) if depth == inner else None
        if match:
            name = match.group(1).lstrip("*")
            found[name] = match.group(2)
        elif name:
            found[name] += " " + line.strip()
    return found


def shows(pattern: re.Pattern[str], annotation: ast.expr | None) -> bool:
    return annotation is not None and bool(pattern.search(ast.unparse(annotation)))


def decorated(node: ast.ClassDef | ast.FunctionDef, name: str) -> bool:
    return any(name in ast.unparse(decorator) for decorator in node.decorator_list)


def public(path: Path) -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    """Public functions, classes and their public methods, with the name to show."""
    for node in syntax(path).body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        yield node.name, node
        if isinstance(node, ast.ClassDef):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield f"{node.name}.{inner.name}", inner


def complaints_about_function(function: ast.FunctionDef) -> Iterator[str]:
    given = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    given += [extra for extra in (function.args.vararg, function.args.kwarg) if extra]
    signature = {
        argument.arg: argument.annotation for argument in given if argument.arg not in ("self", "cls")
    }
    docstring = ast.get_docstring(function) or ""
    documented = entries(docstring, "Args:")
    numbers = [name for name, annotation in signature.items() if shows(CARRIES_NUMBERS, annotation)]
    if numbers and not documented:
        yield f"no Args section, though {', '.join(numbers)} carry numbers"
        return
    if documented and list(documented) != list(signature):
        yield f"documents {list(documented)}, takes {list(signature)}"
    for name in numbers:
        if name in documented and not UNIT.search(documented[name]):
            yield f"{name}: no unit in brackets ([m], [Pa], [-] for none)"
    if (
        function.returns is not None
        and ast.unparse(function.returns) == "float"
        and not UNIT.search(docstring)
    ):
        yield "gives back a number without naming its unit in brackets"


def complaints_about_record(record: ast.ClassDef) -> Iterator[str]:
    if not decorated(record, "dataclass"):
        return
    fields = {
        node.target.id: node.annotation
        for node in record.body
        if isinstance(node, ast.AnnAssign)
        and isinstance(node.target, ast.Name)
        and not node.target.id.startswith("_")
        and "ClassVar" not in ast.unparse(node.annotation)
    }
    docstring = ast.get_docstring(record) or ""
    documented = entries(docstring, "Attributes:")
    one_for_all = ONE_UNIT_FOR_ALL.search(docstring.partition("Attributes:")[0])
    numbers = [name for name, annotation in fields.items() if shows(HOLDS_NUMBERS, annotation)]
    if (numbers or documented) and list(documented) != list(fields):
        yield f"documents {list(documented)}, holds {list(fields)}"
    for name in numbers:
        if not one_for_all and name in documented and not UNIT.search(documented[name]):
            yield f"{name}: no unit in brackets ([m], [Pa], [-] for none)"


@pytest.mark.parametrize("package", PACKAGES)
def test_every_number_that_goes_in_or_out_has_its_unit_in_brackets(package: str) -> None:
    found: list[str] = []
    for path in modules(package):
        for name, node in public(path):
            about = (
                complaints_about_function(node)
                if isinstance(node, ast.FunctionDef)
                else complaints_about_record(node)
            )
            found += [f"{short(path)}:{node.lineno} {name}: {complaint}" for complaint in about]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("package", PACKAGES)
def test_everything_public_says_what_it_is(package: str) -> None:
    bare = [
        f"{short(path)}:{node.lineno} {name}"
        for path in modules(package)
        for name, node in public(path)
        if not ast.get_docstring(node)
    ]
    assert not bare, "no docstring:\n" + "\n".join(bare)


@pytest.mark.parametrize("package", PACKAGES)
def test_records_are_frozen_and_filled_by_name(package: str) -> None:
    loose = [
        f"{short(path)}:{node.lineno} {name}"
        for path in modules(package)
        for name, node in public(path)
        if isinstance(node, ast.ClassDef)
        and decorated(node, "dataclass")
        and not (decorated(node, "frozen=True") and decorated(node, "kw_only=True"))
    ]
    assert not loose, "dataclass without frozen=True, kw_only=True:\n" + "\n".join(loose)


def complaints(code: str) -> list[str]:
    node = ast.parse(code).body[0]
    if isinstance(node, ast.ClassDef):
        return list(complaints_about_record(node))
    assert isinstance(node, ast.FunctionDef)
    return list(complaints_about_function(node))


AREA = '''
def area(width: float) -> float:
    """Area [m2].

    Args:
        width: Outside width [m].
    """
'''
BAR = '''
@dataclass
class Bar:
    """A bar.

    Attributes:
        length: As cut [m].
        wall: Thickness [m].
    """
    length: float
    wall: float
'''
NO_UNIT = "no unit in brackets ([m], [Pa], [-] for none)"


def test_a_parameter_without_its_unit_is_noticed() -> None:
    assert complaints(AREA) == []
    assert complaints(AREA.replace("width [m]", "width")) == [f"width: {NO_UNIT}"]


def test_a_docstring_that_has_not_followed_its_signature_is_noticed() -> None:
    grown = AREA.replace("width: float", "width: float, height: float")
    assert complaints(grown) == ["documents ['width'], takes ['width', 'height']"]


def test_a_record_with_an_undocumented_number_is_noticed() -> None:
    assert complaints(BAR) == []
    short_of_one = BAR.replace("        wall: Thickness [m].\n", "")
    assert complaints(short_of_one) == ["documents ['length'], holds ['length', 'wall']"]


def test_a_record_may_name_one_unit_for_all_its_numbers() -> None:
    bare = BAR.replace(" [m]", "")
    assert complaints(bare) == [f"length: {NO_UNIT}", f"wall: {NO_UNIT}"]
    assert complaints(bare.replace("A bar.", "A bar; all in metres [m].")) == []
