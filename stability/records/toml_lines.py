"""On which line of a TOML text each key and each element of an array stands.

The standard library's reader gives values without their places. This scanner runs
after it has accepted the text, so it may take the grammar for granted.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

#: Keys from the top of the file, with the place of an element within an array.
Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_GAP = re.compile(r"[ \t]*")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]*")


@dataclass(frozen=True, slots=True)
class TomlLines:
    """Lines of a TOML text by path."""

    #: Line of each path, counted from 1.
    by_path: Mapping[Path, int]

    def of(self, path: Path) -> int:
        r"""Return the line of a path, or of the nearest table around it; 1 at the top.

        Examples
        --------
        >>> lines = scan("title = 'x'\n[t0]\nread_after = '48h'\n")
        >>> lines.of(("t0", "read_after")), lines.of(("t0", "missing"))
        (3, 2)
        """
        for end in range(len(path), 0, -1):
            line = self.by_path.get(path[:end])
            if line is not None:
                return line
        return 1


def scan(text: str) -> TomlLines:
    """Return the line of every key, table and array element of a valid TOML text."""
    scanner = _Scanner(text.replace("\r\n", "\n"))
    scanner.document()
    return TomlLines(scanner.lines)


@dataclass(slots=True)
class _Scanner:
    """Where the scan stands and what it has found."""

    text: str
    at: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    newlines: list[int] = field(default_factory=list)
    #: Path of each array of tables -> index of its last table.
    last_table: dict[Path, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.newlines = [place for place, char in enumerate(self.text) if char == "\n"]

    def document(self) -> None:
        """Scan the whole text."""
        table: Path = ()
        while self.skip(_BLANK) and self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)

    def header(self) -> Path:
        """Scan `[table]` or `[[table]]` and return the path that it opens."""
        line = self.line()
        double = self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        keys = self.keys()
        self.at += 2 if double else 1
        path: Path = ()
        for number, key in enumerate(keys, 1):
            path = (*path, key)
            self.lines.setdefault(path, line)
            if number < len(keys) and path in self.last_table:
                path = (*path, self.last_table[path])
        if double:
            index = self.last_table.get(path, -1) + 1
            self.last_table[path] = index
            path = (*path, index)
        self.lines[path] = line
        return path

    def pair(self, table: Path) -> None:
        """Scan `key = value` of a table."""
        line = self.line()
        path = table
        for key in self.keys():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self.at += 1
        self.skip(_GAP)
        self.value(path)

    def keys(self) -> list[str]:
        """Scan a dotted key, up to the sign that follows it."""
        keys = []
        while True:
            self.skip(_GAP)
            quoted = self.text[self.at] in "\"'"
            token = self.take(_STRING if quoted else _BARE_KEY)
            keys.append(next(iter(tomllib.loads(f"{token}=0"))) if quoted else token)
            self.skip(_GAP)
            if self.text[self.at] != ".":
                return keys
            self.at += 1

    def value(self, path: Path) -> None:
        """Scan a value and what it holds."""
        opening = self.text[self.at]
        if opening == "[":
            self.array(path)
        elif opening == "{":
            self.inline_table(path)
        else:
            self.take(_STRING if opening in "\"'" else _BARE_VALUE)

    def array(self, path: Path) -> None:
        """Scan the elements of an array."""
        self.at += 1
        index = 0
        while self.skip(_BLANK) and self.text[self.at] != "]":
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self.lines[(*path, index)] = self.line()
            self.value((*path, index))
            index += 1
        self.at += 1

    def inline_table(self, path: Path) -> None:
        """Scan the pairs of an inline table."""
        self.at += 1
        while self.skip(_BLANK) and self.text[self.at] != "}":
            if self.text[self.at] == ",":
                self.at += 1
            else:
                self.pair(path)
        self.at += 1

    def take(self, pattern: re.Pattern[str]) -> str:
        """Return what the pattern matches here and move behind it."""
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"not valid TOML at character {self.at}")
        self.at = match.end()
        return match[0]

    def skip(self, pattern: re.Pattern[str]) -> bool:
        """Move behind what the pattern matches here."""
        self.take(pattern)
        return True

    def line(self) -> int:
        """Return the line of the present place, counted from 1."""
        return bisect_right(self.newlines, self.at - 1) + 1
