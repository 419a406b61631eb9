"""On which line of a TOML file an entry stands.

The standard reader gives values without lines, so this walks the same text once more and notes where each key
begins. It reads text that the standard reader has taken already and judges nothing.
"""

from __future__ import annotations

from typing import Final

Path = tuple[str | int, ...]
"""Keys and places in lists, from the top of a file down to an entry."""

_BLANK: Final = " \t"
_SPACE: Final = " \t\r\n"
_END_OF_BARE: Final = ",]}#\r\n"
_ESCAPES: Final = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", "e": "\x1b", '"': '"', "\\": "\\"}


class _Walk:
    """One pass over the text; `lines` fills up as it goes."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.counted_to = 0
        self.line = 1
        self.lines: dict[Path, int] = {(): 1}
        self.table_lists: dict[Path, int] = {}

    def run(self) -> dict[Path, int]:
        table: Path = ()
        self.skip(_SPACE)
        while self.at < len(self.text):
            if self.text.startswith("[[", self.at):
                table = self.header(2)
            elif self.text[self.at] == "[":
                table = self.header(1)
            else:
                self.pair(table)
            self.skip(_SPACE)
        return self.lines

    def skip(self, what: str) -> None:
        """Over blanks, and over comments where line ends may be skipped too."""
        while self.at < len(self.text):
            sign = self.text[self.at]
            if sign in what:
                self.at += 1
            elif sign == "#" and "\n" in what:
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            else:
                return

    def here(self) -> int:
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        return self.line

    def note(self, path: Path, line: int) -> None:
        self.lines.setdefault(path, line)

    def header(self, brackets: int) -> Path:
        line = self.here()
        self.at += brackets
        keys = self.dotted()
        self.at += brackets
        path: Path = ()
        for i, key in enumerate(keys):
            path = (*path, key)
            self.note(path, line)
            if brackets == 2 and i == len(keys) - 1:
                self.table_lists[path] = self.table_lists.get(path, -1) + 1
            if path in self.table_lists:
                path = (*path, self.table_lists[path])
                self.note(path, line)
        if brackets == 1:
            # Its own header says more than the first dotted header that passed through it.
            self.lines[path] = line
        return path

    def dotted(self) -> list[str]:
        keys = [self.key()]
        self.skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] == ".":
            self.at += 1
            keys.append(self.key())
            self.skip(_BLANK)
        return keys

    def key(self) -> str:
        self.skip(_BLANK)
        if self.text[self.at] in "\"'":
            return self.string()
        start = self.at
        while self.at < len(self.text) and (self.text[self.at].isalnum() or self.text[self.at] in "-_"):
            self.at += 1
        return self.text[start : self.at]

    def pair(self, table: Path) -> None:
        line = self.here()
        path = table
        before = self.at
        for key in self.dotted():
            path = (*path, key)
            self.note(path, line)
        self.skip(_BLANK)
        self.at += 1  # the equals sign
        self.value(path)
        if self.at == before:  # cannot happen in text the standard reader took; never loop for ever
            self.at = len(self.text)

    def value(self, path: Path) -> None:
        self.skip(_BLANK)
        sign = self.text[self.at : self.at + 1]
        if sign == "[":
            self.listed(path)
        elif sign == "{":
            self.inline(path)
        elif sign and sign in "\"'":
            self.string()
        else:
            while self.at < len(self.text) and self.text[self.at] not in _END_OF_BARE:
                self.at += 1

    def listed(self, path: Path) -> None:
        self.at += 1
        i = 0
        self.skip(_SPACE)
        while self.at < len(self.text) and self.text[self.at] != "]":
            self.note((*path, i), self.here())
            self.value((*path, i))
            i += 1
            self.comma()
        self.at += 1

    def inline(self, path: Path) -> None:
        self.at += 1
        self.skip(_SPACE)
        while self.at < len(self.text) and self.text[self.at] != "}":
            self.pair(path)
            self.comma()
        self.at += 1

    def comma(self) -> None:
        self.skip(_SPACE)
        if self.text[self.at : self.at + 1] == ",":
            self.at += 1
        self.skip(_SPACE)

    def string(self) -> str:
        quote = self.text[self.at]
        if self.text.startswith(quote * 3, self.at):
            return self.long_string(quote)
        self.at += 1
        found: list[str] = []
        while self.at < len(self.text) and self.text[self.at] != quote:
            if self.text[self.at] == "\\" and quote == '"':
                found.append(self.escape())
            else:
                found.append(self.text[self.at])
                self.at += 1
        self.at += 1
        return "".join(found)

    def long_string(self, quote: str) -> str:
        start = self.at + 3
        self.at = start
        while self.at < len(self.text) and not self.text.startswith(quote * 3, self.at):
            self.at += 2 if self.text[self.at] == "\\" and quote == '"' else 1
        end = self.at
        self.at += 3
        for _ in range(2):  # up to two quotes may belong to the text just before the closing three
            self.at += self.text[self.at : self.at + 1] == quote
        return self.text[start:end]

    def escape(self) -> str:
        sign = self.text[self.at + 1]
        size = {"u": 4, "U": 8, "x": 2}.get(sign, 0)
        digits = self.text[self.at + 2 : self.at + 2 + size]
        self.at += 2 + size
        return chr(int(digits, 16)) if size else _ESCAPES.get(sign, sign)


def find_lines(text: str) -> dict[Path, int]:
    """The line, counted from 1, on which each table, key and list item of a TOML text begins."""
    return _Walk(text).run()


def line_of(lines: dict[Path, int], path: Path) -> int:
    """The line of an entry, or of the nearest table above it that stands in the file."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)
