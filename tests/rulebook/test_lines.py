"""Finding the line of an entry in a TOML text."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.rulebook.lines import Path, find_lines, line_of

AWKWARD = '''\
# a comment with [brackets] and "quotes"
title = "a # that is no comment"   # and one that is
"quoted key" = 1
a.b.c = 'single \\ quoted'

[one]
x = [1, 2,   # numbers
  [3, 4],
  { y = 1, z.w = "}" },
]
long = """
text with [one] and x = 1
and \\""" quotes"""
after = 2026-09-01 07:00:00

[one.two."tube 3 x 3"]
deep = true
[[rows]]
n = 1
[[rows]]
n = 2
[rows.below]
k = "é\\u00e9\\n"
[[rows.inner]]
q = 1
[[rows.inner]]
q = 2
[[rows]]
[[rows.inner]]
q = 3
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("quoted key",), 3),
        (("a", "b", "c"), 4),
        (("one",), 6),
        (("one", "x"), 7),
        (("one", "x", 1), 7),
        (("one", "x", 2, 1), 8),
        (("one", "x", 3, "y"), 9),
        (("one", "x", 3, "z", "w"), 9),
        (("one", "long"), 11),
        (("one", "after"), 14),
        (("one", "two", "tube 3 x 3"), 16),
        (("one", "two", "tube 3 x 3", "deep"), 17),
        (("rows", 0), 18),
        (("rows", 0, "n"), 19),
        (("rows", 1, "n"), 21),
        (("rows", 1, "below", "k"), 23),
        (("rows", 1, "inner", 0, "q"), 25),
        (("rows", 1, "inner", 1, "q"), 27),
        (("rows", 2), 28),
        (("rows", 2, "inner", 0, "q"), 30),
    ],
)
def test_every_entry_of_an_awkward_file_is_found_on_its_line(path: Path, line: int) -> None:
    assert find_lines(AWKWARD)[path] == line


def test_a_missing_field_is_placed_at_the_table_it_should_stand_in() -> None:
    assert line_of(find_lines(AWKWARD), ("rows", 1, "nothing", "here")) == 20


def test_windows_line_ends_count_the_same() -> None:
    assert find_lines(AWKWARD.replace("\n", "\r\n")) == find_lines(AWKWARD)


def test_an_empty_file_has_a_first_line() -> None:
    assert line_of(find_lines(""), ("anything",)) == 1


KEY = st.text(alphabet='abc .#"=[]{}\\é', min_size=1, max_size=6)
LEAF = st.one_of(st.integers(0, 9), st.booleans(), KEY)
VALUE = st.recursive(
    LEAF, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEY, inner, max_size=3), max_leaves=6
)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _written(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_quoted(k)} = {_written(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[\n" + ",  # next\n".join(_written(v) for v in value) + "\n]"
    return _quoted(value) if isinstance(value, str) else str(value).lower()


def _paths(value: object, path: Path = ()) -> list[Path]:
    if isinstance(value, dict):
        return [p for k, v in value.items() for p in [(*path, k), *_paths(v, (*path, k))]]
    if isinstance(value, list):
        return [p for i, v in enumerate(value) for p in [(*path, i), *_paths(v, (*path, i))]]
    return []


@given(st.dictionaries(KEY, st.dictionaries(KEY, VALUE, max_size=4), max_size=4))
def test_whatever_the_standard_reader_takes_has_all_its_entries_found(
    tables: dict[str, dict[str, object]],
) -> None:
    text = "".join(
        f"[{_quoted(name)}] # table\n"
        + "".join(f"{_quoted(k)} = {_written(v)}\n" for k, v in entries.items())
        for name, entries in tables.items()
    )
    assert tomllib.loads(text) == tables
    found = find_lines(text)
    assert set(found) == {(), *_paths(tables)}
    for name, entries in tables.items():
        assert text.splitlines()[found[name,] - 1].startswith(f"[{_quoted(name)}]")
        for key in entries:
            assert text.splitlines()[found[name, key] - 1].startswith(f"{_quoted(key)} =")
